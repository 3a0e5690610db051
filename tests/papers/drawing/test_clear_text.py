"""Every text can be read: none covers another, and no line of a dimension runs through one."""

from __future__ import annotations

import itertools

import pytest
from drawn_holders import FAMILIES, SIZES, drawing

from nests.papers.drawing import Drawing
from nests.papers.drawing.values import Box, Dimension, Point, Text
from tests.pieces import every

NAMES = [pytest.param(each.values[0], 1.0, marks=each.marks) for each in every(names=True)] + [
    pytest.param(name, size, marks=pytest.mark.long if size < 1.0 else pytest.mark.slow)
    for name in FAMILIES
    for size in SIZES
    if size != 1.0
]


def meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def crosses(box: Box, start: Point, end: Point) -> bool:
    """Whether a segment enters a box (clipping after Liang and Barsky, 1984)."""
    low, high = 0.0, 1.0
    for k in (0, 1):
        step = end[k] - start[k]
        for edge, sign in ((box[k], -1.0), (box[k + 2], 1.0)):
            p, q = sign * step, sign * (edge - start[k])
            if abs(p) < 1e-12:
                if q < 0:
                    return False
                continue
            if p < 0:
                low = max(low, q / p)
            else:
                high = min(high, q / p)
    return low < high


def lettered(made: Drawing) -> list[Text]:
    return list(made.texts)


@pytest.mark.parametrize(("name", "size"), NAMES)
def test_no_text_covers_another(name: str, size: float) -> None:
    texts = lettered(drawing(name, size))
    both = [
        (a.words, b.words) for a, b in itertools.combinations(texts, 2) if meet(a.box(), b.box())
    ]
    assert not both


@pytest.mark.parametrize(("name", "size"), NAMES)
def test_no_line_of_a_dimension_runs_through_a_text(name: str, size: float) -> None:
    made = drawing(name, size)
    struck = []
    for each in made.dimensions:
        for line in each.lines:
            for start, end in itertools.pairwise(line.points):
                struck += [
                    (each.name, text.words)
                    for text in lettered(made)
                    if crosses(capitals(text), start, end)
                ]
    assert not struck


def capitals(text: Text) -> Box:
    """The box of a text without the room for descenders."""
    left, low, right, high = text.box()
    down = 0.34 * text.height
    return (left, low, right - down, high) if text.turned else (left, low + down, right, high)


@pytest.mark.parametrize(("name", "size"), NAMES)
def test_everything_lies_inside_the_frame(name: str, size: float) -> None:
    made = drawing(name, size)
    for sheet in made.sheets:
        frame = next(b for b in sheet if b.name == "frame").items[0].box()
        for each in sheet:
            if each.name != "frame":
                box = each.box()
                inside = [
                    box[0] - frame[0],
                    box[1] - frame[1],
                    frame[2] - box[2],
                    frame[3] - box[3],
                ]
                assert min(inside) > -1e-6, each.name


@pytest.mark.parametrize(("name", "size"), NAMES)
def test_no_block_covers_another(name: str, size: float) -> None:
    for sheet in drawing(name, size).sheets:
        blocks = [b for b in sheet if b.name != "frame"]
        both = [
            (a.name, b.name) for a, b in itertools.combinations(blocks, 2) if meet(a.box(), b.box())
        ]
        assert not both


def test_dimension_boxes_hold_their_text() -> None:
    for each in drawing("inv-26-a-hand-setting").dimensions:
        assert isinstance(each, Dimension)
        assert meet(each.box(), each.text.box())
