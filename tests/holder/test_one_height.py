"""A height that is said in words is the difference that the acceptance list gives."""

from __future__ import annotations

import re

import pytest

from nests.holder.gauging import to_gauge
from nests.orders.gallery import PIECES, Piece, ordered

PRESSED = [piece for piece in PIECES if piece.family in ("thin", "hand-setting", "pressing")]


@pytest.mark.parametrize("piece", PRESSED, ids=Piece.slug)
def test_a_posts_end_lies_below_the_ledge_as_the_list_has_it(piece: Piece) -> None:
    """Also where the ledge was lowered so that it only centres: it was forgotten there."""
    recipe = ordered(piece).recipe
    heights = {row.name: row.feature.nominal for row in to_gauge(recipe)}
    told = 0
    for reason in recipe.reasons:
        name = reason.split(":")[0].lower().replace(" ", "-")
        for size, way in re.findall(r"(-?[\d.]+) mm (below|above) the seat's ledge", reason):
            below = float(size) if way == "below" else -float(size)
            assert heights["ledge"] - heights[f"under-{name}"] == pytest.approx(below, abs=6e-4)
            told += 1
    set_posts = sum(post.kind in ("pin", "screw") for part in recipe.parts
                    if (post := part.post()) is not None)  # fmt: skip
    assert told == set_posts
