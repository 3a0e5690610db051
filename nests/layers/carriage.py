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
from numpy.typing import NDArray

from nests.layers.outlines import Flags, Floats, Ints
from nests.units import Length

ON_EDGE: Length = 1e-5
"""Distance in mm from the edge of the part within which an edge of a region is free."""
FINE = 1e-2
"""Slope of the distance along an edge that counts as level."""
SAMPLES = 400
"""Points, besides its corners, by which support is sampled to find what lies amid it."""
FIRST = 64
"""Points amid support that are asked first how far from it they lie; then twice as many."""
BLOCK = 50_000
"""Points asked at a time, so that memory does not grow with them."""
MANY = 1000
"""Points of support beyond which one in each `SQUARE` is enough."""
SQUARE: Length = 5e-3
"""Side in mm: the point farthest from support is found that well, its distance exactly."""
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
    support = _Support(edges.start[~free], edges.end[~free])
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


class _Support:
    """Edges that carry, and the distance from them."""

    def __init__(self, start: Floats, end: Floats) -> None:
        self.start, self.along = start, end - start
        self.lines = shapely.linestrings(np.stack((start, end), axis=1))
        self.tree = shapely.STRtree(self.lines)

    def nearest(self, points: Floats) -> tuple[Floats, Floats]:
        """Distance (n,) of points from the nearest support, and where on it (n, 2)."""
        edge = self.tree.nearest(shapely.points(points))
        start, along = self.start[edge], self.along[edge]
        length = np.einsum("ij,ij->i", along, along)
        share = np.einsum("ij,ij->i", points - start, along) / np.where(length > 0.0, length, 1.0)
        foot = start + np.clip(share, 0.0, 1.0)[:, None] * along
        return np.hypot(*(points - foot).T), foot


def _free_end(region: Any, edges: _Edges, free: Flags, support: _Support) -> Length:
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


def _farthest(region: Any, edges: _Edges, free: Flags, support: _Support) -> tuple[Floats, Length]:
    """The point of a region farthest from support, and its distance.

    The distance is greatest at a corner, on a free edge, or amid the support: there at the
    centre of a circle through three points of it with none inside, a corner of its Voronoi
    diagram. Support is sampled, which errs by the square of the step over 8·distance.
    """
    sides = shapely.linestrings(np.stack((edges.start[free], edges.end[free]), axis=1))
    across = 2.0 * float(shapely.minimum_bounding_radius(region))
    edge = shapely.get_coordinates(shapely.segmentize(sides, across / STEPS))
    points = np.concatenate((edge, edges.start[free & free[edges.before]], edges.start[:1]))
    distance, _ = support.nearest(points)
    best = int(np.argmax(distance))
    point, farthest = points[best], float(distance[best])
    length = np.hypot(support.along[:, 0], support.along[:, 1])
    step = max(float(length.sum()) / SAMPLES, ON_EDGE)
    long = shapely.get_coordinates(shapely.segmentize(support.lines[length > step], step))
    ends = (support.start, support.start + support.along)
    amid, radius = _circumcentres(_thinned(np.concatenate((*ends, long))))
    # none lies farther from support than its circle is wide: the widest first, and no more
    order = np.argsort(-radius, kind="stable")
    shapely.prepare(region)
    first, size = 0, FIRST
    while first < len(order) and radius[order[first]] > farthest:
        asked = amid[order[first : first + size]]
        asked = asked[shapely.intersects_xy(region, asked[:, 0], asked[:, 1])]
        if len(asked):
            distance, _ = support.nearest(asked)
            best = int(np.argmax(distance))
            if distance[best] > farthest:
                point, farthest = asked[best], float(distance[best])
        first, size = first + size, 2 * size
    return point, farthest


def _thinned(points: Floats) -> Floats:
    """Of very many points one in each square of `SQUARE`: those of a rough layer's small arcs."""
    if len(points) <= MANY:
        return points
    column, row = np.floor((points - points.min(axis=0)) / SQUARE).astype(np.int64).T
    _, first = np.unique(column * (int(row.max()) + 1) + row, return_index=True)
    return points[np.sort(first)]


def _circumcentres(points: Floats) -> tuple[Floats, Floats]:
    """Centres (n, 2) and radii of the circles round the triangles of a Delaunay triangulation."""
    try:
        triangles = shapely.get_parts(shapely.delaunay_triangles(shapely.multipoints(points)))
        corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)
    except shapely.errors.GEOSException:  # lost its way among points as near as a rounding
        from scipy.spatial import Delaunay

        points = np.unique(points, axis=0)
        corners = points[Delaunay(points).simplices]
    first, second, third = (corners[:, k] for k in range(3))
    one, two = second - first, third - first
    doubled = 2.0 * (one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    whole = np.abs(doubled) > 0.0
    one, two, doubled = one[whole], two[whole], doubled[whole]
    one_square, two_square = (np.einsum("ij,ij->i", each, each) for each in (one, two))
    offset = np.column_stack(
        (
            two[:, 1] * one_square - one[:, 1] * two_square,
            one[:, 0] * two_square - two[:, 0] * one_square,
        )
    )
    offset /= doubled[:, None]
    return first[whole] + offset, np.hypot(offset[:, 0], offset[:, 1])


def _between(point: Floats, distance: Length, support: _Support) -> bool:
    """Whether the nearest support of a point stands apart by a third of its horizon or more."""
    far = distance * (1.0 + NEAREST)
    near = support.lines[support.tree.query(shapely.Point(point), "dwithin", far)]
    seen: NDArray[Any] = shapely.get_coordinates(shapely.segmentize(near, max(distance / 16, 1e-6)))
    seen = seen - point
    seen = seen[np.hypot(seen[:, 0], seen[:, 1]) <= far]
    if len(seen) < 2:
        return False
    bearing = np.sort(np.arctan2(seen[:, 1], seen[:, 0]))
    gaps = np.diff(bearing, append=bearing[0] + 2.0 * math.pi)
    return bool(gaps.max() <= OPEN_HORIZON)
