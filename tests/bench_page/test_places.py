"""Places by distances on the page: they come out as `nests measure sheet` has them."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from nests.faces.cli import cli
from nests.given.sheet import Sheet
from nests.kinds import read
from tests.bench_page.conftest import until
from tests.bench_page.test_whole_runs import add, new_sheet

pytestmark = pytest.mark.slow
WHOLE = {"name": "INV 26", "diameter": "26.0", "rim": "1.7", "dial_height": "1.2",
         "bridge_height": "1.9"}  # fmt: skip
DISTANCES = "4.98 from centre, 10.52 from edge at 12 h, 17.31 from edge at 3 h"


def by_answers(folder, *lines):
    """What `measure sheet` says of the same answers, and the file it writes."""
    folder.mkdir()
    typed = ["movement", WHOLE["name"], WHOLE["diameter"], WHOLE["rim"], WHOLE["dial_height"],
             WHOLE["bridge_height"], "none", "none", "none", "none", *lines]  # fmt: skip
    told = CliRunner().invoke(
        cli, ["measure", "sheet", str(folder / "record.json"), "--out", str(folder / "out.json")],
        input="\n".join(typed) + "\n",
    )  # fmt: skip
    return told.output, folder / "out.json"


def as_read(page, at, text):
    """Type a place as it was read, and wait until it is taken or refused."""
    field = page.locator(f'fieldset[data-at="{at}"] [name=read]')
    field.fill(text)
    with page.expect_response("**/change"):
        field.press("Tab")


def test_by_three_distances_an_arbor_lies_where_measure_sheet_has_it(shared, tab, tmp_path):
    opened = shared()
    page = tab(opened.address)
    new_sheet(page, **WHOLE)
    add(page, "arbors", name="centre", at__read="middle")
    add(page, "arbors", name="third wheel", at__read="8.6 h 5.0")
    _, out = by_answers(tmp_path / "fits", "centre, third wheel", "middle", DISTANCES, "none", "?",
                        "none", "none")  # fmt: skip
    told = read(out, Sheet)
    page.locator('#slip [data-open="sheet:/arbors/1"]').first.click()
    at = "sheet:/arbors/1/at"
    place = page.locator(f'fieldset[data-at="{at}"]')
    place.wait_for()
    # one distance after the other, by hand and by choosing
    place.locator("summary").click()
    for mm, to in (("4,98", "centre"), ("10.52", "edge at 12 h"), ("17.31", "edge at 3 h")):
        place.locator("[data-span=mm]").fill(mm)
        place.locator("[data-span=to]").select_option(to)
        place.get_by_role("button", name="Add").click()
        if to == "edge at 12 h":  # two circles meet twice
            page.wait_for_selector("#fault:has-text('say near which hour')")
    until(page, "document.querySelectorAll('#slip .left tbody tr').length === 3")
    assert place.locator("[name=read]").input_value() == DISTANCES
    found = read(opened.folder / "sheet.json", Sheet)
    assert found.arbor("third wheel").at == told.arbor("third wheel").at
    assert found.uncertainties == told.uncertainties
    assert "0.0" in page.locator("#slip .left td").first.inner_text()
    # a reading that does not fit is pointed out, and no holder is made of it
    as_read(page, at, DISTANCES.replace("17.31", "17.7"))
    page.wait_for_selector("#slip .misfit:has-text('does not fit')")
    page.wait_for_selector(".fault-slip:has-text('does not fit')")
    assert page.get_by_role("button", name="Take the pack").is_disabled()
    assert not (opened.folder / "sheet.json").exists()  # nor is it written by the command line
    odd = DISTANCES.replace("17.31", "17.7")
    said, out = by_answers(tmp_path / "not", "centre, third wheel", "middle", odd, "none", "?",
                           "none", "none")  # fmt: skip
    assert page.locator("#slip .misfit").inner_text()[1:] in said
    assert not out.exists()
    # moved by an arrow it lies where it was put, and the distances are let go
    page.locator("#dial g.arbor").nth(1).focus()
    with page.expect_response("**/change"):
        page.keyboard.press("ArrowRight")
    until(page, "!document.querySelector('#slip .left')")
    data = json.loads((opened.folder / "sheet.json").read_text())
    assert set(data["arbors"][1]["at"]) == {"x", "y", "read_from"}
    assert "uncertainties" not in data
    assert page.errors == []


def test_what_fixes_no_place_is_said_and_nothing_changes(shared, tab):
    opened = shared()
    page = tab(opened.address)
    new_sheet(page, **WHOLE)
    add(page, "rests", name="cock", side="bridge", height="0.8", zone__diameter="2",
        zone__centre__read="4 from edge at 3 h, 9 from edge at 12 h")  # fmt: skip
    sheet = read(opened.folder / "sheet.json", Sheet)
    assert (sheet.rest("cock").zone.centre.x, sheet.rest("cock").zone.centre.y) == (
        pytest.approx(9.0), pytest.approx(4.0))  # fmt: skip
    assert sheet.uncertainty > 0.02  # a tip may come to stand there
    page.locator('#slip [data-open="sheet:/rests/0"]').first.click()
    at = "sheet:/rests/0/zone/centre"
    page.locator(f'fieldset[data-at="{at}"]').wait_for()
    for text, says in (
        ("5.4 from centre, 2 from edge", "which is no name"),
        ("5.4 from edge", "one distance"),
        ("4 from edge at 3 h, 9 from", "is needed"),
    ):
        as_read(page, at, text)
        page.wait_for_selector(f"#fault:has-text('{says}')")
        assert page.locator("#fault p").count() == 1
    assert read(opened.folder / "sheet.json", Sheet) == sheet
    as_read(page, at, "")
    until(page, "!document.querySelector('#slip .left')")
    plain = read(opened.folder / "sheet.json", Sheet)
    assert (plain.uncertainty, plain.uncertainties) == (0.02, {})
    assert plain.rests == sheet.rests
    assert page.errors == []
