"""A height that is said in words is the one on the acceptance list, as it stands there."""

from __future__ import annotations

import re

import pytest

from nests.holder.gauging import to_gauge
from nests.orders.gallery import PIECES, Piece, ordered

PRESSED = [piece for piece in PIECES if piece.family in ("thin", "hand-setting", "pressing")]


@pytest.mark.parametrize("piece", PRESSED, ids=Piece.slug)
def test_a_posts_end_lies_below_the_ledge_as_the_list_has_it(piece: Piece) -> None:
    """Also where the ledge was lowered so that it only centres."""
    recipe = ordered(piece).recipe
    limits = {row.feature.under: row.feature.limits() for row in to_gauge(recipe)
              if row.feature.sort == "tip"}  # fmt: skip
    told = 0
    for reason in recipe.reasons:
        name = reason.split(":")[0]
        for height in re.findall(r"[\d.]+ ± [\d.]+ mm (?:below|above) the ledge", reason):
            assert height == limits[name]
            told += 1
    set_posts = sum(post.kind in ("pin", "screw") for part in recipe.parts
                    if (post := part.post()) is not None)  # fmt: skip
    assert told == set_posts
