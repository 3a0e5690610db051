"""Closed edges drawn with straight chords, and the chord error.

A bore is drawn *round about* its circle and a shaft *inside* it, both never farther off than the
chord error, so facets never steal clearance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from nests.places import Frame, Place, Points
from nests.units import BadInput, Length
from nests.zones import Outline, Path, Round


def segments(radius: Length, chord: Length) -> int:
    """Number of chords that keeps a circle within `chord` mm either way; a multiple of four.

    Sagitta of an inscribed chord: r·(1 - cos(π/n)); of a circumscribed one: r·(1/cos(π/n) - 1),
    the larger of the two.
    """
    if radius <= chord:
        return 8
    return max(8, 4 * math.ceil(math.pi / math.acos(radius / (radius + chord)) / 4))


SHARPEST = 0.05
"""1 + cosine between the normals of two edges that still meet in a mitre: a corner of 18°."""


@dataclass(frozen=True)
class Loop:
    """The closed edge of an outline, from which parallel rings are drawn.

    Every ring of a loop has the same number of points, so rings can be lofted. `corners` is
    (n, 2) and `normals` (n, 2): a ring at offset d is corners + d·normals; an outline with arcs
    has one set for bores and one for shafts.
    """

    bore_corners: Points
    bore_normals: Points
    shaft_corners: Points
    shaft_normals: Points

    def bore(self, offset: Length) -> Points:
        """Ring at `offset` outside the outline that never lies inside the true curve."""
        return self.bore_corners + offset * self.bore_normals

    def shaft(self, offset: Length) -> Points:
        """Ring at `offset` outside the outline that never lies outside the true curve."""
        return self.shaft_corners + offset * self.shaft_normals


def circle(diameter: Length, chord: Length, reach: Length = 0.0, at: Place | None = None) -> Loop:
    """Loop of a circle; rings up to `reach` outside it stay within the chord error."""
    radius = diameter / 2
    count = segments(radius + max(reach, 0.0), chord)
    turn = np.arange(count) * (2 * math.pi / count)
    unit = np.column_stack((np.cos(turn), np.sin(turn)))
    wide = unit / math.cos(math.pi / count)
    middle = np.array((at.x, at.y)) if at else np.zeros(2)
    return Loop(middle + radius * wide, wide, middle + radius * unit, unit)


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

    def beyond(edge: _Edge) -> float:
        """How far past an edge the ray goes, in turn about the axis; negative if it meets it."""
        first, last = (math.atan2(end[1], end[0]) for end in (edge.start, edge.end))
        return (angle - first) % math.tau - (last - first) % math.tau

    edge = min(_path_edges(outline, frame), key=beyond)
    x, y = edge.normal_along(np.array((math.cos(angle), math.sin(angle))))
    return math.atan2(y, x)


def _path_edges(path: Path, frame: Frame) -> list[_Edge]:
    """The edges of a path in the holder frame, counterclockwise."""
    corners = frame.points(np.array([(c.at.x, c.at.y) for c in path.corners]))
    radii = [c.radius for c in path.corners]
    if signed_area(corners) < 0:  # walk round counterclockwise; each radius belongs to its own edge
        corners = corners[::-1]
        radii = [*radii[-2::-1], radii[-1]]
    return [_edge(corners[i], corners[(i + 1) % len(corners)], radii[i]) for i in range(len(radii))]


def _path_loop(path: Path, frame: Frame, chord: Length, reach: Length) -> Loop:
    bores: list[tuple[Points, Points]] = []
    shafts: list[tuple[Points, Points]] = []
    edges = _path_edges(path, frame)
    for index, edge in enumerate(edges):
        before = edges[index - 1]
        first, second = before.normal(1.0), edge.normal(0.0)
        meeting = 1.0 + float(first @ second)
        if meeting < SHARPEST:
            x, y = edge.start
            raise BadInput(
                f"the outline turns back on itself at x {x:.2f}, y {y:.2f} mm; a corner of "
                "at least 18° is needed."
            )
        joint = (first + second) / meeting  # mitre of the two tangents
        at = (edge.start[None], joint[None])
        bores.append(at)
        shafts.append(at)
        if edge.radius is not None:
            bores.append(edge.sampled(chord, reach, round_about=True))
            shafts.append(edge.sampled(chord, reach, round_about=False))
    return Loop(*_joined(bores), *_joined(shafts))


def _joined(pieces: list[tuple[Points, Points]]) -> tuple[Points, Points]:
    return np.vstack([p for p, _ in pieces]), np.vstack([n for _, n in pieces])


@dataclass(frozen=True)
class _Edge:
    start: Points
    end: Points
    radius: Length | None
    centre: Points
    first: float
    sweep: float

    def normal(self, share: float) -> Points:
        """Outward unit normal at a share of the way."""
        if self.radius is None:
            dx, dy = (self.end - self.start) / np.linalg.norm(self.end - self.start)
            return np.array((dy, -dx))
        angle = self.first + share * self.sweep
        return np.array((math.cos(angle), math.sin(angle)))

    def normal_along(self, ray: Points) -> Points:
        """Outward normal where a ray from the origin along a unit vector meets this edge."""
        if self.radius is None:
            return self.normal(0.0)
        across = float(ray @ self.centre)
        far = across + math.sqrt(
            max(self.radius**2 - float(self.centre @ self.centre) + across**2, 0.0)
        )
        return far * ray - self.centre

    def sampled(self, chord: Length, reach: Length, round_about: bool) -> tuple[Points, Points]:
        assert self.radius is not None
        whole = segments(self.radius + max(reach, 0.0), chord)
        count = max(1, math.ceil(whole * self.sweep / (2 * math.pi)))
        step = self.sweep / count
        at = np.arange(count) + 0.5 if round_about else np.arange(1, count)
        angle = self.first + at * step
        normals = np.column_stack((np.cos(angle), np.sin(angle)))
        if round_about:  # corners of the tangents at the ends of each step
            normals = normals / math.cos(step / 2)
        return self.centre + self.radius * normals, normals


def _edge(start: Points, end: Points, radius: Length | None) -> _Edge:
    if radius is None:
        return _Edge(start, end, None, start, 0.0, 0.0)
    half = float(np.linalg.norm(end - start)) / 2
    along = (end - start) / (2 * half)
    inward = np.array((-along[1], along[0]))
    centre = (start + end) / 2 + inward * math.sqrt(max(radius**2 - half**2, 0.0))
    first = math.atan2(*(start - centre)[::-1])
    return _Edge(start, end, radius, centre, first, 2 * math.asin(min(1.0, half / radius)))


def signed_area(points: Points) -> float:
    """Area in mm² inside a closed ring (n, 2), positive if it runs counterclockwise (shoelace)."""
    x, y = points.T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
