"""The holders of the drawer, asked whether they serve an operation."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache, partial
from pathlib import Path

from nests.drawer.crossing import Crossing, cross
from nests.drawer.index import Index, fresh_index
from nests.drawer.look import may_fit, wanted_for
from nests.drawer.shelf import read_holder
from nests.finding import Finding, Grade
from nests.given.at_work import at_work
from nests.given.operation import Operation
from nests.given.sheet import Sheet
from nests.holder.compose import compose
from nests.kinds.kept import KeptHolder
from nests.planning.holders import posts_under
from nests.planning.offers import Answer, Existing
from nests.units import BadInput


def holders_in(folder: Path, sheet: Sheet) -> tuple[Existing, ...]:
    """Every holder of a drawer that is not retired, to be asked about operations on a workpiece.

    A document that cannot be used is one that cannot answer. Raises `BadInput` if there is no
    drawer.
    """
    index = fresh_index(folder)

    @cache
    def fitting(operation: Operation) -> Mapping[str, tuple[float, tuple[int, ...]]]:
        found = may_fit(index, wanted_for(at_work(sheet, operation), operation))
        return {name: (float(k), seats) for k, (name, seats) in enumerate(found.items())}

    @cache
    def asked(name: str, operation: Operation) -> Answer:
        _, seats = fitting(operation).get(name, (None, ()))
        if not seats:
            return Answer("its sizes rule it out.")
        try:
            kept = read_holder(folder / name)
        except BadInput as bad:
            return Answer(unread=str(bad))
        try:
            crossings = [cross(kept, sheet, operation, seat=seat) for seat in seats]
        except BadInput as bad:
            return Answer(str(bad))
        return _answer(kept, crossings)

    def fits(name: str, operation: Operation) -> float | None:
        return fitting(operation).get(name, (None, ()))[0]

    there = (
        Existing(name.removesuffix(".json"), partial(asked, name), partial(fits, name), at_best)
        for name, at_best in _standing(index).items()
    )
    unread = (
        Existing(says, lambda _, says=says: Answer(unread=says))  # type: ignore[misc]
        for says in index.unusable(copies=False)
    )
    return (*there, *unread)


def _standing(index: Index) -> dict[str, Grade]:
    """Every holder that is in use or worn, with the grade it cannot be better than: while any of
    its list is open it is unknown, whatever lies in it."""
    rows, seats = index.holders, index.seats
    known = set(seats["holder"][~seats["open"]].tolist())
    out = {}
    for row in sorted(range(len(rows)), key=lambda row: str(rows["name"][row])):
        state = str(rows["state"][row])
        if state not in ("", "retired"):
            at_best = Grade.MEND if state == "worn" else Grade.CLEAR
            out[str(rows["name"][row])] = at_best if row in known else Grade.UNKNOWN
    return out


def _answer(kept: KeptHolder, crossings: Sequence[Crossing]) -> Answer:
    """What the best of a holder's seats says, and what the holder is."""
    best = min(crossings, key=lambda each: each.rank)
    holder, stops = best.holder, [f.says for f in best.findings if f.grade is Grade.STOP]
    if stops:
        return Answer(" ".join(stops), best.findings)
    worn = kept.now.state == "worn"
    return Answer(
        findings=(*best.findings, *_said_worn(kept, best)) if worn else best.findings,
        family=kept.recipe.family,
        posts=() if holder is None else posts_under(holder.recipe),
        volume=(compose(kept.recipe) if holder is None else holder).solid.volume(),
        condition="worn" if worn else "in use",
    )


def _said_worn(kept: KeptHolder, found: Crossing) -> tuple[Finding, ...]:
    """That a holder stands as worn, where no finding of its wear says so."""
    if any(f.check == "wear" and f.grade is Grade.MEND for f in found.findings):
        return ()
    says = f"{kept.id} stands as worn{f': {kept.now.reason}' if kept.now.reason else '.'}"
    return (Finding(check="wear", grade=Grade.MEND, says=says, remedy="gauge it again"),)
