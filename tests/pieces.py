"""Pieces of the gallery for tests that go through all of them: the first of each family and way of
pushing is fast, all others are long, see DEVELOPERS.md."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest

from nests.orders.gallery import PIECES, Piece


def _sort(piece: Piece) -> tuple[str, object]:
    return piece.family, piece.options.get("pushed_by")


FIRST = {_sort(piece): piece.slug() for piece in reversed(PIECES)}


def every(pieces: Iterable[Piece] = PIECES, *, names: bool = False) -> list[Any]:
    """Parameters for these pieces, or for their names."""
    return [
        pytest.param(
            piece.slug() if names else piece,
            id=piece.slug(),
            marks=() if piece.slug() in FIRST.values() else pytest.mark.long,
        )
        for piece in pieces
    ]
