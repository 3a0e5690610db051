"""Thin grip on manifold3d: loops, lofts, channels, and the chord error.

A round thing is drawn with straight chords. A bore is drawn *round about* its circle and a shaft
*inside* it, both never farther off than the chord error, so facets never steal clearance.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from manifold3d import CrossSection, Manifold, Mesh64, OpType, triangulate
from numpy.typing import NDArray

from nests.places import Frame, Place, Points
from nests.sheet import Disc, Outline, Path, Polygon, Ring, Round, Sector, Zone
from nests.units import BadInput, Length

Solid: TypeAlias = Manifold
OVER: Length = 1.0
"""How far a cut runs out past the face it opens, so that no two faces coincide."""


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
    if _turn(corners) < 0:  # walk round counterclockwise; each radius belongs to its own edge
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


def _turn(points: Points) -> float:
    x, y = points.T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2


def loft(rings: Sequence[tuple[Points, Length]]) -> Solid:
    """Solid between rings of equal point count, each (points, z), closed at both ends.

    Follow the profile from the lowest ring to the highest; equal z makes a level step. The
    first and last ring are closed by a level face.
    """
    count = len(rings[0][0])
    points = np.vstack([np.column_stack((xy, np.full(count, z))) for xy, z in rings])
    first = np.arange(count)
    following = np.roll(first, -1)
    bands = []
    for level in range(len(rings) - 1):
        low, high = level * count, (level + 1) * count
        bands.append(np.column_stack((low + first, low + following, high + following)))
        bands.append(np.column_stack((low + first, high + following, high + first)))
    bottom = np.asarray(triangulate([rings[0][0]]), dtype=np.int64)
    top = np.asarray(triangulate([rings[-1][0]]), dtype=np.int64)
    faces = np.vstack([bottom[:, ::-1], *bands, top + (len(rings) - 1) * count])
    return Manifold(Mesh64(points, faces.astype(np.uint64)))


def turned(
    diameter_heights: Sequence[tuple[Length, Length]],
    chord: Length,
    *,
    bore: bool = False,
    at: Place | None = None,
) -> Solid:
    """Solid of revolution through (⌀, z) from bottom to top, as a shaft or as a bore."""
    largest = max(d for d, _ in diameter_heights)
    ring = circle(largest, chord, at=at)
    draw = ring.bore if bore else ring.shaft
    return loft([(draw((d - largest) / 2), z) for d, z in diameter_heights])


def block(
    hour_angle: float, inner: Length, outer: Length, width: Length, low: Length, high: Length
) -> Solid:
    """Radial block along a holder angle (rad) from `inner` to `outer` radius, `width` across."""
    box = Manifold.cube((outer - inner, width, high - low))
    return along(box.translate((inner, -width / 2, low)), hour_angle)


def along(solid: Solid, hour_angle: float) -> Solid:
    """Turn a solid drawn along +x to a holder angle in radians."""
    return solid.rotate((0.0, 0.0, math.degrees(hour_angle)))


def gable(
    inner: Length, outer: Length, width: Length, low: Length, wall: Length, rise: float
) -> Solid:
    """Channel along +x from `inner` to `outer` with upright walls and a pointed roof.

    The roof climbs `rise` mm per mm of run, so that nothing hangs level: the walls are `wall`
    high from `low`, and the ridge lies `rise`·`width`/2 above them.
    """
    half = width / 2
    profile = [
        (-half, low),
        (half, low),
        (half, low + wall),
        (0.0, low + wall + rise * half),
        (-half, low + wall),
    ]
    if wall <= 0.0:
        profile = [(-half, low), (half, low), (0.0, low + rise * half)]
    standing = CrossSection([profile]).extrude(outer - inner)
    # extrude runs along z; lay it down: (x, y, z) -> (z, x, y)
    return standing.transform(np.array([[0, 0, 1, inner], [1, 0, 0, 0], [0, 1, 0, 0.0]]))


def lying_bore(
    inner: Length, outer: Length, diameter: Length, z: Length, rise: float, chord: Length
) -> Solid:
    """Level bore along +x whose roof is drawn out to a point, so that it prints without sag."""
    ring = circle(diameter, chord).bore(0.0)
    lean = math.atan(1.0 / rise)
    radius = diameter / 2
    side, up = radius * math.cos(lean), radius * math.sin(lean)
    tip = np.array([(side, up), (0.0, up + side * rise), (-side, up)])
    profile = CrossSection.hull_points(np.vstack((ring, tip)))
    lying = profile.extrude(outer - inner)
    return lying.transform(np.array([[0, 0, 1, inner], [1, 0, 0, 0], [0, 1, 0, z]]))


def area(zone: Zone, frame: Frame, chord: Length) -> CrossSection:
    """A zone in plan, in the holder frame, within the chord error inside its true edge."""
    if isinstance(zone, Disc):
        at = frame.place(zone.centre)
        return CrossSection([circle(zone.diameter, chord, at=at).shaft(0.0)])
    if isinstance(zone, Ring):
        at = frame.place(zone.centre)
        outer = CrossSection([circle(zone.outer, chord, at=at).shaft(0.0)])
        if zone.inner <= 0.0:
            return outer
        return outer - CrossSection([circle(zone.inner, chord, at=at).bore(0.0)])
    if isinstance(zone, Sector):
        return _sector(zone, frame, chord)
    assert isinstance(zone, Polygon)
    corners = frame.points(np.array([(c.x, c.y) for c in zone.corners]))
    return CrossSection([corners if _turn(corners) > 0 else corners[::-1]])


def _sector(zone: Sector, frame: Frame, chord: Length) -> CrossSection:
    span = math.radians(30.0 * ((zone.to_hour - zone.from_hour) % 12.0 or 12.0))
    count = max(2, math.ceil(segments(zone.outer, chord) * span / (2 * math.pi)) + 1)
    turn = math.radians(30.0 * zone.from_hour) + np.linspace(0.0, span, count)
    arc = np.column_stack((np.sin(turn), np.cos(turn)))
    inner = arc[::-1] * zone.inner if zone.inner > 0.0 else np.zeros((1, 2))
    corners = frame.points(np.vstack((arc * zone.outer, inner)))
    return CrossSection([corners if _turn(corners) > 0 else corners[::-1]])


def pillar(section: CrossSection, low: Length, high: Length) -> Solid:
    """A section in plan raised from `low` to `high`."""
    return section.extrude(high - low).translate((0.0, 0.0, low))


def union(solids: Iterable[Solid]) -> Solid:
    """All solids as one; an empty solid for none."""
    return Manifold.batch_boolean(list(solids), OpType.Add)


@dataclass(frozen=True)
class Triangles:
    """A mesh: vertices (V, 3) in mm, faces (T, 3), and for each face the id of its maker (T,)."""

    vertices: NDArray[np.float64]
    faces: NDArray[np.int64]
    makers: NDArray[np.int64]

    def volume(self) -> float:
        """Volume in mm³ by the divergence theorem; negative when turned inside out."""
        a, b, c = (self.vertices[self.faces[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6.0

    def closed(self) -> bool:
        """Whether every edge is walked exactly once each way: manifold and oriented."""
        edges = np.vstack([self.faces[:, (i, j)] for i, j in ((0, 1), (1, 2), (2, 0))])
        base = int(self.faces.max()) + 1
        there = np.sort(edges[:, 0] * base + edges[:, 1])
        back = np.sort(edges[:, 1] * base + edges[:, 0])
        return bool(np.array_equal(there, back) and np.all(np.diff(there) > 0))


def triangles(solid: Solid) -> Triangles:
    """The mesh of a solid with the original id of the solid that made each face."""
    mesh = solid.to_mesh64()
    faces = np.array(mesh.tri_verts, dtype=np.int64, order="C")
    makers = np.zeros(len(faces), dtype=np.int64)
    runs = np.asarray(mesh.run_index, dtype=np.int64) // 3
    for index, maker in enumerate(mesh.run_original_id):
        makers[runs[index] : runs[index + 1]] = maker
    # copied: the kernel's own memory is read-only
    corners = np.array(mesh.vert_properties, dtype=np.float64)[:, :3].copy()
    return Triangles(corners, faces, makers)
