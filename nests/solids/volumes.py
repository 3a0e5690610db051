"""Volumes given by heights over a plan: upright prisms and level rods, and distances from them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from manifold3d import CrossSection
from numpy.typing import NDArray

from nests.solids.loops import circle
from nests.solids.solid import Solid, along, offset, pillar
from nests.units import Length

FINE: Length = 0.001
"""mm a chord of these solids may leave its arc, inward."""
ROUND = 128
"""Chords of a full turn where a plan is grown."""
FEW = 6
"""Points that are compared with every edge; more are put in order first."""

Floats: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True)
class Prism:
    """A volume with a plan, raised from `low` to `high`; `measuring` is its uncertainty, ± mm.

    `name` is what the sheet or a relief calls it, `words` what a sentence does; `bored` that a
    part makes room for it by a bore of its own.
    """

    name: str
    words: str
    plan: CrossSection
    low: Length
    high: Length
    measuring: Length
    bored: bool = False

    def solid(self) -> Solid:
        """The volume as the sheet gives it, nowhere outside it and within `FINE`."""
        return pillar(self.plan, self.low, self.high)

    def grown(self, sideways: Length, upright: Length) -> Solid:
        """The volume shifted anywhere within these distances, drawn round about."""
        out = (sideways + FINE) / math.cos(math.pi / ROUND)
        return pillar(offset(self.plan, out, ROUND), self.low - upright, self.high + upright)

    def distances(self, points: Floats) -> Floats:
        """Distance of points (n, 3) from the volume, mm; 0 inside."""
        beside = plan_distances(self.plan, points[:, :2])
        above = np.maximum(np.maximum(self.low - points[:, 2], points[:, 2] - self.high), 0.0)
        return np.hypot(beside, above)


@dataclass(frozen=True)
class Rod:
    """A level rod that leaves the workpiece at holder angle `angle` (rad), axis at height `z`."""

    words: str
    angle: float
    inner: Length
    outer: Length
    z: Length
    diameter: Length
    measuring: Length
    bored: bool = False

    def solid(self) -> Solid:
        """The rod."""
        return self._lying(self.diameter, 0.0, 0.0)

    def grown(self, sideways: Length, upright: Length) -> Solid:
        """The rod shifted anywhere within these distances."""
        return self._lying(self.diameter + 2 * FINE, sideways, upright)

    def _lying(self, diameter: Length, sideways: Length, upright: Length) -> Solid:
        ring = circle(diameter, FINE).bore(0.0)
        at = [(x, y) for x in (-sideways, sideways) for y in (-upright, upright)]
        section = CrossSection.hull_points(np.vstack([ring + np.array(each) for each in at]))
        rod = section.extrude(self.outer - self.inner + 2 * sideways)
        laid = np.array([[0, 0, 1, self.inner - sideways], [1, 0, 0, 0], [0, 1, 0, self.z]])
        return along(rod.transform(laid), self.angle)

    def distances(self, points: Floats) -> Floats:
        """Distance of points (n, 3) from the rod, mm; 0 inside."""
        c, s = math.cos(self.angle), math.sin(self.angle)
        forth, aside = points[:, :2] @ (c, s), points[:, :2] @ (-s, c)
        beyond = np.maximum(np.maximum(self.inner - forth, forth - self.outer), 0.0)
        radial = np.maximum(np.hypot(aside, points[:, 2] - self.z) - self.diameter / 2, 0.0)
        return np.hypot(beyond, radial)


Volume: TypeAlias = Prism | Rod


def plan_distances(plan: CrossSection, points: Floats) -> Floats:
    """Distance of points (n, 2) from a plan, mm; 0 inside."""
    rings = plan.to_polygons()
    edges = shapely.multilinestrings([shapely.linestrings(_closed(ring)) for ring in rings])
    away = shapely.distance(edges, shapely.points(points))
    return np.where(_crossings(rings, points) % 2 == 1, 0.0, away)


def _closed(ring: Floats) -> Floats:
    return np.concatenate((ring, ring[:1]))


def _level(a: Floats, b: Floats, y: Floats) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Every point of height y (n,) with every edge from height a to b (m,) that passes it there."""
    if len(y) <= FEW:
        point, edge = np.nonzero((a <= y[:, None]) != (b <= y[:, None]))
        return point, edge
    # those that an edge passes are beside each other in their order by height
    order = np.argsort(y, kind="stable")
    first = np.searchsorted(y[order], np.minimum(a, b))
    count = np.searchsorted(y[order], np.maximum(a, b)) - first
    edge = np.repeat(np.arange(len(a)), count)
    place = np.arange(len(edge)) + np.repeat(first - np.cumsum(count) + count, count)
    return order[place], edge


def _crossings(rings: Sequence[Floats], points: Floats) -> NDArray[np.int64]:
    """How many edges of all rings a ray from each of the points (n, 2) to +x crosses; an odd number
    from inside."""
    a = np.vstack(rings)
    b = np.vstack([part for ring in rings for part in (ring[1:], ring[:1])])
    point, edge = _level(a[:, 1], b[:, 1], points[:, 1])
    share = (points[point, 1] - a[edge, 1]) / (b[edge, 1] - a[edge, 1])
    beyond = a[edge, 0] + share * (b[edge, 0] - a[edge, 0]) > points[point, 0]
    return np.bincount(point[beyond], minlength=len(points))
