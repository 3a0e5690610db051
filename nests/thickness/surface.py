"""The triangles of a surface as rays see them, and the planes they are measured by."""

from __future__ import annotations

import copy

import numpy as np
from embreex.mesh_construction import TriangleMesh
from embreex.rtcore_scene import EmbreeScene
from numpy.typing import NDArray

from nests.thickness.vectors import TINY, Booleans, Floats, Integers, blocks, cross, dot, norm

RESOLUTION = 2.0**-17
"""Rays start this part of the largest half extent inside: 64 roundings of float32."""
_FAR = 1e30
"""Farther than any ray goes, and still a float32."""


class Surface:
    """Triangles as rays see them (float32), with the planes they are measured by (float64).

    Half-edge 3 t + k leads from corner k of triangle t to the next, along its side k. One scene
    serves both sides of a skin: most of the time of a surface is spent on making it.
    """

    def __init__(self, vertices: Floats, triangles: Integers) -> None:
        """Take `vertices` (V, 3) about the origin and outward-wound `triangles` (T, 3)."""
        self.vertices: Floats = np.ascontiguousarray(vertices.T)
        self.triangles: Integers = np.ascontiguousarray(triangles.T)
        self.tail = triangles.ravel()
        self.head = triangles.take([1, 2, 0], axis=1).ravel()
        self.start = RESOLUTION * float(np.abs(vertices).max())
        count = len(triangles)
        self.centroids, self.normals = np.empty((3, count)), np.empty((3, count))
        self.offsets = np.empty(count)
        for block in blocks(count):
            first, second, third = self.corners(np.arange(count)[block])
            self.centroids[:, block] = (first + second + third) / 3.0
            product = cross(second - first, third - first)
            doubled_area = norm(product)
            sides = (second - first, third - second, first - third)
            longest = np.sqrt(np.maximum.reduce([dot(side, side) for side in sides]))
            # A normal that rounding may have turned is no normal: zero faces nothing.
            doubled_area[doubled_area <= longest * self.start] = np.inf
            self.normals[:, block] = product / doubled_area
            self.offsets[block] = dot(self.normals[:, block], first)
        self.scene = EmbreeScene(robust=True)
        TriangleMesh(self.scene, vertices.astype(np.float32), triangles.astype(np.int32))

    def inside_out(self) -> Surface:
        """The same skin seen from its other side: what was solid is air."""
        other = copy.copy(self)
        other.normals, other.offsets = -self.normals, -self.offsets
        other.tail, other.head = self.head, self.tail
        return other

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
        heights: Floats = self.offsets.take(face) - dot(normal, points)
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


def closest_on_triangle(
    points: Floats, corners: tuple[Floats, Floats, Floats]
) -> tuple[Floats, Booleans]:
    """Point of each triangle closest to each point, and the sides (3, n) on which it lies."""
    first, second, third = corners
    normal = cross(second - first, third - first)
    squared = np.maximum(dot(normal, normal), TINY)
    # Inside all three sides the foot on the plane is closest, else a point of a side.
    closest = points - dot(points - first, normal) / squared * normal
    outside = np.zeros(points.shape[1], dtype=np.bool_)
    distances = np.empty((3, points.shape[1]))
    least = np.full(points.shape[1], np.inf)
    on_side = closest
    for row, (begin, end) in enumerate(((first, second), (second, third), (third, first))):
        side, offset = end - begin, points - begin
        outside |= dot(cross(side, offset), normal) < 0.0
        part = dot(offset, side) / np.maximum(dot(side, side), TINY)
        away = offset - np.clip(part, 0.0, 1.0) * side
        distance = distances[row] = dot(away, away)
        on_side = np.where(distance < least, points - away, on_side)
        least = np.minimum(least, distance)
    return np.where(outside, on_side, closest), outside & (distances <= least * (1.0 + 1e-9))
