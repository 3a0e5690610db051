"""What can be made by now stands in the margin after each fact, as `measure sheet` says it."""

from __future__ import annotations

import json

import pytest

from nests.given.sheet import Sheet
from nests.kinds import read
from nests.measuring.sheet_of import sheet_of
from nests.measuring.unlocked import Standing, concerning, news, standing, standings
from tests.bench_page.conftest import settled, until
from tests.bench_page.test_whole_runs import add, new_sheet
from tests.measuring.benches import HANDS, measured


def test_a_record_and_its_sheet_stand_for_the_same():
    record = measured(HANDS)
    *_, found = standings(sheet_of(record).sheet)
    by_record = {each.operation: each for each in standing(record).states}
    for each in found.states:  # a record also tells what was looked for and is not there
        assert by_record.get(each.operation, each) == each
    assert [each.operation for each in found.states] == [
        each.name for each in concerning(sheet_of(record).sheet)
    ]


@pytest.mark.slow
def test_what_a_fact_unlocked_is_said_and_made(shared, tab):
    opened = shared()
    page = tab(opened.address)
    new_sheet(page, name="MINE 27", diameter="26.0", rim="1.7", dial_height="1.2",
              bridge_height="2.0")  # fmt: skip
    before = Standing()

    def told():
        """The sentences that are new, once they are those of the sheet as it is."""
        nonlocal before
        *_, after = standings(read(opened.folder / "sheet.json", Sheet))
        said = news(before, after)
        texts = "[...document.querySelectorAll('.by-now .new')].map((each) => each.textContent)"
        until(page, f"JSON.stringify({texts}) === JSON.stringify({json.dumps(said)})")
        assert page.locator(".by-now-all li").count() == len(after.states)
        before = after
        return said

    assert "carrying: round holder can be made." in told()
    add(page, "stem", hour="3", depth="0.85")
    assert "train-work, dial-side-work: round holder can be made." in told()
    add(page, "arbors", name="centre", at__read="middle", carries="hour hand, minute hand")
    assert any("'centre' is pressed, and the sheet has no jewel for it" in e for e in told())
    page.locator('#slip [data-open="sheet:/arbors/0"]').first.click()
    page.locator('#slip [data-new="sheet:/arbors/0/jewels"]').click()
    draft = page.locator('form[data-add="sheet:/arbors/0/jewels"]')
    draft.locator('[data-at="/side"]').select_option("bridge")
    draft.locator('[data-at="/diameter"]').fill("1.6")
    draft.locator('[data-at="/height"]').fill("1.3")
    draft.get_by_role("button", name="Put it on the sheet").click()
    until(page, "!document.querySelector('form[data-add]')")
    assert "hand-setting: hand-setting holder can be made." in told()
    page.get_by_role("button", name="make the hand-setting holder for hand-setting").click()
    page.wait_for_selector("svg.section .arrow")
    settled(page)
    assert page.locator("[data-key=family]").input_value() == "hand-setting"
    assert page.errors == []
