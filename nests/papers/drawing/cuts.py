"""Cutting the solid by upright half-planes: cut faces, hatching, and what lies behind."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from manifold3d import CrossSection
from numpy.typing import NDArray

from nests.holder.compose import Holder
from nests.papers.drawing.edges import Eye, edges_of
from nests.papers.drawing.values import Hatch, Point, Point3
from nests.solids.solid import Solid, triangles

Floats = NDArray[np.float64]
FAR = 1e3


@dataclass(frozen=True)
class HalfPlane:
    """An upright half-plane: from a point `offset` mm to the left of the axis, looking along
    `angle` (rad, in the holder frame), outward along `angle`."""

    angle: float
    offset: float = 0.0

    @property
    def ahead(self) -> Floats:
        """Unit vector outward."""
        return np.array((math.cos(self.angle), math.sin(self.angle)))

    @property
    def left(self) -> Floats:
        """Unit vector to the left of it, seen from above."""
        return np.array((-math.sin(self.angle), math.cos(self.angle)))

    def point(self, along: float, z: float) -> Point3:
        """A point of it in the holder frame."""
        x, y = along * self.ahead + self.offset * self.left
        return (float(x), float(y), z)

    @property
    def opposite(self) -> HalfPlane:
        """The other half of the same plane."""
        return HalfPlane(self.angle + math.pi, -self.offset)


@dataclass(frozen=True, eq=False)
class Cut:
    """What a half-plane cuts: segments ((n, 2) ends, along and z) and the face that made each."""

    start: Floats
    end: Floats
    face: NDArray[np.int64]

    @property
    def area(self) -> float:
        """Cut area in mm²: the segments run with the solid on their left."""
        along = (self.start[:, 0] + self.end[:, 0]) / 2
        return float(np.abs(np.sum(along * (self.end[:, 1] - self.start[:, 1]))))


def cut(corners: Floats, plane: HalfPlane) -> Cut:
    """Segments in which a half-plane meets the faces (T, 3, 3) of a closed mesh."""
    x, y = plane.left
    side = x * corners[:, :, 0] + y * corners[:, :, 1] - plane.offset
    above = side >= 0.0
    first, second, third = above.T
    crossing = np.flatnonzero((first != second) | (second != third))
    at, s, up = corners[crossing], side[crossing], above[crossing]
    lone = np.where(up.sum(axis=1) == 1, up.argmax(axis=1), (~up).argmax(axis=1))
    row = np.arange(len(at))
    ends = []
    for turn in (1, 2):
        other = (lone + turn) % 3
        share = s[row, lone] / (s[row, lone] - s[row, other])
        point = at[row, lone] + share[:, None] * (at[row, other] - at[row, lone])
        ends.append(np.column_stack((point[:, :2] @ plane.ahead, point[:, 2])))
    one = (up.sum(axis=1) == 1)[:, None]
    start, end = np.where(one, ends[0], ends[1]), np.where(one, ends[1], ends[0])
    low, high = np.minimum(start[:, 0], end[:, 0]), np.maximum(start[:, 0], end[:, 0])
    keep = high > 0.0
    start, end, low = start[keep], end[keep], low[keep]
    # what reaches behind the axis ends there
    for these, those in ((start, end), (end, start)):
        behind = these[:, 0] < 0.0
        share = these[behind, 0] / (these[behind, 0] - those[behind, 0])
        these[behind] += share[:, None] * (those[behind] - these[behind])
    return Cut(start, end, crossing[keep])


def cut_faces(solid: Solid, plane: HalfPlane) -> list[Floats]:
    """Rings (n, 2) of the cut, along the half-plane and up, solid on the left."""
    turned = solid.rotate((0.0, 0.0, -math.degrees(plane.angle))).translate(
        (0.0, -plane.offset, 0.0)
    )
    # (x, y, z) -> (x, z, -y): the plane y = 0 becomes level
    section = turned.rotate((-90.0, 0.0, 0.0)).slice(0.0)
    ahead = CrossSection([[(0.0, -FAR), (FAR, -FAR), (FAR, FAR), (0.0, FAR)]])
    rings = (section ^ ahead).simplify(1e-4).to_polygons()
    return [np.asarray(ring, dtype=np.float64) for ring in rings if len(ring) > 2]


def behind(
    holder: Holder, planes: Sequence[tuple[HalfPlane, bool]], leave_out: frozenset[int]
) -> list[tuple[Floats, Floats]]:
    """Edges seen behind half-planes: for each of them (n, 2) ends along it and up.

    With each comes whether one looks to its left; faces made by `leave_out` are no edges. Two
    halves of one plane, looked at from one side, are looked at once.
    """
    seen: dict[tuple[float, ...], tuple[Floats, Floats]] = {}
    out = []
    for plane, look_left in planes:
        side = 1.0 if look_left else -1.0
        normal, offset = side * plane.left, side * plane.offset
        key = (*(np.round(normal, 9) + 0.0).tolist(), round(offset, 9) + 0.0)
        if key not in seen:
            seen[key] = _beyond(holder.solid, normal, offset, leave_out)
        flat = (np.column_stack((e[:, :2] @ plane.ahead, e[:, 2])) for e in seen[key])
        out.append(_ahead(*flat))
    return out


def _beyond(
    solid: Solid, normal: Floats, offset: float, leave_out: frozenset[int]
) -> tuple[Floats, Floats]:
    """Ends (n, 3) of the edges seen beyond a whole upright plane, looking along its normal."""
    # a hair behind the plane, so that the cut face's own rim is not seen
    mesh = triangles(solid.trim_by_plane((*normal, 0.0), offset + 1e-4))
    toward = np.array((*(-normal), 0.0))
    edges = edges_of(mesh, toward)
    middle = (edges.start[:, :2] + edges.end[:, :2]) / 2 @ normal - offset
    drawn = middle > 5e-3
    if leave_out:
        drawn &= ~np.isin(edges.makers, list(leave_out)).any(axis=1)
    pieces = Eye(mesh, toward).split(edges.only(drawn))
    return pieces.start[pieces.seen], pieces.end[pieces.seen]


def _ahead(start: Floats, end: Floats) -> tuple[Floats, Floats]:
    """Segments as far as they lie outward of the axis."""
    keep = np.maximum(start[:, 0], end[:, 0]) > 1e-6
    start, end = start[keep].copy(), end[keep].copy()
    for these, those in ((start, end), (end, start)):
        back = these[:, 0] < 0.0
        share = these[back, 0] / (these[back, 0] - those[back, 0])
        these[back] += share[:, None] * (those[back] - these[back])
    return start, end


def face_of(rings: Iterable[object]) -> Any:
    """The shapely polygon between rings (n, 2), outer ones and holes in any order."""
    import shapely

    face = shapely.Polygon()
    for ring in rings:
        face = face.symmetric_difference(shapely.Polygon(ring).buffer(0))
    return face


def hatched(rings: list[list[Point]], spacing: float) -> Hatch:
    """A cut face with its hatching at 45°, on lines that pass the origin so that views agree."""
    import shapely

    face = face_of(rings)
    left, low, right, high = face.bounds
    step = spacing * math.sqrt(2.0)
    rise = step * np.arange(math.ceil((low - right) / step), math.floor((high - left) / step) + 1)
    ends = np.empty((len(rise), 2, 2))
    ends[:, 0], ends[:, 1] = np.array((left, left)), np.array((right, right))
    ends[:, :, 1] += rise[:, None]
    parts = shapely.get_parts(shapely.intersection(shapely.linestrings(ends), face))
    parts = parts[(shapely.get_type_id(parts) == 1) & (shapely.length(parts) > 0.1)]
    first, last = (shapely.get_coordinates(shapely.get_point(parts, k)).tolist() for k in (0, -1))
    lines = tuple(((a, b), (c, d)) for (a, b), (c, d) in zip(first, last, strict=True))
    return Hatch(tuple(tuple(ring) for ring in rings), lines, spacing)
