"""Names of files and folders: none is lost to another, and each can be one on every system."""

from __future__ import annotations

import json
import unicodedata
from dataclasses import replace
from pathlib import Path, PureWindowsPath

import pytest
import trimesh

import nests
from nests.documents.files import data_folder
from nests.given.sheet import Sheet
from nests.orders.pack import LONGEST, slug

GALLERY = data_folder("gallery")
ODD = ("CON", "con.", " nul ", "Aux", "PRN", "com1", "LPT9", "com0", "時計", "", ".", "..", "/",
       "\\", "a/b", "a\\b:c", "x" * 300, "é" * 300, "A\u030a", "\u00c5", "ﬁ",
       "con" + " " * 90 + "x", "x" * 59 + "-y", "\udce9", "\x00", "\n")  # fmt: skip


@pytest.mark.parametrize("name", ODD, ids=ascii)
def test_any_name_can_be_a_file(tmp_path: Path, name: str) -> None:
    """Against pathlib's own list of what Windows keeps for devices."""
    made = slug(name)
    assert 0 < len(made) <= LONGEST + len("named-")
    assert made == made.lower()
    assert not made.startswith((".", "-"))
    assert not made.endswith((".", "-"))
    assert unicodedata.is_normalized("NFD", made)
    assert not PureWindowsPath(f"{made}.stl").is_reserved()
    (tmp_path / f"{made}.stl").write_bytes(b"solid")
    assert [each.name for each in tmp_path.iterdir()] == [f"{made}.stl"]


@pytest.mark.slow
@pytest.mark.parametrize(
    "names",
    [("開始", "停止"), ("Start one", "start-one"), ("p" * 80 + "a", "p" * 80 + "b")],
    ids=["no Latin letter", "one spelling", "long"],
)
def test_every_loose_body_has_its_file(tmp_path: Path, names: tuple[str, str]) -> None:
    """Rod and button of two plungers, and the holder: as many files as trimesh finds bodies in the
    3MF; the list counts them, too."""
    sheet = nests.read(GALLERY / "sheets" / "inv-30-c.json")
    assert isinstance(sheet, Sheet)
    pushers = tuple(
        replace(each, name=name) for each, name in zip(sheet.pushers, names, strict=True)
    )
    made = nests.make(
        replace(sheet, pushers=pushers), "chronograph", operation="chronograph-hands",
        pushed_by="plunger", papers=False,
    )  # fmt: skip
    made.write(tmp_path / "out")
    meshes = sorted(each.name for each in (tmp_path / "out").glob("*.stl"))
    bodies = trimesh.load(tmp_path / "out" / "holder.3mf").geometry
    assert len(meshes) == len(bodies) == 5
    assert len({each.casefold() for each in meshes}) == 5
    listed = json.loads((tmp_path / "out" / "contents.json").read_text("utf-8"))["sha256"]
    there = {each.name for each in (tmp_path / "out").iterdir()}
    assert set(listed) == there - {"contents.json"}
