"""What helpers do for the bench: the printing side, choosing, the pack, the job.

Each is a generator of steps, called in another process; each calls what the command line calls.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from time import sleep
from typing import Any

import nests
from nests.faces.page.asked import wish
from nests.faces.page.helper import Say
from nests.faces.page.work import Work
from nests.finding import Finding, by_gravity
from nests.measuring.unlocked import Standing, standings
from nests.orders.pack import slug
from nests.orders.trying import Trial, reread, stood, tried
from nests.planning.library import names, work_plan
from nests.units import BadInput

MOMENTS, MOMENT = 5, 0.04
"""So many times so many seconds the sheet is left in peace before the families are asked."""
UNLOCKED = "unlocked"
"""Stands before what `unlocking` tells."""


def trial_of(work: Work) -> Trial | None:
    """The holder of the work as its family prefers it, or as it was overruled; None where none is
    asked for. Raises `BadInput`."""
    work.require_fits()
    if work.by_hand is not None:
        record = work.record
        return stood(work.by_hand if record is None else reread(work.by_hand, record))
    if not work.family:
        return None
    return tried(
        work.family, wish(work.family, work.options),
        sheet=work.record, operation=work.chosen, work=work.work_plan,
    )  # fmt: skip


def made(work: Work) -> Trial | BadInput | None:
    """What `trial_of` gives, or why it gives nothing."""
    try:
        return trial_of(work)
    except BadInput as bad:
        return bad


def moved(last: Trial, old: Work, new: Work) -> Trial | None:
    """The parts of the last holder where its workpiece is now as it is measured now, None where
    more than the sheet is other, or they cannot be so."""
    if None in (old.sheet, new.sheet, new.family or None) or old.by_hand or new.by_hand:
        return None
    if replace(old, sheet=new.sheet, did=new.did, read=new.read) != new or new.record is None:
        return None
    try:
        new.require_fits()
        return stood(reread(last.recipe, new.record))
    except BadInput:
        return None


def ready(_: Any, __: Say) -> Iterator[Any]:
    """Nothing: that the modules are loaded."""
    yield "ready"


def printing(work: Work, _: Say) -> Iterator[tuple[int, int, str, tuple[Finding, ...]]]:
    """The checks of the printer's side, one after the other: which of how many, its name, what it
    found."""
    trial = trial_of(work)
    if trial is not None:
        for number, (name, found) in enumerate(trial.found("printer"), 1):
            yield number, trial.checks, name, found


def unlocking(work: Work, __: Say) -> Iterator[tuple[str, Standing]]:
    """What can be made by now, one operation more with each step, once nothing was changed for a
    moment."""
    if work.record is not None:
        for _ in range(MOMENTS):
            sleep(MOMENT)
            yield UNLOCKED, Standing()
        for each in standings(work.record):
            yield UNLOCKED, each


def choosing(
    work: Work, _: Say
) -> Iterator[tuple[nests.Recipe, tuple[Finding, ...], tuple[str, ...]]]:
    """The best that the family can make: recipe, findings, and what it changed of its wishes."""
    from nests.orders.order import order

    work.require_fits()
    made = order(
        work.family, wish(work.family, work.options),
        sheet=work.record, operation=work.chosen, work=work.work_plan,
    )  # fmt: skip
    found = made.choice.findings if made.choice is not None else ()
    changed = made.choice.changed if made.choice is not None else ()
    yield made.recipe, by_gravity((*made.notes, *found)), changed


def pack_of(work: Work, papers: bool = True) -> nests.Pack:
    """The pack of the work. Raises `BadInput`."""
    work.require_fits()
    if work.by_hand is not None:
        record = work.record
        recipe = work.by_hand if record is None else reread(work.by_hand, record)
        return nests.build(recipe, papers=papers)
    return nests.make(
        work.record, work.family, operation=work.chosen, work=work.work_plan, papers=papers,
        **wish(work.family, work.options),
    )  # fmt: skip


def packing(asked: tuple[Work, Path, bool], _: Say) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Write the pack into the folder of packs: its name, its grade, its files."""
    work, packs, papers = asked
    made = pack_of(work, papers)
    name = slug(made.recipe.name)
    packs.mkdir(exist_ok=True)
    made.write(packs / name, replace=(packs / name).exists())
    yield name, made.grade.value, tuple(sorted(made.files))


def planning(asked: tuple[Work, str, Path, Path | None], say: Say) -> Iterator[tuple[Any, ...]]:
    """The plan of a job by the name of its work plan, and its picture. With a folder it is written
    there with its packs and its job sheet."""
    work, name, drawer, target = asked
    if work.record is None:
        raise BadInput("a job needs a sheet; a few sizes do not do.")
    work.require_fits()
    if name not in names():  # a path must not come from a browser
        raise BadInput(f"there is no work plan '{name[:40]}'; {', '.join(names())}.")
    from nests.planning.readiness import readiness
    from nests.planning.whole import files, job_from, write

    there = str(drawer) if drawer.is_dir() else None
    job = job_from(work.record, work_plan(name), drawer=there, progress=say)
    if target is not None:
        target.parent.mkdir(exist_ok=True)
        write(job, target, replace=target.exists(), progress=say)
    made = readiness(job)
    yield name, made, files(made)["coverage.svg"], target
