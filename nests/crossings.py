"""Where the skin of a closed mesh runs through itself, and shells that lie in each other wrongly.

`first_crossing`: two triangles that cross have an edge of one that pierces the other, so every
edge is shot through the mesh once in each direction. Rays only name triangles: the piercing
itself is computed in float64 and counts from `DEEP` on, which no printer shows less of.

Not seen by it: skins that lie in each other in one plane and nowhere pierce; an edge whose first
neighbour in both directions is a triangle it belongs to; a crossing less than `DEEP` deep, or one
that passes only within `DEEP` of edges and corners. `wrongly_wound` sees these where the middle
of a face looks into the volume that is bounded twice, and `misplaced_shell` where a whole shell
lies in another. Not seen by any: a volume bounded twice that no middle of a face looks into and
no edge pierces; and a skin that turns its inner side out where it crosses itself, so that no
point is bounded twice, such as a circle turned about an axis that cuts it: its inner lobe is a
void like any other.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

DEEP = 1e-3
"""mm by which an edge stands out on both sides of the triangle it pierces."""
MOST_SHELLS = 64
_BATCH = 500_000
_SUSPECTS = 3


def edges_of(faces: Integers) -> Integers:
    """The edges (E, 2) of triangles (T, 3), each once, smaller corner first."""
    pairs = np.sort(np.vstack([faces[:, (i, j)] for i, j in ((0, 1), (1, 2), (2, 0))]), axis=1)
    base = int(faces.max()) + 1
    keys = np.sort(pairs[:, 0] * base + pairs[:, 1])
    keys = keys[np.append(True, np.diff(keys) > 0)]
    return np.column_stack([keys // base, keys % base])


def first_crossing(vertices: Floats, faces: Integers) -> Floats | None:
    """A point (3,) in which an edge pierces a triangle of the same mesh, or None if none is seen.

    `vertices` (V, 3) in mm, joined where they are equal; `faces` (T, 3).
    """
    from embreex.mesh_construction import TriangleMesh
    from embreex.rtcore_scene import EmbreeScene

    middle = (vertices.min(axis=0) + vertices.max(axis=0)) / 2
    centred = vertices - middle
    scene = EmbreeScene(robust=True)
    TriangleMesh(scene, centred.astype(np.float32), faces.astype(np.int32))
    edges = edges_of(faces)
    for begin in range(0, len(edges), _BATCH):
        batch = edges[begin : begin + _BATCH]
        for tail, head in (batch.T, batch.T[::-1]):
            origins, vectors = centred[tail], centred[head] - centred[tail]
            lengths = np.linalg.norm(vectors, axis=1)
            hit = scene.run(
                (origins + vectors * 1e-4).astype(np.float32),
                (vectors / np.maximum(lengths, 1e-30)[:, None]).astype(np.float32),
                (lengths * 0.9998).astype(np.float32),
            ).astype(np.int64)
            met = np.flatnonzero((hit >= 0) & (lengths > 2 * DEEP))
            corners = faces[hit[met]]
            ends = np.column_stack([tail[met], head[met]])
            apart = ~(corners[:, :, None] == ends[:, None, :]).any(axis=(1, 2))
            points = _pierced(centred, ends[apart], corners[apart])
            if len(points):
                first: Floats = points[0] + middle
                return first
    return None


def _pierced(vertices: Floats, edges: Integers, faces: Integers) -> Floats:
    """Points (k, 3) of those pairs of edge and triangle that cross by more than `DEEP`."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    tail, head = vertices[edges[:, 0]], vertices[edges[:, 1]]
    normal = np.cross(b - a, c - a)
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-30)
    above = np.einsum("ij,ij->i", normal, tail - a)
    below = np.einsum("ij,ij->i", normal, head - a)
    with np.errstate(divide="ignore", invalid="ignore"):
        points = tail + (above / (above - below))[:, None] * (head - tail)
        crossing = (np.minimum(np.abs(above), np.abs(below)) > DEEP) & (above * below < 0.0)
        for begin, end in ((a, b), (b, c), (c, a)):
            side = np.cross(normal, end - begin)
            side /= np.maximum(np.linalg.norm(side, axis=1, keepdims=True), 1e-30)
            crossing &= np.einsum("ij,ij->i", side, points - begin) > DEEP
    found: Floats = points[crossing]
    return found


def wrongly_wound(vertices: Floats, faces: Integers) -> Floats | None:
    """Middle (3,) of a face that does not part inside from outside, or None if none is seen.

    Along any ray a skin is left and entered by turns. From just inside the middle of each face
    the next face must therefore be met from its back, and from just outside from its front, or
    none at all. Where that fails, it is believed only if the winding number beside one of the two
    faces, which an embedded skin makes 0 or 1 at every point, is another.
    """
    from embreex.mesh_construction import TriangleMesh
    from embreex.rtcore_scene import EmbreeScene

    centred = vertices - (vertices.min(axis=0) + vertices.max(axis=0)) / 2
    scene = EmbreeScene(robust=True)
    TriangleMesh(scene, centred.astype(np.float32), faces.astype(np.int32))
    a, b, c = (centred[faces[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    area = np.linalg.norm(normals, axis=1)
    normals /= np.maximum(area, 1e-30)[:, None]
    middles = (a + b + c) / 3
    for inward in (-1.0, 1.0):
        hit = scene.run(
            (middles + inward * DEEP * normals).astype(np.float32),
            (inward * normals).astype(np.float32),
            np.full(len(faces), 1e30, dtype=np.float32),
        ).astype(np.int64)
        leaving = inward * np.einsum("ij,ij->i", normals, normals[hit])
        wrong = np.where(hit < 0, inward < 0.0, leaving * inward > 0.0)
        # the largest first: a face smaller than the step beside it tells nothing
        suspects = np.flatnonzero(wrong & (area > DEEP**2))
        for face in suspects[np.argsort(-area[suspects])][:_SUSPECTS].tolist():
            for near in {face, int(hit[face])} - {-1}:
                sides = (middles[near] + side * DEEP * normals[near] for side in (-1.0, 1.0))
                if any(_twice(winding_number(each, a, b, c)) for each in sides):
                    middle: Floats = vertices[faces[near]].mean(axis=0)
                    return middle
    return None


def shells(faces: Integers, count: int) -> tuple[int, Integers]:
    """How many shells hang together by edges, and the shell of each face; `count` vertices."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    edges = edges_of(faces)
    graph = coo_array((np.ones(len(edges), dtype=np.int8), edges.T), shape=(count, count))
    _, of_vertex = connected_components(graph, directed=False)
    names, of_face = np.unique(of_vertex[faces[:, 0]], return_inverse=True)
    return len(names), of_face.reshape(-1).astype(np.int64)


def misplaced_shell(vertices: Floats, faces: Integers, of_face: Integers) -> Floats | None:
    """A point of a shell that does not part inside from outside, or None.

    Beside its largest triangle the winding number of the whole mesh must be 0 or 1: an island in
    a cavity passes, a body inside a body and a shell turned inside out in the open do not.
    """
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    normal = np.cross(b - a, c - a)
    area = np.linalg.norm(normal, axis=1)
    for shell in range(int(of_face.max()) + 1):
        face = int(np.argmax(np.where(of_face == shell, area, -1.0)))
        point = (a[face] + b[face] + c[face]) / 3
        step = DEEP * normal[face] / max(area[face], 1e-30)
        beside = (winding_number(each, a, b, c) for each in (point - step, point + step))
        if any(_twice(each) for each in beside):
            found: Floats = point
            return found
    return None


def _twice(winding: float) -> bool:
    """Whether a point is bounded more than once, or the wrong way round."""
    return not -0.25 < winding < 1.25


def winding_number(point: Floats, a: Floats, b: Floats, c: Floats) -> float:
    """How often triangles with corners a, b, c (T, 3) go round a point.

    A. Van Oosterom, J. Strackee, "The solid angle of a plane triangle", IEEE Transactions on
    Biomedical Engineering 30 (1983), equation 8 (from memory).
    """
    p, q, r = a - point, b - point, c - point
    lp, lq, lr = (np.linalg.norm(v, axis=1) for v in (p, q, r))
    top = np.einsum("ij,ij->i", p, np.cross(q, r))
    dots = [np.einsum("ij,ij->i", u, v) for u, v in ((p, q), (q, r), (r, p))]
    bottom = lp * lq * lr + dots[0] * lr + dots[1] * lp + dots[2] * lq
    return float(np.sum(np.arctan2(top, bottom))) / (2 * np.pi)
