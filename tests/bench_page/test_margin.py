"""What is done from the margin: an unknown is measured beside its remark, one remedy applied."""

from __future__ import annotations

import json

import pytest

import nests
from nests.documents.files import canonical, data_folder
from nests.faces.page.lacking import on_sheet
from nests.finding import gathered
from nests.given.at_work import at_work
from nests.given.operation import Operation
from nests.given.sheet import Sheet
from nests.kinds import document, read
from nests.places import Side
from nests.units import BadInput
from tests.bench_page.conftest import settled, until
from tests.bench_page.test_every_state import look, shots_wanted
from tests.bench_page.test_whole_runs import say
from tests.orders.test_remedies import two_faults

SHEETS = data_folder("gallery") / "sheets"


def test_a_pointer_on_what_was_judged_leads_to_the_same_thing_of_the_sheet():
    sheet = read(SHEETS / "inv-30-t.json", Sheet)
    assert on_sheet("/plate/thickness", sheet, sheet) == "/plate/thickness"
    first, last = sheet.arbors[0].name, sheet.arbors[-1]
    left = at_work(sheet, Operation(name="x", side_up=Side.DIAL, absent=(first,)))
    index = [each.name for each in left.arbors].index(last.name)
    there = on_sheet(f"/arbors/{index}/jewels", left, sheet)
    assert there == f"/arbors/{len(sheet.arbors) - 1}/jewels" != f"/arbors/{index}/jewels"
    (sub, *_) = sheet.sub_assemblies
    assert on_sheet("/mass", sub, sheet) == "/sub_assemblies/0/mass"
    with pytest.raises(BadInput):
        on_sheet("/mass", read(SHEETS / "inv-26-a.json", Sheet), sheet)


def brought(page, tmp_path, name, **gone):
    """A sheet of the workshop without some of what it says."""
    data = json.loads((SHEETS / f"{name}.json").read_text())
    for key in gone:
        data.pop(key)
    (tmp_path / "mine.json").write_text(json.dumps(data))
    page.locator("#bring").set_input_files(tmp_path / "mine.json")
    page.wait_for_selector("#view svg.plan")


def told(page):
    """Grade and sentence of every remark, in no order."""
    return sorted(
        (group.get_attribute("class").split()[-1], each)
        for group in page.locator("#margin details.grade").all()
        for each in group.locator(".remark > p:first-child").all_text_contents()
    )


def commanded(opened, family, operation):
    """The same of what the command line finds."""
    pack = nests.make(opened.folder / "sheet.json", family, operation=operation, papers=False)
    return sorted((each.grade.value, each.says) for each in gathered(pack.findings))


@pytest.mark.slow
def test_a_thickness_is_typed_beside_the_remark_that_lacks_it(shared, tab, tmp_path):
    opened = shared()
    page = tab(opened.address)
    brought(page, tmp_path, "inv-26-a", bridges=None, mass=None)
    say(page, "hand-setting")
    page.wait_for_selector("svg.section .arrow")
    settled(page)
    lacking = page.locator(".remark:has([data-at='sheet:/bridges/thickness'])")
    assert lacking.count() == 1
    assert "gives no thickness of the bridges" in lacking.inner_text()
    assert "with a micrometer" in lacking.inner_text()
    assert "bridges thickness mm" in lacking.locator("label").inner_text()
    field = lacking.locator("input")
    field.fill("17")
    field.press("Enter")
    page.wait_for_selector("#fault:has-text('0.1 to 6 mm')")
    field.fill("1,2")
    with page.expect_response("**/change"):
        field.press("Tab")
    settled(page)
    assert read(opened.folder / "sheet.json", Sheet).bridges.thickness == 1.2
    assert not page.locator("[data-key='margin sheet:/bridges/thickness']").count()
    assert not page.locator(".remark:has-text('gives no thickness')").count()
    # two checks lack the mass; it is asked for once
    assert page.locator("[data-key='margin sheet:/mass']").count() == 1
    assert told(page) == commanded(opened, "hand-setting", "hand-setting")
    page.locator("[data-key=undo]").click()
    page.wait_for_selector("[data-key='margin sheet:/bridges/thickness']")
    assert page.errors == []


@pytest.mark.slow
def test_what_was_assumed_is_measured_or_looked_at(shared, tab):
    opened = shared()
    page = tab(opened.address)
    card = page.locator("form[data-do=sizes]")
    card.locator("[name=diameter]").fill("26.0")
    card.locator("[name=height]").fill("4.6")
    card.get_by_role("button", name="Make it").click()
    page.wait_for_selector("svg.section")
    page.get_by_role("button", name="Go on from them as a sheet").click()
    field = page.locator("[data-key='margin sheet:/rim']")
    field.wait_for()
    field.fill("1.7")
    with page.expect_response("**/change"):
        field.press("Tab")
    until(page, "!document.querySelector(`[data-key='margin sheet:/rim']`)")
    with page.expect_response("**/change"):
        page.locator("[data-looked='sheet:/casing_ledge']").click()
    until(page, "!document.querySelector(`[data-looked='sheet:/casing_ledge']`)")
    sheet = read(opened.folder / "sheet.json", Sheet)
    assert sheet.rim == 1.7
    assert set(sheet.assumed) == {"/dial_height", "/bridge_height", "/arbors"}
    # what has several readings has an empty slip
    page.locator("#margin [data-new='sheet:/arbors']").click()
    draft = page.locator('form[data-add="sheet:/arbors"]')
    draft.locator('[data-at="/name"]').fill("centre")
    draft.locator('[data-at="/at"] [name=read]').fill("middle")
    draft.get_by_role("button", name="Put it on the sheet").click()
    until(page, "!document.querySelector(`[data-new='sheet:/arbors'][data-looked]`)")
    until(page, "!document.querySelector('form[data-add]')")
    sheet = read(opened.folder / "sheet.json", Sheet)
    assert "/arbors" not in sheet.assumed
    assert not [e for e in nests.check(sheet) if e.grade == "stop"]
    assert page.errors == []


@pytest.mark.slow
def test_one_remedy_is_applied_and_the_other_finding_stays(shared, tab, tmp_path):
    opened = shared()
    page = tab(opened.address)
    (tmp_path / "mine.json").write_bytes(canonical(document(two_faults())))
    page.locator("#bring").set_input_files(tmp_path / "mine.json")
    page.wait_for_selector("svg.section")
    settled(page)
    foot, gap = (page.locator(f".remark:has-text('{name} ·')") for name in ("foot", "gap"))
    assert foot.get_by_role("button", name="apply this remedy alone").count()
    assert gap.get_by_role("button", name="apply this remedy alone").count()
    look(page, "remedies", shots_wanted())
    was = gap.locator("p").first.inner_text()
    with page.expect_response("**/change"):
        foot.get_by_role("button", name="apply this remedy alone").click()
    until(page, "document.querySelector('.block .name').textContent.includes('foot chamfer')")
    settled(page)
    bad = page.locator(".grade.stop .remark, .grade.mend .remark")
    assert bad.locator("p:first-child", has_text=was).count() == 1
    assert not bad.filter(has_text="foot ·").count()
    left = {f.check for f in nests.check(opened.folder / "recipe.json")
            if f.grade in ("stop", "mend")}  # fmt: skip
    assert "gap" in left
    assert "foot" not in left
    # what it was asked of must still be found
    asked = json.dumps({"do": "mend", "check": "foot", "says": "gone"})
    page.evaluate(f"window.nestsBench.send({asked})")
    page.wait_for_selector("#fault:has-text('not found any more')")
    assert page.errors == []
