"""What a plan of a movement shows: outline, things and their places, as seen from a side.

x runs to the right and y up as it is looked at, mm: `Frame` mirrors, and nothing else does.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

from nests.given.sheet import KeepClear, Rest, Sheet
from nests.given.zones import Disc, Outline, Polygon, Ring, Sector, Zone
from nests.orders.shown import Loop
from nests.places import Frame, Place, Side, at_hour
from nests.solids.loops import loop
from nests.solids.solid import area
from nests.units import Hour, Length

Loops: TypeAlias = tuple[tuple[tuple[float, float], ...], ...]
FINE: Length = 0.01
"""mm by which a chord on the screen may leave its arc."""
KEPT = 4
"""Sides of sheets whose things are kept: a page shows either side of one, and asks for it often."""


@dataclass(frozen=True)
class Thing:
    """One thing of a sheet as it is seen from a side.

    `at` is its JSON Pointer on the sheet, `place` that of what places it, an hour or a place, ''
    for what is not moved; `near` whether it is on the side that is looked at; `kind` one word;
    `loops` its outline where it has one, else it is a disc of `diameter` about x, y.
    """

    at: str
    place: str
    kind: str
    name: str
    near: bool
    x: Length
    y: Length
    diameter: Length = 0.0
    loops: Loops = ()
    by_hour: bool = False
    hour: Hour = 0.0
    radius: Length = 0.0


def edge(outline: Outline, side: Side, out: Length = 0.0) -> Loop:
    """An outline as it is seen from a side."""
    points = loop(outline, _frame(side), FINE, out).shaft(out)
    return [(float(x), float(y)) for x, y in points]


def seen(place: Place, side: Side) -> tuple[Length, Length]:
    """A place as it is seen from a side."""
    at = _frame(side).place(place)
    return at.x, at.y


def reaches(sheet: Sheet) -> Length:
    """How far the outline lies from the axis at most."""
    return max(math.hypot(x, y) for x, y in edge(sheet.outline, Side.DIAL))


_lately: deque[tuple[Sheet, Side, tuple[Thing, ...]]] = deque(maxlen=KEPT)


def things(sheet: Sheet, side: Side) -> tuple[Thing, ...]:
    """Everything on a sheet that has a place, those below first."""
    for known, which, found in tuple(_lately):  # another thread may add to them meanwhile
        if known is sheet and which is side:
            return found
    made = tuple(_things(sheet, side))
    _lately.append((sheet, side, made))
    return made


def _frame(side: Side) -> Frame:
    return Frame(side, 0.0, 0.0)


def _zoned(zone: Zone, side: Side, pointer: str) -> tuple[str, Place, Loops]:
    """Pointer of the place of a zone, the middle of it, and its outline."""
    loops = area(zone, _frame(side), FINE).to_polygons()
    out = tuple(tuple((float(x), float(y)) for x, y in each) for each in loops)
    if isinstance(zone, Disc | Ring):
        return f"{pointer}/zone/centre", zone.centre, out
    if isinstance(zone, Sector):
        span = (zone.to_hour - zone.from_hour) % 12.0 or 12.0
        return "", at_hour((zone.from_hour + span / 2) % 12.0, (zone.outer + zone.inner) / 2), out
    assert isinstance(zone, Polygon)
    count = len(zone.corners)
    x = math.fsum(each.x for each in zone.corners) / count
    y = math.fsum(each.y for each in zone.corners) / count
    return "", Place(x, y), out


def _things(sheet: Sheet, side: Side) -> Iterator[Thing]:
    zoned: list[tuple[str, str, Rest | KeepClear]] = []
    zoned += [("rest", f"/rests/{n}", each) for n, each in enumerate(sheet.rests)]
    zoned += [("keep-clear", f"/keep_clear/{n}", each) for n, each in enumerate(sheet.keep_clear)]
    for kind, at, area_ in zoned:
        where, middle, loops = _zoned(area_.zone, side, at)
        x, y = seen(middle, side)
        yield Thing(at, where, kind, area_.name, area_.side is side, x, y, loops=loops)
    for index, foot in enumerate(sheet.dial_feet):
        x, y = seen(foot.at, side)
        at = f"/dial_feet/{index}"
        name = f"dial foot {index + 1}"
        yield Thing(at, f"{at}/at", "dial foot", name, side is Side.DIAL, x, y, foot.diameter)
    for index, lug in enumerate(sheet.lugs):
        yield _outside(sheet, side, f"/lugs/{index}", "lug", f"lug {index + 1}", lug.hour, 1.0)
    if sheet.stem is not None:
        yield _outside(sheet, side, "/stem", "stem", "stem", sheet.stem.hour, sheet.stem.diameter)
    for index, pusher in enumerate(sheet.pushers):
        yield _outside(sheet, side, f"/pushers/{index}", "pusher", pusher.name, pusher.hour, 1.2)
    for index, arbor in enumerate(sheet.arbors):
        x, y = seen(arbor.at, side)
        at = f"/arbors/{index}"
        for number, jewel in enumerate(arbor.jewels):
            name, near = f"{jewel.word} of {arbor.name}", jewel.side is side
            yield Thing(f"{at}/jewels/{number}", "", "jewel", name, near, x, y, jewel.diameter)
        yield Thing(at, f"{at}/at", "arbor", arbor.name, True, x, y, 0.0)


def _outside(
    sheet: Sheet, side: Side, at: str, kind: str, name: str, hour: Hour, wide: Length
) -> Thing:
    """What leaves the outline at an hour."""
    points = edge(sheet.outline, Side.DIAL)
    across = at_hour(hour, 1.0)
    radius = max(x * across.x + y * across.y for x, y in points)
    x, y = seen(at_hour(hour, radius), side)
    return Thing(
        at, f"{at}/hour", kind, name, True, x, y, wide, by_hour=True, hour=hour, radius=radius
    )


def over(point: tuple[float, float]) -> tuple[float, float]:
    """A point that is seen from one side, as it is seen from the other."""
    at = _frame(Side.BRIDGE).place(Place(*point))
    return at.x, at.y
