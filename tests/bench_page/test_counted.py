"""From nothing to a hand-setting pack, counted: what is typed or chosen, and what is clicked.

A movement with six arbors, four rests, balance and stem, on which one jewel is pressed, then two.
"""

from __future__ import annotations

import html
import json

import pytest

from nests.choosing import judged
from nests.given.sheet import Sheet
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.papers.report import holder_report
from nests.papers.report import page as page_of
from nests.papers.report.usual import usual
from tests.bench_page.conftest import settled, until

pytestmark = pytest.mark.slow
PLACES = {
    "centre": "middle", "third wheel": "8.6 h 5.0", "fourth wheel": "10 h 4.0",
    "escape wheel": "5.8 h 6", "pallet": "6.4 h 8", "balance": "7.6 h 7.4",
}  # fmt: skip
RESTS = {"barrel bridge": "1.4 h 7.4", "barrel edge": "2.8 h 8", "train bridge": "10.9 h 7.5",
         "plate": "4.5 h 8.4"}  # fmt: skip


class Counted:
    """Hands at the page, counted: a value that is typed or chosen, a click or a key that does
    something."""

    def __init__(self, page):
        self.page, self.entries, self.clicks = page, 0, 0

    def type(self, selector, text):
        self.entries += 1
        self.page.locator(selector).fill(text)

    def choose(self, selector, text):
        self.entries += 1
        with self.page.expect_response("**/change"):
            self.page.locator(selector).select_option(text)

    def click(self, selector):
        self.clicks += 1
        self.page.locator(selector).first.click()

    def key(self, key):
        self.clicks += 1
        self.page.keyboard.press(key)

    def draft(self, what):
        """The empty slip of something to be added."""
        form = f'form[data-add="sheet:/{what}"]'
        self.page.wait_for_selector(form)
        return form

    def put(self, what, waits=""):
        """Put a slip on the sheet; `waits` is the name that has the next one."""
        form = self.draft(what)
        with self.page.expect_response("**/change"):
            self.click(f"{form} button.main")
        name = f"{form} [data-at='/name']"
        after = f"document.querySelector(`{name}`)?.value === '{waits}'"
        until(self.page, after if waits else "!document.querySelector('form[data-add]')")

    def pressed(self, index, hands, **jewel):
        """What is pressed on an arbor, and its jewel."""
        page = self.page
        if page.get_by_role("button", name="all that is measured").count():
            self.click("#slip [data-open='']")
        self.click(f'#slip [data-open="sheet:/arbors/{index}"]')
        page.wait_for_selector(f'#slip [data-new="sheet:/arbors/{index}/jewels"]')
        if hands:
            with page.expect_response("**/change"):
                self.type(f'[data-at="sheet:/arbors/{index}/carries"]', hands)
                page.keyboard.press("Tab")
        self.click(f'#slip [data-new="sheet:/arbors/{index}/jewels"]')
        form = self.draft(f"arbors/{index}/jewels")
        for key, text in jewel.items():
            self.type(f'{form} [data-at="/{key}"]', text)
        self.put(f"arbors/{index}/jewels")


def listed(hand, what, places, others, reload=False):
    """Several things, their names typed at once."""
    hand.click(f'[data-key="new sheet:/{what}"]')
    names = list(places)
    form = hand.draft(what)
    hand.type(f"{form} [data-at='/name']", ", ".join(names))
    if reload:  # nothing is lost that was typed
        hand.page.keyboard.press("Tab")
        hand.page.reload()
        until(
            hand.page, f"document.querySelector(`{form} [data-at='/name']`)?.value === '{names[0]}'"
        )
        assert hand.page.locator("[data-waiting]").inner_text() == f"Then: {', '.join(names[1:])}."
    for name, follows in zip(names, [*names[1:], ""], strict=True):
        hand.type(f"{form} [name=read]", places[name])
        for key, text in others.get(name, others.get("", {})).items():
            hand.type(f'{form} [data-at="/{key}"]', text)
        hand.put(what, follows)


def papers(path):
    """The report of a pack as it is read, without its pictures."""
    choice = judged(read(path, Recipe))
    made = holder_report(choice.study.holder, choice.study, choice.findings, {}, "x")
    return " ".join(html.unescape(page_of(made).decode()).split())


def test_from_nothing_to_a_hand_setting_pack(shared, tab):
    opened = shared()
    page = tab(opened.address)
    hand = Counted(page)
    for name, text in (("name", "INV 27-M"), ("diameter", "26.0"), ("rim", "1.7"),
                       ("dial_height", "1.2"), ("bridge_height", "1.9"),
                       ("rim_level", "1.2")):  # fmt: skip
        hand.type(f"form[data-do=new] [name={name}]", text)
    hand.click("form[data-do=new] button.main")
    page.wait_for_selector("#view svg.plan")
    until(page, "document.activeElement.id === 'slip-title'")
    hand.key("f")
    page.wait_for_selector("#bridge svg.plan")
    hand.click('[data-key="new sheet:/stem"]')
    hand.type(f'{hand.draft("stem")} [data-at="/hour"]', "3")
    hand.type(f'{hand.draft("stem")} [data-at="/depth"]', "0.85")
    hand.put("stem")
    listed(hand, "arbors", PLACES, {"centre": {"carries": "hour hand, minute hand"}})
    hand.pressed(0, "", diameter="1.6", height="1.3", pivot_protrusion="0.1", pivot_diameter="0.28")
    hand.click("#slip [data-open='']")
    hand.click('#slip [data-open="sheet:"]')
    for at, text in (("plate/thickness", "1.7"), ("bridges/thickness", "1.2"), ("mass", "8.9")):
        with page.expect_response("**/change"):
            hand.type(f'#slip [data-at="sheet:/{at}"]', text)
            page.keyboard.press("Tab")
    hand.click("#slip [data-open='']")
    hand.click('[data-key="new sheet:/keep_clear"]')
    form = hand.draft("keep_clear")
    hand.type(f"{form} [name=read]", "at balance")
    for at, text in (("name", "balance"), ("zone/diameter", "8.4"), ("from_height", "-1"),
                     ("to_height", "1.7")):  # fmt: skip
        hand.type(f'{form} [data-at="/{at}"]', text)
    hand.put("keep_clear")
    size = {"zone/diameter": "2.4", "height": "1.2"}
    listed(hand, "rests", RESTS, {"": size}, reload=True)
    hand.choose("[data-key=operation]", "hand-setting")
    page.wait_for_selector("svg.section .arrow")
    settled(page)
    assert hand.entries <= 45
    assert (hand.entries, hand.clicks) == (42, 24)  # README
    assert not page.locator(".grade.unknown, .grade.stop").count()
    made = read(opened.folder / "sheet.json", Sheet)
    counted = len(made.arbors), len(made.rests) - 1, len(made.keep_clear)  # the rim besides
    assert counted == (6, 4, 1)
    assert made.stem is not None
    assert {each.side.value for each in (*made.rests, *made.arbors[0].jewels)} == {"bridge"}
    # one more pressed jewel
    before = hand.entries
    hand.pressed(2, "small seconds hand", diameter="1.4", height="1.3", pivot_protrusion="0.08",
                 pivot_diameter="0.2")  # fmt: skip
    assert hand.entries - before <= 5
    settled(page)
    assert not page.locator(".grade.unknown .remark:has-text('load path ·')").count()
    page.locator("#papers").uncheck()
    page.locator("#take").click()
    page.wait_for_selector(".files", timeout=60_000)
    (pack,) = (opened.folder / "packs").iterdir()
    found = json.loads((pack / "findings.json").read_text())
    load = [each for each in found["findings"] if each["check"] == "load path"]
    assert {each["grade"] for each in load} == {"clear"}
    assert len(load) == 2
    # what nobody typed stands on the papers
    made, report = read(opened.folder / "sheet.json", Sheet), papers(pack / "recipe.json")
    for what, of, figure, _ in usual(made):
        assert what in report
        assert of in report
        assert figure in report
    for what in ("⌀ of the stem", "how far it is drawn to set the hands",
                 "measuring uncertainty of every length, ±", "the dial"):  # fmt: skip
        assert what in {row[0] for row in usual(made)}
    assert page.errors == []
