"""STL of any hand: binary or text, told apart by length and never by the word it begins with."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from nests.units import BadInput

Body = tuple[NDArray[np.float64], NDArray[np.int64]]
"""Corners (V, 3) and triangles (T, 3) of one body."""

LARGEST_COUNT = 1_000_000
"""Triangles that are judged: 2 million took 2.15 GB (measured), more than a check may take."""

_HEAD, _ROW = 84, 50
_PIECE = 8_000_000
_VERTEX = re.compile(rb"\bvertex\s+(\S+)\s+(\S+)\s+(\S+)", re.IGNORECASE)
_END = re.compile(rb"\bendsolid\b", re.IGNORECASE)


def refuse_many(count: int, name: str) -> None:
    """Raise `BadInput` for more triangles than are judged."""
    if count > LARGEST_COUNT:
        raise BadInput(
            f"{name} has {count} triangles; at most {LARGEST_COUNT} are judged: export it coarser."
        )


def stl_body(data: bytes, name: str) -> Body:
    """The triangles of an STL, equal corners joined. Raises `BadInput` describing the fault."""
    count = int.from_bytes(data[80:_HEAD], "little") if len(data) >= _HEAD else 0
    # Many programs begin a binary file with the word of the text form: the length decides.
    if len(data) >= _HEAD and len(data) == _HEAD + _ROW * count:
        refuse_many(count, name)
        rows = np.frombuffer(data, dtype=[("v", "<f4", (4, 3)), ("a", "<u2")], offset=_HEAD)
        return _soup(rows["v"][:, 1:].astype(np.float64).reshape(-1, 3))
    start = data[:2000].lstrip().lower()
    if start.startswith(b"solid") and (b"facet" in start or b"endsolid" in start):
        return _soup(_text_corners(data, name))
    if len(data) < _HEAD:
        raise BadInput(f"{name} is no STL, or it is cut off: it has only {len(data)} bytes.")
    held = (len(data) - _HEAD) / _ROW
    if held < count:
        raise BadInput(
            f"{name} is no STL, or it is cut off: it announces {count} triangles and has bytes "
            f"for {held:.1f}."
        )
    raise BadInput(
        f"{name} is no STL, or more was put behind it: it announces {count} triangles and has "
        f"bytes for {held:.1f}."
    )


def _soup(corners: NDArray[np.float64]) -> Body:
    """Triangles from their corners in turn, equal corners joined."""
    order = np.lexsort(corners.T)
    ordered = corners[order]
    new = np.ones(len(corners), dtype=bool)
    new[1:] = (ordered[1:] != ordered[:-1]).any(axis=1)
    joined = np.empty(len(corners), dtype=np.int64)
    joined[order] = np.cumsum(new) - 1
    return ordered[new], joined.reshape(-1, 3)


def _text_corners(data: bytes, name: str) -> NDArray[np.float64]:
    if not _END.search(data[-400:]):
        raise BadInput(f"{name} is a text STL without its end; it is cut off.")
    found: list[NDArray[np.float64]] = []
    count = 0
    for piece in _pieces(data):
        words = _VERTEX.findall(piece)
        count += len(words)
        refuse_many(count // 3, name)
        try:
            found.append(np.array(words, dtype=bytes).astype(np.float64).reshape(-1, 3))
        except ValueError:
            raise BadInput(
                f"{name} is a text STL with a corner that is no three numbers."
            ) from None
    if count % 3:
        raise BadInput(f"{name} is a text STL with {count} corners, no multiple of three.")
    return np.vstack(found) if found else np.empty((0, 3))


def _pieces(data: bytes) -> Iterator[bytes]:
    """Pieces that end where a facet ends, so that memory does not grow with the file."""
    begin = 0
    while begin < len(data):
        end = begin + _PIECE
        if end < len(data):
            cut = data.find(b"endloop", end)
            end = len(data) if cut < 0 else cut
        yield data[begin:end]
        begin = end
