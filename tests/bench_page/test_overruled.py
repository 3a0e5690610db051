"""What the family chose is overruled: what then fails is said at once, and what can be cured is."""

from __future__ import annotations

import json

import pytest

import nests
from tests.bench_page.conftest import settled, until
from tests.bench_page.test_kept import begun

pytestmark = pytest.mark.slow


def hand_setting(page, judged=True):
    begun(page)
    with page.expect_response("**/change"):
        page.locator("[data-key=operation]").select_option("hand-setting")
    page.wait_for_selector("svg.section .arrow")
    if judged:
        settled(page)


def test_a_part_taken_away_is_missed_and_a_remedy_applied(shared, tab):
    opened = shared()
    page = tab(opened.address)
    hand_setting(page, judged=False)
    page.wait_for_selector(".thing-line:has-text('vent')")
    vents = page.locator(".thing-line:has-text('vent')").count()
    for left in range(vents - 1, -1, -1):
        page.locator(".thing-line:has-text('vent')").first.click()
        with page.expect_response("**/change"):
            page.get_by_role("button", name="Take it off the holder").click()
        some = "[...document.querySelectorAll('.thing-line')].map((each) => each.textContent)"
        count = f"{some}.filter((each) => each.includes('vent')).length"
        until(page, f"{some}.length > 3 && {count} === {left}")
    page.wait_for_selector(".verdict:has-text('overruled by hand')")
    settled(page)
    worst = page.locator(".grade").first
    assert "stop" in worst.get_attribute("class")
    assert "suction" in worst.inner_text().lower() or "resin" in worst.inner_text().lower()
    with page.expect_response("**/change", timeout=60_000):
        page.get_by_role("button", name="Apply every remedy").click()
    settled(page)
    assert "a vent of" in page.locator(".block .name").inner_text()
    assert not page.locator(".grade.stop").count()
    # the command line finds the same in the recipe that lies in the folder
    found = nests.check(opened.folder / "recipe.json")
    assert not [each for each in found if each.grade == "stop"]
    page.get_by_role("button", name="let the family choose").click()
    until(page, "!document.querySelector('.verdict').textContent.includes('overruled')")
    assert not (opened.folder / "recipe.json").exists()
    assert page.errors == []


def test_a_post_is_dragged_and_jumps_to_a_jewel(shared, tab):
    opened = shared()
    page = tab(opened.address)
    hand_setting(page, judged=False)
    pole = page.locator("#dial g.pole[data-under='train bridge']")
    goal = page.locator("#dial g.arbor[aria-label*='balance'] .hit")
    here, there = pole.bounding_box(), goal.bounding_box()
    middle = [here["x"] + here["width"] / 2, here["y"] + here["height"] / 2]
    wanted = [there["x"] + there["width"] / 2 + 3, there["y"] + there["height"] / 2 - 2]
    page.mouse.move(*middle)
    page.mouse.down()
    page.mouse.move(*[(a + b) / 2 for a, b in zip(middle, wanted, strict=True)])
    page.mouse.move(*wanted)
    assert page.locator("circle.goal.wanted").count() == 1
    with page.expect_response("**/change"):
        page.mouse.up()
    until(page, "document.querySelector(\"#dial g.pole[data-under='balance']\")")
    recipe = json.loads((opened.folder / "recipe.json").read_text())
    assert "balance" in [each.get("under") for each in recipe["parts"]]
    assert "train bridge" not in [each.get("under") for each in recipe["parts"]]


def test_an_arbor_is_dragged_and_lies_where_it_was_let_go(shared, tab):
    opened = shared()
    page = tab(opened.address)
    begun(page)
    thing = page.locator("#dial g.arbor[aria-label*='third wheel'] .hit")
    box, svg = thing.bounding_box(), page.locator("#dial svg.plan").bounding_box()
    scale = float(page.locator("#dial svg.plan").get_attribute("data-scale"))
    before = page.locator("#dial g.arbor[aria-label*='third wheel']")
    x, y = (float(before.get_attribute(f"data-{axis}")) for axis in "xy")
    start = [box["x"] + box["width"] / 2, box["y"] + box["height"] / 2]
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move(start[0] + 10, start[1] + 10)
    page.mouse.move(start[0] + 30, start[1] - 20)
    with page.expect_response("**/change"):
        page.mouse.up()
    at = json.loads((opened.folder / "sheet.json").read_text())["arbors"][1]["at"]
    mm = 200.0 / min(svg["width"], svg["height"]) / scale
    assert at["x"] == pytest.approx(x + 30 * mm, abs=0.002)
    assert at["y"] == pytest.approx(y + 20 * mm, abs=0.002)
    assert at["read_from"] == "dial"


def test_a_limit_is_said_in_one_sentence_and_nothing_changes(shared, tab):
    opened = shared()
    page = tab(opened.address)
    begun(page)
    page.get_by_role("button", name="The whole").click()
    field = page.locator('#slip [data-at="sheet:/rim"]')
    field.fill("17")
    field.press("Tab")
    told = page.wait_for_selector("#fault p").inner_text()
    assert told == "Sheet: rim is 17 mm; allowed is 0.2 to 15 mm."
    assert json.loads((opened.folder / "sheet.json").read_text())["rim"] == 1.7
    field.fill("11.5ligne")
    field.press("Tab")
    page.wait_for_selector("#fault p:has-text('25.9')")


def test_what_a_remark_is_about_is_lit_everywhere(shared, tab):
    page = tab(shared().address)
    hand_setting(page, judged=False)
    page.locator(".grade.clear summary").click()
    page.locator(".remark:has-text('stake post under centre')").first.hover()
    for place in ("#dial g.pole.lit", "#section .lit", "#slip .thing-line.lit"):
        page.wait_for_selector(place, state="attached")
    lit = page.evaluate("""() => { const set = window.nestsBench.solid.sets['/scene'];
        return set.names.filter((_, k) => set.lit[k] > 0.5); }""")
    assert lit == ["stake post under centre"]
