"""Every fault of a document is told at once, each with its field, and none twice."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from time import perf_counter
from typing import Any

import pytest

import nests
from nests.documents.files import data_folder
from nests.faces.cli import main
from nests.given.sheet import Sheet
from nests.kinds import read
from nests.units import MOST_FAULTS, BadInput

SHEET: dict[str, Any] = json.loads(
    (data_folder("gallery") / "sheets" / "inv-26-a.json").read_text("utf-8")
)


def faults(tmp_path: Path, data: dict[str, Any]) -> tuple[str, ...]:
    path = tmp_path / "spoilt.json"
    path.write_text(json.dumps(data), "utf-8")
    with pytest.raises(BadInput) as caught:
        read(path, Sheet)
    return caught.value.faults


def spoilt() -> dict[str, Any]:
    """Six faults of the schema in six fields."""
    data = copy.deepcopy(SHEET)
    data["rim"] = "1.7"
    data["dial_height"] = 999.0
    data["colour"] = "red"
    del data["outline"]
    data["arbors"][0]["jewels"][0]["side"] = "left"
    del data["rests"][0]["zone"]
    return data


def test_six_faults_are_six_sentences(tmp_path: Path) -> None:
    told = faults(tmp_path, spoilt())
    assert len(told) == 6, told
    words = ("rim is '1.7'", "dial_height is 999 mm", "unknown field 'colour'",
             "lacks the field 'outline'", "arbors[0].jewels[0].side is 'left'",
             "rests[0] lacks the field 'zone'")  # fmt: skip
    for each in words:
        (said,) = [line for line in told if each in line]
        assert said.startswith("spoilt.json: ")


def test_two_fields_that_lack_and_two_unknown_ones_in_one_place(tmp_path: Path) -> None:
    data = copy.deepcopy(SHEET)
    rest = data["rests"][0]
    rest["hight"], rest["zones"] = rest.pop("height"), rest.pop("zone")
    told = faults(tmp_path, data)
    assert len(told) == 4, told
    for word in ("'height'", "'zone'", "'hight'", "'zones'"):
        assert sum(f"field {word}" in each for each in told) == 1


def test_the_command_line_has_a_line_for_each(tmp_path: Path, capsys: Any) -> None:
    path = tmp_path / "spoilt.json"
    path.write_text(json.dumps(spoilt()), "utf-8")
    with pytest.raises(SystemExit) as ended:
        main(["check", str(path)])
    assert ended.value.code == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 6
    assert all(line.startswith("nests: spoilt.json: ") for line in lines)


def test_records_beyond_what_a_schema_can_say_are_told_with_their_field(tmp_path: Path) -> None:
    """Marks that no printer engraves, on the sheet and on a sub-assembly of it."""
    data = json.loads((data_folder("gallery") / "sheets" / "inv-32-k.json").read_text("utf-8"))
    for each in data["sub_assemblies"][:2]:
        each["mark"] = "ÄÖ"
    told = faults(tmp_path, data)
    assert [each.split(": ")[1] for each in told] == ["sub_assemblies[0]", "sub_assemblies[1]"]


def test_contradictions_are_told_at_once(tmp_path: Path) -> None:
    """A rest above the highest point of its side, and a mass of half a kilogram."""
    data = copy.deepcopy(SHEET)
    data["rests"][0]["height"], data["mass"] = 7.0, 499.0
    path = tmp_path / "untrue.json"
    path.write_text(json.dumps(data), "utf-8")
    with pytest.raises(BadInput) as caught:
        nests.make(str(path), "round")
    told = caught.value.faults
    assert any(each.count("rests[0]") or data["rests"][0]["name"] in each for each in told), told
    assert any("mass" in each for each in told), told
    assert len(told) >= 2


def test_of_a_flood_the_first_are_told_and_the_rest_counted(tmp_path: Path) -> None:
    data = {**copy.deepcopy(SHEET), **{f"odd_{k}": 1 for k in range(50)}}
    told = faults(tmp_path, data)
    assert len(told) == MOST_FAULTS + 1
    assert told[-1] == "There are 30 more."


def test_a_plan_names_all_that_the_sheet_does_not_know(tmp_path: Path) -> None:
    work = {
        "document": "work-plan", "edition": 1, "name": "job",
        "operations": [
            {"name": "one", "side_up": "dial", "absent": ["oddity", "curio"]},
            {"name": "two", "side_up": "dial", "presses": [{"arbor": "none such", "force": 5.0}]},
        ],
    }  # fmt: skip
    path = tmp_path / "job.json"
    path.write_text(json.dumps(work), "utf-8")
    with pytest.raises(BadInput) as caught:
        nests.plan(data_folder("gallery") / "sheets" / "inv-26-a.json", path)
    told = " ".join(caught.value.faults)
    assert len(caught.value.faults) == 3
    assert all(word in told for word in ("'oddity'", "'curio'", "'none such'"))


def test_fields_of_nobody_are_counted_in_time(tmp_path: Path) -> None:
    """Each unknown field is held against the known ones, which for many would take for ever."""
    strange = {f"strange{k}": k for k in range(20_000)}
    start = perf_counter()
    told = faults(tmp_path, {**SHEET, **strange})
    assert perf_counter() - start < 2.0
    assert "'strange0'" in told[0]
    assert "There are 19980 more." in told[-1]
    long = faults(tmp_path, {**SHEET, "k" * 1_000_000: 1})
    assert len(long[0]) < 1300
    assert long[0].startswith("spoilt.json: the document has an unknown field 'kkk")
