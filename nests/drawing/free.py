"""Finding a place for a text where it covers nothing."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from nests.drawing.dimensions import overlap
from nests.drawing.values import Box, Dimension, Hatch, Item, Point, Stroke, Text

PIECE = 1.5
"""mm; a slanting line is covered by boxes of about this length."""


def free_text(
    words: str, height: float, places: Iterable[Point], taken: Sequence[Box], margin: float = 0.3
) -> Text | None:
    """The text at the first place where it keeps `margin` mm from all boxes; None without one."""
    for place in places:
        text = Text(place, words, height, 0.5)
        mine = text.box()
        if not any(overlap(mine, box, margin) for box in taken):
            return text
    return None


def taken_by(items: Iterable[Item], *, lines: bool = False) -> list[Box]:
    """Boxes of all texts and dimensions, and with `lines` of every line that is drawn."""
    out: list[Box] = []
    for each in items:
        if isinstance(each, Dimension):
            out += boxes(each)
        elif isinstance(each, Text):
            out.append(each.box())
        elif lines and isinstance(each, Stroke):
            out += _along(each)
        elif lines and isinstance(each, Hatch):
            out += [box for line in each.lines for box in _along(Stroke(line, each.pen))]
    return out


def boxes(dimension: Dimension) -> list[Box]:
    """Boxes that cover a dimension piece by piece."""
    arrows = [each.box() for each in dimension.arrows]
    lines = [box for line in dimension.lines for box in _along(line)]
    return [dimension.text.box(), *arrows, *lines]


def _along(line: Stroke) -> list[Box]:
    out = []
    for (a, b), (c, d) in zip(line.points, line.points[1:], strict=False):
        count = max(1, math.ceil(math.dist((a, b), (c, d)) / PIECE))
        for k in range(count):
            x0, x1 = a + (c - a) * k / count, a + (c - a) * (k + 1) / count
            y0, y1 = b + (d - b) * k / count, b + (d - b) * (k + 1) / count
            out.append((min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))
    return out
