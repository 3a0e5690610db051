"""Meshes made ready for rays: normals, smooth surfaces, the scene, and the cut."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from importlib import import_module
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nests.papers.picture.colours import TONE_CUT
from nests.papers.picture.values import SECTION, Floats, Integers, Scene, Shown, Singles, View
from nests.solids.graphs import connected

CREASE_ANGLE = math.radians(28.0)
"""Edges that turn by more than this are drawn; the rest are shaded as one smooth surface."""


def unit_vectors(vectors: Singles) -> Singles:
    """Vectors (..., 3) at length one; a zero vector stays zero."""
    lengths = np.sqrt(np.einsum("...i,...i->...", vectors, vectors))[..., None]
    return np.asarray(vectors / np.maximum(lengths, np.float32(1e-20)), np.float32)


def _surfaces(vertices: Floats, triangles: Integers) -> tuple[Singles, Singles, NDArray[np.int32]]:
    """Face normals, corner normals of the smooth shape, and a smooth-surface number by triangle.

    Triangles belong to one surface while the edges between them turn less than `CREASE_ANGLE`.
    Corner normals are weighted by angle and area, so that a large flat keeps its own normal
    beside a narrow chamfer.
    """
    corners = vertices[triangles]
    edges = np.roll(corners, -1, axis=1) - corners
    cross = np.cross(edges[:, 0], edges[:, 1])
    area = np.linalg.norm(cross, axis=1)
    normal = cross / np.maximum(area, 1e-300)[:, None]
    # One number per place, since a mesh may repeat a vertex along a seam.
    _, place = np.unique(vertices.round(7), axis=0, return_inverse=True)
    at = place.reshape(-1)[triangles]
    low, high = np.minimum(at, np.roll(at, -1, 1)), np.maximum(at, np.roll(at, -1, 1))
    key = (low * (at.max() + 1) + high).ravel()
    order = np.argsort(key, kind="stable")
    pair = np.flatnonzero(key[order][1:] == key[order][:-1])
    first, second = order[pair] // 3, order[pair + 1] // 3
    soft = np.einsum("ij,ij->i", normal[first], normal[second]) > math.cos(CREASE_ANGLE)
    count = len(triangles)
    surface = connected(count, first[soft], second[soft])[1]

    side = edges / np.maximum(np.linalg.norm(edges, axis=2), 1e-300)[..., None]
    angle = np.arccos(np.clip(-np.einsum("ijk,ijk->ij", side, np.roll(side, 1, 1)), -1.0, 1.0))
    _, group = np.unique(surface[:, None] * (at.max() + 1) + at, return_inverse=True)
    group = group.reshape(-1)
    weighted = (cross[:, None, :] * angle[..., None]).reshape(-1, 3)
    total = np.stack([np.bincount(group, weighted[:, k]) for k in range(3)], axis=1)
    smooth = unit_vectors(total[group].reshape(-1, 3, 3).astype(np.float32))
    return normal.astype(np.float32), smooth, surface.astype(np.int32)


def build_scene(bodies: Sequence[Shown], tone: NDArray[np.int32] | None = None) -> Scene:
    """The bodies as one scene for rays; `tone` (T,) chooses a ramp for each triangle in turn."""
    rtcore = import_module("embreex.rtcore_scene")
    construction = import_module("embreex.mesh_construction")
    start = np.cumsum([0, *(len(body.vertices) for body in bodies)])
    vertices = np.concatenate([body.vertices for body in bodies]).astype(np.float64)
    triangles = np.concatenate(
        [body.triangles + first for body, first in zip(bodies, start[:-1], strict=True)]
    ).astype(np.int64)
    part = np.concatenate([body.part for body in bodies])
    number = np.repeat(np.arange(len(bodies)), [len(body.triangles) for body in bodies])
    rays = rtcore.EmbreeScene()
    mesh = construction.TriangleMesh(rays, vertices.astype(np.float32), triangles.astype(np.int32))
    normal, corner_normals, surface = _surfaces(vertices, triangles)
    tones = np.where(part == SECTION, TONE_CUT, 0) if tone is None else tone

    def closed(values: NDArray[Any], kind: type, nothing: int) -> NDArray[Any]:
        return np.concatenate([values, np.full((1, *values.shape[1:]), nothing)]).astype(kind)

    return Scene(
        rays=(rays, mesh),
        bounds=np.stack([vertices.min(axis=0), vertices.max(axis=0)]),
        normal=closed(normal, np.float32, 0),
        corner_normals=closed(corner_normals, np.float32, 0),
        surface=closed(surface, np.int32, -1),
        part=closed(part, np.int32, -2),
        body=closed(number, np.int32, -1),
        centroid=vertices[triangles].mean(axis=1).astype(np.float32),
        tone=closed(tones, np.int32, 0),
    )


def cut(body: Shown, hour: float) -> Shown | None:
    """The half of `body` behind the vertical plane through the axis and `hour`, or None if empty.

    Hours are the holder's, as in `View`. The eye stands three hours on, with `hour` to its right.
    The new faces carry the label `SECTION`; they are known by the kernel's provenance (which
    input a triangle came from), not guessed from coordinates. The plane lies a hair (10 nm)
    within the half that is kept, so that a wall that happens to lie in it leaves no film.

    Raises ValueError if the mesh is not a closed manifold.
    """
    kernel = import_module("manifold3d")
    count = len(body.triangles)
    own = kernel.Manifold.reserve_ids(1)
    mesh = kernel.Mesh64(
        np.array(body.vertices, np.float64, order="C"),
        np.array(body.triangles, np.uint64, order="C"),
        run_index=np.array([0, 3 * count], np.uint64),
        run_original_id=np.array([own], np.uint32),
        face_id=np.arange(count, dtype=np.uint64),
    )
    mesh.merge()
    solid = kernel.Manifold(mesh)
    if solid.status() != kernel.Error.NoError:
        raise ValueError(f"body {body.name} cannot be cut: {solid.status()}")
    _, _, toward = View(hour + 3.0, 0.0).axes()
    half = solid.trim_by_plane((-toward[0], -toward[1], 0.0), 1e-5).to_mesh64()
    triangles = np.asarray(half.tri_verts, np.int64)
    if not len(triangles):
        return None
    index = np.asarray(half.run_index, np.int64) // 3
    is_own = np.repeat(np.asarray(half.run_original_id) == own, index[1:] - index[:-1])
    source = np.asarray(half.face_id, np.int64)
    part = np.where(is_own, body.part[np.where(is_own, source, 0)], SECTION)
    vertices = np.asarray(half.vert_properties, np.float64)[:, :3]
    return replace(body, vertices=vertices, triangles=triangles, part=part)
