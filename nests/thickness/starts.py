"""Where balls are looked for beside the middle of each face: along edges, and in pits."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from nests.thickness.folds import CREASE, Folds, closest_on_face
from nests.thickness.surface import Surface
from nests.thickness.vectors import Booleans, Floats, Integers, cross, dot, norm, unit

_INSET = 4.0
"""Points beside an edge, in lengths by which rays start inside."""
GRAZING = 1e-3
"""Cosine between a ray and a normal below which a plane bounds no ball."""
_STEEP = math.cos(math.radians(50.0))
"""Cosine of the half-angle of the normals of a reflex edge from which it gets more rays."""
_FEW, _MANY = 3, 7
"""Rays across a right-angled and a steep reflex edge: no normal is farther than 15 degrees from
one. What they hit is then aimed at exactly."""
_SEAMS = 1
"""Most seams of a face that are crossed to its closest point: it only gives a direction."""


@dataclass(frozen=True, eq=False)
class Starts:
    """Points on the surface, unit directions into the solid, and the face each belongs to."""

    points: Floats
    inward: Floats
    face: Integers

    def part(self, chosen: slice) -> Starts:
        """A run of them, of its own: balls that are moved take their points along."""
        points, inward = self.points[:, chosen], self.inward[:, chosen]
        return Starts(points.copy(), inward.copy(), self.face[chosen])


def joined(*starts: Starts) -> Starts:
    """All starts, one after the other."""
    return Starts(
        np.concatenate([each.points for each in starts], axis=1),
        np.concatenate([each.inward for each in starts], axis=1),
        np.concatenate([each.face for each in starts]),
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


def edge_starts(surface: Surface, folds: Folds, spacing: float) -> Starts:
    """Starts just inside faces: on both sides of a convex crease, on one of a smooth edge."""
    smooth = np.flatnonzero(~folds.creased & (folds.length > spacing))
    convex = np.flatnonzero(folds.creased & ~folds.reflex)
    half = np.concatenate((folds.half[smooth], folds.half[convex], folds.other[convex]))
    begin, side = surface.edge(half)
    inset = _INSET * surface.start
    edge, part = _along(norm(side), spacing, inset)
    face = (half // 3).take(edge)
    normal = surface.normals.take(face, axis=1)
    side = side.take(edge, axis=1)
    points = begin.take(edge, axis=1) + part * side + inset * unit(cross(normal, side))
    return Starts(points, -normal, face)


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


def rim_starts(
    surface: Surface, folds: Folds, spacing: float, least_facing: float, reach: float
) -> Starts:
    """Starts at reflex edges and pits, toward the closest triangles that their fans hit."""
    edges = _reflex_edges(surface, folds, spacing)
    steep = edges.cosine < _STEEP
    return joined(
        _aimed(surface, folds, edges.part(~steep), _FEW, least_facing, reach),
        _aimed(surface, folds, edges.part(steep), _MANY, least_facing, reach),
        _aimed(surface, folds, _pits(surface, folds), 1, least_facing, reach),
    )


def _aimed(
    surface: Surface, folds: Folds, rims: _Rims, count: int, least_facing: float, reach: float
) -> Starts:
    """At each rim `count` rays across its normals; starts toward the closest that they hit."""
    if not len(rims.face):
        return Starts(rims.points, rims.axis, rims.face)
    fan = (2.0 * np.arange(count) + 1.0) / count - 1.0
    turn = np.arccos(np.minimum(rims.cosine, 1.0))[:, None] * fan
    aside = cross(rims.tangent, rims.axis)
    rays = np.cos(turn) * rims.axis[..., None] + np.sin(turn) * aside[..., None]
    rays = unit(rays.reshape(3, -1))
    rim = np.repeat(np.arange(len(rims.face)), count)
    start = rims.points.take(rim, axis=1)
    hit = surface.hit(start + surface.start * rays, rays, reach)
    normal = surface.normals.take(hit, axis=1)
    slope = dot(rays, normal)
    hits = (hit >= 0) & (slope > GRAZING)
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
    aim = closest_on_face(surface, folds, start, hit.take(best), _SEAMS)[0] - start
    aim = unit(aim - dot(aim, tangent) * tangent)
    allowed = dot(aim, axis) >= rims.cosine.take(rim) - 1e-9
    return Starts(start, np.where(allowed, aim, rays), rims.face.take(rim))


def _reflex_edges(surface: Surface, folds: Folds, spacing: float) -> _Rims:
    """Points on the creased edges at which the solid fills more than half the space around."""
    wanted = np.flatnonzero(folds.creased & folds.reflex)
    half, other = folds.half.take(wanted), folds.other.take(wanted)
    begin, side = surface.edge(half)
    left = surface.normals.take(half // 3, axis=1)
    right = surface.normals.take(other // 3, axis=1)
    between = -(left + right)
    edge, part = _along(norm(side), spacing, _INSET * surface.start)
    return _Rims(
        points=begin.take(edge, axis=1) + part * side.take(edge, axis=1),
        axis=unit(between).take(edge, axis=1),
        cosine=(0.5 * norm(between)).take(edge),
        tangent=unit(side).take(edge, axis=1),
        face=(half // 3).take(edge),
    )


def _pits(surface: Surface, folds: Folds) -> _Rims:
    """Vertices in hollows from which every edge rises, such as the bottom of a drill point."""
    count = surface.vertices.shape[1]
    weights = (np.repeat(component, 3) for component in surface.normals)
    total = np.empty((3, count))
    for row, weight in zip(total, weights, strict=True):
        row[:] = np.bincount(surface.tail, weight, count)
    # Where the normals around a vertex agree, their sum is as long as they are many.
    many = np.bincount(surface.tail, minlength=count)
    spread = norm(total) < math.cos(0.5 * CREASE) * many
    convex = folds.half[folds.creased & ~folds.reflex]
    spread[surface.tail.take(convex)] = False
    spread[surface.head.take(convex)] = False
    corner = np.flatnonzero(spread.take(surface.tail))
    vertex = surface.tail.take(corner)
    mean = unit(total)
    # A ball may touch a vertex along d if no edge there leads toward d: the steepest one counts.
    _, side = surface.edge(corner)
    fall = np.full(count, -1.0)
    np.maximum.at(fall, vertex, -dot(unit(side), mean.take(vertex, axis=1)))
    pit = np.flatnonzero(spread & (fall < -math.sin(0.5 * CREASE)))
    face_of = np.zeros(count, dtype=np.int64)
    face_of[vertex] = corner // 3
    return _Rims(
        points=surface.vertices.take(pit, axis=1),
        axis=-mean.take(pit, axis=1),
        cosine=np.sqrt(1.0 - fall.take(pit) ** 2),
        tangent=np.zeros((3, len(pit))),
        face=face_of.take(pit),
    )
