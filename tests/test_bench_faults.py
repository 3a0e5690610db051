"""Holders with a fault of the bench are found out by the check that should; sound ones are not.

Every module `bench_*` in `tests/faults` gives `FAULTS`, each (name, builder of the recipe, check,
word or part), and `SOUND`, each (name, builder).
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

import pytest

from nests.checks import judge, names
from nests.checks._study import Study
from nests.compose import compose
from nests.finding import Finding, Grade
from nests.recipe import Recipe

FOLDER = Path(__file__).parent / "faults"
LEAST = 14
"""Faults, and sound holders, that a collection has at least."""
sys.path.insert(0, str(FOLDER))
COLLECTIONS = {path.stem: import_module(path.stem) for path in sorted(FOLDER.glob("bench_*.py"))}


def faulty(build: Callable[[], Recipe], checks: tuple[str, ...]) -> list[Finding]:
    """What the checks would have stopped or mended."""
    found = judge(Study.of(compose(build())), checks)
    return [each for each in found if each.grade in (Grade.STOP, Grade.MEND)]


def cases(which: str) -> list[object]:
    """The faults or the sound holders of all collections, as parameters of a test."""
    return [
        pytest.param(*rest, id=f"{collection.removeprefix('bench_')}: {name}")
        for collection, module in COLLECTIONS.items()
        for name, *rest in getattr(module, which)
    ]


@pytest.mark.parametrize(("build", "check", "word"), cases("FAULTS"))
def test_fault_is_found_by_its_check(build: Callable[[], Recipe], check: str, word: str) -> None:
    found = faulty(build, (check,))
    assert any(word in each.says or word in each.parts for each in found), [
        (each.sentence(), each.parts) for each in found
    ]


@pytest.mark.parametrize("build", cases("SOUND"))
def test_sound_holder_is_left_in_peace(build: Callable[[], Recipe]) -> None:
    assert not [each.sentence() for each in faulty(build, names("bench"))]


@pytest.mark.parametrize("module", COLLECTIONS.values(), ids=COLLECTIONS)
def test_a_collection_is_broad(module: object) -> None:
    for which in ("FAULTS", "SOUND"):
        words = [each[0] for each in getattr(module, which)]
        assert len(set(words)) == len(words) >= LEAST
