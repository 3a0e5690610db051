"""How a region of overhang is carried by the layer around it, and over what distance.

A region is bounded by edges of the part, which are free, and by edges inside the layer, where it
hangs on what is supported. The measure is the distance from that support.

- *island*: no edge hangs on anything; the span is the diameter of the circle around it.
- *bridge*: the point farthest from support lies between supports, the nearest of which stand
  apart by a third of its horizon or more; the span is twice its distance, the diameter of the
  circle that fits between them: the clear width between two walls, the bore of a roofed hole.
- *cantilever*: the farthest point has its support on one side; the span is its distance.

A region that is partly the one and partly the other goes by its farthest point.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
import shapely

from nests.layers.amid import Farthest
from nests.layers.outlines import Flags, Floats, Ints
from nests.layers.support import BLOCK, Support
from nests.units import Length

ON_EDGE: Length = 1e-5
"""Distance in mm from the edge of the part within which an edge of a region is free."""
FINE = 1e-2
"""Slope of the distance along an edge that counts as level."""
SAMPLES = 400
"""Points, besides its corners, by which support is sampled to find what lies amid it."""
STEPS = 64
"""Free edges are sampled in steps of the diameter of the region over this."""
NEAREST = 0.05
"""Support is among the nearest when it is farther than the nearest by no more than this share."""
OPEN_HORIZON = math.radians(240.0)
"""Widest part of the horizon without nearest support for a point between supports: with less than
a third of it left, as in a corner of two walls, the supports do not face each other."""


class Carriage(StrEnum):
    """How a region is carried."""

    BRIDGE = "bridge"
    CANTILEVER = "cantilever"
    ISLAND = "island"


@dataclass(frozen=True)
class Held:
    """How a region is carried; `span` and `free_end`, the longest free end, in mm."""

    carried: Carriage
    span: Length
    free_end: Length


class PartEdge:
    """The edge of a layer's solid, ready to be asked for many regions."""

    def __init__(self, lines: Any) -> None:
        """Take lines, or several of them in one."""
        points, line = shapely.get_coordinates(shapely.get_parts(lines), return_index=True)
        on = np.flatnonzero(np.diff(line) == 0)
        # piece by piece: to search whole lines for the nearest of their points takes far longer
        self.tree = shapely.STRtree(shapely.linestrings(np.stack((points[on], points[on + 1]), 1)))

    def passes(self, points: Floats) -> Flags:
        """(n,) whether the edge passes within `ON_EDGE` of points (n, 2)."""
        found = np.zeros(len(points), dtype=np.bool_)
        for first in range(0, len(points), BLOCK):
            some = shapely.points(points[first : first + BLOCK])
            found[first + self.tree.query(some, "dwithin", ON_EDGE)[0]] = True
        return found


def carriage(region: Any, part_edge: PartEdge, reach: Length) -> Held:
    """How a polygon of overhang is carried.

    `part_edge` is that of the layer's solid; `reach` is how far the layer below was
    grown, which lies between the region and what truly carries it and is added to distances.
    """
    edges = _Edges.of(region)
    free = part_edge.passes((edges.start + edges.end) / 2.0)
    if np.all(free):
        across = 2.0 * float(shapely.minimum_bounding_radius(region))
        return Held(Carriage.ISLAND, across, across)
    support = Support(edges.start[~free], edges.end[~free])
    free_end = _free_end(region, edges, free, support)
    thin = 2.0 * shapely.area(region) < 2.0 * reach * shapely.length(region)
    if thin and free_end > 0.0:  # the strip that a leaning face adds in one layer
        return Held(Carriage.CANTILEVER, free_end + reach, free_end + reach)
    point, distance = _farthest(region, edges, free, support)
    end = free_end + reach if free_end > 0.0 else 0.0
    if _between(point, distance, support):
        return Held(Carriage.BRIDGE, 2.0 * (distance + reach), end)
    return Held(Carriage.CANTILEVER, distance + reach, distance + reach)


@dataclass(frozen=True, eq=False)
class _Edges:
    """Edges of a polygon: `start`, `end` (n, 2), and the edge before each."""

    start: Floats
    end: Floats
    before: Ints

    @staticmethod
    def of(polygon: Any) -> _Edges:
        points, ring = shapely.get_coordinates(shapely.get_rings(polygon), return_index=True)
        last = np.append(np.flatnonzero(np.diff(ring)), len(ring) - 1)
        inner = np.ones(len(points), dtype=np.bool_)
        inner[last] = False  # each ring closes on its first point
        index = np.flatnonzero(inner)
        first = np.append(True, np.diff(ring[index]) != 0)
        before = np.arange(len(index)) - 1
        before[first] = np.append(np.flatnonzero(first)[1:], len(index)) - 1
        return _Edges(points[index], points[index + 1], before)


def _free_end(region: Any, edges: _Edges, free: Flags, support: Support) -> Length:
    """Distance of the farthest corner between free edges past which nothing lies farther out.

    Along a straight free edge with support on one side the distance has no greatest value but
    at the ends of the edge, so corners are enough; between supports it has, and that is a
    bridge. Zero if there is no such corner.
    """
    corner = free & free[edges.before]
    points = edges.start[corner]
    if not len(points):
        return 0.0
    distance, foot = support.nearest(points)
    away = (points - foot) / np.maximum(distance, ON_EDGE)[:, None]
    onward = _unit(edges.end - edges.start)
    into, out_of = onward[edges.before][corner], onward[corner]
    farthest = np.einsum("ij,ij->i", away, into) > -FINE
    farthest &= np.einsum("ij,ij->i", away, out_of) < FINE
    beyond = points + away * np.minimum(0.01 * distance, 0.01)[:, None]
    shapely.prepare(region)
    farthest &= ~shapely.intersects_xy(region, beyond[:, 0], beyond[:, 1])
    for index in np.flatnonzero(farthest)[np.argsort(-distance[farthest])]:
        if not _between(points[index], float(distance[index]), support):
            return float(distance[index])
    return 0.0


def _unit(vectors: Floats) -> Floats:
    length = np.hypot(vectors[:, 0], vectors[:, 1])
    unit: Floats = vectors / np.where(length > 0.0, length, 1.0)[:, None]
    return unit


def _farthest(region: Any, edges: _Edges, free: Flags, support: Support) -> tuple[Floats, Length]:
    """The point of a region farthest from support, and its distance.

    The distance is greatest at a corner, on a free edge, or amid the support, which is sampled:
    that errs by the square of the step over 8·distance.
    """
    sides = shapely.linestrings(np.stack((edges.start[free], edges.end[free]), axis=1))
    across = 2.0 * float(shapely.minimum_bounding_radius(region))
    edge = shapely.get_coordinates(shapely.segmentize(sides, across / STEPS))
    found = Farthest(
        region,
        support,
        np.concatenate((edge, edges.start[free & free[edges.before]], edges.start[:1])),
    )
    length = np.hypot(support.along[:, 0], support.along[:, 1])
    step = max(float(length.sum()) / SAMPLES, ON_EDGE)
    long = length > step
    ends = support.start, support.start + support.along
    sides = shapely.linestrings(np.stack([each[long] for each in ends], axis=1))
    found.look_amid(
        np.concatenate((*ends, shapely.get_coordinates(shapely.segmentize(sides, step))))
    )
    return found.point, found.distance


def _between(point: Floats, distance: Length, support: Support) -> bool:
    """Whether the nearest support of a point stands apart by a third of its horizon or more."""
    far = distance * (1.0 + NEAREST)
    step = max(distance / 16, 1e-6)
    seen = shapely.get_coordinates(shapely.segmentize(support.within(point, far), step))
    seen = seen - point
    seen = seen[np.hypot(seen[:, 0], seen[:, 1]) <= far]
    if len(seen) < 2:
        return False
    bearing = np.sort(np.arctan2(seen[:, 1], seen[:, 0]))
    gaps = np.diff(bearing, append=bearing[0] + 2.0 * math.pi)
    return bool(gaps.max() <= OPEN_HORIZON)
