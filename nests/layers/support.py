"""Edges that carry a region of overhang, ready to be asked how far from them points lie."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from nests.layers.outlines import Floats, Ints
from nests.units import Length

RUN = 8
"""Edges that follow one another are kept as one line of so many at most: a line for each would
weigh 320 bytes, and whole outlines would take far longer to search."""
BLOCK = 50_000
"""Points asked at a time, so that memory does not grow with them."""


class Support:
    """Edges from `start` along `along` (n, 2), in mm."""

    def __init__(self, start: Floats, end: Floats) -> None:
        """Take the ends (n, 2) of edges, those of one outline in its order."""
        self.start, self.along = start, end - start
        self.lines, self._first = _runs(start, end)
        self._last = np.append(self._first[1:], len(start)) - 1
        self.tree = shapely.STRtree(self.lines)

    def nearest(self, points: Floats) -> tuple[Floats, Floats]:
        """Distance (n,) of points from the nearest support, and where on it (n, 2)."""
        distance, foot = np.empty(len(points)), np.empty((len(points), 2))
        for first in range(0, len(points), BLOCK):
            here = slice(first, first + BLOCK)
            distance[here], foot[here] = self._nearest(points[here])
        return distance, foot

    def _nearest(self, points: Floats) -> tuple[Floats, Floats]:
        run = self.tree.nearest(shapely.points(points))
        edge = np.minimum(self._first[run][:, None] + np.arange(RUN), self._last[run][:, None])
        start, along = self.start[edge], self.along[edge]
        length = np.einsum("ijk,ijk->ij", along, along)
        share = np.einsum("ijk,ijk->ij", points[:, None] - start, along)
        share /= np.where(length > 0.0, length, 1.0)
        feet = start + np.clip(share, 0.0, 1.0)[..., None] * along
        away = points[:, None] - feet
        distance = np.hypot(away[..., 0], away[..., 1])
        best = np.arange(len(points)), np.argmin(distance, axis=1)
        return distance[best], feet[best]

    def within(self, point: Floats, far: Length) -> NDArray[Any]:
        """Lines of the support that come within `far` mm of a point; they may go on farther."""
        near: NDArray[Any] = self.lines[self.tree.query(shapely.Point(point), "dwithin", far)]
        return near


def _runs(start: Floats, end: Floats) -> tuple[NDArray[Any], Ints]:
    """Lines of `RUN` edges or fewer that follow one another, and the first edge of each."""
    count = len(start)
    breaks = np.append(True, (end[:-1] != start[1:]).any(axis=1))
    begun = np.maximum.accumulate(np.where(breaks, np.arange(count), 0))
    first = np.flatnonzero((np.arange(count) - begun) % RUN == 0)
    edges = np.diff(first, append=count)
    run = np.repeat(np.arange(len(first)), edges)
    points = np.empty((count + len(first), 2))
    points[np.arange(count) + run] = start  # each run before has one point more than edges
    points[first + edges + np.arange(len(first))] = end[first + edges - 1]
    lines: NDArray[Any] = shapely.linestrings(
        points, indices=np.repeat(np.arange(len(first)), edges + 1)
    )
    return lines, first
