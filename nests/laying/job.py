"""What to print first: the job that waits for least, and in it what most of its work is done in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from nests.documents.reading import is_file
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.kinds.plan import Plan, PlannedHolder
from nests.units import BadInput


@dataclass(frozen=True)
class Waiting:
    """A job with the holders it waits for, those that most operations are done in first."""

    plan: Plan
    recipes: tuple[tuple[PlannedHolder, Recipe], ...]

    @property
    def name(self) -> str:
        """What the job is."""
        return f"{self.plan.work} on {self.plan.sheet}"


def waiting(folder: Path) -> Waiting:
    """A job from the folder of its plan. Raises `BadInput`."""
    if not is_file(folder / "plan.json"):
        raise BadInput(f"{folder} is no job: there is no plan.json in it.")
    plan = read(folder / "plan.json", Plan)
    todo = [each for each in plan.holders if each.state == "to print"]
    found = [(each, read(folder / each.pack / "recipe.json", Recipe)) for each in todo]
    found.sort(key=lambda pair: (-len(pair[0].used), pair[0].name))
    return Waiting(plan, tuple(found))


def in_order(jobs: Sequence[Waiting]) -> tuple[Waiting, ...]:
    """Jobs that may start once they are printed come first, of these the one with least resin to
    print; then those that may not start even then."""
    return tuple(sorted(jobs, key=lambda job: (not job.plan.may_start, resin(job), job.name)))


def resin(job: Waiting) -> float:
    """Resin a job waits for, mm³, as its plan has it."""
    return math.fsum(each.volume or 0.0 for each, _ in job.recipes)
