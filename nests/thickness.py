"""Local thickness of a solid, and the width of its gaps, from its triangles.

The thickness at a surface point is the diameter of the largest ball that touches the surface
there and stays inside: the ball of the medial axis transform (H. Blum, "A transformation for
extracting new descriptors of shape", in Models for the Perception of Speech and Visual Form,
MIT Press 1967). Its second contact decides what it measures. Seen from the centre, the sides
of a wall lie opposite each other; two faces beside a convex edge or a chamfer do not. The
deviation from opposite is the angle between the two sides: 0 in a plate, the included angle in
a wedge. A wall is reported where it is at most `facing_angle`.

Sides that run together until nothing is left between them (knife edge, cone tip) have no
thinnest place. They are a *taper* and are kept apart from walls, with the same ball. A wedge
with a blunt end is a wall there, and a taper where it is over ten times thicker than that end.

Where the ball is looked for:

1. at the centroid of every face, along its normal;
2. along every edge that is not flat and either creased or longer than `spacing`, at points no
   farther apart than `spacing` and at both ends, just inside its faces. Between two planes the
   diameter is linear: where the shadows of two faces overlap, it is least on the border of the
   overlap, and that border is made of edges. Hence no grid inside flat faces, and a cost that
   is linear in triangles;
3. on every creased reflex edge and in every pit, within the cone of normals there: the thinnest
   place under a groove or a drill point may face no point of a face.

How: a ray finds the opposite triangle. The ball that touches the point and the plane of that
triangle follows in closed form. A second ray, from its centre to that contact, confirms it, or
finds a nearer face, which takes over, or finds nothing: then the triangle ends before the
contact and its rim carries the ball, found by shrinking (J. Ma, S. W. Bae, S. Choi, "3D medial
axis point approximation using nearest neighbors and the normal field", The Visual Computer 28,
2012). Rays only name triangles: every length is computed in float64 from their planes.

What these rays do not meet does not shrink the ball. The end face or the corner of a plate does
not make the plate thinner; between sides that lean by more than 2 degrees a ball that reaches
beyond such an end is rolled back until it touches both sides and the end. A groove beside a
point may leave its figure too large, never too small, while the points of the groove itself
tell the truth.

Not seen: an overlap of two large faces that is narrower than `spacing` and holds no corner
(`spacing` at most the width of the narrowest slot sees it); walls thinner, and triangles
narrower, than `RESOLUTION` of the largest half extent; edges of triangles that do not share
their vertices (merge a soup first). Where two bores cross, the neck between them is met at up to
half the spacing from its narrowest place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from embreex.mesh_construction import TriangleMesh
from embreex.rtcore_scene import EmbreeScene
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Integers: TypeAlias = NDArray[np.int64]
Booleans: TypeAlias = NDArray[np.bool_]

RESOLUTION = 2.0**-17
"""Rays start this part of the largest half extent inside: 64 roundings of float32."""

_INSET = 4.0
"""Points beside an edge, in lengths by which rays start inside."""
_PARALLEL = math.cos(1e-5)
"""Cosine of the angle between sides below which the ball lies on its ray: no second look."""
_SLACK = 1e-3
"""Part of the diameter by which a second look may differ: facets of one smooth surface."""
_ROUNDS = 2
"""How often a nearer face may take over."""
_GRAZING = 1e-3
"""Cosine between a ray and a normal below which a plane bounds no ball."""
_FLAT = math.cos(1e-4)
"""Cosine of the angle between neighbours below which their edge is a seam of one plane."""
_CREASE = 0.2
"""Radians between neighbours from which an edge is no facet of a smooth surface (n < 32)."""
_STEEP = math.cos(math.radians(50.0))
"""Cosine of the half-angle of the normals of a reflex edge from which it gets more rays."""
_FEW, _MANY = 3, 7
"""Rays across a right-angled and a steep reflex edge: no normal is farther than 15 degrees from
one. What they hit is then aimed at exactly."""
_LEANING = math.cos(math.radians(2.0))
"""Cosine of the angle between sides from which their end is looked at: taper, or beyond it."""
_FAR = 1e30
"""Farther than any ray goes, and still a float32."""
_LEFT = 0.1
"""Part of a ball that may be left where its sides end and still be called nothing."""
_FAR = 1e30
"""Farther than any ray goes, and still a float32."""
_TINY = 1e-30
"""Keeps a division by nothing finite."""


@dataclass(frozen=True, eq=False)
class Thickness:
    """Largest balls at N points of a surface with T triangles; lengths in mm, angles in radians.

    `points` (N, 3); `face` (N,) the triangle of each point (one of the two on an edge);
    `opposite_face` (N,) the triangle of the second contact, -1 where no side is facing;
    `diameter` (N,) of the ball between the facing sides of a wall, else infinite;
    `taper` (N,) the same where the sides run together to nothing, else infinite;
    `angle` (N,) between the two sides, 0 where parallel, not a number where none is facing.
    """

    points: Floats
    face: Integers
    opposite_face: Integers
    diameter: Floats
    taper: Floats
    angle: Floats

    def by_face(self, count: int) -> Floats:
        """Least wall diameter found on each of `count` triangles, infinite where none."""
        least = np.full(count, np.inf)
        np.minimum.at(least, self.face, self.diameter)
        return least


def thickness(
    vertices: Floats,
    triangles: NDArray[np.integer],
    *,
    spacing: float,
    facing_angle: float = math.radians(50.0),
    complement: bool = False,
    limit: float = math.inf,
) -> Thickness:
    """Thickness of the closed, outward-wound surface `vertices` (V, 3), `triangles` (T, 3).

    `spacing` (mm) is the largest distance between points along an edge; `facing_angle` (radians)
    the largest angle between two sides of a wall. `complement` measures the air instead: gaps,
    slots and bores. Walls thicker than `limit` (mm) are not looked for, which is faster. Cost is
    linear in triangles plus length of edges / spacing.

    Raises `ValueError` for arrays of another shape, a number that is not finite, a triangle that
    names no vertex, a spacing or limit that is not positive, an angle outside 0 to 90 degrees.
    """
    vertices = np.asarray(vertices, dtype=np.float64)
    indices = np.asarray(triangles, dtype=np.int64)
    _refuse(vertices, indices, spacing, facing_angle, limit)
    if not len(indices):
        none, no_face = np.empty(0), np.empty(0, dtype=np.int64)
        return Thickness(np.empty((0, 3)), no_face, no_face, none, none, none)
    middle = 0.5 * (vertices.min(axis=0) + vertices.max(axis=0))
    # Inside out, the air is the solid.
    surface = _Surface(vertices - middle, indices[:, ::-1] if complement else indices)
    least_facing = math.cos(facing_angle)
    # The ray is longer than the diameter where the plane that it meets is askew.
    reach = 0.5 * limit * (1.0 + 1.0 / least_facing)
    folds = _folds(surface)
    starts = _joined(
        _Starts(surface.centroids, -surface.normals, np.arange(len(indices))),
        _edge_starts(surface, folds, spacing),
    )
    rims = _rim_starts(surface, folds, spacing, least_facing, reach)
    # A rim may meet another rim across a plane that it does not face; a face need not look.
    least = np.repeat([least_facing, _GRAZING], [len(starts.face), len(rims.face)])
    starts = _joined(starts, rims)
    balls = _largest_balls(surface, starts, least, reach)
    run_out = _runs_out(surface, starts, balls, least_facing)
    facing = (balls.facing >= least_facing) & (balls.diameter <= limit)
    angle = np.arccos(np.clip(balls.facing, -1.0, 1.0))
    return Thickness(
        points=starts.points.T + middle,
        face=starts.face,
        opposite_face=np.where(facing, balls.face, -1),
        diameter=np.where(facing & ~run_out, balls.diameter, np.inf),
        taper=np.where(facing & run_out, balls.diameter, np.inf),
        angle=np.where(facing, angle, np.nan),
    )


def _refuse(
    vertices: Floats, triangles: Integers, spacing: float, facing_angle: float, limit: float
) -> None:
    for name, array in (("vertices", vertices), ("triangles", triangles)):
        if array.ndim != 2 or array.shape[1] != 3:
            raise ValueError(f"{name} has shape {array.shape}; (n, 3) is needed.")
    if not np.isfinite(vertices).all():
        raise ValueError("a vertex is not finite.")
    if len(triangles) and not 0 <= triangles.min() <= triangles.max() < len(vertices):
        raise ValueError(f"a triangle names a vertex outside 0 to {len(vertices) - 1}.")
    if not (math.isfinite(spacing) and spacing > 0.0):
        raise ValueError(f"spacing is {spacing!r}; a positive length in mm is needed.")
    if not limit > 0.0:
        raise ValueError(f"limit is {limit!r}; a positive length in mm is needed.")
    if not 0.0 < facing_angle < math.pi / 2.0:
        raise ValueError(f"facing_angle is {facing_angle!r}; 0 to pi/2 radians is needed.")


# Inside, vectors are held as (3, n) arrays: a dot product then costs a fifth, a scalar per vector
# multiplies without ceremony, and columns are picked with `take`, ten times as fast as an index.


def _dot(first: Floats, second: Floats) -> Floats:
    dots: Floats = np.einsum("ij,ij->j", first, second)
    return dots


def _cross(first: Floats, second: Floats) -> Floats:
    (x, y, z), (u, v, w) = first, second
    product = np.empty_like(first)
    product[0], product[1], product[2] = y * w - z * v, z * u - x * w, x * v - y * u
    return product


def _length(vectors: Floats) -> Floats:
    lengths: Floats = np.sqrt(_dot(vectors, vectors))
    return lengths


def _unit(vectors: Floats) -> Floats:
    """Unit vectors; a zero vector stays zero."""
    return vectors / np.maximum(_length(vectors), _TINY)


class _Surface:
    """Triangles as rays see them (float32), with the planes they are measured by (float64).

    Half-edge 3 t + k leads from corner k of triangle t to the next.
    """

    def __init__(self, vertices: Floats, triangles: Integers) -> None:
        self.vertices: Floats = np.ascontiguousarray(vertices.T)
        self.triangles: Integers = np.ascontiguousarray(triangles.T)
        self.tail = triangles.ravel()
        self.head = triangles.take([1, 2, 0], axis=1).ravel()
        self.start = RESOLUTION * float(np.abs(vertices).max())
        first, second, third = (self.vertices.take(corner, axis=1) for corner in self.triangles)
        self.centroids: Floats = (first + second + third) / 3.0
        product = _cross(second - first, third - first)
        doubled_area = _length(product)
        sides = (second - first, third - second, first - third)
        longest = np.sqrt(np.maximum.reduce([_dot(side, side) for side in sides]))
        # A normal that rounding may have turned is no normal: zero faces nothing.
        narrow = doubled_area <= longest * self.start
        doubled_area[narrow] = np.inf
        self.normals: Floats = product / doubled_area
        self.offsets = _dot(self.normals, first)
        self.scene = EmbreeScene(robust=True)
        TriangleMesh(self.scene, vertices.astype(np.float32), triangles.astype(np.int32))

    def hit(self, origins: Floats, directions: Floats, reach: Floats | float) -> Integers:
        """First triangle along each ray, no farther than `reach`; -1 for none."""
        found: NDArray[np.int32] = self.scene.run(
            origins.astype(np.float32).T,
            directions.astype(np.float32).T,
            np.minimum(np.broadcast_to(reach, origins.shape[1]), _FAR).astype(np.float32),
        )
        return found.astype(np.int64)

    def height(self, points: Floats, face: Integers, normal: Floats) -> Floats:
        """Distance of points below the plane of a face, against its `normal`."""
        heights: Floats = self.offsets.take(face) - _dot(normal, points)
        return heights

    def edge(self, half: Integers) -> tuple[Floats, Floats]:
        """Start and vector of half-edges."""
        begin = self.vertices.take(self.tail.take(half), axis=1)
        return begin, self.vertices.take(self.head.take(half), axis=1) - begin

    def corners(self, face: Integers) -> tuple[Floats, Floats, Floats]:
        """The three corners of triangles."""
        first, second, third = self.triangles.take(face, axis=1)
        take = self.vertices.take
        return take(first, axis=1), take(second, axis=1), take(third, axis=1)


@dataclass(frozen=True, eq=False)
class _Starts:
    """Points on the surface, unit directions into the solid, and the face each belongs to."""

    points: Floats
    inward: Floats
    face: Integers


def _joined(*starts: _Starts) -> _Starts:
    return _Starts(
        np.concatenate([each.points for each in starts], axis=1),
        np.concatenate([each.inward for each in starts], axis=1),
        np.concatenate([each.face for each in starts]),
    )


@dataclass(frozen=True, eq=False)
class _Folds:
    """Edges that are no seam of one plane, by a half-edge on either side, `half` and `other`."""

    half: Integers
    other: Integers
    length: Floats
    creased: Booleans
    reflex: Booleans


def _folds(surface: _Surface) -> _Folds:
    key = np.minimum(surface.tail, surface.head) * surface.vertices.shape[1]
    key += np.maximum(surface.tail, surface.head)
    order = np.argsort(key)
    key = key.take(order)
    pair = np.flatnonzero(key[1:] == key[:-1])
    half, other = order.take(pair), order.take(pair + 1)
    left = surface.normals.take(half // 3, axis=1)
    right = surface.normals.take(other // 3, axis=1)
    cosine = _dot(left, right)
    fold = np.flatnonzero(cosine < _FLAT)
    half, cosine = half.take(fold), cosine.take(fold)
    _, side = surface.edge(half)
    turn = _cross(left.take(fold, axis=1), right.take(fold, axis=1))
    return _Folds(
        half=half,
        other=other.take(fold),
        length=_length(side),
        creased=cosine < math.cos(_CREASE),
        reflex=_dot(turn, side) < 0.0,
    )


def _along(length: Floats, spacing: float, inset: float) -> tuple[Integers, Floats]:
    """Edge and part of its length: the middle of a short one, both ends and between on others."""
    cells = np.ceil(length / spacing).astype(np.int64)
    counts = np.where(cells > 1, cells + 1, 1)
    edge = np.repeat(np.arange(len(counts)), counts)
    number = np.arange(len(edge)) - (np.cumsum(counts) - counts).take(edge)
    cells = cells.take(edge)
    part = np.where(cells > 1, number / cells, 0.5)
    margin = np.minimum(inset / length.take(edge), 0.5)
    return edge, np.clip(part, margin, 1.0 - margin)


def _edge_starts(surface: _Surface, folds: _Folds, spacing: float) -> _Starts:
    """Starts just inside faces: on both sides of a convex crease, on one of a smooth edge."""
    smooth = np.flatnonzero(~folds.creased & (folds.length > spacing))
    convex = np.flatnonzero(folds.creased & ~folds.reflex)
    half = np.concatenate((folds.half[smooth], folds.half[convex], folds.other[convex]))
    begin, side = surface.edge(half)
    inset = _INSET * surface.start
    edge, part = _along(_length(side), spacing, inset)
    face = (half // 3).take(edge)
    normal = surface.normals.take(face, axis=1)
    side = side.take(edge, axis=1)
    points = begin.take(edge, axis=1) + part * side + inset * _unit(_cross(normal, side))
    return _Starts(points, -normal, face)


@dataclass(frozen=True, eq=False)
class _Rims:
    """Points of reflex edges and pits; balls touch them along directions in a cone.

    The cone: unit `axis` and the `cosine` of its half-angle; on an edge it is the flat fan
    across the unit `tangent`, which is zero in a pit.
    """

    points: Floats
    axis: Floats
    cosine: Floats
    tangent: Floats
    face: Integers

    def part(self, chosen: Booleans) -> _Rims:
        """The chosen ones."""
        picked = np.flatnonzero(chosen)
        return _Rims(
            self.points.take(picked, axis=1),
            self.axis.take(picked, axis=1),
            self.cosine.take(picked),
            self.tangent.take(picked, axis=1),
            self.face.take(picked),
        )


def _rim_starts(
    surface: _Surface, folds: _Folds, spacing: float, least_facing: float, reach: float
) -> _Starts:
    """Starts at reflex edges and pits, toward the closest triangles that their fans hit."""
    edges = _reflex_edges(surface, folds, spacing)
    steep = edges.cosine < _STEEP
    return _joined(
        _aimed(surface, edges.part(~steep), _FEW, least_facing, reach),
        _aimed(surface, edges.part(steep), _MANY, least_facing, reach),
        _aimed(surface, _pits(surface, folds), 1, least_facing, reach),
    )


def _aimed(
    surface: _Surface, rims: _Rims, count: int, least_facing: float, reach: float
) -> _Starts:
    """At each rim `count` rays across its normals; starts toward the closest that they hit."""
    if not len(rims.face):
        return _Starts(rims.points, rims.axis, rims.face)
    fan = (2.0 * np.arange(count) + 1.0) / count - 1.0
    turn = np.arccos(np.minimum(rims.cosine, 1.0))[:, None] * fan
    aside = _cross(rims.tangent, rims.axis)
    rays = np.cos(turn) * rims.axis[..., None] + np.sin(turn) * aside[..., None]
    rays = _unit(rays.reshape(3, -1))
    rim = np.repeat(np.arange(len(rims.face)), count)
    start = rims.points.take(rim, axis=1)
    hit = surface.hit(start + surface.start * rays, rays, reach)
    normal = surface.normals.take(hit, axis=1)
    slope = _dot(rays, normal)
    hits = (hit >= 0) & (slope > _GRAZING)
    far = np.where(hits, surface.height(start, hit, normal) / np.maximum(slope, 0.1), np.inf)
    # Follow the nearest side, and the nearest facing one if that is another.
    faced = np.where(slope >= least_facing, far, np.inf)
    row = np.arange(len(rims.face)) * count
    nearest, nearest_faced = (row + each.reshape(-1, count).argmin(axis=1) for each in (far, faced))
    best = np.concatenate((nearest, nearest_faced[nearest_faced != nearest]))
    best = best[np.isfinite(far.take(best))]

    # Straight to the closest point of what was hit, if a ball may lie that way: exact at once.
    rim, start, rays = rim.take(best), start.take(best, axis=1), rays.take(best, axis=1)
    axis, tangent = rims.axis.take(rim, axis=1), rims.tangent.take(rim, axis=1)
    aim = _closest_on_triangle(start, surface.corners(hit.take(best))) - start
    aim = _unit(aim - _dot(aim, tangent) * tangent)
    allowed = _dot(aim, axis) >= rims.cosine.take(rim) - 1e-9
    return _Starts(start, np.where(allowed, aim, rays), rims.face.take(rim))


def _reflex_edges(surface: _Surface, folds: _Folds, spacing: float) -> _Rims:
    """Points on the creased edges at which the solid fills more than half the space around."""
    wanted = np.flatnonzero(folds.creased & folds.reflex)
    half, other = folds.half.take(wanted), folds.other.take(wanted)
    begin, side = surface.edge(half)
    left = surface.normals.take(half // 3, axis=1)
    right = surface.normals.take(other // 3, axis=1)
    between = -(left + right)
    edge, part = _along(_length(side), spacing, _INSET * surface.start)
    return _Rims(
        points=begin.take(edge, axis=1) + part * side.take(edge, axis=1),
        axis=_unit(between).take(edge, axis=1),
        cosine=(0.5 * _length(between)).take(edge),
        tangent=_unit(side).take(edge, axis=1),
        face=(half // 3).take(edge),
    )


def _pits(surface: _Surface, folds: _Folds) -> _Rims:
    """Vertices in hollows from which every edge rises, such as the bottom of a drill point."""
    count = surface.vertices.shape[1]
    weights = (np.repeat(component, 3) for component in surface.normals)
    total = np.empty((3, count))
    for row, weight in zip(total, weights, strict=True):
        row[:] = np.bincount(surface.tail, weight, count)
    # Where the normals around a vertex agree, their sum is as long as they are many.
    many = np.bincount(surface.tail, minlength=count)
    spread = _length(total) < math.cos(0.5 * _CREASE) * many
    convex = folds.half[folds.creased & ~folds.reflex]
    spread[surface.tail.take(convex)] = False
    spread[surface.head.take(convex)] = False
    corner = np.flatnonzero(spread.take(surface.tail))
    vertex = surface.tail.take(corner)
    mean = _unit(total)
    # A ball may touch a vertex along d if no edge there leads toward d: the steepest one counts.
    _, side = surface.edge(corner)
    fall = np.full(count, -1.0)
    np.maximum.at(fall, vertex, -_dot(_unit(side), mean.take(vertex, axis=1)))
    pit = np.flatnonzero(spread & (fall < -math.sin(0.5 * _CREASE)))
    face_of = np.zeros(count, dtype=np.int64)
    face_of[vertex] = corner // 3
    return _Rims(
        points=surface.vertices.take(pit, axis=1),
        axis=-mean.take(pit, axis=1),
        cosine=np.sqrt(1.0 - fall.take(pit) ** 2),
        tangent=np.zeros((3, len(pit))),
        face=face_of.take(pit),
    )


@dataclass(frozen=True, eq=False)
class _Balls:
    """Diameter, second face, cosine between sides (-1: none), unit vector centre to contact."""

    diameter: Floats
    face: Integers
    facing: Floats
    outward: Floats


def _largest_balls(surface: _Surface, starts: _Starts, least: Floats, reach: float) -> _Balls:
    """The largest ball at each start, by its first and second look (see the module).

    `least` is the cosine between the sides at first look from which a start is followed.
    """
    count = len(starts.face)
    hit = surface.hit(starts.points + surface.start * starts.inward, starts.inward, reach)
    cosine = _dot(starts.inward, surface.normals.take(hit, axis=1))
    seen = np.flatnonzero((hit >= 0) & (cosine >= least) & (hit != starts.face))
    points, inward = starts.points.take(seen, axis=1), starts.inward.take(seen, axis=1)
    face, facing, least = hit.take(seen), cosine.take(seen), least.take(seen)
    outward = surface.normals.take(face, axis=1)
    diameter = 2.0 * surface.height(points, face, outward) / (1.0 + facing)

    looking = np.flatnonzero(facing < _PARALLEL)
    on_rim: list[Integers] = []
    for _ in range(_ROUNDS):
        radius = 0.5 * diameter.take(looking)
        point, along = points.take(looking, axis=1), inward.take(looking, axis=1)
        toward = outward.take(looking, axis=1)
        nearer = surface.hit(point + radius * along, toward, radius * (1.0 + _SLACK))
        on_rim.append(looking[nearer < 0])
        normal = surface.normals.take(nearer, axis=1)
        cosine = _dot(along, normal)
        smaller = surface.height(point, nearer, normal) / np.maximum(1.0 + cosine, _TINY)
        takes = np.flatnonzero((nearer >= 0) & (smaller < radius * (1.0 - _SLACK)) & (smaller > 0))
        looking = looking.take(takes)
        diameter[looking], facing[looking] = 2.0 * smaller.take(takes), cosine.take(takes)
        face[looking], outward[:, looking] = nearer.take(takes), normal.take(takes, axis=1)
        looking = looking[facing.take(looking) >= least.take(looking)]

    rim = np.concatenate(on_rim)
    diameter[rim], facing[rim], outward[:, rim] = _ball_on_triangle(
        points.take(rim, axis=1),
        inward.take(rim, axis=1),
        diameter.take(rim),
        surface.corners(face.take(rim)),
    )
    balls = _Balls(
        np.full(count, np.inf), np.full(count, -1), np.full(count, -1.0), np.zeros((3, count))
    )
    balls.diameter[seen], balls.face[seen] = diameter, face
    balls.facing[seen], balls.outward[:, seen] = facing, outward
    return balls


def _ball_on_triangle(
    points: Floats, inward: Floats, diameter: Floats, corners: tuple[Floats, Floats, Floats]
) -> tuple[Floats, Floats, Floats]:
    """Diameter, cosine between sides and unit vector centre to contact of the balls at `points`
    that touch triangles, from the smaller balls of `diameter` that touch their planes.
    """
    for _ in range(3):
        contact = _closest_on_triangle(points + 0.5 * diameter * inward, corners)
        across = contact - points
        squared = _dot(across, across)
        diameter = squared / np.maximum(_dot(across, inward), 1e-6 * np.sqrt(squared) + _TINY)
    # The chord from point to contact leaves half the angle between the sides to the diameter.
    facing = 2.0 * squared / np.maximum(diameter, _TINY) ** 2 - 1.0
    return diameter, facing, _unit(across - 0.5 * diameter * inward)


def _closest_on_triangle(points: Floats, corners: tuple[Floats, Floats, Floats]) -> Floats:
    """Point of each triangle closest to each point."""
    first, second, third = corners
    normal = _cross(second - first, third - first)
    squared = np.maximum(_dot(normal, normal), _TINY)
    # Inside all three sides the foot on the plane is closest, else a point of a side.
    closest = points - _dot(points - first, normal) / squared * normal
    outside = np.zeros(points.shape[1], dtype=np.bool_)
    least = np.full(points.shape[1], np.inf)
    on_side = closest
    for begin, end in ((first, second), (second, third), (third, first)):
        side, offset = end - begin, points - begin
        outside |= _dot(_cross(side, offset), normal) < 0.0
        part = _dot(offset, side) / np.maximum(_dot(side, side), _TINY)
        away = offset - np.clip(part, 0.0, 1.0) * side
        distance = _dot(away, away)
        on_side = np.where(distance < least, points - away, on_side)
        least = np.minimum(least, distance)
    return np.where(outside, on_side, closest)


def _runs_out(surface: _Surface, starts: _Starts, balls: _Balls, least_facing: float) -> Booleans:
    """Whether the sides of each ball meet before anything else ends the solid between them.

    Balls between leaning sides that reach beyond such an end are moved into place.
    """
    result = np.zeros(len(balls.face), dtype=np.bool_)
    leaning = np.flatnonzero((balls.facing >= least_facing) & (balls.facing < _LEANING))
    side = -starts.inward.take(leaning, axis=1)
    other = balls.outward.take(leaning, axis=1)
    radius = 0.5 * balls.diameter.take(leaning)
    centre = starts.points.take(leaning, axis=1) - radius * side
    # Both normals together point to the line where the planes meet, 2 sin(angle / 2) long.
    together = side + other
    apex = 2.0 * radius / _dot(together, together) * together
    end, part, sharp = _pinched(surface, centre, radius, side, other, apex)

    # Stopped at a third side, as in a pyramid: the tip is where the three planes meet.
    third = surface.normals.take(end, axis=1)
    height = surface.height(centre, end, third)
    across = _cross(other, third)
    tip = radius * (across + _cross(third, side)) + height * _cross(side, other)
    volume = _dot(side, across)
    again = np.flatnonzero((end >= 0) & ~sharp & (np.abs(volume) > 1e-9))
    _, _, sharp[again] = _pinched(
        surface,
        centre.take(again, axis=1),
        radius.take(again),
        side.take(again, axis=1),
        other.take(again, axis=1),
        tip.take(again, axis=1) / volume.take(again),
    )
    result[leaning] = sharp

    # A contact on a rim has no plane along which the ball could roll.
    on_plane = _dot(other, surface.normals.take(balls.face.take(leaning), axis=1)) > _PARALLEL
    beyond = (end >= 0) & (part * _length(apex) < radius * (1.0 - _SLACK))
    cut = np.flatnonzero(on_plane & beyond & ~sharp)
    end, cut = end.take(cut), leaning.take(cut)
    # Twice: in a corner two faces end the sides.
    for _ in range(2):
        end, cut = _rolled(surface, starts, balls, cut, end)
    return result


def _pinched(
    surface: _Surface,
    centre: Floats,
    radius: Floats,
    side: Floats,
    other: Floats,
    vector: Floats,
) -> tuple[Integers, Floats, Booleans]:
    """Triangle and part of `vector` from each centre where the solid ends, and whether just
    before the end of `vector` nothing is left between the two sides.
    """
    # A hair toward the side: a ray right into an edge or a tip may slip between its triangles.
    end, part = _end(surface, centre, vector + _SLACK * radius * side)
    pinched = part > 1.0 - _LEFT
    reached = np.flatnonzero(pinched)
    near = (centre + (1.0 - _LEFT) * vector).take(reached, axis=1)
    for normal in (side, other):
        _, left = _end(surface, near, (radius * normal).take(reached, axis=1))
        pinched[reached] &= (left > 0.0) & (left < 2.0 * _LEFT)
    return end, part, pinched


def _rolled(
    surface: _Surface, starts: _Starts, balls: _Balls, cut: Integers, end: Integers
) -> tuple[Integers, Integers]:
    """Roll the balls `cut`, which reach through faces `end`, until they just touch those.

    They roll along their own side, and both sides stay planes. Where one of them ends before it
    is touched, no such ball is there: it is struck out. Returns what is still cut, and by what.
    """
    side, other = -starts.inward.take(cut, axis=1), balls.outward.take(cut, axis=1)
    radius = 0.5 * balls.diameter.take(cut)
    centre = starts.points.take(cut, axis=1) - radius * side
    normal = surface.normals.take(end, axis=1)
    along = _unit(_dot(normal, side) * side - normal)
    # By each step `along` the radius grows, and the distance from the end grows faster.
    growth = -_dot(other, along) / (1.0 + balls.facing.take(cut))
    gain = -_dot(normal, along) + growth * (_dot(normal, side) - 1.0)
    touches = gain > 1e-6
    step = (radius - surface.height(centre, end, normal)) / np.where(touches, gain, np.inf)
    radius = radius + step * growth
    centre = centre + step * (along - growth * side)
    own, part = _end(surface, centre, radius * side)
    touches &= np.abs(part - 1.0) < _SLACK
    opposite, part = _end(surface, centre, radius * other)
    touches &= np.abs(part - 1.0) < _SLACK
    balls.facing[cut[~touches]] = -1.0

    kept = np.flatnonzero(touches)
    cut, centre, radius = cut.take(kept), centre.take(kept, axis=1), radius.take(kept)
    side, other = side.take(kept, axis=1), other.take(kept, axis=1)
    starts.points[:, cut], starts.face[cut] = centre + radius * side, own.take(kept)
    balls.face[cut], balls.diameter[cut] = opposite.take(kept), 2.0 * radius
    end, part = _end(surface, centre, radius * _unit(side + other))
    still = np.flatnonzero((end >= 0) & (part < 1.0 - _SLACK))
    return end.take(still), cut.take(still)


def _end(surface: _Surface, origins: Floats, vectors: Floats) -> tuple[Integers, Floats]:
    """Triangle that ends the solid from `origins` along `vectors`, and at what part of them."""
    end = surface.hit(origins, _unit(vectors), math.inf)
    normal = surface.normals.take(end, axis=1)
    slope = _dot(vectors, normal)
    ends = (end >= 0) & (slope > 1e-9 * _length(vectors))
    part = surface.height(origins, end, normal) / np.where(ends, slope, 1.0)
    return end, np.where(ends, part, 0.0)
