"""Frame, title block and the sign of first-angle projection (ISO 5457, 7200 and 5456-2)."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from nests.documents.files import canonical
from nests.holder.compose import Holder
from nests.kinds import document
from nests.papers.drawing.lettering import HEIGHTS, LARGE, PLAIN, TITLE, fitted, shortened
from nests.papers.drawing.values import (
    CENTRE,
    OUTLINE,
    SHEET,
    SHEET_FINE,
    Arc,
    Block,
    Box,
    Item,
    Pen,
    Stroke,
    Text,
)

BINDING, MARGIN = 20.0, 10.0
"""mm; margin on the left, for the binding, and on the other sides."""
HASH_DIGITS = 12
FRAME = Pen("sheet", 0.7)
WIDTH, HEIGHT = 118.0, 38.0
"""mm; size of the title block."""


def recipe_hash(holder: Holder) -> str:
    """First digits of the SHA-256 of the recipe as it is written into the pack."""
    return hashlib.sha256(canonical(document(holder.recipe))).hexdigest()[:HASH_DIGITS]


def field_of(size: tuple[float, float]) -> Box:
    """What the frame leaves for drawing, mm."""
    return (BINDING, MARGIN, size[0] - MARGIN, size[1] - MARGIN)


def frame(size: tuple[float, float]) -> Block:
    """Frame with centring marks."""
    left, low, right, high = field_of(size)
    x, y = size[0] / 2, size[1] / 2
    corners = ((left, low), (right, low), (right, high), (left, high))
    marks = (
        ((x, low - 5.0), (x, low)),
        ((x, high + 5.0), (x, high)),
        ((left - 5.0, y), (left, y)),
        ((right + 5.0, y), (right, y)),
    )
    items: list[Item] = [Stroke(corners, FRAME, closed=True)]
    items += [Stroke(mark, SHEET) for mark in marks]
    return Block("frame", tuple(items))


def title_block(holder: Holder, form: str, sheet: tuple[int, int], scale: float) -> Block:
    """The title block with its lower right corner at the origin."""
    recipe = holder.recipe
    work = recipe.workpiece
    invented = "invented" in work.remarks.lower()
    rows: list[tuple[float, Sequence[tuple[str, str, float]]]] = [
        (11.0, [("holder", recipe.name, 1.0)]),
        (
            9.0,
            [
                ("kind", recipe.kind, 0.34),
                ("calibre" if work.kind == "movement" else "name", work.name, 0.30),
                ("workpiece", f"{work.kind}{', INVENTED' if invented else ''}", 0.36),
            ],
        ),
        (
            9.0,
            [
                ("side up", recipe.side_up.value, 0.18),
                ("operation", recipe.operation.name, 0.42),
                ("family", recipe.family, 0.40),
            ],
        ),
        (
            9.0,
            [
                ("scale", scale_words(scale), 0.1),
                ("unit", "mm", 0.09),
                ("sheet", f"{form}, {sheet[0]}/{sheet[1]}", 0.16),
                ("projection", "", 0.16),
                ("date", recipe.date or "none given", 0.21),
                ("recipe sha256", recipe_hash(holder), 0.28),
            ],
        ),
    ]
    items: list[Item] = []
    top = HEIGHT
    for height, cells in rows:
        items.append(Stroke(((-WIDTH, top), (0.0, top)), SHEET_FINE))
        left = -WIDTH
        for name, words, share in cells:
            items += _cell(left, top, height, share * WIDTH, name, words)
            left += share * WIDTH
            if left < -0.1:
                items.append(Stroke(((left, top), (left, top - height)), SHEET_FINE))
        top -= height
    edge = ((-WIDTH, 0.0), (0.0, 0.0), (0.0, HEIGHT), (-WIDTH, HEIGHT))
    items.append(Stroke(edge, FRAME, closed=True))
    return Block("title block", tuple(items))


def _cell(left: float, top: float, height: float, wide: float, name: str, words: str) -> list[Item]:
    items: list[Item] = [Text((left + 1.0, top - PLAIN - 0.7), name, PLAIN)]
    if name == "projection":
        return [*items, *projection_sign(left + wide / 2 + 1.0, top - height + 2.8)]
    largest = TITLE if height > 10.0 else LARGE
    sizes = tuple(h for h in reversed(HEIGHTS) if h <= largest)
    size = fitted(words, wide - 2.0, sizes)
    fits = shortened(words, wide - 2.0, PLAIN) if size == PLAIN else words
    return [*items, Text((left + 1.0, top - height + 1.3), fits, size)]


def projection_sign(x: float, y: float) -> list[Item]:
    """A frustum seen from the side and, to its right, from its left: first-angle projection."""
    large, small, gap = 2.0, 1.0, 5.0
    side = ((x - gap, y - small), (x - 1.0, y - large), (x - 1.0, y + large), (x - gap, y + small))
    return [
        Stroke(side, OUTLINE, closed=True),
        Arc((x + gap - 1.0, y), large, OUTLINE),
        Arc((x + gap - 1.0, y), small, OUTLINE),
        Stroke(((x - gap - 0.8, y), (x - 0.2, y)), CENTRE),
        Stroke(((x + gap - 3.8, y), (x + gap + 1.8, y)), CENTRE),
        Stroke(((x + gap - 1.0, y - 2.4), (x + gap - 1.0, y + 2.4)), CENTRE),
    ]


def scale_words(scale: float) -> str:
    """A scale as ISO 5455 writes it."""
    return f"{scale:g}:1" if scale >= 1.0 else f"1:{1.0 / scale:g}"
