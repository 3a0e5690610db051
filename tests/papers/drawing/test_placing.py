"""Labels find the best places there are, and lines that cover each other are drawn as one."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from drawn_holders import drawing
from test_clear_text import capitals, crosses, lettered

from nests.papers.drawing.chains import chained, drawn
from nests.papers.drawing.labels import ROW, spread
from nests.papers.drawing.values import OUTLINE, Stroke, Text
from tests.pieces import every


def test_labels_that_have_room_stand_where_they_are_wanted() -> None:
    assert spread([20.0, 0.0, -20.0], [], 30.0) == [20.0, 0.0, -20.0]


def test_labels_that_meet_part_as_little_as_can_be() -> None:
    # two that want one place: the least sum of distances is one row, however it is shared out
    one, two = spread([0.0, 0.0], [], 30.0)
    assert one - two >= ROW
    assert abs(one) + abs(two) <= ROW + 0.5


def test_labels_are_as_near_as_any_choice_of_places() -> None:
    # against every choice on the same raster
    wanted, taken, half = [2.0, 1.0, -4.0], [(-1.0, 3.0)], 9.0
    found = spread(wanted, taken, half)
    raster = [y for y in np.arange(half, -half - 0.5, -0.5) if not -1.0 < y < 3.0]
    costs = [
        sum(abs(a - b) for a, b in zip(choice, wanted, strict=True))
        for choice in itertools.combinations(raster, 3)
        if min(-np.diff(choice)) >= ROW
    ]
    assert sum(abs(a - b) for a, b in zip(found, wanted, strict=True)) == pytest.approx(min(costs))


def test_labels_without_room_reach_beyond() -> None:
    found = spread([0.0] * 5, [], 5.0)
    assert min(-np.diff(found)) >= ROW


def test_edges_at_one_height_seen_in_one_line_are_one_line() -> None:
    # the far edge runs on beyond the near one and turns down; nothing of it may be lost
    start = np.array([(0.0, 1.0), (2.0, 1.0), (5.0, 1.0), (5.0, 0.0), (5.0, 0.4)])
    end = np.array([(3.0, 1.0), (5.0, 1.0), (4.0, 1.0), (5.0, 0.5), (5.0, 1.0)])
    (chain,) = chained(start, end)
    assert {*chain} == {(0.0, 1.0), (5.0, 1.0), (5.0, 0.0)}
    (line,) = drawn(start, end, OUTLINE, None)
    assert isinstance(line, Stroke)
    assert len(line.points) == 3


@pytest.mark.parametrize("name", every(names=True))
def test_no_cutting_plane_runs_through_a_text(name: str) -> None:
    made = drawing(name)
    marks = [
        each for each in made.items
        if isinstance(each, Stroke) and each.pen.layer == "cutting planes"
    ]  # fmt: skip
    assert len(marks) >= 4
    struck = [
        text.words
        for mark in marks
        for start, end in itertools.pairwise(mark.points)
        for text in lettered(made)
        if crosses(capitals(text), start, end)
    ]
    assert not struck


@pytest.mark.parametrize("name", every(names=True))
def test_the_letter_of_a_cutting_plane_stands_at_its_end(name: str) -> None:
    """Its middle lies within twice its own height and the arrow's length of what it belongs to."""
    blocks = {each.name: each for each in drawing(name).blocks}
    planes = {title.removeprefix("section ")[0] for title in blocks if title.startswith("section ")}
    plan = blocks["plan"].items
    ends = np.array([
        point for each in plan
        if isinstance(each, Stroke) and each.pen.layer == "cutting planes"
        for point in each.points
    ])  # fmt: skip
    for text in (each for each in plan if isinstance(each, Text) and each.words in planes):
        left, low, right, high = text.box()
        away = np.hypot(*(ends - ((left + right) / 2, (low + high) / 2)).T).min()
        assert away <= 2 * text.height


@pytest.mark.parametrize("name", every(names=True))
def test_every_hour_plane_and_post_has_its_sign_in_the_plan(name: str) -> None:
    blocks = {each.name: each for each in drawing(name).blocks}
    words = [each.words for each in blocks["plan"].items if isinstance(each, Text)]
    assert {"12 h", "3 h", "6 h", "9 h"} <= {*words}
    for title in blocks:
        if title.startswith("section "):
            assert words.count(title.removeprefix("section ")[0]) == 2
        if title.startswith("detail "):
            letter = title.removeprefix("detail ")
            circled = [
                each for other, each in blocks.items() if other.startswith("section ")
                if any(isinstance(t, Text) and t.words == letter for t in each.items)
            ]  # fmt: skip
            assert len(circled) == 1
    if "posts" in blocks:
        said = [t.words for t in blocks["posts"].items if isinstance(t, Text)][11:]
        assert {*said[::10]} <= {*words}
