"""From nothing to the pack: by typed answers and by a table, counted in entries."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

import nests
from nests.given.sheet import Sheet
from nests.kinds import read
from nests.measuring import table
from nests.measuring.asking import waiting
from nests.measuring.sheet_of import sheet_of
from nests.measuring.talk import whole
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
    assert load
    assert not [each.says for each in pack.findings if each.grade.value in ("unknown", "stop")]
    counted = len(made.sheet.arbors), len(made.sheet.rests), len(made.sheet.keep_clear)
    assert counted == (6, 4 + 1, 1)  # the rim besides
    assert made.sheet.stem is not None
    assert made.defaults == (
        "stem diameter: 1.2 mm",
        "stem draw: 1.0 mm",
        "±: 0.02 mm of every length that has none of its own",
    )


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
    assert "taken by default: stem diameter: 1.2 mm; stem draw: 1.0 mm; ±: 0.02 mm" in said
    assert read(out, Sheet) == whole(measured(HANDS)).sheet


def test_five_entries_more_for_a_further_jewel():
    assert len(lines(MORE_HANDS)) - len(lines(HANDS)) <= 5
    made = whole(measured(MORE_HANDS))
    pack = nests.make(made.sheet, "hand-setting", operation="hand-setting", papers=False)
    assert {p for part in pack.recipe.parts for p in part.serves().under} >= {
        "centre", "fourth wheel",
    }  # fmt: skip
    assert not [f for f in pack.findings if f.check == "load path" and f.grade.value == "unknown"]
