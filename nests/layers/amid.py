"""The point of a region that lies farthest amid its support.

It is the centre of a circle through three points of the support with none inside: a corner of
their Voronoi diagram. A rough layer has hundreds of thousands of such points; there squares that
are too near support to hold the centre are set aside first, and only the points about those that
are left are triangulated, some at a time.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from nests.layers.outlines import Flags, Floats
from nests.layers.support import Support
from nests.units import Length

FIRST = 64
"""Points amid support that are asked first how far from it they lie; then twice as many."""
CROWD = 20_000
"""Points of support beyond which squares are set aside first, and about how many are then
triangulated at a time."""
MANY = 1000
"""Points of support beyond which one in each `SQUARE` is enough."""
SQUARE: Length = 5e-3
"""Side in mm: the point farthest from support is found that well, its distance exactly."""


class Farthest:
    """The point of a region found farthest from support so far, and its distance in mm."""

    def __init__(self, region: Any, support: Support, points: Floats) -> None:
        """Begin with the farthest of points (n, 2) that lie in the region or on its edge."""
        self.region, self.support = region, support
        self.point, self.distance = points[0], -1.0
        self._take(points)
        shapely.prepare(region)

    def ask(self, points: Floats) -> None:
        """Take the farthest of points (n, 2) that lie in the region, if it lies farther."""
        inside = points[shapely.intersects_xy(self.region, points[:, 0], points[:, 1])]
        if len(inside):
            self._take(inside)

    def look_amid(self, samples: Floats) -> None:
        """Look at all points that lie alike from three samples (n, 2) of the support or more."""
        samples = _thinned(samples)
        for some in _about_rooms(self, samples) if len(samples) > CROWD else (samples,):
            amid, radius = _circumcentres(some)
            # none lies farther from support than its circle is wide: the widest first, and no more
            order = np.argsort(-radius, kind="stable")
            first, size = 0, FIRST
            while first < len(order) and radius[order[first]] > self.distance:
                self.ask(amid[order[first : first + size]])
                first, size = first + size, 2 * size

    def _take(self, points: Floats) -> None:
        distance, _ = self.support.nearest(points)
        best = int(np.argmax(distance))
        if distance[best] > self.distance:
            self.point, self.distance = points[best], float(distance[best])


def _thinned(points: Floats) -> Floats:
    """Of very many points one in each square of `SQUARE`: those of a rough layer's small arcs."""
    if len(points) <= MANY:
        return points
    column, row = np.floor((points - points.min(axis=0)) / SQUARE).astype(np.int64).T
    _, first = np.unique(column * (int(row.max()) + 1) + row, return_index=True)
    return points[np.sort(first)]


def _about_rooms(found: Farthest, samples: Floats) -> Iterator[Floats]:
    """The samples around squares that may hold a point farther than `found`, strip by strip.

    A circle about a point of a square is no wider than the one about its middle and half its
    diagonal. So all circles that are wanted are among those of the samples given, and the same.
    """
    from scipy.spatial import KDTree

    tree = KDTree(samples)
    half = float(np.ptp(samples, axis=0).max()) / 2.0
    middle = samples.min(axis=0)[None] + half
    while True:
        reach = half * math.sqrt(2.0)
        away = np.asarray(tree.query(middle)[0])
        found.ask(middle[away > found.distance])
        left: Flags = np.asarray(away + reach > found.distance)
        outside = np.flatnonzero(left & (away > reach))
        there = shapely.points(middle[outside])
        left[outside] = shapely.dwithin(found.region, there, reach)
        middle, away = middle[left], away[left]
        if reach <= found.distance / 2.0 or 4 * len(middle) > len(samples):
            break
        half /= 2.0
        corners = half * np.array(((-1, -1), (1, -1), (-1, 1), (1, 1)))
        middle = (middle[:, None] + corners).reshape(-1, 2)
    if not len(middle):
        return
    widest = float(away.max()) + reach
    share = np.linspace(0.0, 1.0, math.ceil(len(samples) / CROWD) + 1)[1:-1]
    strip = np.searchsorted(np.quantile(samples[:, 0], share), middle[:, 0])
    for number in range(len(share) + 1):
        here = middle[(strip == number) & (away + reach > found.distance)]
        if len(here):
            near, _ = KDTree(here).query(samples, distance_upper_bound=widest * (1.0 + 1e-9))
            yield samples[np.isfinite(near)]


def _circumcentres(points: Floats) -> tuple[Floats, Floats]:
    """Centres (n, 2) and radii of the circles round the triangles of a Delaunay triangulation."""
    try:
        triangles = shapely.delaunay_triangles(shapely.multipoints(points))
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
