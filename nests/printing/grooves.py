"""Shallow grooves in a bare mesh, such as engraved letters, told by their floors.

A floor is a connected piece of plane all round which the surface rises, on every side and by no
more than a depth; the faces that rise from it are its sides. What is left standing between two
such grooves is no higher than they are deep and is held along its whole foot: it is no wall that
could break. A groove that opens into a side face, or into a hole, is not told from other cuts.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from nests.layers.outlines import Flags, Floats, Ints
from nests.units import Length

FLUSH: Length = 2e-3
"""mm within which corners lie in one plane: rounding of a file, and of curves in it."""

BLOCK = 50_000
"""Pieces looked at together, so that memory does not grow with them."""


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
    lowest, highest = np.full(len(first), np.inf), np.full(len(first), -np.inf)
    sides = np.zeros(len(faces), dtype=np.bool_)
    # how far every face that touches a piece in a corner reaches above the piece's plane
    for owner, other in _touching(piece, faces, len(vertices)):
        rise = np.einsum("nkj,nj->nk", corners[other], normal[owner]) - level[owner, None]
        np.minimum.at(lowest, owner, rise.max(axis=1))
        np.minimum.at(lowest, owner, np.where(rise.min(axis=1) < -FLUSH, -np.inf, np.inf))
        np.maximum.at(highest, owner, rise.max(axis=1))
        low = (lowest[owner] > FLUSH) & (highest[owner] <= deepest + FLUSH)
        sides[other[low]] = True
    floor = (lowest > FLUSH) & (highest <= deepest + FLUSH)
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


def _touching(piece: Ints, faces: Ints, corners: int) -> Iterator[tuple[Ints, Ints]]:
    """Pairs (piece, face of another piece) that share a corner, each once, block by block of
    pieces: in a rough mesh they are thirteen times as many as its faces."""
    pieces, count = int(piece.max()) + 1, len(faces)
    ones = np.ones(3 * count, dtype=np.int32)
    rows, columns = np.repeat(piece, 3), faces.ravel()
    has = coo_array((ones, (rows, columns)), shape=(pieces, corners)).tocsr()
    of = coo_array(
        (ones, (columns, np.repeat(np.arange(count), 3))), shape=(corners, count)
    ).tocsr()
    for begin in range(0, pieces, BLOCK):
        meets = (has[begin : begin + BLOCK] @ of).tocoo()
        owner, other = meets.row.astype(np.int64) + begin, meets.col.astype(np.int64)
        fresh = piece[other] != owner
        yield owner[fresh], other[fresh]
