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

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nests.solids.graphs import connected

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

DEEP = 1e-3
"""mm by which an edge stands out on both sides of the triangle it pierces."""
MOST_SHELLS = 64
_BATCH = 500_000
"""Rays shot at a time, so that memory does not grow with the mesh."""
_IN_CACHE = 20_000
"""Triangles whose solid angles are summed at a time."""
_SUSPECTS = 3


@dataclass(frozen=True, eq=False)
class Skin:
    """A closed mesh as rays see it: `vertices` (V, 3) in mm, joined where equal; `faces` (T, 3)."""

    vertices: Floats
    faces: Integers

    @cached_property
    def middle(self) -> Floats:
        """(3,) of the bounding box; rays are shot about there."""
        middle: Floats = (self.vertices.min(axis=0) + self.vertices.max(axis=0)) / 2
        return middle

    @cached_property
    def centred(self) -> Floats:
        """(V, 3) vertices about the middle."""
        return self.vertices - self.middle

    @cached_property
    def scene(self) -> Any:
        """What rays are shot at."""
        from embreex.mesh_construction import TriangleMesh
        from embreex.rtcore_scene import EmbreeScene

        scene = EmbreeScene(robust=True)
        TriangleMesh(scene, self.centred.astype(np.float32), self.faces.astype(np.int32))
        return scene

    def hit(self, origins: Floats, directions: Floats, lengths: Floats | float) -> Integers:
        """First face along each ray (n, 3), no farther than its length in mm; -1 for none."""
        reach = np.broadcast_to(np.float32(lengths), len(origins))
        found: NDArray[np.int32] = self.scene.run(
            origins.astype(np.float32), directions.astype(np.float32), np.array(reach)
        )
        return found.astype(np.int64)


def edges_of(faces: Integers) -> Integers:
    """The edges (E, 2) of triangles (T, 3), each once, smaller corner first."""
    pairs = np.sort(np.vstack([faces[:, (i, j)] for i, j in ((0, 1), (1, 2), (2, 0))]), axis=1)
    base = int(faces.max()) + 1
    keys = np.sort(pairs[:, 0] * base + pairs[:, 1])
    keys = keys[np.append(True, np.diff(keys) > 0)]
    return np.column_stack([keys // base, keys % base])


def first_crossing(skin: Skin) -> Floats | None:
    """A point (3,) in which an edge pierces a triangle of the same mesh, None if none is seen."""
    centred, faces = skin.centred, skin.faces
    edges = edges_of(faces)
    for begin in range(0, len(edges), _BATCH):
        batch = edges[begin : begin + _BATCH]
        for tail, head in (batch.T, batch.T[::-1]):
            origins, vectors = centred[tail], centred[head] - centred[tail]
            lengths = np.linalg.norm(vectors, axis=1)
            along = vectors / np.maximum(lengths, 1e-30)[:, None]
            hit = skin.hit(origins + vectors * 1e-4, along, lengths * 0.9998)
            met = np.flatnonzero((hit >= 0) & (lengths > 2 * DEEP))
            corners = faces[hit[met]]
            ends = np.column_stack([tail[met], head[met]])
            apart = ~(corners[:, :, None] == ends[:, None, :]).any(axis=(1, 2))
            points = _pierced(centred, ends[apart], corners[apart])
            if len(points):
                first: Floats = points[0] + skin.middle
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


def wrongly_wound(skin: Skin) -> Floats | None:
    """Middle (3,) of a face that does not part inside from outside, or None if none is seen.

    Along any ray a skin is left and entered by turns. From just inside the middle of each face
    the next face must therefore be met from its back, and from just outside from its front, or
    none at all. Where that fails, it is believed only if the winding number beside one of the two
    faces, which an embedded skin makes 0 or 1 at every point, is another.
    """
    a, b, c = (skin.centred[skin.faces[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    area = np.linalg.norm(normals, axis=1)
    normals /= np.maximum(area, 1e-30)[:, None]
    # a face smaller than the step beside it tells nothing
    whole = np.flatnonzero(area > DEEP**2)
    batches = np.split(whole, np.arange(_BATCH, len(whole), _BATCH))
    for side in (-1.0, 1.0):
        wrong = [_wrong(skin, (a, b, c), normals, each, side) for each in batches]
        faces, hits = (np.concatenate(each) for each in zip(*wrong, strict=True))
        largest = np.argsort(-area[faces])[:_SUSPECTS]
        for face, hit in zip(faces[largest].tolist(), hits[largest].tolist(), strict=True):
            for near in {face, hit} - {-1}:
                middle = (a[near] + b[near] + c[near]) / 3
                beside = (middle + step * normals[near] for step in (-DEEP, DEEP))
                if any(_twice(winding_number(each, a, b, c)) for each in beside):
                    found: Floats = middle + skin.middle
                    return found
    return None


def _wrong(
    skin: Skin,
    corners: tuple[Floats, Floats, Floats],
    normals: Floats,
    faces: Integers,
    side: float,
) -> tuple[Integers, Integers]:
    """Those of `faces` that see the next face from its wrong side, or none, and that face.

    They look outwards from just outside (`side` 1) or inwards from just inside (-1).
    """
    a, b, c = (each[faces] for each in corners)
    along = side * normals[faces]
    hit = skin.hit((a + b + c) / 3 + DEEP * along, along, 1e30)
    facing = np.einsum("ij,ij->i", normals[faces], normals[hit])
    wrong = np.where(hit < 0, side < 0.0, facing > 0.0)
    return faces[wrong], hit[wrong]


def shells(faces: Integers, count: int) -> tuple[int, Integers]:
    """How many shells hang together by edges, and the shell of each face; `count` vertices."""
    _, of_vertex = connected(count, *edges_of(faces).T)
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
    total = 0.0
    for begin in range(0, len(a), _IN_CACHE):
        part = slice(begin, begin + _IN_CACHE)
        # component by component: a sum along the short axis would cost ten times as much
        p, q, r = (np.ascontiguousarray(each[part].T) - point[:, None] for each in (a, b, c))
        lp, lq, lr = (np.sqrt(np.einsum("ij,ij->j", each, each)) for each in (p, q, r))
        (px, py, pz), (qx, qy, qz), (rx, ry, rz) = p, q, r
        top = px * (qy * rz - qz * ry) + py * (qz * rx - qx * rz) + pz * (qx * ry - qy * rx)
        pq, qr, rp = (np.einsum("ij,ij->j", u, v) for u, v in ((p, q), (q, r), (r, p)))
        bottom = lp * lq * lr + pq * lr + qr * lp + rp * lq
        total += float(np.sum(np.arctan2(top, bottom)))
    return total / (2 * np.pi)
