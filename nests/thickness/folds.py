"""Edges of a surface: folds between two planes, and seams inside one."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from nests.thickness.surface import Surface, closest_on_triangle
from nests.thickness.vectors import Booleans, Floats, Integers, blocks, cross, dot, norm

CREASE = 0.2
"""Radians between neighbours from which an edge is no facet of a smooth surface (n < 32)."""
_FLAT = math.cos(1e-4)
"""Cosine of the angle between neighbours below which their edge is a seam of one plane."""


@dataclass(frozen=True, eq=False)
class Folds:
    """Edges between two planes, by a half-edge on either side, `half` and `other` (n,).

    `length` (n,) in mm; `creased` (n,) where it is no facet of a smooth surface; `bend` (n,) is
    below zero where the solid fills more than half the space around the edge. `seam` (3 T,) is
    the half-edge on the other side of every half-edge between two triangles of one plane, else -1.
    """

    half: Integers
    other: Integers
    length: Floats
    creased: Booleans
    bend: Floats
    seam: Integers

    @property
    def reflex(self) -> Booleans:
        """Whether the solid fills more than half the space around each."""
        return self.bend < 0.0

    def inside_out(self) -> Folds:
        """The folds of the surface inside out."""
        return replace(self, bend=-self.bend)


def folds_of(surface: Surface) -> Folds:
    """Every edge between two triangles of a surface."""
    key = np.minimum(surface.tail, surface.head) * surface.vertices.shape[1]
    key += np.maximum(surface.tail, surface.head)
    order = np.argsort(key)
    key = key.take(order)
    pair = np.flatnonzero(key[1:] == key[:-1])
    half, other = order.take(pair), order.take(pair + 1)
    seam = np.full(len(key), -1)
    del key, order, pair  # large, and no longer needed
    folds = []
    for block in blocks(len(half)):
        one, two = half[block], other[block]
        left = surface.normals.take(one // 3, axis=1)
        right = surface.normals.take(two // 3, axis=1)
        cosine = dot(left, right)
        flat, fold = np.flatnonzero(cosine >= _FLAT), np.flatnonzero(cosine < _FLAT)
        seam[one.take(flat)], seam[two.take(flat)] = two.take(flat), one.take(flat)
        one, two = one.take(fold), two.take(fold)
        _, side = surface.edge(one)
        turn = cross(left.take(fold, axis=1), right.take(fold, axis=1))
        creased = cosine.take(fold) < math.cos(CREASE)
        folds.append((one, two, norm(side), creased, dot(turn, side)))
    half, other, length, creased, bend = map(np.concatenate, zip(*folds, strict=True))
    return Folds(half, other, length, creased, bend, seam)


def closest_on_face(
    surface: Surface, folds: Folds, points: Floats, face: Integers, most: int
) -> tuple[Floats, Integers]:
    """Point closest to each point on the plane face that each triangle is part of, and on which
    of its triangles; it is looked for across at most `most` seams.

    The rim of a triangle is no end of the surface where a neighbour goes on in its plane. While
    the closest point lies on such a seam it is crossed, and never back at once: around a corner
    that leads through the fan of triangles there.
    """
    closest, touching = closest_on_triangle(points, surface.corners(face))
    face = face.copy()
    active, came = np.arange(len(face)), np.full(len(face), -1)
    for _ in range(most):
        half = 3 * face.take(active) + np.arange(3)[:, None]
        beyond = np.where(touching & (half != came), folds.seam.take(half), -1).max(axis=0)
        crossing = np.flatnonzero(beyond >= 0)
        if not len(crossing):
            break
        active, came = active.take(crossing), beyond.take(crossing)
        face[active] = came // 3
        closest[:, active], touching = closest_on_triangle(
            points.take(active, axis=1), surface.corners(face.take(active))
        )
    return closest, face
