"""`import nests`: what others build on; lazy, typed, and checked."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import nests
from nests.documents.files import data_folder
from nests.drawer.filing import file_holder
from nests.given.zones import Round
from nests.kinds.kept import Readings

SHEET = data_folder("gallery") / "sheets" / "inv-26-a.json"


def test_it_loads_nothing_until_it_is_asked() -> None:
    trial = "import sys, nests; print(*(m for m in sys.modules if m.startswith('nests.')))"
    done = subprocess.run([sys.executable, "-c", trial], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["nests.version"]
    heavy = "import sys, nests; print('numpy' in sys.modules, 'dataclasses' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", heavy], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False"]


def test_every_name_is_there_and_has_words() -> None:
    for name in nests.__all__:
        assert getattr(nests, name) is not None
        if name != "__version__":
            assert getattr(nests, name).__doc__, name
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        getattr(nests, "nothing")  # noqa: B009


def test_it_is_typed() -> None:
    assert (Path(nests.__file__).parent / "py.typed").is_file()


def test_values_and_paths_give_the_same_pack() -> None:
    sheet = nests.read(SHEET)
    one = nests.make(SHEET, "hand-setting", operation="hand-setting", papers=False)
    two = nests.make(sheet, "hand-setting", operation="hand-setting", papers=False)
    assert one.files == two.files
    assert nests.build(one.recipe, papers=False).findings == one.findings
    assert nests.check(one.recipe) == one.findings


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"rim": "1.5"}, "rim is '1.5'; a number in mm is needed"),
        ({"rim": True}, "rim is True; a number in mm is needed"),
        ({"outline": 26.0}, "outline is 26.0; Outline is needed"),
        ({"kind": "watch"}, "kind is 'watch'; 'movement' or 'sub-assembly' or 'case' is needed"),
        ({"name": 3}, "name is 3; text is needed"),
        ({"rests": [1]}, r"rests is \[1\]; a tuple of Rest is needed"),
    ],
)
def test_values_are_checked(given: dict[str, Any], words: str) -> None:
    usual: dict[str, Any] = {"name": "X", "outline": Round(diameter=26.0), "rim": 1.5}
    with pytest.raises(nests.BadInput, match=words):
        nests.Sheet(**{**usual, **given})


def test_bad_requests_are_one_sentence() -> None:
    with pytest.raises(nests.BadInput, match=r"has no option 'diametre'; it has .*, wall, floor"):
        nests.make(None, "round", diametre=26.0)
    with pytest.raises(nests.BadInput, match="given is float; Sheet is needed"):
        nests.make(26.0, "round")  # type: ignore[arg-type]
    with pytest.raises(nests.BadInput, match="there is no family 'ring'"):
        nests.make(None, "ring")
    with pytest.raises(nests.Refused):
        nests.make(SHEET.with_name("inv-case-38.json"), "hand-setting")


def test_a_drawer_is_searched(tmp_path: Path) -> None:
    pack = nests.make(SHEET, "round", papers=False)
    (tmp_path / "drawer").mkdir()
    kept = file_holder(tmp_path / "drawer", pack.recipe, Readings(), date="2031-05-17")
    found = nests.find(tmp_path / "drawer", SHEET)
    assert [each.kept.id for each in found.judged] == [kept.id]
