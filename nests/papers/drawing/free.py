"""Finding a place for a text where it covers nothing."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from nests.papers.drawing.values import Arc, Box, Dimension, Hatch, Item, Point, Stroke, Text

Boxes = NDArray[np.float64]
"""(n, 4): left, lower, right, upper of each."""
PIECE = 1.5
"""mm; a slanting line is covered by boxes of about this length."""


def free_text(
    words: str, height: float, places: Iterable[Point], taken: Boxes, margin: float = 0.3
) -> Text | None:
    """The text at the first place where it keeps `margin` mm from all boxes; None without one."""
    for place in places:
        text = Text(place, words, height, 0.5)
        if not covers(text.box(), taken, margin):
            return text
    return None


def covers(box: Box, taken: Boxes, margin: float) -> bool:
    """Whether a box comes nearer than `margin` to one of several."""
    left, low, right, high = box
    near = (taken[:, 0] < right + margin) & (left - margin < taken[:, 2])
    near &= (taken[:, 1] < high + margin) & (low - margin < taken[:, 3])
    return bool(near.any())


def taken_by(items: Iterable[Item], *, lines: bool = False) -> Boxes:
    """Boxes of all texts and dimensions, and with `lines` of every line that is drawn."""
    out: list[Box] = []
    segments: list[tuple[Point, Point]] = []
    for each in items:
        if isinstance(each, Dimension):
            out += [each.text.box(), *(arrow.box() for arrow in each.arrows)]
            segments += [pair for line in each.lines for pair in _pairs(line)]
        elif isinstance(each, Text):
            out.append(each.box())
        elif lines and isinstance(each, Stroke):
            segments += _pairs(each)
        elif lines and isinstance(each, Hatch):
            segments += each.lines
        elif lines and isinstance(each, Arc):
            segments += _chords(each)
    return np.vstack((np.array(out).reshape(-1, 4), _along(segments)))


def _pairs(line: Stroke) -> list[tuple[Point, Point]]:
    points = (*line.points, line.points[0]) if line.closed else line.points
    return list(pairwise(points))


def _chords(arc: Arc) -> list[tuple[Point, Point]]:
    (x, y), span = arc.centre, arc.last - arc.first
    count = max(2, math.ceil(math.radians(span) * arc.radius / PIECE))
    turns = [math.radians(arc.first + span * k / count) for k in range(count + 1)]
    points = [(x + arc.radius * math.cos(t), y + arc.radius * math.sin(t)) for t in turns]
    return list(pairwise(points))


def _along(segments: list[tuple[Point, Point]]) -> Boxes:
    """Boxes that cover segments piece by piece."""
    ends = np.array(segments, dtype=np.float64).reshape(-1, 2, 2)
    span = ends[:, 1] - ends[:, 0]
    count = np.maximum(1, np.ceil(np.hypot(*span.T) / PIECE)).astype(np.int64)
    owner = np.repeat(np.arange(len(count)), count)
    number = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    begin = ends[owner, 0] + span[owner] * (number / count[owner])[:, None]
    finish = ends[owner, 0] + span[owner] * ((number + 1) / count[owner])[:, None]
    return np.hstack((np.minimum(begin, finish), np.maximum(begin, finish)))
