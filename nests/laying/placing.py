"""Placing outlines on a build plate: bottom-left, by the places a body may not lie at.

Of two convex outlines the places at which they would be nearer than the gap are again a convex
polygon (their Minkowski difference), so that a free corner is found and not guessed. Outlines that
are not convex are taken by their hull: nothing is laid into a hollow of another, where resin would
run badly. The search is the same every time: it draws no lots.

Source: Burke et al., "Complete and robust no-fit polygon generation for the irregular stock cutting
problem", European Journal of Operational Research 179 (2007) 27-49, for the principle.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import permutations, product
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from nests.units import Length

Floats = NDArray[np.float64]
_Order: TypeAlias = tuple[int, ...]
_Turns: TypeAlias = tuple[int, ...] | None
SMOOTH: Length = 0.02
"""mm by which an outline may be taken larger, so that it has fewer corners."""
HAIR: Length = 1e-6
"""mm by which the places forbidden are drawn smaller: what just fits, fits."""
ALL_ORDERS = 5
"""Bodies up to which every order is tried, and every way to turn them in the best known orders; of
more these orders alone, each body turned as it lies lowest."""
QUARTERS = (0, 1)
"""Quarter turns that are tried about the upright: what is turned half as well lies as well."""


@dataclass(frozen=True)
class Outline:
    """A body in plan: its hull as corners (n, 2), counterclockwise, about its own origin, in a
    group of bodies that are placed before those of higher groups; `load` (k,) is what it peels off
    the film, layer by layer."""

    corners: Floats
    group: int = 0
    load: Floats | None = None

    @property
    def area(self) -> float:
        """Its area, mm²."""
        return float(Polygon(self.corners).area)


@dataclass(frozen=True)
class Placement:
    """Where a body lies: on which plate, turned by so many quarters counterclockwise about its own
    origin, and then moved by x and y."""

    body: int
    plate: int
    quarters: int
    x: Length
    y: Length


@dataclass(frozen=True)
class Room:
    """A build plate: its size, what is kept between bodies and at its edge, and the most that may
    be peeled off the film at once on one plate."""

    wide: Length
    deep: Length
    gap: Length
    edge: Length
    most: float = math.inf


def outline_of(points: Floats, group: int = 0, load: Floats | None = None) -> Outline:
    """The outline of points (n, 2): their hull, of few corners, never smaller than it is."""
    hull = shapely.MultiPoint(points).convex_hull
    plain = hull.simplify(SMOOTH)
    short = float(shapely.hausdorff_distance(hull, plain))
    grown = plain.buffer(short, join_style="mitre") if short > 0.0 else plain
    ring = np.asarray(shapely.geometry.polygon.orient(grown.convex_hull).exterior.coords)[:-1]
    return Outline(ring, group, load)


def place(outlines: Sequence[Outline], room: Room) -> tuple[Placement, ...] | None:
    """Every body on as few plates as are found; None where one fits on none by itself.

    Groups come one after the other. Of the orders that are tried within them that one is taken
    which needs the fewest plates, and then the least depth of the last.
    """
    shapes = [[_turned(each.corners, q) for q in QUARTERS] for each in outlines]
    if not all(any(_fits(c, room) for c in turns) for turns in shapes):
        return None
    kinds = _alike(outlines)
    table = _Forbidden(shapes, kinds, room.gap)
    best: tuple[tuple[float, ...], list[Placement]] | None = None
    for order, turns in _ways(outlines, kinds):
        made, cost = _laid(order, turns, outlines, shapes, table, room)
        if made is not None and (best is None or cost < best[0]):
            best = cost, made
    assert best is not None
    return tuple(sorted(best[1], key=lambda each: each.body))


def _fits(corners: Floats, room: Room) -> bool:
    wide, deep = np.ptp(corners, axis=0)
    spare = 2 * room.edge - HAIR
    return bool(wide + spare <= room.wide and deep + spare <= room.deep)


def _turned(corners: Floats, quarters: int) -> Floats:
    x, y = corners.T
    return np.column_stack(((x, y), (-y, x), (-x, -y), (y, -x))[quarters])


def _alike(outlines: Sequence[Outline]) -> list[int]:
    """A number for each body, the same for bodies of the very same outline."""
    seen: dict[bytes, int] = {}
    return [seen.setdefault(each.corners.tobytes(), len(seen)) for each in outlines]


def _ways(outlines: Sequence[Outline], kinds: Sequence[int]) -> Iterable[tuple[_Order, _Turns]]:
    """The orders that are tried, each with the groups one after the other, and how each body is
    turned in them; None for as it lies lowest."""
    every = range(len(outlines))
    size = [np.ptp(each.corners, axis=0) for each in outlines]
    keys: tuple[Callable[[int], float], ...] = (
        lambda k: -outlines[k].area,
        lambda k: -float(max(size[k])),
        lambda k: -float(min(size[k])),
        lambda k: -float(size[k].sum()),
        lambda k: -float(size[k][1]),
        lambda k: -float(size[k][0]),
    )
    found = [tuple(sorted(every, key=lambda k: (outlines[k].group, key(k), k))) for key in keys]
    if len(outlines) <= ALL_ORDERS:
        found += [
            tuple(sorted(order, key=lambda k: outlines[k].group)) for order in permutations(every)
        ]
    seen = set()
    for number, order in enumerate(found):
        told = tuple(kinds[k] for k in order)
        if told in seen:
            continue
        seen.add(told)
        yield order, None
        if len(outlines) <= ALL_ORDERS and number < len(keys):
            for turns in product(QUARTERS, repeat=len(outlines)):
                yield order, turns


class _Forbidden:
    """Where the origin of one body may not lie beside another that lies at its own origin."""

    def __init__(
        self, shapes: Sequence[Sequence[Floats]], kinds: Sequence[int], gap: Length
    ) -> None:
        self._shapes, self._kinds, self._gap = shapes, kinds, gap
        self._known: dict[tuple[int, int, int, int], Polygon] = {}

    def about(self, fixed: int, fixed_turn: int, moved: int, moved_turn: int) -> Polygon:
        """The polygon for two bodies by number, each turned."""
        key = (self._kinds[fixed], fixed_turn, self._kinds[moved], moved_turn)
        if key not in self._known:
            own, other = self._shapes[fixed][fixed_turn], self._shapes[moved][moved_turn]
            polygon = Polygon(_sum(own, -other))
            by = self._gap - HAIR
            self._known[key] = polygon.buffer(by, join_style="mitre", mitre_limit=2.0)
        return self._known[key]


def _sum(one: Floats, other: Floats) -> Floats:
    """Minkowski sum of two convex polygons, counterclockwise: their edges in the order of their
    directions."""
    starts = []
    edges = []
    for ring in (one, other):
        lowest = np.lexsort((ring[:, 0], ring[:, 1]))[0]
        ring = np.roll(ring, -lowest, axis=0)
        starts.append(ring[0])
        edges.append(np.roll(ring, -1, axis=0) - ring)
    every = np.vstack(edges)
    order = np.argsort(np.arctan2(every[:, 1], every[:, 0]) % (2 * np.pi), kind="stable")
    return np.asarray(starts[0] + starts[1] + np.cumsum(every[order], axis=0))


def _laid(
    order: _Order,
    turns: _Turns,
    outlines: Sequence[Outline],
    shapes: Sequence[Sequence[Floats]],
    table: _Forbidden,
    room: Room,
) -> tuple[list[Placement] | None, tuple[float, ...]]:
    """Bodies placed in an order, each on the first plate that has room for it, and what it costs:
    plates, and the depth taken of the last. None where one does not fit so turned."""
    plates: list[list[Placement]] = []
    loads: list[Floats] = []
    for body in order:
        load = outlines[body].load
        ways = QUARTERS if turns is None else (turns[body],)
        if not any(_fits(shapes[body][turn], room) for turn in ways):
            return None, ()
        for number in range(len(plates) + 1):
            if number == len(plates):
                plates.append([])
                loads.append(np.zeros(0))
            whole = _added(loads[number], load)
            # one that is too much by itself lies by itself
            if plates[number] and whole.max(initial=0.0) > room.most:
                continue
            found = _spot(body, ways, number, plates[number], shapes, table, room)
            if found is not None:
                plates[number].append(found)
                loads[number] = whole
                break
    depths = [
        max(each.y + float(shapes[each.body][each.quarters][:, 1].max()) for each in plate)
        for plate in plates
    ]
    widths = [
        max(each.x + float(shapes[each.body][each.quarters][:, 0].max()) for each in plate)
        for plate in plates
    ]
    every = [each for plate in plates for each in plate]
    return every, (len(plates), round(depths[-1], 6), round(widths[-1], 6))


def _added(one: Floats, other: Floats | None) -> Floats:
    if other is None:
        return one
    out = np.zeros(max(len(one), len(other)))
    out[: len(one)] += one
    out[: len(other)] += other
    return out


def _spot(
    body: int,
    ways: Sequence[int],
    number: int,
    there: Sequence[Placement],
    shapes: Sequence[Sequence[Floats]],
    table: _Forbidden,
    room: Room,
) -> Placement | None:
    """The foremost place of a body on a plate, of those the leftmost; None without room."""
    best: tuple[tuple[float, ...], Placement] | None = None
    for turn in ways:
        corners = shapes[body][turn]
        if not _fits(corners, room):
            continue
        low, high = corners.min(axis=0), corners.max(axis=0)
        left, lower = room.edge - low
        right, upper = room.wide - room.edge - high[0], room.deep - room.edge - high[1]
        box = shapely.box(left, lower, max(right, left + HAIR), max(upper, lower + HAIR))
        taken = [
            shapely.affinity.translate(
                table.about(each.body, each.quarters, body, turn), each.x, each.y
            )
            for each in there
        ]
        free = box.difference(shapely.union_all(taken)) if taken else box
        points = shapely.get_coordinates(free)
        if not len(points):
            continue
        tops = np.round(points[:, 1] + high[1], 6)
        rights = np.round(points[:, 0] + high[0], 6)
        k = int(np.lexsort((points[:, 0], rights, tops))[0])
        x, y = (round(float(c), 6) for c in points[k])
        cost = (float(tops[k]), float(rights[k]), float(turn))
        if best is None or cost < best[0]:
            best = cost, Placement(body, number, turn, x, y)
    return None if best is None else best[1]
