"""Wrong inputs to the commands about printer, plates and prints: one sentence with the field, its
value and what is allowed, exit code 2, and nothing written."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest

from nests.documents.files import canonical
from nests.drawer.filing import file_holder
from nests.faces.cli import main
from nests.gauge.table import written
from nests.kinds import document
from nests.kinds.kept import Readings
from tests.gauge.printers import Printer
from tests.ordering import preferred as order

CARD = {"document": "printer", "edition": 1, "name": "mine"}
GAUGE = ("measure", "gauge", "--out", "new", "--card")
FIT = ("measure", "fit", "--out", "new")
LAY = ("lay", "pack", "--out", "new")
FILE = ("file", "pack", "--drawer", "drawer")
DRIFT = ("drawer", "drift", "--drawer")

WRONG = {
    "gauge: a layer in a word": ((*GAUGE, "word.json"), ("layer is 'thin'", "a number in mm")),
    "gauge: a foot too wide": ((*GAUGE, "foot.json"), ("foot_spread", "2.05 mm", "0.6 mm or less")),
    "gauge: a plate too small": ((*GAUGE, "small.json"), ("build_x", "40 and 68 mm", "110.5")),
    "gauge: a recipe for a card": ((*GAUGE, "pack/recipe.json"), ("'recipe'", "printer is needed")),
    "fit: a reading in a word": ((*FIT, "word.csv"), ("row 29", "read 1 is 'abc'", "26.0mm")),
    "fit: a reading beyond": ((*FIT, "far.csv"), ("bore-26-x is 250 mm", "0 to 200 mm")),
    "fit: neither good nor bad": (
        (*FIT, "okay.csv"), ("wall-0.4, good or bad is 'okay'", "good, bad or nothing")),
    "fit: a height below the plate": (
        (*FIT, "below.csv"), ("foot-x-0.1, height is -1 mm", "0 to 200 mm")),
    "fit: its own readings as the card": (
        ("measure", "fit", "r.csv", "--out", "r.csv", "--replace"),
        ("--out is r.csv", "READINGS", "another file")),
    "fit: a drawer of nobody": ((*FIT, "r.csv", "--drawer", "none"), ("none", "nests file")),
    "readings: onto themselves": (
        ("measure", "readings", "r.csv", "./r.csv", "--replace"), ("TARGET", "another file")),
    "lay: a gap in a word": ((*LAY, "--gap", "wide"), ("--gap is 'wide'", "26.0mm")),
    "lay: a gap too wide": ((*LAY, "--gap", "80"), ("--gap is 80 mm", "0 to 50 mm")),
    "lay: a printer too small": ((*LAY, "--card", "tiny.json"), ("42.0 by 42.0 mm", "20 × 20")),
    "lay: nothing": (("lay", "--out", "new"), ("no pack is given",)),
    "file: a size in a word": ((*FILE, "seat=wide"), ("seat is 'wide'", "26.0mm")),
    "file: a size beyond": ((*FILE, "seat=400"), ("seat is 400 mm", "0 to 200 mm")),
    "file: a name of nothing": ((*FILE, "saet=26.1"), ("'saet'", "nearest is seat")),
    "file: an uncertainty beyond": (
        (*FILE, "seat=26.1", "--uncertainty", "3"), ("uncertainty is 3 mm", "0 to 1 mm")),
    "file: what was not read, believed": (
        (*FILE, "seat=26.1", "--as-read", "ledge"), ("--as-read is 'ledge'", "read was seat")),
    "drift: a drawer that is not there": ((*DRIFT, "none"), ("none", "nests file")),
    "drift: a file": ((*DRIFT, "r.csv"), ("r.csv is no folder",)),
    "drift: a printer of nobody": (
        (*DRIFT, "drawer", "--printer", "x"), ("--printer is 'x'", "'unmeasured printer'")),
}  # fmt: skip


@cache
def readings() -> str:
    return written(Printer().read(1)).decode("utf-8-sig")


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a pack, a drawer, readings and cards."""
    folder = tmp_path_factory.mktemp("desk")
    cards = {
        "word": {"layer": "thin"}, "foot": {"foot_spread": 2.0, "foot_height": 2.0},
        "small": {"build_x": 40.0}, "tiny": {"build_x": 20.0, "build_y": 20.0},
    }  # fmt: skip
    for name, more in cards.items():
        (folder / f"{name}.json").write_text(json.dumps({**CARD, **more}))
    lines = {
        "r": ("", ""), "word": ("bore-26-x,bore,x,26,,", "abc"),
        "far": ("bore-26-x,bore,x,26,,", "250"), "okay": ("wall-0.4,wall,,0.4,,,,,", "okay"),
        "below": ("foot-x-0.1,foot,x,4,", "-1"),
    }  # fmt: skip
    for name, (begin, cell) in lines.items():
        text = readings()
        if begin:
            line = next(each for each in text.splitlines() if each.startswith(begin))
            rest = line.removeprefix(begin).partition(",")
            text = text.replace(line, f"{begin}{cell}{rest[1]}{rest[2]}")
        (folder / f"{name}.csv").write_text(text)
    made = order("round", {"diameter": 26.0, "height": 4.6}).recipe
    (folder / "pack").mkdir()
    (folder / "pack" / "recipe.json").write_bytes(canonical(document(made)))
    file_holder(folder / "drawer", made, Readings())
    return folder


@pytest.mark.parametrize("name", list(WRONG))
def test_a_wrong_input_is_told_in_one_sentence(
    name: str, desk: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments, words = WRONG[name]
    monkeypatch.chdir(desk)
    before = {each: each.read_bytes() for each in desk.rglob("*") if each.is_file()}
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    said = capsys.readouterr()
    assert ended.value.code == 2
    assert said.out == ""
    (line,) = said.err.splitlines()
    assert line.startswith("nests: ")
    assert line.endswith(".")
    for each in words:
        assert each in line
    assert {each: each.read_bytes() for each in desk.rglob("*") if each.is_file()} == before


def test_too_few_readings_are_no_word_that_nothing_moved(
    desk: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(desk)
    with pytest.raises(SystemExit) as ended:
        main(("drawer", "drift", "--drawer", "drawer"))
    said = capsys.readouterr().out
    assert ended.value.code == 0
    assert (
        "not assessed: unmeasured printer: first readings of bores are known of 0 holders" in said
    )
    assert "from 4 on" in said
