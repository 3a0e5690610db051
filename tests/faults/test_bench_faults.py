"""Holders with a fault of the bench are found out by the check that should; sound ones are not.

Every module `bench_*` in `tests/faults` gives `FAULTS`, each (name, builder of the recipe, check,
word or part) and, where the place is asked too, the arbor or rest it must be at; and `SOUND`, each
(name, builder).
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

import pytest

from nests.checks import judge, names
from nests.finding import Finding, Grade
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.parts.stake_post import StakePost
from nests.study import Study

FOLDER = Path(__file__).parent
LEAST = 14
"""Faults, and sound holders, that a collection has at least."""
sys.path.insert(0, str(FOLDER))
COLLECTIONS = {path.stem: import_module(path.stem) for path in sorted(FOLDER.glob("bench_*.py"))}


def faulty(recipe: Recipe, checks: tuple[str, ...]) -> list[Finding]:
    """What the checks would have stopped or mended."""
    found = judge(Study.of(compose(recipe)), checks)
    return [each for each in found if each.grade in (Grade.STOP, Grade.MEND)]


def stands(recipe: Recipe, name: str) -> tuple[float, float]:
    """Place in the holder frame of an arbor, or of the post under a rest."""
    site = recipe.site()
    if name in (arbor.name for arbor in recipe.workpiece.arbors):
        at = site.frame.place(recipe.workpiece.arbor(name).at)
    else:
        posts = (part for part in recipe.parts if isinstance(part, StakePost))
        at = next(post for post in posts if post.under == name).foothold(site).at
    return at.x, at.y


def cases(which: str) -> list[object]:
    """The faults or the sound holders of all collections, as parameters of a test."""
    count = {"FAULTS": 4, "SOUND": 1}[which]
    return [
        pytest.param(*[*case, ""][:count], id=f"{collection.removeprefix('bench_')}: {name}")
        for collection, module in COLLECTIONS.items()
        for name, *case in getattr(module, which)
    ]


@pytest.mark.parametrize(("build", "check", "word", "at"), cases("FAULTS"))
def test_fault_is_found_by_its_check(
    build: Callable[[], Recipe], check: str, word: str, at: str
) -> None:
    recipe = build()
    found = faulty(recipe, (check,))
    named = [each for each in found if word in each.says or word in each.parts]
    assert named, [(each.sentence(), each.parts) for each in found]
    if at:
        places = [each.place[:2] for each in named if each.place is not None]
        assert pytest.approx(stands(recipe, at), abs=1e-3) in places


@pytest.mark.slow
@pytest.mark.parametrize("build", cases("SOUND"))
def test_sound_holder_is_left_in_peace(build: Callable[[], Recipe]) -> None:
    assert not [each.sentence() for each in faulty(build(), names("bench"))]


@pytest.mark.parametrize("module", COLLECTIONS.values(), ids=COLLECTIONS)
def test_a_collection_is_broad(module: object) -> None:
    for which in ("FAULTS", "SOUND"):
        words = [each[0] for each in getattr(module, which)]
        assert len(set(words)) == len(words) >= LEAST
