"""Which fact would have to be another for a holder to do, found by trying.

Where nothing that may vary gives a holder, something that was given stands in the way: a press, a
part that is fitted, what the sheet says of a jewel, the finest the printer shows. Each is changed
by itself, the likeliest first, and the first change with which a holder can be made is named with
its value. It is no advice to change it: it says what to measure again, or to do otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from nests.finding import Finding, Refused
from nests.given.absent import without
from nests.given.at_work import pressed
from nests.given.hands import usual
from nests.given.operation import Operation, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Arbor, Jewel, Rest, Sheet
from nests.given.zones import Disc, Polygon, Zone
from nests.holder.workpiece import FINE
from nests.places import Frame, Place, Side, at_hour
from nests.solids.loops import Loop, loop
from nests.units import BadInput, Length

LIGHTER = (0.5, 0.25, 0.1)
"""Shares of a press that are tried."""
MORE = "one more rest"
"""Name of an area that is tried."""
WIDE: Length = 1.5
"""mm of a rest that is tried where the sheet has none."""
LEVEL_RIM: Length = 1.0
"""mm of rim that is tried level all round."""
OUT = (0.5, 0.75)
"""Shares of the way to the edge at which a rest is tried."""
FINER = 4
"""Halvings between a press that holds and one that does not."""
WIDER: tuple[Length, ...] = (0.2, 0.5)
"""mm by which a jewel is tried wider."""


@dataclass(frozen=True)
class Case:
    """What a holder is asked for: what may be changed to find out what stands in the way."""

    sheet: Sheet
    operation: Operation | None
    options: Mapping[str, Any]
    card: PrinterCard


@dataclass(frozen=True)
class Fact:
    """A changed case with which a holder can be made, and the change in words."""

    case: Case
    says: str


class NoHolder(Refused):
    """No holder can be made; `fact` is the one that would have to be another, if one was found."""

    def __init__(self, finding: Finding, fact: Fact | None) -> None:
        """Keep both."""
        super().__init__(finding)
        self.fact = fact


Does = Callable[[Case], bool]


def fact(case: Case, does: Does) -> Fact | None:
    """The first change of one fact with which a holder does, or of two if one is not enough."""
    lighter = _lighter(case, does)
    if lighter is not None:
        return lighter
    single = list(_changes(case))
    for each in single:
        if _holds(each, does):
            return each
    weakest = _pressed_with(case, LIGHTER[-1])
    if weakest is not None:
        for each in _changes(weakest.case):
            both = Fact(each.case, f"{weakest.says}, and {each.says}")
            if _holds(both, does):
                return both
    return None


def _holds(changed: Fact, does: Does) -> bool:
    try:
        return does(changed.case)
    except BadInput:
        return False


def _lighter(case: Case, does: Does) -> Fact | None:
    """The hardest press, to a twentieth, that does in the place of what is asked."""
    low = next((s for s in LIGHTER if (c := _pressed_with(case, s)) and _holds(c, does)), None)
    if low is None:
        return None
    high = next((s for s in (1.0, *LIGHTER) if s / 2 <= low < s), 1.0)
    for _ in range(FINER):
        middle = (low + high) / 2
        changed = _pressed_with(case, middle)
        if changed is not None and _holds(changed, does):
            low = middle
        else:
            high = middle
    return _pressed_with(case, low)


def _pressed_with(case: Case, share: float) -> Fact | None:
    """The case with every press a share as hard; None where nothing is pressed."""
    if case.options.get("arbor"):
        asked = case.options.get("force")
        if asked is None:
            asked = _usual(case.sheet, case.options["arbor"])
        force = _floor(share * float(asked))
        options = {**case.options, "force": force}
        says = f"with at most {force:g} N on '{case.options['arbor']}'"
        return Fact(replace(case, options=options), says)
    if case.operation is None or not case.operation.presses:
        return None
    try:
        forces = pressed(case.sheet, case.operation)
    except BadInput:
        return None
    lighter = {name: _floor(share * force) for name, force in forces.items()}
    presses = tuple(Press(arbor=name, force=force) for name, force in lighter.items())
    words = ", ".join(f"{force:g} N on '{name}'" for name, force in lighter.items())
    made = replace(case.operation, presses=presses)
    return Fact(replace(case, operation=made), f"with at most {words}")


def _usual(sheet: Sheet, name: str) -> float:
    """N that are usual for the hands of an arbor; of one that the sheet does not know, no matter,
    for nothing but its name is in the way then."""
    return max((usual(sheet, each).force for each in sheet.arbors if each.name == name), default=1)


def _floor(force: float) -> float:
    return max(0.1, math.floor(10.0 * force + 1e-9) / 10.0)


def _changes(case: Case) -> Iterator[Fact]:
    """Changes of one fact each."""
    sheet = case.sheet
    for keep in sheet.keep_clear:
        gone = without(sheet, (keep.name,))
        yield Fact(replace(case, sheet=gone), f"with '{keep.name}' not fitted")
    for arbor in sheet.arbors:
        for jewel in arbor.jewels:
            yield from _of_jewel(case, arbor, jewel)
    yield from _rests(case)
    if case.card.smallest_wall > 0.4:
        finer = replace(case.card, smallest_wall=0.4, smallest_pin=min(0.4, case.card.smallest_pin))
        says = "on a printer whose card allows walls and pins of 0.4 mm"
        yield Fact(replace(case, card=finer), says)
    if len(sheet.engraved) > 4:
        says = "with a mark of four letters on the sheet"
        yield Fact(replace(case, sheet=replace(sheet, mark=sheet.engraved[-4:].strip())), says)


def _rests(case: Case) -> Iterator[Fact]:
    """One more area that may be touched: the rim all round on either side, then a place on the side
    that looks down, where a post or pad would stand, at each hour."""
    named = case.options.get("sub_assembly")
    sheet = case.sheet.sub_assembly(named) if named else case.sheet
    if any(each.name == MORE for each in sheet.rests):
        return

    def with_one(side: Side, height: Length, zone: Zone, says: str) -> Fact:
        rest = Rest(name=MORE, side=side, height=height, zone=zone)
        more = replace(sheet, rests=(*sheet.rests, rest))
        if named:
            subs = tuple(more if each is sheet else each for each in case.sheet.sub_assemblies)
            more = replace(case.sheet, sub_assemblies=subs)
        return Fact(replace(case, sheet=more), f"with {says} on the {side.value} side")

    edge = loop(sheet.outline, Frame(Side.DIAL, 0.0, sheet.rim), FINE, 1.0)
    least = float(shapely.LinearRing(edge.bore(0.0)).distance(shapely.Point(0.0, 0.0)))
    for side in Side:
        rim = _all_round(edge, sheet.edge(side)[0])
        yield with_one(side, 0.0, rim, f"a rim that is level {LEVEL_RIM:g} mm wide all round")
    up = case.operation.side_up if case.operation else case.options.get("side_up")
    if up is None:
        return
    down = Side(up).other
    height = next((r.height for r in sheet.rests if r.side is down and r.height), 0.0)
    for share in OUT:
        for clock in range(1, 13):
            far = round(share * least, 1)
            zone = Disc(centre=at_hour(float(clock), far), diameter=WIDE)
            says = (
                f"a rest of {WIDE:g} mm ⌀ at {clock} h, {far:g} mm from the middle and "
                f"{height:g} mm above the rim face,"
            )
            yield with_one(down, height, zone, says)


def _all_round(edge: Loop, flange: Length) -> Polygon:
    """The rim of an edge with a flange, as one line round it and back inside."""
    outer, inner = edge.shaft(flange), edge.shaft(flange - LEVEL_RIM)
    points = np.vstack((outer, outer[:1], inner[:1], inner[::-1]))
    return Polygon(corners=tuple(Place(float(x), float(y)) for x, y in points))


def _of_jewel(case: Case, arbor: Arbor, jewel: Jewel) -> Iterator[Fact]:
    whose = f"the jewel of '{arbor.name}'"
    if jewel.pivot_protrusion:
        flat = replace(jewel, pivot_protrusion=0.0)
        yield _with_jewel(case, arbor, jewel, flat, f"if no pivot stood out of {whose}")
    for more in WIDER:
        wide = replace(jewel, diameter=round(jewel.diameter + more, 2))
        yield _with_jewel(case, arbor, jewel, wide, f"if {whose} were {wide.diameter:g} mm wide")
    firm = replace(jewel, push_out_force=100.0)
    yield _with_jewel(
        case, arbor, jewel, firm, f"if the push-out force of {whose} were measured at 100 N"
    )


def _with_jewel(case: Case, arbor: Arbor, old: Jewel, new: Jewel, says: str) -> Fact:
    fresh = replace(arbor, jewels=tuple(new if each is old else each for each in arbor.jewels))
    arbors = tuple(fresh if each is arbor else each for each in case.sheet.arbors)
    return Fact(replace(case, sheet=replace(case.sheet, arbors=arbors)), says)
