"""What operations demand of a holder, and what several of them demand together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import reduce

from nests.given.at_work import at_work, not_fitted, pressed
from nests.given.operation import Operation, Press
from nests.given.sheet import Sheet
from nests.letters.engraving import require_engravable
from nests.places import Side
from nests.units import BadInput


@dataclass(frozen=True)
class Demand:
    """Everything of an operation that a holder can tell; equal demands are one to a holder.

    `forces` are (arbor, N) with the most that occurs, sorted; `shock` is 0 unless it is turned
    over. `gone` are keep-clears and arbors that are not fitted in any
    of the operations: room that may be used. `bare` are rests that lack in at least one of them:
    nothing may count on those.
    """

    on: str
    side_up: Side
    forces: tuple[tuple[str, float], ...]
    stem: bool
    pushers: bool
    turned_over: bool
    shock: float
    gone: frozenset[str]
    bare: frozenset[str]

    def asks_no_less(self, other: Demand) -> bool:
        """Whether whatever holder meets this one meets the other, too: the same workpiece and side
        up, every press as hard or harder, and no more room or rests to count on."""
        forces = dict(self.forces)
        return (
            (self.on, self.side_up) == (other.on, other.side_up)
            and all(forces.get(arbor, 0.0) >= force for arbor, force in other.forces)
            and self.stem >= other.stem
            and self.pushers >= other.pushers
            and self.turned_over >= other.turned_over
            and self.shock >= other.shock
            and self.gone <= other.gone
            and self.bare >= other.bare
        )

    def operation(self, name: str, says: str, mark: str = "") -> Operation:
        """The operation a holder for this demand is made for."""
        made = Operation(
            name=name,
            mark=mark,
            says=says,
            on=self.on,
            side_up=self.side_up,
            presses=tuple(Press(arbor=arbor, force=force) for arbor, force in self.forces),
            stem=self.stem,
            pushers=self.pushers,
            absent=tuple(sorted(self.gone | self.bare)),
            turned_over=self.turned_over,
        )
        return replace(made, shock=self.shock) if self.turned_over else made


def missing_facts(sheet: Sheet, operation: Operation) -> tuple[str, ...]:
    """What the sheet would have to say before a holder can be found; nothing if it says enough."""
    try:
        work = at_work(sheet, operation)
        forces = pressed(work, operation)
        require_engravable((work, operation))
    except BadInput as bad:
        return (str(bad),)
    down, out = operation.side_up.other, []
    for name in forces:
        if work.arbor(name).jewel(down) is None:
            out.append(
                f"'{name}' is pressed, and the sheet has no jewel for it on the {down.value} side; "
                "measure its ⌀ and height, or those of its bush."
            )
    if operation.stem and work.stem is None:
        out.append(f"the stem must be reached; measure its hour and depth on '{work.name}'.")
    if operation.pushers and not work.pushers:
        out.append(f"the pushers must be reached; measure each lever of '{work.name}'.")
    return tuple(out)


def demand_of(sheet: Sheet, operation: Operation) -> Demand:
    """The demand of one operation of which no fact is missing. Raises `BadInput`."""
    whole = sheet.sub_assembly(operation.on) if operation.on else sheet
    rests = {each.name for each in whole.rests}
    absent = set(not_fitted(whole, operation.absent))
    return Demand(
        on=operation.on,
        side_up=operation.side_up,
        forces=tuple(sorted(pressed(at_work(sheet, operation), operation).items())),
        stem=operation.stem,
        pushers=operation.pushers,
        turned_over=operation.turned_over,
        shock=operation.shock if operation.turned_over else 0.0,
        gone=frozenset(absent - rests),
        bare=frozenset(absent & rests),
    )


def together(demands: Sequence[Demand]) -> Demand:
    """What one holder must meet to serve all of them, which have workpiece and side in common."""
    return reduce(_both, demands)


def _both(a: Demand, b: Demand) -> Demand:
    forces = dict(a.forces)
    for arbor, force in b.forces:
        forces[arbor] = max(force, forces.get(arbor, 0.0))
    return Demand(
        on=a.on,
        side_up=a.side_up,
        forces=tuple(sorted(forces.items())),
        stem=a.stem or b.stem,
        pushers=a.pushers or b.pushers,
        turned_over=a.turned_over or b.turned_over,
        shock=max(a.shock, b.shock),
        gone=(a.gone & b.gone) - {arbor for arbor, _ in forces.items()},
        bare=a.bare | b.bare,
    )


def plainly_apart(a: Demand, b: Demand) -> str:
    """Why no holder of any family could serve both, if that needs no building; else ''."""
    if a.on != b.on:
        one, two = (f"'{on}'" if on else "the movement" for on in sorted((a.on, b.on)))
        return f"one is done on {one}, the other on {two}; a holder carries one workpiece."
    if a.side_up is not b.side_up:
        return (
            "one is done with the bridge side up, the other with the dial side up; a holder is "
            "made for one side."
        )
    return ""
