"""The command line: what it prints, what it ends with, what it leaves alone."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest
import trimesh

from nests import __version__
from nests.documents.files import data_folder
from nests.faces.cli import cli, main
from nests.families import family, names

GALLERY = data_folder("gallery")
MOVEMENT = str(GALLERY / "sheets" / "inv-26-a.json")
CASE = str(GALLERY / "sheets" / "inv-case-38.json")
SMALL = ["--diameter", "20", "--height", "3", "--no-papers"]
PACK = {"holder.3mf", "holder.stl", "recipe.json", "findings.json", "contents.json"}


class Ran:
    """What one run printed and ended with."""

    def __init__(self, code: int, out: str, err: str) -> None:
        self.code, self.out, self.err = code, out, err


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]):  # type: ignore[no-untyped-def]
    def of(*arguments: object) -> Ran:
        code = 0
        try:
            main([str(each) for each in arguments])
        except SystemExit as left:
            code = int(left.code or 0)
        said = capsys.readouterr()
        assert "Traceback" not in said.err
        return Ran(code, said.out, said.err)

    return of


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A pack made once, for reading only."""
    out = tmp_path_factory.mktemp("cli") / "pack"
    with pytest.raises(SystemExit) as left:
        main(["make", "round", *SMALL, "--out", str(out)])
    assert left.value.code == 0
    return out


def contents(folder: Path) -> dict[str, bytes]:
    return {each.name: each.read_bytes() for each in folder.iterdir()}


def flat(text: str) -> str:
    """Help text without its line breaks."""
    return " ".join(text.split())


def test_help_of_every_command(run) -> None:
    first = run("--help")
    assert first.code == 0
    for name, command in cli.commands.items():
        assert name in first.out
        ran = run(name, "--help")
        assert ran.code == 0
        assert ran.err == ""
        for option in command.params:
            if option.param_type_name == "option":
                assert option.opts[0] in ran.out


@pytest.mark.parametrize("name", names())
def test_help_of_a_family_lists_units_and_limits(run, name: str) -> None:
    """Every quantity of the family's options stands in its help with range and unit."""
    ran = run("make", name, "--help")
    assert ran.code == 0
    words = flat(ran.out)
    for each in fields(family(name).Wish):
        about = each.metadata["quantity"]
        assert f"--{each.name.replace('_', '-')}" in words
        assert about.meaning in words
        if about.low is not None:
            unit = f" {about.unit}" if about.unit else ""
            assert f"[{about.low:g} to {about.high:g}{unit}" in words
    assert name in flat(run("make", "--help").out)


def test_version(run) -> None:
    ran = run("--version")
    assert ran.code == 0
    assert __version__ in ran.out


def test_make_round_by_diameter(made: Path) -> None:
    """The mesh is closed, as wide as the diameter and two walls, and holds what it says (trimesh).

    20 + 2 · 8 mm across; the facets lie inside the circle by up to the chord error, 0.005 mm.
    Across the notch at 12 h it is less by no more than the notch is deep, 1.2 mm.
    """
    assert set(contents(made)) == PACK
    mesh = trimesh.load(made / "holder.stl")
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.extents[0] == pytest.approx(36.0, abs=0.011)
    assert 36.0 - 1.2 < mesh.extents[1] < 36.0
    said = json.loads((made / "findings.json").read_text("utf-8"))
    volume = next(f["value"] for f in said["findings"] if f["check"] == "soundness")
    assert mesh.volume == pytest.approx(volume, rel=1e-4)
    assert json.loads((made / "recipe.json").read_text("utf-8"))["family"] == "round"


def test_make_from_the_recipe_gives_the_same_bytes(run, made: Path, tmp_path: Path) -> None:
    again = tmp_path / "again"
    ran = run("make", "--recipe", made / "recipe.json", "--out", again, "--no-papers")
    assert ran.code == 0
    assert contents(again) == contents(made)


def test_length_in_lignes_is_a_prefill(run, tmp_path: Path) -> None:
    """9 lignes are 20.302 mm: 12 lignes are a pouce, 443.296 lignes a metre (law of 1799)."""
    out = tmp_path / "pack"
    ran = run("make", "round", "--diameter", "9ligne", "--height", "3",
              "--no-papers", "--out", out)  # fmt: skip
    assert ran.code == 0
    assert "~ mend: diameter was given in lignes: 9 ligne = 20.30 mm" in ran.out
    found = json.loads((out / "findings.json").read_text("utf-8"))["findings"]
    (note,) = [f for f in found if f["check"] == "measure"]
    assert note["grade"] == "mend"
    assert note["value"] == pytest.approx(9 * 1000 / 443.296)
    assert note["remedy"]


def test_existing_folder_is_refused_and_untouched(run, made: Path) -> None:
    before = contents(made)
    ran = run("make", "round", *SMALL, "--floor", "3", "--out", made)
    assert ran.code == 2
    assert "exists already" in ran.err
    assert "--replace" in ran.err
    assert contents(made) == before
    assert [each.name for each in made.parent.iterdir()] == [made.name]


def test_replace_replaces(run, tmp_path: Path) -> None:
    out = tmp_path / "pack"
    assert run("make", "round", *SMALL, "--out", out).code == 0
    before = contents(out)
    assert run("make", "round", *SMALL, "--floor", "3", "--out", out, "--replace").code == 0
    after = contents(out)
    assert set(after) == PACK
    assert after["holder.stl"] != before["holder.stl"]
    assert json.loads(after["recipe.json"])["body"]["floor"] == 3.0
    assert [each.name for each in tmp_path.iterdir()] == ["pack"]


def test_a_folder_that_is_no_pack_is_never_replaced(run, tmp_path: Path) -> None:
    home = tmp_path / "home"
    (home / "letters").mkdir(parents=True)
    (home / "letters" / "one.txt").write_text("dear")
    ran = run("make", "round", *SMALL, "--out", home, "--replace")
    assert ran.code == 2
    assert "not a pack" in ran.err
    assert (home / "letters" / "one.txt").read_text() == "dear"
    note = tmp_path / "note.txt"
    note.write_text("a file")
    assert run("make", "round", *SMALL, "--out", note, "--replace").code == 2
    assert note.read_text() == "a file"
    assert sorted(each.name for each in tmp_path.iterdir()) == ["home", "note.txt"]


@pytest.mark.parametrize(
    ("name", "sheet", "kinds"),
    [
        ("case", MOVEMENT, ("movement", "case holder")),
        ("cushion", MOVEMENT, ("movement", "cushion mould")),
        ("round", CASE, ("case", "movement holder")),
        ("cradle", MOVEMENT, ("movement", "sub-assemblies")),
    ],
)
def test_wrong_kind_ends_with_1(run, tmp_path: Path, name: str, sheet: str, kinds) -> None:
    out = tmp_path / "out"
    ran = run("make", name, "--sheet", sheet, "--out", out, "--no-papers")
    assert ran.code == 1
    assert ran.out == ""
    assert ran.err.startswith("# stop: ")
    assert ran.err.count("\n") == 1
    assert all(each in ran.err for each in kinds)
    assert not out.exists()


def test_check_json(run, made: Path) -> None:
    ran = run("check", made / "recipe.json", "--json")
    assert ran.code == 0
    assert ran.err == ""
    said = json.loads(ran.out)
    assert said["grade"] in ("clear", "unknown", "mend")
    assert sum(said["count"].values()) == len(said["findings"]) > 0
    assert all(each["says"] and each["check"] and each["grade"] for each in said["findings"])


@pytest.mark.parametrize("name", ["holder.stl", "holder.3mf"])
def test_check_of_an_exported_mesh(run, made: Path, name: str) -> None:
    """The mesh comes back closed, fits, and has the volume trimesh reads from the STL.

    A bare mesh has no parts, so its engraving may be judged as walls and gaps, and stop.
    """
    ran = run("check", made / name, "--json")
    said = json.loads(ran.out)
    assert ran.err == ""
    assert ran.code == (1 if said["grade"] == "stop" else 0)
    sound = [each for each in said["findings"] if each["check"] == "soundness"]
    assert [each["grade"] for each in sound] == ["clear", "clear"]
    volume = next(each["value"] for each in sound if each["unit"] == "mm³")
    assert volume == pytest.approx(trimesh.load(made / "holder.stl").volume, rel=1e-5)


def test_check_of_a_mesh_with_a_hole(run, tmp_path: Path) -> None:
    box = trimesh.creation.box((10.0, 10.0, 10.0))
    box.update_faces(np.arange(len(box.faces)) > 0)
    path = tmp_path / "open.stl"
    box.export(path)
    ran = run("check", path)
    assert ran.code == 2
    assert ran.err.startswith("nests: open.stl is not closed: 3 edges")


def test_check_of_each_kind_of_document(run) -> None:
    for path in sorted(GALLERY.glob("*/*.json")):
        if path.name == "contents.json":
            continue  # the list of the pictures
        ran = run("check", path)
        assert ran.code == 0, ran.out
        assert ran.out.splitlines()[-1].startswith(f"{path.name}: ")


def test_check_ends_with_1_on_a_stop(run, tmp_path: Path) -> None:
    spoilt = json.loads(Path(MOVEMENT).read_text("utf-8"))
    spoilt["casing_ledge"]["height"] = spoilt["rim"]
    path = tmp_path / "spoilt.json"
    path.write_text(json.dumps(spoilt))
    ran = run("check", path)
    assert ran.code == 1
    assert "# stop: INV 26-A: casing_ledge.height is 1.7 mm" in ran.out
    said = json.loads(run("check", path, "--json").out)
    assert said["grade"] == "stop"
    assert said["count"]["stop"] == 1


def test_make_with_a_stop_withholds_what_prints(run, made: Path, tmp_path: Path) -> None:
    """A recipe whose printer is too small for it: a pack without meshes, and 1."""
    recipe = json.loads((made / "recipe.json").read_text("utf-8"))
    recipe["printer"] = {"build_x": 20.0, "build_y": 20.0}
    path, out = tmp_path / "recipe.json", tmp_path / "out"
    path.write_text(json.dumps(recipe))
    ran = run("make", "--recipe", path, "--out", out, "--no-papers")
    assert ran.code == 1
    assert "the printer builds 20 × 20 × 150 mm" in ran.out
    assert "withheld" in ran.out
    assert set(contents(out)) == {"recipe.json", "findings.json", "contents.json"}
    assert run("check", path).code == 1


@pytest.mark.parametrize(
    ("arguments", "names_"),
    [
        (["nosuch"], ["nosuch"]),
        (["make", "nosuch", "--out", "OUT"], ["nosuch"]),
        (["make"], ["--recipe", "--out"]),
        (["make", "round", "--diameter", "26"], ["--out"]),
        (["make", "round", "--diameter", "26", "--out", "OUT"], ["--height", "mm"]),
        (["make", "round", "--diameter", "wide", "--out", "OUT"], ["--diameter", "wide", "26.0mm"]),
        (["make", "round", "--diameter", "500", "--height", "4", "--out", "OUT"],
         ["diameter", "500 mm", "5 to 70 mm"]),
        (["make", "round", "--diameter", "nan", "--height", "4", "--out", "OUT"], ["nan"]),
        (["make", "round", *SMALL, "--side-up", "left", "--out", "OUT"],
         ["left", "dial", "bridge"]),
        (["make", "round", *SMALL, "--steps", "10,x", "--out", "OUT"], ["--steps", "x"]),
        (["make", "round", *SMALL, "--steps", "30", "--out", "OUT"], ["steps", "30", "20"]),
        (["make", "round", "--sheet", MOVEMENT, "--diameter", "26", "--out", "OUT"],
         ["--diameter", "sheet"]),
        (["make", "round", "--sheet", "nosuch.json", "--out", "OUT"], ["nosuch.json"]),
        (["make", "round", *SMALL, "--operation", "nosuch", "--out", "OUT"], ["nosuch", "looking"]),
        (["make", "hand-setting", "--out", "OUT"], ["hand-setting", "--sheet"]),
        (["make", "hand-setting", "--sheet", MOVEMENT, "--pin-above", "nan", "--out", "OUT"],
         ["pin_above", "nan", "N"]),
        (["make", "chronograph", "--sheet", MOVEMENT, "--out", "OUT"], ["INV 26-A", "pusher"]),
        (["make", "cradle", "--sheet", MOVEMENT, "--sub-assembly", "nosuch", "--out", "OUT"],
         ["nosuch", "INV 26-A auto works"]),
        (["make", "--recipe", MOVEMENT, "--out", "OUT"], ["sheet", "recipe"]),
        (["make", "--out", "OUT", "round", *SMALL], ["FAMILY"]),
        (["check"], ["FILE"]),
        (["check", "nosuch.stl"], ["nosuch.stl"]),
        (["check", "."], ["."]),
    ],
    ids=lambda each: " ".join(each)[-50:].replace("/", "_"),
)  # fmt: skip
def test_what_cannot_be_used_ends_with_2(
    run, tmp_path: Path, arguments: list[str], names_: list[str]
) -> None:
    out = tmp_path / "out"
    ran = run(*(str(out) if each == "OUT" else each for each in arguments))
    assert ran.code == 2
    assert ran.out == ""
    assert ran.err.startswith("nests: ")
    assert ran.err.count("\n") == 1
    assert all(each in ran.err for each in names_), ran.err
    assert not out.exists()


def test_help_loads_nothing_heavy() -> None:
    """`--help` must answer at once, so no numerical library may be loaded for it."""
    heavy = {"numpy", "scipy", "manifold3d", "shapely", "trimesh", "jsonschema", "PIL", "lib3mf"}
    ran = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "nests.faces.cli", "--help"],
        capture_output=True, text=True, check=True, cwd=Path(__file__).parents[2],
    )  # fmt: skip
    assert ran.stdout.startswith("Usage: ")
    loaded = {line.rsplit("|", 1)[-1].strip() for line in ran.stderr.splitlines() if "|" in line}
    assert "click" in loaded
    assert not {name.split(".")[0] for name in loaded} & heavy
