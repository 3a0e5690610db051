"""Shallow grooves in a bare mesh, such as engraved letters, told by their floors.

A floor is a connected piece of plane all round which the surface rises, on every side and by no
more than a depth; the faces that rise from it are its sides. What is left standing between two
such grooves is no higher than they are deep and is held along its whole foot: it is no wall that
could break. A groove that opens into a side face, or into a hole, is not told from other cuts.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from nests.layers.outlines import Flags, Floats, Ints
from nests.units import Length

FLUSH: Length = 2e-3
"""mm within which corners lie in one plane: rounding of a file, and of curves in it."""


def shallow_grooves(vertices: Floats, faces: Ints, deepest: Length) -> tuple[Flags, Flags]:
    """Which triangles of a closed mesh are sides, and which floors, of grooves: (T,) and (T,).

    A groove is at most `deepest` mm deep.
    `vertices` (V, 3) in mm, `faces` (T, 3) outward-wound and sharing their vertices.
    """
    corners = vertices[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    doubled = np.linalg.norm(normals, axis=1)
    normals /= np.where(doubled > 0.0, doubled, 1.0)[:, None]
    piece = _pieces(vertices, faces, normals, doubled)
    # the plane of a piece is that of its largest triangle
    order = np.lexsort((-doubled, piece))
    first = order[np.flatnonzero(np.diff(piece[order], prepend=-1))]
    normal, level = normals[first], np.einsum("ij,ij->i", normals[first], corners[first, 0])
    # every face that touches a piece in a corner, with how far it reaches above the piece's plane
    owner, other = _touching(piece, faces, len(vertices))
    rise = np.einsum("nkj,nj->nk", corners[other], normal[owner]) - level[owner, None]
    lowest, highest = np.full(len(first), np.inf), np.full(len(first), -np.inf)
    np.minimum.at(lowest, owner, rise.max(axis=1))
    np.minimum.at(lowest, owner, np.where(rise.min(axis=1) < -FLUSH, -np.inf, np.inf))
    np.maximum.at(highest, owner, rise.max(axis=1))
    floor = (lowest > FLUSH) & (highest <= deepest + FLUSH)
    sides = np.zeros(len(faces), dtype=np.bool_)
    sides[other[floor[owner]]] = True
    return sides, floor[piece]


def _pieces(vertices: Floats, faces: Ints, normals: Floats, doubled: Floats) -> Ints:
    """(T,) number of the connected piece of plane that each triangle lies in."""
    count = len(faces)
    edges = np.sort(np.vstack([faces[:, (i, (i + 1) % 3)] for i in range(3)]), axis=1)
    opposite = np.concatenate([faces[:, (i + 2) % 3] for i in range(3)])
    face = np.tile(np.arange(count), 3)
    order = np.lexsort(edges.T)
    one, two = order[::2], order[1::2]  # a closed mesh has every edge twice
    swap = doubled[face[one]] < doubled[face[two]]
    large, small = np.where(swap, two, one), np.where(swap, one, two)
    away = np.einsum(
        "ij,ij->i",
        vertices[opposite[small]] - vertices[opposite[large]],
        normals[face[large]],
    )
    alike = np.einsum("ij,ij->i", normals[face[large]], normals[face[small]]) > 0.0
    flat = (np.abs(away) < FLUSH) & (alike | (doubled[face[small]] < FLUSH**2))
    pairs = (face[large[flat]], face[small[flat]])
    graph = coo_array((np.ones(len(pairs[0])), pairs), shape=(count, count))
    return connected_components(graph.tocsr(), directed=False)[1].astype(np.int64)


def _touching(piece: Ints, faces: Ints, corners: int) -> tuple[Ints, Ints]:
    """Pairs (piece, face of another piece) that share a corner, each once."""
    pieces = int(piece.max()) + 1
    count = len(faces)
    ones = np.ones(3 * count)
    rows = np.repeat(piece, 3)
    has = coo_array((ones, (rows, faces.ravel())), shape=(pieces, corners)).tocsr()
    of = coo_array(
        (ones, (faces.ravel(), np.repeat(np.arange(count), 3))), shape=(corners, count)
    ).tocsr()
    meets = (has @ of).tocoo()
    owner, other = meets.row.astype(np.int64), meets.col.astype(np.int64)
    fresh = piece[other] != owner
    return owner[fresh], other[fresh]
