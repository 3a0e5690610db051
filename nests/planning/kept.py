"""The holders of the drawer, asked whether they serve an operation."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, partial
from pathlib import Path

from nests.at_work import at_work
from nests.drawer.crossing import Crossing, cross
from nests.drawer.index import fresh_index
from nests.drawer.search import Match, matches, wanted_for
from nests.drawer.shelf import read_holder
from nests.finding import Grade
from nests.operation import Operation
from nests.planning.job import Answer, Existing
from nests.sheet import Sheet
from nests.units import BadInput

MOST = 10
"""Seats that come into question for one operation: those whose sizes fit best."""


def holders_in(folder: Path, sheet: Sheet) -> tuple[Existing, ...]:
    """Every holder of a drawer that is not retired, to be asked about operations on a workpiece.

    Raises `BadInput` if there is no drawer.
    """
    index = fresh_index(folder)
    rows = index.holders
    names = sorted(
        str(n) for n in rows["name"][(rows["state"] != "retired") & (rows["state"] != "")]
    )

    @cache
    def fitting(operation: Operation) -> tuple[Match, ...]:
        _, found = matches(index, wanted_for(at_work(sheet, operation), operation))
        return found

    @cache
    def asked(name: str, operation: Operation) -> Answer:
        fits = fitting(operation)
        seats = [each.seat for each in fits[:MOST] if each.name == name]
        if not seats:
            if any(each.name == name for each in fits):
                return Answer(f"{MOST} others fit better; it was not judged.", for_all=True)
            return Answer("no seat of it is of this size, kind and side.", for_all=True)
        try:
            kept = read_holder(folder / name)
            crossings = [cross(kept, sheet, operation, seat=seat) for seat in seats]
        except BadInput as bad:
            return Answer(str(bad))
        return _answer(crossings)

    return tuple(Existing(name.removesuffix(".json"), partial(asked, name)) for name in names)


def _answer(crossings: Sequence[Crossing]) -> Answer:
    """What the best of a holder's seats says."""
    best = min(crossings, key=lambda each: each.rank)
    stops = [each.says for each in best.findings if each.grade is Grade.STOP]
    unknown = [f"{f.says} {f.remedy}".strip() for f in best.findings if f.grade is Grade.UNKNOWN]
    return Answer(" ".join(stops), tuple(unknown))
