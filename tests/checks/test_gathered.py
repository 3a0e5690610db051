"""A flood of findings of one kind is told as one; zeros of rounding have no sign."""

import json
import re

import numpy as np
import pytest
import trimesh

import nests
from nests.faces.cli import main
from nests.finding import FEW, Finding, Grade, gathered
from nests.orders import examine
from nests.units import unsigned_zeros


def pin(value, place=None, says="a pin is {:.3f} mm across.", **more):
    return Finding(
        check="fine detail",
        grade=Grade.STOP,
        says=says.format(value),
        value=value,
        limit=0.4,
        unit="mm",
        place=place,
        **more,
    )


def test_many_of_a_kind_are_told_by_the_worst_with_count_and_places():
    many = [pin(0.1 + 0.001 * ((k * 7) % 50), (float(k), 0.0, -0.001)) for k in range(50)]
    other = pin(0.2, says="a bore is {:.3f} mm across.")
    (told, alone) = gathered([*many, other])
    assert alone == other
    assert told.value == min(each.value for each in many)
    assert told.says == (
        "a pin is 0.100 mm across; that is the worst of 50 such places; the first lie at "
        "(0.00, 0.00, 0.00), (1.00, 0.00, 0.00), (2.00, 0.00, 0.00) mm."
    )


def test_a_few_and_those_of_other_parts_are_told_one_by_one():
    few = [pin(0.1 + 0.1 * k) for k in range(FEW)]
    assert gathered(few) == tuple(few)
    parted = [pin(0.1, parts=(f"post {k}",)) for k in range(9)]
    assert gathered(parted) == tuple(parted)


def test_beyond_a_limit_from_above_the_largest_is_the_worst():
    cups = [
        Finding(check="suction", grade=Grade.STOP, says=f"a cup of {v} mm³.", value=v, limit=20.0)
        for v in (30.0, 90.0, 40.0, 50.0)
    ]
    assert gathered(cups)[0].value == 90.0


@pytest.mark.parametrize(
    ("text", "clean"),
    [
        ("lies -0.00 mm inside", "lies 0.00 mm inside"),
        ("at (-0.00, -0.000, -0) mm", "at (0.00, 0.000, 0) mm"),
        ("-0.005 and -0.50 and 10-0.00 and -0e1", "-0.005 and -0.50 and 10-0.00 and -0e1"),
        ("it ends at -0.00.", "it ends at 0.00."),
    ],
)
def test_a_zero_has_no_sign(text, clean):
    assert unsigned_zeros(text) == clean
    assert Finding(check="foot", grade=Grade.CLEAR, says=text).says == clean


@pytest.fixture
def spiky(tmp_path):
    """A plate with 16 pins too thin to print, its bottom a hair below nothing."""
    plate = trimesh.creation.box((30.0, 30.0, 2.0))
    pins = [
        trimesh.creation.cylinder(0.05, 3.0, 12).apply_translation((6 * i - 9, 6 * j - 9, 2.0))
        for i in range(4)
        for j in range(4)
    ]
    path = tmp_path / "spiky.stl"
    trimesh.boolean.union([plate, *pins], engine="manifold").export(path)
    return path


def run(capsys, *arguments):
    with pytest.raises(SystemExit) as left:
        main(["check", *map(str, arguments)])
    said = capsys.readouterr()
    return left.value.code, said.out, said.err


def test_the_console_tells_a_kind_once_and_the_json_keeps_all(capsys, spiky):
    code, out, _ = run(capsys, spiky)
    pins = [line for line in out.splitlines() if "pin or ridge" in line]
    assert code == 1
    assert len(pins) == 1
    assert "the worst of 16 such places; the first lie at (" in pins[0]
    assert not re.search(r"-0\.0+\b(?!\d)", out)
    _, out, _ = run(capsys, spiky, "--json")
    kept = [each for each in json.loads(out)["findings"] if "pin or ridge" in each["says"]]
    assert len(kept) == 16


def test_the_unit_that_is_guessed_can_be_said(capsys, tmp_path):
    """34 mm are 1.3386 inches (25.4 mm, by definition of 1959)."""
    path = tmp_path / "given.stl"
    trimesh.creation.box(np.array((34.0, 20.0, 10.0)) / 25.4).export(path)
    code, out, err = run(capsys, path)
    assert (code, out) == (2, "")
    assert "and 34 mm if it was drawn in inches: say so with --unit cm or --unit inch." in err
    _, out, _ = run(capsys, path, "--unit", "inch")
    assert "34.0 × 20.0 × 10.0 mm" in out
    code, out, err = run(capsys, path, "--unit", "furlong")
    assert (code, out) == (2, "")
    assert "allowed is mm, um, cm, inch, m." in err


def test_a_glb_in_millimetres_is_read_as_it_is_said(tmp_path, capsys):
    path = tmp_path / "given.glb"
    trimesh.creation.box((34.0, 20.0, 10.0)).export(path)
    _, out, _ = run(capsys, path, "--unit", "mm")
    assert "34.0 × " in out


def test_a_document_has_units_of_its_own(capsys, tmp_path):
    path = tmp_path / "given.json"
    path.write_text("{}", "utf-8")
    code, _, err = run(capsys, path, "--unit", "mm")
    assert code == 2
    assert "is a document, which has units of its own" in err


def test_a_large_mesh_is_told_beforehand_how_long_it_may_take(tmp_path, monkeypatch):
    """Smooth, of 20·4^3 = 1280 triangles; for the test that is many."""
    monkeypatch.setattr(examine, "MANY", 1000)
    monkeypatch.setattr(examine, "LARGE", 50_000)
    path = tmp_path / "large.stl"
    trimesh.creation.icosphere(3, 10.0).export(path)
    said: list[str] = []
    found = nests.check(path, progress=said.append)
    assert said[0] == "large.stl has 0.1 MB: reading it ..."  # 84 + 50·1280 bytes
    assert re.match(r"large\.stl has 1280 triangles: this takes up to about \d+ s", said[1])
    assert [line.split(":")[0] for line in said[2:]] == [
        f"check {k} of {len(said) - 2}" for k in range(1, len(said) - 1)
    ]
    assert found == nests.check(path)
