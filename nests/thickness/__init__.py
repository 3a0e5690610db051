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
finds a nearer face, which takes over, or finds nothing: then the face ends before the contact
and its rim carries the ball, found by shrinking (J. Ma, S. W. Bae, S. Choi, "3D medial axis point
approximation using nearest neighbors and the normal field", The Visual Computer 28, 2012). A face
is all triangles of one plane that hang together; a seam between two of them holds no ball.
Rays only name triangles: every length is computed in float64 from their planes.

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
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from nests.thickness.balls import Balls, largest_balls
from nests.thickness.folds import Folds, folds_of
from nests.thickness.starts import GRAZING, Starts, edge_starts, rim_starts
from nests.thickness.surface import RESOLUTION, Surface
from nests.thickness.taper import runs_out
from nests.thickness.vectors import Booleans, Floats, Integers, blocks

__all__ = ["RESOLUTION", "Skin", "Thickness", "skin_of", "thickness", "thickness_of"]


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


@dataclass(frozen=True, eq=False)
class Skin:
    """A closed surface made ready to be measured from either side."""

    surface: Surface
    folds: Folds
    middle: Floats
    """(3,) of its bounding box, in mm: it is measured about there."""


def skin_of(vertices: Floats, triangles: NDArray[np.integer]) -> Skin:
    """Make ready the closed, outward-wound surface `vertices` (V, 3), `triangles` (T, 3), T > 0.

    Raises `ValueError` for arrays of another shape, a number that is not finite, and a triangle
    that names no vertex.
    """
    vertices = np.asarray(vertices, dtype=np.float64)
    indices = np.asarray(triangles, dtype=np.int64)
    _refuse_mesh(vertices, indices)
    middle = 0.5 * (vertices.min(axis=0) + vertices.max(axis=0))
    surface = Surface(vertices - middle, indices)
    return Skin(surface, folds_of(surface), middle)


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

    See `thickness_of`, which measures a surface more than once for less; and `skin_of`. No
    triangles have no thickness.
    """
    if np.shape(triangles)[0] == 0:
        none, no_face = np.empty(0), np.empty(0, dtype=np.int64)
        return Thickness(np.empty((0, 3)), no_face, no_face, none, none, none)
    return thickness_of(
        skin_of(vertices, triangles),
        spacing=spacing,
        facing_angle=facing_angle,
        complement=complement,
        limit=limit,
    )


def thickness_of(
    skin: Skin,
    *,
    spacing: float,
    facing_angle: float = math.radians(50.0),
    complement: bool = False,
    limit: float = math.inf,
) -> Thickness:
    """Thickness of what a skin encloses.

    `spacing` (mm) is the largest distance between points along an edge; `facing_angle` (radians)
    the largest angle between two sides of a wall. `complement` measures the air instead: gaps,
    slots and bores. Walls thicker than `limit` (mm) are not looked for, which is faster. Cost is
    linear in triangles plus length of edges / spacing.

    Raises `ValueError` for a spacing or limit that is not positive, and an angle outside 0 to 90
    degrees.
    """
    _refuse_numbers(spacing, facing_angle, limit)
    surface, folds = skin.surface, skin.folds
    if complement:  # inside out, the air is the solid
        surface, folds = surface.inside_out(), folds.inside_out()
    least_facing = math.cos(facing_angle)
    # The ray is longer than the diameter where the plane that it meets is askew.
    reach = 0.5 * limit * (1.0 + 1.0 / least_facing)
    faces = Starts(surface.centroids, -surface.normals, np.arange(surface.triangles.shape[1]))
    edges = edge_starts(surface, folds, spacing)
    rims = rim_starts(surface, folds, spacing, least_facing, reach)
    told = []
    # A rim may meet another rim across a plane that it does not face; a face need not look.
    for starts, least in ((faces, least_facing), (edges, least_facing), (rims, GRAZING)):
        for block in blocks(len(starts.face)):
            part = starts.part(block)
            balls = largest_balls(surface, folds, part, least, reach)
            run_out = runs_out(surface, part, balls, least_facing)
            told.append(_told(part, balls, run_out, least_facing, limit))
    # field by field, so that the parts of one are let go before the next is put together
    columns = list(zip(*told, strict=True))
    del told
    found = Thickness(*(np.concatenate(columns.pop(0)) for _ in fields(Thickness)))
    found.points[:] += skin.middle
    return found


def _told(
    starts: Starts, balls: Balls, run_out: Booleans, least_facing: float, limit: float
) -> tuple[Floats, Integers, Integers, Floats, Floats, Floats]:
    """The fields of a `Thickness`, its points about the middle of the surface."""
    facing = (balls.facing >= least_facing) & (balls.diameter <= limit)
    angle = np.arccos(np.clip(balls.facing, -1.0, 1.0))
    return (
        starts.points.T,
        starts.face,
        np.where(facing, balls.face, -1),
        np.where(facing & ~run_out, balls.diameter, np.inf),
        np.where(facing & run_out, balls.diameter, np.inf),
        np.where(facing, angle, np.nan),
    )


def _refuse_mesh(vertices: Floats, triangles: Integers) -> None:
    for name, array in (("vertices", vertices), ("triangles", triangles)):
        if array.ndim != 2 or array.shape[1] != 3:
            raise ValueError(f"{name} has shape {array.shape}; (n, 3) is needed.")
    if not np.isfinite(vertices).all():
        raise ValueError("a vertex is not finite.")
    if not 0 <= triangles.min() <= triangles.max() < len(vertices):
        raise ValueError(f"a triangle names a vertex outside 0 to {len(vertices) - 1}.")


def _refuse_numbers(spacing: float, facing_angle: float, limit: float) -> None:
    if not (math.isfinite(spacing) and spacing > 0.0):
        raise ValueError(f"spacing is {spacing!r}; a positive length in mm is needed.")
    if not limit > 0.0:
        raise ValueError(f"limit is {limit!r}; a positive length in mm is needed.")
    if not 0.0 < facing_angle < math.pi / 2.0:
        raise ValueError(f"facing_angle is {facing_angle!r}; 0 to pi/2 radians is needed.")
