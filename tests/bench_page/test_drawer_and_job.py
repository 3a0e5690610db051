"""Filed and found again, retired and brought back; a job planned, its sheet written."""

from __future__ import annotations

import json

import pytest

import nests
from nests.drawer.shelf import every_holder
from tests.bench_page.conftest import until
from tests.bench_page.test_every_state import look, shots_wanted
from tests.bench_page.test_overruled import hand_setting


@pytest.mark.slow
def test_filed_found_retired_and_brought_back(shared, tab):
    opened = shared()
    page = tab(opened.address)
    hand_setting(page, judged=False)
    page.goto(f"{opened.origin}/drawer")
    page.locator("form[data-drawer=file] [name=seat]").fill("26.11 26,09")
    page.locator("form[data-drawer=file] [name=ledge]").fill("9.9")
    page.get_by_role("button", name="File it").click()
    page.wait_for_selector("#fault:has-text('ledge')")  # a reading that cannot be of this print
    assert not (opened.folder / "drawer").exists()
    page.locator("form[data-drawer=file] [name=ledge]").fill("6.91")
    page.locator("form[data-drawer=file] [name=by-eye]").select_option("good")
    page.get_by_role("button", name="File it").click()
    page.wait_for_selector("#kept-title:has-text('M1-L')")
    ((kept,), _) = every_holder(opened.folder / "drawer")
    assert kept.now.readings.sizes["seat"] == (26.11, 26.09)
    page.get_by_role("button", name="For the sheet on the drawing").click()
    page.wait_for_selector(".found li:has-text('M1-L')")
    found = nests.find(opened.folder / "drawer", opened.folder / "sheet.json", nests.Operation(
        name="hand-setting", side_up=nests.read(opened.folder / "drawer" / "M1-L.json")
        .recipe.side_up, stem=True, presses=kept.recipe.operation.presses))  # fmt: skip
    assert page.locator(".found b").inner_text() == found.judged[0].grade.value
    page.locator(".compartment").click()
    page.locator("form[data-drawer=retire] [name=reason]").fill("ledge chipped")
    page.get_by_role("button", name="Retire").click()
    page.wait_for_selector(".compartment.retired")
    page.get_by_role("button", name="Bring it back").click()
    page.wait_for_selector(".compartment.in-use")
    page.get_by_role("button", name="Undo it").click()
    page.wait_for_selector(".compartment.retired")
    with page.expect_download() as got:
        page.get_by_role("link", name="map and labels").click()
    assert got.value.path().read_bytes().startswith(b"%PDF")
    assert page.errors == []


def planned(page, name):
    page.locator("select[name=plan]").select_option(name)
    page.get_by_role("button", name="Find the fewest holders").click()


@pytest.mark.slow
def test_a_job_is_planned_and_left_off(shared, tab):
    opened = shared()
    page = tab(opened.address)
    hand_setting(page, judged=False)
    page.goto(f"{opened.origin}/job")
    planned(page, "three-hand")
    page.get_by_role("button", name="Leave off").click()
    until(page, "!document.querySelector('.busy')")
    planned(page, "usual")
    told = nests.plan(opened.folder / "sheet.json", "usual")  # while the page plans it
    page.wait_for_selector(".verdict-line", timeout=90_000)
    assert page.locator(".operations tbody tr").count() == len(told.operations)
    assert page.locator(".verdict-line .says").text_content() == told.says
    until(page, "document.querySelector('.coverage').naturalWidth > 0")
    look(page, "job-planned", shots_wanted())
    assert page.errors == []


@pytest.mark.long
def test_a_job_is_written_with_its_sheet(shared, tab):
    opened = shared()
    page = tab(opened.address)
    hand_setting(page, judged=False)
    page.goto(f"{opened.origin}/job")
    planned(page, "three-hand")
    page.wait_for_selector(".verdict-line", timeout=90_000)
    page.get_by_role("button", name="Write packs and job sheet").click()
    link = page.wait_for_selector("a[download='job-sheet.pdf']", timeout=120_000)
    with page.expect_download() as got:
        link.click()
    assert got.value.path().read_bytes().startswith(b"%PDF")
    made = json.loads((opened.folder / "jobs" / "three-hand" / "plan.json").read_text())
    assert page.locator(".ticket").count() >= len(made["holders"])
    said = page.locator(".verdict-line b").inner_text()
    assert said == ("the job may start" if made["may_start"] else "the job must not start")
    assert page.errors == []
