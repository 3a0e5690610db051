"""Thin grip on manifold3d: lofts, turned bodies, channels, plans and their pillars."""

from __future__ import annotations

import atexit
import math
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from hashlib import blake2b
from typing import Generic, ParamSpec, TypeAlias, TypeVar, cast

import numpy as np
from manifold3d import CrossSection, Manifold, Mesh64, OpType, triangulate
from numpy.typing import NDArray

from nests.given.zones import Disc, Polygon, Ring, Sector, Zone
from nests.places import Frame, Place, Points
from nests.solids.loops import circle, segments, signed_area
from nests.units import Length

Solid: TypeAlias = Manifold
P = ParamSpec("P")
R = TypeVar("R")
T = TypeVar("T")
OVER: Length = 1.0
"""How far a cut runs out past the face it opens, so that no two faces coincide."""


REMEMBERED = 512
"""Lofted solids, pillars and plans of zones that are kept: families draw the same post many times,
and a holder that is changed keeps most of its parts."""
SPECK: Length = 1e-7
"""mm of a sliver that cutting leaves and that is none."""
APART: Length = 1e-6
"""mm by which boxes round solids are clear of each other, far above what the kernel rounds."""


def offset(plan: CrossSection, by: Length, chords: int) -> CrossSection:
    """A plan grown all round by some mm, or shrunk where negative; corners round, of arcs with so
    many chords to a full turn.

    Slivers are taken off first: the library tells growing from shrinking by the sense of the lowest
    ring, and that of a sliver may run the other way, which turns all others.
    """
    return plan.simplify(SPECK).offset(by, circular_segments=chords)


def loft(rings: Sequence[tuple[Points, Length]]) -> Solid:
    """Solid between rings of equal point count, each (points, z), closed at both ends.

    Follow the profile from the lowest ring to the highest; equal z makes a level step. The
    first and last ring are closed by a level face.
    """
    count = len(rings[0][0])
    points = np.vstack([np.column_stack((xy, np.full(count, z))) for xy, z in rings])
    return _lofted(count, points.tobytes())


def remembered(most: int) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Keeps what a function gave for so many arguments, until the program ends: solids that outlive
    it are reported by the kernel's library as leaked."""

    def keeping(function: Callable[P, R]) -> Callable[P, R]:
        kept = lru_cache(maxsize=most)(function)
        atexit.register(kept.cache_clear)
        return cast(Callable[P, R], kept)

    return keeping


@dataclass(frozen=True)
class Alike(Generic[T]):
    """What is the same to a function that remembers as all else of the same content."""

    content: Hashable
    what: T = field(compare=False)


@remembered(REMEMBERED)
def _lofted(count: int, content: bytes) -> Solid:
    """The solid of rings of so many points each, (x, y, z) of which are given as bytes."""
    points = np.frombuffer(content).reshape(-1, 3).copy()  # the kernel takes none that is read-only
    rings = points.reshape(-1, count, 3)
    first = np.arange(count)
    following = np.roll(first, -1)
    bands = []
    for level in range(len(rings) - 1):
        low, high = level * count, (level + 1) * count
        bands.append(np.column_stack((low + first, low + following, high + following)))
        bands.append(np.column_stack((low + first, high + following, high + first)))
    bottom = np.asarray(triangulate([rings[0, :, :2]]), dtype=np.int64)
    top = np.asarray(triangulate([rings[-1, :, :2]]), dtype=np.int64)
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
    profile = np.vstack((ring, (0.0, roof_point(diameter, rise, chord))))
    return _laid(CrossSection.hull_points(profile), inner, outer, z)


def roof_point(diameter: Length, rise: float, chord: Length) -> Length:
    """How far above the axis of a lying bore its roof comes to a point.

    The corners of the ring lie outside the circle, so the roof is drawn from them: one drawn to the
    circle itself would lean beyond the limit.
    """
    ring = circle(diameter, chord).bore(0.0)
    return float((ring[:, 1] + rise * np.abs(ring[:, 0])).max())


def trough(
    inner: Length, outer: Length, diameter: Length, z: Length, high: Length, chord: Length
) -> Solid:
    """Level cut along +x, round below its axis and open upward to `high`, as wide as its ⌀."""
    ring = circle(diameter, chord).bore(0.0)
    half = float(ring[:, 0].max())
    corners = [(half, high - z), (-half, high - z)]
    return _laid(CrossSection.hull_points(np.vstack((ring, corners))), inner, outer, z)


def _laid(profile: CrossSection, inner: Length, outer: Length, z: Length) -> Solid:
    """A profile (across, up) about an axis at z, drawn out along +x."""
    standing = profile.extrude(outer - inner)
    return standing.transform(np.array([[0, 0, 1, inner], [1, 0, 0, 0], [0, 1, 0, z]]))


@remembered(REMEMBERED)
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
    return CrossSection([corners if signed_area(corners) > 0 else corners[::-1]])


def _sector(zone: Sector, frame: Frame, chord: Length) -> CrossSection:
    span = math.radians(30.0 * ((zone.to_hour - zone.from_hour) % 12.0 or 12.0))
    count = max(2, math.ceil(segments(zone.outer, chord) * span / (2 * math.pi)) + 1)
    turn = math.radians(30.0 * zone.from_hour) + np.linspace(0.0, span, count)
    arc = np.column_stack((np.sin(turn), np.cos(turn)))
    inner = arc[::-1] * zone.inner if zone.inner > 0.0 else np.zeros((1, 2))
    corners = frame.points(np.vstack((arc * zone.outer, inner)))
    return CrossSection([corners if signed_area(corners) > 0 else corners[::-1]])


def pillar(section: CrossSection, low: Length, high: Length) -> Solid:
    """A section in plan raised from `low` to `high`."""
    rings = tuple(ring.tobytes() for ring in section.to_polygons())
    return _raised(Alike(rings, section), high - low).translate((0.0, 0.0, low))


@remembered(REMEMBERED)
def _raised(plan: Alike[CrossSection], tall: Length) -> Solid:
    return plan.what.extrude(tall)


def union(solids: Iterable[Solid]) -> Solid:
    """All solids as one; an empty solid for none."""
    return Manifold.batch_boolean(list(solids), OpType.Add)


def content(solids: Iterable[Solid]) -> bytes:
    """A digest that tells solids of other corners or faces apart."""
    digest = blake2b(digest_size=32)
    for each in solids:
        mesh = each.to_mesh64()
        digest.update(mesh.vert_properties.shape[0].to_bytes(8))
        digest.update(mesh.vert_properties.tobytes())
        digest.update(mesh.tri_verts.tobytes())
    return digest.digest()


def boxes_meet(one: Solid, other: Solid) -> bool:
    """Whether the upright boxes round two solids meet or nearly touch; where not, neither do the
    solids."""
    a, b = one.bounding_box(), other.bounding_box()
    return all(a[k] <= b[k + 3] + APART and b[k] <= a[k + 3] + APART for k in range(3))


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
