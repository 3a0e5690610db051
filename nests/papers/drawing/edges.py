"""What is seen of a solid from one direction: its edges, and where the solid hides them.

An edge is drawn where the faces beside it meet at more than `CREASE`, or where one looks at the
eye and the other away. Rays from the edge to the eye tell what is hidden.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from importlib import import_module
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nests.layers.slices import twins_of
from nests.solids.solid import Triangles

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
CREASE = math.radians(25.0)
"""Facets of the smallest post drawn turn by 22.5°, the cone of a post by 26.6°."""
PIECE = 0.5
"""mm; an edge is looked at in pieces of about this length."""
OFF = 0.004
"""mm off the edge from which the eye is looked for, so that the faces beside it do not hide it."""
HALVINGS = 7


@dataclass(frozen=True, eq=False)
class Edges:
    """Edges of a mesh: ends (E, 3), unit normals of the faces beside (E, 3), makers (E, 2)."""

    start: Floats
    end: Floats
    left: Floats
    right: Floats
    makers: NDArray[np.int64]

    def only(self, chosen: Flags) -> Edges:
        """Some of the edges."""
        return Edges(
            self.start[chosen],
            self.end[chosen],
            self.left[chosen],
            self.right[chosen],
            self.makers[chosen],
        )


def edges_of(mesh: Triangles, toward: Floats) -> Edges:
    """The edges of a closed mesh worth drawing for an eye in the direction `toward`."""
    faces = mesh.faces
    corners = mesh.vertices[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.maximum(np.linalg.norm(normals, axis=1), 1e-300)[:, None]
    tails, heads = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    forth = np.flatnonzero(tails < heads)
    first, second = forth // 3, twins_of(faces, len(mesh.vertices))[forth] // 3
    one, two = normals[first], normals[second]
    crease = np.einsum("ij,ij->i", one, two) < math.cos(CREASE)
    turned = (one @ toward) * (two @ toward) < -1e-9
    keep = crease | turned
    return Edges(
        mesh.vertices[tails[forth[keep]]],
        mesh.vertices[heads[forth[keep]]],
        one[keep],
        two[keep],
        np.column_stack((mesh.makers[first[keep]], mesh.makers[second[keep]])),
    )


@dataclass(frozen=True, eq=False)
class Pieces:
    """Parts of edges: ends (n, 3), the edge each belongs to (n,), and whether it is seen (n,)."""

    start: Floats
    end: Floats
    edge: NDArray[np.int64]
    seen: Flags


class Eye:
    """Looks at a mesh from one direction."""

    def __init__(self, mesh: Triangles, toward: Floats) -> None:
        """Lay the mesh out for rays."""
        core: Any = import_module("embreex.rtcore_scene")
        shapes: Any = import_module("embreex.mesh_construction")
        self._scene = core.EmbreeScene()
        self._shape = shapes.TriangleMesh(
            self._scene,
            np.ascontiguousarray(mesh.vertices, dtype=np.float32),
            np.ascontiguousarray(mesh.faces, dtype=np.int32),
        )
        self._toward = toward

    def sees(self, points: Floats) -> Flags:
        """Whether nothing stands between points (n, 3) and the eye."""
        if not len(points):
            return np.zeros(0, dtype=np.bool_)
        ahead = np.broadcast_to(self._toward.astype(np.float32), points.shape).copy()
        hit = self._scene.run(points.astype(np.float32), ahead, query="OCCLUDED")
        return np.asarray(hit) < 0

    def split(self, edges: Edges) -> Pieces:
        """Edges in parts that are wholly seen or wholly hidden."""
        span = edges.end - edges.start
        off = edges.left + edges.right
        off = OFF * off / np.maximum(np.linalg.norm(off, axis=1), 1e-9)[:, None]
        count = np.maximum(1, np.ceil(np.linalg.norm(span, axis=1) / PIECE)).astype(np.int64)
        owner = np.repeat(np.arange(len(count)), count)
        number = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
        share = (number + 0.5) / count[owner]

        def seen(who: NDArray[np.int64], at: Floats) -> Flags:
            return self.sees(edges.start[who] + at[:, None] * span[who] + off[who])

        state = seen(owner, share)
        # between neighbours that differ, halve until the place is known
        change = np.flatnonzero((owner[1:] == owner[:-1]) & (state[1:] != state[:-1]))
        low, high, who = share[change], share[change + 1], owner[change]
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            same = seen(who, middle) == state[change]
            low, high = np.where(same, middle, low), np.where(same, high, middle)
        first = np.flatnonzero(np.r_[True, owner[1:] != owner[:-1]])
        where = np.r_[first, change + 1]
        begin = np.r_[np.zeros(len(first)), (low + high) / 2]
        order = np.lexsort((begin, owner[where]))
        where, begin = where[order], begin[order]
        holder = owner[where]
        finish = np.where(np.r_[holder[1:] == holder[:-1], False], np.r_[begin[1:], 1.0], 1.0)
        at = edges.start[holder]
        return Pieces(
            at + begin[:, None] * span[holder],
            at + finish[:, None] * span[holder],
            holder,
            state[where],
        )
