"""axe-core finds nothing on any state of the page, at the width of a laptop and of a tablet, and
nothing runs over the edge. WCAG 2.1 A and AA, and best practice."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.bench_page.conftest import settled, until
from tests.bench_page.test_kept import begun, typed

WIDTHS = [(1280, 860), (820, 1180)]
"""Pixels of a laptop and of a tablet."""


def shots_wanted():
    """The folder for screenshots, if they are asked for."""
    return os.environ.get("NESTS_SHOTS") and Path(os.environ["NESTS_SHOTS"])


def look(page, name, shots):
    from axe_playwright_python.sync_playwright import Axe

    axe = Axe()
    if page.evaluate("'axe' in window"):
        axe.axe_script = "0"  # it was brought before
    found = axe.run(page)
    assert found.response["passes"], f"{name}: axe did not run"
    assert found.violations_count == 0, f"{name}: {found.generate_report()}"
    for width, height in WIDTHS:
        page.set_viewport_size({"width": width, "height": height})
        wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert wide <= 0, f"{name}: {wide} px over the edge at {width}"
        if shots:
            if page.locator("#solid canvas").is_visible():
                page.wait_for_timeout(1500)  # until it is painted finely
            page.screenshot(path=shots / f"{width}-{name}.png")


@pytest.mark.parametrize("width", [
    pytest.param(1280, marks=pytest.mark.slow), pytest.param(820, marks=pytest.mark.long),
])  # fmt: skip
def test_axe_finds_nothing(shared, tab, width, monkeypatch):
    shots = shots_wanted()
    opened = shared()
    page = tab(opened.address)
    sizes = sorted(WIDTHS, key=lambda size: size[0] == width)  # the last is what axe looks at
    monkeypatch.setitem(globals(), "WIDTHS", sizes)
    page.set_viewport_size({"width": width, "height": dict(WIDTHS)[width]})
    look(page, "start", shots)
    begun(page, "inv-30-c")
    page.wait_for_selector(".by-now .new")
    look(page, "sheet", shots)
    page.locator('#slip [data-open="sheet:/arbors/1"]').first.click()
    for name, third in (("distances", 21.49), ("misfit", 21.9)):
        with page.expect_response("**/change"):
            field = page.locator("#slip [name=read]")
            field.fill(f"6.51 from centre, 15.01 from edge at 12 h, {third} from edge at 3 h")
            field.press("Tab")
        page.wait_for_selector(f"#slip .{'misfit' if name == 'misfit' else 'left'}")
        look(page, name, shots)
    for _ in "distances", "misfit":
        with page.expect_response("**/change"):
            page.locator("[data-key=undo]").click()
    page.get_by_role("button", name="all that is measured").click()
    page.get_by_role("button", name="The whole").click()
    typed(page, "sheet:/mass", "")  # a remark asks for it
    page.get_by_role("button", name="all that is measured").click()
    page.locator("[data-key='new sheet:/rests']").click()
    page.wait_for_selector("form[data-add]")
    look(page, "new-thing", shots)
    with page.expect_response("**/change"):
        page.locator("[data-key=operation]").select_option("chronograph-hands")
    page.wait_for_selector("svg.section")
    look(page, "being-looked-at", shots)
    settled(page)
    page.wait_for_selector("[data-key='margin sheet:/mass']")
    page.locator(".grade summary").last.click()
    look(page, "holder", shots)
    page.locator("#turn").click()
    until(page, "document.querySelector('#bridge g.arbor')")
    page.locator("#bridge g.arbor").nth(1).focus()
    page.keyboard.press("Enter")
    until(page, "document.querySelector('#slip-title').textContent !== 'Measured'")
    look(page, "slip-bridge-side", shots)
    field = page.locator('#slip [data-at="sheet:/arbors/1/jewels/0/height"]')
    field.fill("99")
    field.press("Tab")
    page.wait_for_selector("#fault p")
    look(page, "refused", shots)
    page.get_by_role("button", name="all that is measured").click()
    with page.expect_response("**/change"):
        page.locator("[data-key=family]").select_option("cradle")
    page.wait_for_selector(".fault-slip")
    look(page, "no-holder", shots)
    with page.expect_response("**/change"):
        page.keyboard.press("u")
    page.locator(".thing-line:has-text('stake post under centre')").click()
    page.wait_for_selector("#slip [data-remove]")
    look(page, "part", shots)
    page.get_by_role("button", name="Take it off the holder").click()
    page.wait_for_selector(".verdict:has-text('overruled')")
    settled(page)
    assert page.locator(".grade.stop, .grade.mend").count()
    look(page, "findings", shots)
    with page.expect_response("**/change"):
        page.keyboard.press("u")
    until(page, "document.querySelector('#take').disabled === false")
    page.locator("#papers").uncheck()
    page.locator("#take").click()
    page.wait_for_selector(".files", timeout=60_000)
    look(page, "pack", shots)
    page.locator("#help-button").click()
    look(page, "keys", shots)
    page.keyboard.press("Escape")
    page.locator("#photo-open").click()
    look(page, "photograph", shots)
    page.keyboard.press("Escape")
    page.goto(f"{opened.origin}/drawer")
    look(page, "drawer", shots)
    page.get_by_role("button", name="File it").click()
    page.wait_for_selector("#kept-title")
    page.get_by_role("button", name="For the sheet on the drawing").click()
    page.wait_for_selector(".found li")
    page.locator(".compartment").click()
    page.wait_for_selector("#kept-title")
    look(page, "drawer-kept", shots)
    page.goto(f"{opened.origin}/job")
    look(page, "job", shots)
    page.locator("select[name=plan]").select_option("usual")
    page.get_by_role("button", name="Find the fewest holders").click()
    page.wait_for_selector(".busy")
    look(page, "job-at-it", shots)
    page.get_by_role("button", name="Leave off").click()
    until(page, "!document.querySelector('.busy')")
    assert page.errors == []
