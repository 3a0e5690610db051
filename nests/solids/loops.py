"""Closed edges drawn with straight chords, and the chord error.

A bore is drawn *round about* its circle and a shaft *inside* it, both never farther off than the
chord error, so facets never steal clearance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

import numpy as np

from nests.given.zones import Outline, Path, Round
from nests.places import Frame, Place, Points
from nests.solids.path_rings import Edge, edge, ring
from nests.units import BadInput, Length


def segments(radius: Length, chord: Length) -> int:
    """Number of chords that keeps a circle within `chord` mm either way; a multiple of four.

    Sagitta of an inscribed chord: r·(1 - cos(π/n)); of a circumscribed one: r·(1/cos(π/n) - 1),
    the larger of the two.
    """
    if radius <= chord:
        return 8
    return max(8, 4 * math.ceil(math.pi / math.acos(radius / (radius + chord)) / 4))


SAME_PLACE: Length = 1e-6
"""mm between two places that are one."""
SHARPEST = 0.05
"""1 + cosine between the normals of two edges that still meet in a mitre: a corner of 18°."""


class Loop(Protocol):
    """The closed edge of an outline, from which parallel rings are drawn.

    Every ring of a loop has the same number of points, so rings can be lofted.
    """

    def bore(self, offset: Length) -> Points:
        """Ring at `offset` outside the outline that never lies inside the true curve."""

    def shaft(self, offset: Length) -> Points:
        """Ring at `offset` outside the outline that never lies outside the true curve."""


@dataclass(frozen=True)
class CircleLoop:
    """The edge of a circle: `unit` (n, 2) are the directions of its corners."""

    middle: Points
    radius: Length
    unit: Points

    def bore(self, offset: Length) -> Points:
        """Corners of the tangents."""
        wide = self.unit / math.cos(math.pi / len(self.unit))
        return self.middle + (self.radius + offset) * wide

    def shaft(self, offset: Length) -> Points:
        """Corners on the circle."""
        return self.middle + (self.radius + offset) * self.unit


@dataclass(frozen=True, eq=False)
class PathLoop:
    """The edge of a path of lines and arcs; `counts` are chords of each edge, 1 of a line. Its
    rings are those of `path_rings`, which know corners; they are worked out once and read-only."""

    edges: tuple[Edge, ...]
    counts: tuple[int, ...]

    def bore(self, offset: Length) -> Points:
        """Arcs drawn by their tangents."""
        return _ring(self, offset, round_about=True)

    def shaft(self, offset: Length) -> Points:
        """Arcs drawn by chords."""
        return _ring(self, offset, round_about=False)


@lru_cache(maxsize=1024)
def _ring(of: PathLoop, offset: Length, *, round_about: bool) -> Points:
    found = ring(of.edges, of.counts, offset, round_about=round_about)
    found.flags.writeable = False
    return found


def circle(diameter: Length, chord: Length, reach: Length = 0.0, at: Place | None = None) -> Loop:
    """Loop of a circle; rings up to `reach` outside it stay within the chord error."""
    radius = diameter / 2
    count = segments(radius + max(reach, 0.0), chord)
    turn = np.arange(count) * (2 * math.pi / count)
    unit = np.column_stack((np.cos(turn), np.sin(turn)))
    middle = np.array((at.x, at.y)) if at else np.zeros(2)
    return CircleLoop(middle, radius, unit)


def loop(outline: Outline, frame: Frame, chord: Length, reach: Length) -> Loop:
    """Loop of an outline in the holder frame."""
    if isinstance(outline, Round):
        return circle(outline.diameter, chord, reach)
    assert isinstance(outline, Path)
    return _path_loop(outline, frame, chord, reach)


def normal_angle(outline: Outline, frame: Frame, angle: float) -> float:
    """Holder angle (rad) of the outward normal where a ray from the axis leaves an outline."""
    if isinstance(outline, Round):
        return angle
    assert isinstance(outline, Path)

    def beyond(edge: Edge) -> float:
        """How far past an edge the ray goes, in turn about the axis; negative if it meets it."""
        first, last = (math.atan2(end[1], end[0]) for end in (edge.start, edge.end))
        return (angle - first) % math.tau - (last - first) % math.tau

    ray = np.array((math.cos(angle), math.sin(angle)))
    # a flank of a notch may be walked backward about the axis; then what lies farthest out counts
    ahead = [each for each in _path_edges(outline, frame) if not each.runs_back]
    met = [each for each in ahead if beyond(each) <= 0.0]
    if len(met) > 1:
        farthest = max(each.met(ray) for each in met)
        ahead = [each for each in met if each.met(ray) > farthest - SAME_PLACE]
    edge = min(ahead, key=beyond)
    x, y = edge.normal_along(ray)
    return math.atan2(y, x)


def _path_edges(path: Path, frame: Frame) -> list[Edge]:
    """The edges of a path in the holder frame, counterclockwise."""
    corners = frame.points(np.array([(c.at.x, c.at.y) for c in path.corners]))
    radii = [c.radius for c in path.corners]
    if signed_area(corners) < 0:  # walk round counterclockwise; each radius belongs to its own edge
        corners = corners[::-1]
        radii = [*radii[-2::-1], radii[-1]]
    return [edge(corners[i], corners[(i + 1) % len(corners)], radii[i]) for i in range(len(radii))]


@lru_cache(maxsize=64)
def _path_loop(path: Path, frame: Frame, chord: Length, reach: Length) -> PathLoop:
    edges = _path_edges(path, frame)
    for index, each in enumerate(edges):
        if 1.0 + float(edges[index - 1].normal(1.0) @ each.normal(0.0)) < SHARPEST:
            x, y = each.start
            raise BadInput(
                f"the outline turns back on itself at x {x:.2f}, y {y:.2f} mm; a corner of "
                "at least 18° is needed."
            )
    counts = tuple(_chords(each, chord, reach) for each in edges)
    return PathLoop(tuple(edges), counts)


def _chords(each: Edge, chord: Length, reach: Length) -> int:
    """How many chords keep an arc within the chord error, out to `reach` mm beyond it."""
    if each.radius is None:
        return 1
    whole = segments(each.radius + max(reach, 0.0), chord)
    return max(1, math.ceil(whole * each.sweep / (2 * math.pi)))


def signed_area(points: Points) -> float:
    """Area in mm² inside a closed ring (n, 2), positive if it runs counterclockwise (shoelace)."""
    x, y = points.T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
