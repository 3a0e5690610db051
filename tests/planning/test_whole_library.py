"""Every work plan that comes with the program, solved on an invented movement it fits."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from nests.finding import Grade
from nests.given.at_work import at_work, pressed
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.kinds import read
from nests.parts.stake_post import StakePost
from nests.places import Side
from nests.planning.job import Job, solve
from nests.planning.library import names, work_plan
from nests.planning.readiness import readiness

GALLERY = Path(__file__).parents[2] / "gallery"
CARD = read(GALLERY / "printers" / "bench-printer.json", PrinterCard)
FITS = {
    "three-hand": "inv-26-a",
    "automatic": "inv-26-a",
    "calendar": "inv-26-a",
    "ultra-thin": "inv-20-u",
    "usual": "inv-30-c",
    "chronograph": "inv-30-c",
    "tourbillon": "inv-30-t",
    "inv-32-k": "inv-32-k",
}
MARKS = {
    "automatic": pytest.mark.slow, "calendar": pytest.mark.slow,
    "chronograph": pytest.mark.slow, "tourbillon": pytest.mark.slow, "inv-32-k": pytest.mark.long,
}  # fmt: skip
"""Of the longest, the whole of whose job another test does; see `test_job`."""


def test_every_plan_has_a_movement() -> None:
    assert set(FITS) == set(names())


@pytest.mark.parametrize("plan", [pytest.param(p, marks=MARKS.get(p, ())) for p in FITS])
def test_every_plan_is_solved(plan: str) -> None:
    """All operations served, every pressed jewel on a post, and no family with fewer holders.

    That is tried out anew: from what was found to fail, alone or together, all ways of parting the
    operations among fewer holders are ruled out one by one. A holder is named by the first
    operation it is used for.
    """
    sheet = read(GALLERY / "sheets" / f"{FITS[plan]}.json", Sheet)
    job = solve(sheet, work_plan(plan), CARD)
    answer = readiness(job)
    assert answer.may_start, answer.says
    assert answer.proven
    done = [name for holder in answer.holders for name in holder.used]
    assert sorted(done) == sorted(each.name for each in job.work.operations)
    for chosen in job.chosen:
        assert chosen.trial is not None
        assert chosen.trial.grade is not Grade.STOP
        assert chosen.trial.recipe is not None
        posts = {p.under for p in chosen.trial.recipe.parts if isinstance(p, StakePost)}
        assert chosen.name.startswith(job.work.operations[chosen.used[0]].name)
        for index in chosen.used:
            operation = job.work.operations[index]
            assert set(pressed(at_work(sheet, operation), operation)) <= posts
    assert len(job.chosen) == fewest(job)


def fewest(job: Job) -> int:
    """Fewest holders in each of which no set is whole that fails, one workpiece and side at a
    time."""
    alike: dict[tuple[str, Side], list[int]] = {}
    for index, group in enumerate(job.groups):
        alike.setdefault((group.demand.on, group.demand.side_up), []).append(index)
    bad = list(job.family.failing)
    return sum(
        next(k for k in range(1, len(each) + 1) if _parted([], each, k, bad))
        for each in alike.values()
    )


def _parted(
    parts: list[frozenset[int]], left: Sequence[int], most: int, bad: list[frozenset[int]]
) -> bool:
    """Whether what is left can join the parts, or make new ones up to `most`, without a bad set."""
    if not left:
        return True
    first, rest = left[0], left[1:]
    places = range(min(len(parts) + 1, most))
    grown = [(i, (parts[i] if i < len(parts) else frozenset()) | {first}) for i in places]
    return any(
        _parted([*parts[:i], each, *parts[i + 1 :]], rest, most, bad)
        for i, each in grown
        if not any(b <= each for b in bad)
    )
