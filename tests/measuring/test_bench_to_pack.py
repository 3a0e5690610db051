"""From nothing to the pack: by typed answers and by a table, counted in entries."""

from __future__ import annotations

import json
import subprocess
import sys
from html import unescape

import pytest

import nests
from nests.given.sheet import Sheet
from nests.kinds import read
from nests.measuring import table
from nests.measuring.answers import answered
from nests.measuring.asking import by_label, waiting
from nests.measuring.sheet_of import sheet_of
from nests.measuring.talk import whole
from nests.papers.report import holder_report, page
from nests.papers.report.usual import usual
from nests.places import Place
from nests.study import Study
from tests.measuring.benches import (
    CHRONOGRAPH,
    CRADLE,
    HANDS,
    MORE_HANDS,
    ROUND,
    lines,
    measured,
)

WAYS = [
    (ROUND, "round", None),
    (HANDS, "hand-setting", "hand-setting"),
    (CHRONOGRAPH, "chronograph", "chronograph-hands"),
    (CRADLE, "cradle", None),
]
NAMES = [family for _, family, _ in WAYS]


def typed(tmp_path, answers, *options: str) -> str:
    """The command line, fed with lines."""
    done = subprocess.run(
        [sys.executable, "-m", "nests", "measure", "sheet", str(tmp_path / "record.json"),
         "--date", "2031-05-17", *options],
        input="\n".join(lines(answers)) + "\n", capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.parametrize(("answers", "family", "operation"), WAYS, ids=NAMES)
def test_typed_and_by_table_it_is_one_sheet_and_one_holder(answers, family, operation):
    record = measured(answers)
    assert waiting(record) == ()
    made = whole(record)
    for comma in (False, True):
        (back,) = table.read(table.written([record], decimal_comma=comma)).values()
        assert sheet_of(back).sheet == made.sheet
    pack = nests.make(made.sheet, family, operation=operation, papers=False)
    assert pack.grade.value != "stop", [f.says for f in pack.findings if f.grade.value == "stop"]
    assert "holder.3mf" in pack.files


def test_a_round_holder_in_six_entries():
    """The rest is assumed, and unknown: nothing may be pressed, and a flange was not looked for."""
    record = measured({label: ROUND[label] for label in tuple(ROUND)[:6]})
    assert len(record.answers) == 6
    made = whole(record)
    assert made.sheet.assumed == ("/arbors", "/casing_ledge")
    pack = nests.make(made.sheet, "round", papers=False)
    assert "holder.3mf" in pack.files
    says = " ".join(f.says for f in pack.findings if f.grade.value == "unknown")
    assert "nothing may be pressed" in says
    assert "flange" in says


def test_a_hand_setting_pack_in_45_entries():
    record = measured(HANDS)
    assert len(record.answers) == len(HANDS) == 45
    made = whole(record)
    pack = nests.make(made.sheet, "hand-setting", operation="hand-setting", papers=False)
    assert "holder.3mf" in pack.files
    load = [each for each in pack.findings if each.check == "load path"]
    assert {each.grade.value for each in load} == {"clear"}
    assert not [each.says for each in pack.findings if each.grade.value in ("unknown", "stop")]
    counted = len(made.sheet.arbors), len(made.sheet.rests), len(made.sheet.keep_clear)
    assert counted == (6, 4 + 1, 1)  # the rim besides
    assert made.sheet.stem is not None
    assert made.defaults == (
        "dial: none on it",
        "stem diameter: 1.2 mm",
        "stem draw: 1.0 mm",
        "±: 0.02 mm of every length that has none of its own",
        "± of places by hour and radius or x and y: 0.02 mm",
    )
    # they stand on the papers, too
    study = Study.of(pack.holder)
    report = unescape(page(holder_report(pack.holder, study, pack.findings, {}, "x")).decode())
    report = " ".join(report.split())
    listed = {(what, figure) for what, _, figure, _ in usual(pack.recipe.workpiece)}
    assert listed >= {
        ("⌀ of the stem", "1.2 mm"), ("how far it is drawn to set the hands", "1 mm"),
        ("measuring uncertainty of every length, ±", "0.02 mm"), ("the dial", "none is on it"),
    }  # fmt: skip
    for what, figure in listed:
        assert what in report
        assert figure in report


@pytest.mark.slow
def test_the_same_typed_line_by_line(tmp_path):
    out = tmp_path / "sheet.json"
    said = typed(tmp_path, HANDS, "--out", str(out))
    record = json.loads((tmp_path / "record.json").read_text("utf-8"))
    assert len(record["answers"]) <= 45
    assert len(lines(HANDS)) == len(record["answers"])
    assert "hand-setting: hand-setting holder can be made." in said
    assert "hand-setting lacks: 'centre' is pressed, and the sheet has no jewel for it" in said
    assert "chronograph-hands" not in said.split("Which pushers are there?")[1]
    assert "taken by default: dial: none on it; stem diameter: 1.2 mm; stem draw: 1.0 mm;" in said
    assert read(out, Sheet) == whole(measured(HANDS)).sheet


def test_five_entries_more_for_a_further_jewel():
    assert len(lines(MORE_HANDS)) - len(lines(HANDS)) <= 5
    made = whole(measured(MORE_HANDS))
    pack = nests.make(made.sheet, "hand-setting", operation="hand-setting", papers=False)
    assert {p for part in pack.recipe.parts for p in part.serves().under} >= {
        "centre", "fourth wheel",
    }  # fmt: skip
    assert not [f for f in pack.findings if f.check == "load path" and f.grade.value == "unknown"]


def test_an_oblong_movement_with_its_dial():
    """Places along the sides of its edge; the dial is asked for with 'more' only."""
    answers = {
        **ROUND, "name": "INV 20-O", "diameter": "20 x 14", "rim level": "1.0", "stem": "3",
        "stem depth": "0.8", "dial": "13.0", "dial underside": "1.0", "dial thickness": "0.4",
        "hands height": "0.0", "rests": "cock",
        "cock: place": "14 from edge at 3 h, 4 from edge at 12 h", "cock: diameter": "2",
        "cock: height": "0.8",
    }  # fmt: skip
    record = measured(answers)
    for label in ("dial", "dial underside", "dial thickness", "hands height"):
        record = answered(record, by_label(record, label), answers[label])
    sheet = whole(record).sheet
    cock = sheet.rest("cock")
    assert cock.zone.centre.distance(Place(-4.0, 3.0)) < 1e-6
    assert sheet.dial.face == pytest.approx(1.4)
    pack = nests.make(sheet, "shaped", papers=False)
    assert "holder.3mf" in pack.files, [f.says for f in pack.findings if f.grade.value == "stop"]
