"""Crossing over: a holder that exists, judged with another workpiece in it.

The print is what it is: its solid stays, and each of its parts is given the meaning it has for the
new workpiece: a post is under what is above it now, a seat has the play it has now, and a part
that means nothing here is idle. Then the rules in closed form and the checks at the bench look at
it as at any holder.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from nests.checks import judge, names
from nests.consistency import require_recipe
from nests.drawer import rules_reach, rules_seat, rules_support
from nests.drawer.gauged import with_another
from nests.drawer.seats import Seat, seats, supports
from nests.drawer.sitting import Bearing, Sitting, sit
from nests.drawer.wear import worn
from nests.finding import Finding, Grade, by_gravity, worst
from nests.given.at_work import at_work, fitted
from nests.given.operation import Operation
from nests.given.sheet import Sheet
from nests.holder.compose import Holder, Laid, compose, refuse_wrong_kind
from nests.kinds.kept import KeptHolder
from nests.parts.answers import Now, Over, Shape
from nests.parts.base import Part
from nests.parts.site import Site
from nests.study import Study
from nests.units import BadInput, Length


@dataclass(frozen=True, kw_only=True)
class Idle(Part):
    """A part of the print that means nothing to the workpiece that lies in it now."""

    tag: ClassVar[str] = ""
    was: str

    def label(self) -> str:
        """The label it had."""
        return self.was

    def shape(self, site: Site) -> Shape:
        """It has its shape already, in the print."""
        raise BadInput(f"{self.was} is part of a print and cannot be drawn anew.")

    def lies(self, site: Site) -> None:
        """Wherever: it means nothing."""

    def drawn(self, site: Site) -> tuple[()]:
        """Nothing."""
        return ()

    def features(self, site: Site) -> tuple[()]:
        """Nothing."""
        return ()


@dataclass(frozen=True)
class Crossing:
    """What was found of one seat of a kept holder for one workpiece.

    `at_bench` says whether the checks at the bench were run; where the sizes alone stop it, they
    are not. `holder` is the print with the workpiece in it, None where it cannot lie in it at all.
    """

    kept: KeptHolder
    seat: Seat
    findings: tuple[Finding, ...]
    play: Length
    at_bench: bool
    holder: Holder | None = None

    @property
    def grade(self) -> Grade:
        """The gravest grade found."""
        return worst(self.findings)

    @property
    def rank(self) -> tuple[float, ...]:
        """The fewer of the grave findings the better, then the play nearest to a tenth of a mm."""
        counts = [
            sum(f.grade is g for f in self.findings)
            for g in (Grade.STOP, Grade.MEND, Grade.UNKNOWN)
        ]
        return (*counts, abs(self.play - 0.1))


def cross(
    kept: KeptHolder,
    sheet: Sheet,
    operation: Operation | None = None,
    *,
    seat: int = 0,
    bench: bool = True,
) -> Crossing:
    """Judge a kept holder with another workpiece in one of its seats.

    Without an operation it is the one the holder was made for. `bench` runs the checks at the bench
    too, unless the sizes alone stop it. Raises `Refused` if the kinds do not go together and
    `BadInput` for a side it was not made for, a seat it does not have, or a recipe that cannot be
    true.
    """
    wanted = operation or kept.recipe.operation
    workpiece = fitted(sheet, wanted) if operation is None else at_work(sheet, operation)
    refuse_wrong_kind(kept.recipe.kind, workpiece)
    found = seats(kept)
    if seat >= len(found):
        raise BadInput(f"{kept.id} is a {kept.recipe.kind} and has no seat {seat + 1}.")
    if wanted.side_up is not kept.recipe.side_up:
        raise BadInput(
            f"{kept.id} is for {kept.recipe.side_up.value} up; '{wanted.name}' is done with the "
            f"{wanted.side_up.value} side up."
        )
    require_recipe(kept.recipe)
    made = compose(kept.recipe)
    at = sit(kept, made, found[seat], supports(kept), workpiece, wanted.side_up)
    wanted, notes = rules_support.applicable(wanted, at)
    closed = (*notes, *with_another(kept, seat, workpiece), *_closed(at, kept, wanted, made))
    holder, why_not = _lying(kept, made, at, wanted)
    judged: tuple[Finding, ...] = ()
    looked = bench and worst(closed) is not Grade.STOP
    if looked:
        judged = why_not if holder is None else _bench(holder, gauged=at.seat.gauged)
    return Crossing(kept, at.seat, by_gravity((*closed, *judged)), at.play, looked, holder)


def _lying(
    kept: KeptHolder, made: Holder, at: Sitting, operation: Operation
) -> tuple[Holder | None, tuple[Finding, ...]]:
    """The print with the workpiece in it; or None, and what cannot be judged for want of it."""
    if at.play < 0.0:
        return None, ()
    if at.seat.in_foot:
        return None, (_not_at_bench(kept, "a seat in the foot"),)
    try:
        return _with(kept, made, at, operation), ()
    except BadInput as error:
        return None, (_not_at_bench(kept, str(error).rstrip(".")),)


def _closed(
    at: Sitting, kept: KeptHolder, operation: Operation, made: Holder
) -> tuple[Finding, ...]:
    labels = tuple(each.label for each in made.laid[1:])
    own = labels[at.seat.part]
    return (
        *rules_seat.seat_fits(at, kept, own),
        *rules_seat.heights(at, own),
        *rules_support.tips(at, labels),
        *rules_support.presses(at, operation, labels),
        *rules_reach.stem(at, kept, operation),
        *rules_reach.pushers(at, kept, operation),
        *rules_seat.hold(at, kept, operation),
        *worn(kept),
    )


def _bench(holder: Holder, *, gauged: bool) -> tuple[Finding, ...]:
    """The checks at the bench; what a gauge has told of the seat is not guessed at again."""
    out: tuple[Finding, ...] = ()
    study = Study.of(holder)
    for name in names("bench"):
        if name == "fit" and gauged:
            continue
        try:
            out += judge(study, (name,))
        except BadInput as error:
            out += (
                Finding(check=name, grade=Grade.UNKNOWN, says=f"{name} is not assessed: {error}"),
            )
    return out


def _not_at_bench(kept: KeptHolder, why: str) -> Finding:
    return Finding(
        check="seat",
        grade=Grade.UNKNOWN,
        says=f"{kept.id} is judged by its sizes only, not by its solid: {why}.",
        remedy="lay the movement in without pressing, and look that nothing else touches",
    )


def _with(kept: KeptHolder, made: Holder, at: Sitting, operation: Operation) -> Holder:
    """The print with another workpiece in it."""
    recipe, lies = kept.recipe, at.site.body
    bearing = {b.support.part: b for b in at.bearings if b.support.tip != "pad"}
    laid = [made.laid[0]]
    for number, each in enumerate(made.laid[1:]):
        part = _meaning(each, number, at, bearing.get(number), recipe.workpiece)
        laid.append(replace(each, part=part))
    recipe = replace(
        recipe,
        name=f"{kept.id} with {at.sheet.name}",
        workpiece=at.sheet,
        operation=operation,
        body=replace(
            recipe.body, wall=lies.wall, floor=lies.floor, under=lies.under, height=lies.height
        ),
        parts=tuple(each.part for each in laid[1:]),
    )
    laid[0] = replace(laid[0], part=recipe.body)
    site = recipe.site()
    contacts = tuple(c for each in laid for c in each.part.contacts(site))
    return replace(made, recipe=recipe, laid=tuple(laid), contacts=contacts)


def _meaning(laid: Laid, number: int, at: Sitting, bearing: Bearing | None, was_for: Sheet) -> Part:
    """What a part is for the workpiece that lies in the print now."""
    over = None
    if bearing is not None:
        where = None if bearing.jewel is not None else at.site.frame.place(bearing.support.at)
        over = Over(bearing.name, at.gap(bearing), where)
    now = Now(
        sheet=at.sheet,
        was_for=was_for,
        play=at.play,
        across=at.across,
        opening=at.seat.opening,
        drop=at.level - at.seat.level if at.on_tips else 0.0,
        lies_here=number == at.seat.part,
        over=over,
    )
    return laid.part.reread(now) or Idle(was=laid.label)
