"""What places are measured from: the edge, other places, the ⌀s that jaws lie on; and what each
distance ought to read of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from nests.measuring.network import STATED, Reading, Vector
from nests.measuring.written_place import EDGE, Span, Written
from nests.places import Place, at_hour
from nests.units import BadInput, Hour, Length

ASIDE: Length = 0.05
"""mm beside the line of two middles from which a place is looked for where two circles do not
meet."""
AXIS = {0.0: 1, 6.0: 1, 3.0: 0, 9.0: 0}
"""Which half of an oblong edge lies along an hour; at all others it is not straight across."""


@dataclass(frozen=True)
class Sized:
    """A size that was read, and its stated ±, mm."""

    value: Length
    doubt: Length

    @property
    def deviation(self) -> Length:
        """Standard deviation; a stated 0 is taken as a tenth of a µm."""
        return max(self.doubt, 1e-4) / STATED


@dataclass(frozen=True)
class Edge:
    """The edge of the workpiece: half of its ⌀, or half its lengths from 3 h to 9 h and from 12 h
    to 6 h."""

    halves: tuple[Sized, ...]


@dataclass(frozen=True)
class ToPlace:
    """A thing to be placed: what was written, its stated ±, its ⌀, and the hour it is nearest to
    where two places suit what was read."""

    written: Written
    doubt: Length
    across: Sized | None = None
    near: Hour | None = None


@dataclass(frozen=True)
class Trace:
    """Where one distance by itself allows a place: a circle about x, y, or without a radius the
    line at `far` mm along the ray x, y."""

    x: float
    y: float
    radius: Length | None = None
    far: Length = 0.0


@dataclass
class Ground:
    """The unknowns of all in one row: halves of the edge, places, ⌀s."""

    edge: Edge
    things: Mapping[str, ToPlace]
    start: list[float] = field(default_factory=list)
    known: list[Reading] = field(default_factory=list)
    at: dict[tuple[str, str], int] = field(default_factory=dict)

    def put(self, kind: str, name: str, size: Sized) -> None:
        """One more unknown that was read itself."""
        index = self.at[kind, name] = len(self.start)
        self.start.append(size.value)
        self.known.append(Reading(name, size.value, size.deviation, lambda v: float(v[index])))

    def ought(self, span: Span, name: str, where: int) -> Reading:
        """What a distance of a thing, whose x stands at `where`, ought to read."""
        to = self.at.get(("place", span.to))
        self._require_edge(span)
        halves = [self.at["edge", str(k)] for k in range(len(self.edge.halves))]
        jaw = [] if span.jaws == "from" else [name] if span.to == EDGE else [name, span.to]
        widths = [self.at["across", each] for each in jaw]
        sign = -0.5 if span.jaws == "between" else 0.5

        ray = at_hour(span.along or 0.0, 1.0)
        half = halves[0] if len(halves) == 1 else halves[AXIS.get((span.along or 0.0) % 12.0, 0)]

        def reads(v: Vector) -> float:
            x, y = v[where], v[where + 1]
            if span.to != EDGE:
                assert to is not None
                way = math.hypot(x - v[to], y - v[to + 1])
            elif span.along is None:
                way = v[half] - math.hypot(x, y)
            else:
                way = v[half] - (x * ray.x + y * ray.y)
            return float(way + sign * math.fsum(v[k] for k in widths))

        deviation = max(self.things[name].doubt, 1e-4) / STATED
        return Reading(span.says, span.reading, deviation, reads)

    def trace(self, span: Span, name: str) -> Trace:
        """Where a distance allows a thing, by the sizes as they were read."""
        jaw = [] if span.jaws == "from" else [name] if span.to == EDGE else [name, span.to]
        half = math.fsum(self.start[self.at["across", each]] for each in jaw) / 2.0
        way = max(span.reading + (half if span.jaws == "between" else -half), 0.0)
        if span.to != EDGE:
            where = self.at["place", span.to]
            return Trace(self.start[where], self.start[where + 1], way)
        if span.along is None:
            return Trace(0.0, 0.0, max(self.edge.halves[0].value - way, 0.0))
        ray, oblong = at_hour(span.along, 1.0), len(self.edge.halves) > 1
        half_way = self.edge.halves[AXIS[span.along % 12.0] if oblong else 0].value
        return Trace(ray.x, ray.y, None, half_way - way)

    def _require_edge(self, span: Span) -> None:
        """Raise `BadInput` for a distance from an oblong edge that says no side of it."""
        oblong = len(self.edge.halves) > 1
        if span.to == EDGE and oblong and (span.along is None or span.along % 12.0 not in AXIS):
            raise BadInput(
                f"'{span.says}' is read from an edge that is not round; say which side of it: edge "
                "at 3 h, 6 h, 9 h or 12 h."
            )


def crossings(one: Trace, two: Trace) -> list[Place]:
    """Where two of circles and lines cross; of those that do not meet, places to either side of
    where they come nearest. Closed forms of any textbook of plane geometry."""
    if one.radius is None and two.radius is None:
        turn = one.x * two.y - one.y * two.x
        if abs(turn) < 1e-9:
            return []
        x = (one.far * two.y - two.far * one.y) / turn
        return [Place(x, (one.x * two.far - two.x * one.far) / turn)]
    if one.radius is None:
        one, two = two, one
    if two.radius is None:  # one is a circle
        ray, way = (two.x, two.y), two.far - (two.x * one.x + two.y * one.y)
    else:
        apart = math.hypot(two.x - one.x, two.y - one.y)
        if apart < 1e-9:
            return []
        ray = (two.x - one.x) / apart, (two.y - one.y) / apart
        way = (apart**2 + (one.radius or 0.0) ** 2 - two.radius**2) / (2.0 * apart)
    reach = (one.radius or 0.0) ** 2 - way**2
    half = math.sqrt(reach) if reach > 0.0 else ASIDE
    foot = one.x + way * ray[0], one.y + way * ray[1]
    return [Place(foot[0] - s * half * ray[1], foot[1] + s * half * ray[0]) for s in (1.0, -1.0)]
