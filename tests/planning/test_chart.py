"""The coverage table as a picture: what stands where, as it is read by eye.

Contrast: Web Content Accessibility Guidelines (WCAG) 2.1, W3C 2018, success criterion 1.4.3 and the
definitions of contrast ratio and relative luminance. The rest follows from what a table is.
"""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from nests.kinds.plan import Plan, PlannedHolder, PlannedOperation
from nests.papers.picture.writing import text_width
from nests.places import Side
from nests.planning.chart import (
    EDGE,
    INK,
    LINE,
    SHADE,
    SIZE,
    Box,
    Chart,
    Circle,
    Words,
    layout,
    png,
    svg,
)
from nests.planning.coverage import as_text, holder_line, rows, verdict

UP = Side.DIAL
PLAN = Plan(
    sheet="INV 1", work="three things", printer="a card", may_start=False, says="", weight=1,
    bound=1, proven=True,
    holders=(
        PlannedHolder(name="kept", state="in drawer", side_up=UP, used=("b",), serves=("a", "b")),
        PlannedHolder(name="fresh", state="to print", side_up=UP, used=("a",), serves=("a",),
                      volume=250_249.0, posts=("centre",)),
    ),
    operations=(
        PlannedOperation(name="a", side_up=UP, state="to print"),
        PlannedOperation(name="b", side_up=UP, state="in drawer", on="works"),
        PlannedOperation(name="a longer name", side_up=UP, state="none"),
    ),
)  # fmt: skip
WANTED = (("can", "to print"), ("in drawer", "not"), ("not", "not"))
MARKS = 6


def luminance(colour: tuple[int, int, int]) -> float:
    """Relative luminance of a colour."""
    part = np.asarray(colour) / 255.0
    linear = np.where(part <= 0.03928, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    return float(linear @ (0.2126, 0.7152, 0.0722))


def contrast(one: tuple[int, int, int], other: tuple[int, int, int]) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.fixture(scope="module")
def chart() -> Chart:
    return layout(PLAN, at_size)


def at_size(text: str) -> float:
    return text_width(text, SIZE)


def marks(chart: Chart) -> list[tuple[str, float, float, float, float]]:
    """Kind, middle and size of each mark, told by its shape alone."""
    out = []
    for each in chart.shapes:
        if isinstance(each, Circle):
            kind = "can" if each.ring else "in drawer"
            out.append((kind, each.x, each.y, 2 * each.radius, 2 * each.radius))
        elif isinstance(each, Box) and each.colour != SHADE:
            kind = "to print" if each.colour == INK else "not"
            middle = (each.x + each.wide / 2, each.y + each.tall / 2)
            out.append((kind, *middle, each.wide, each.tall))
    return out


def words(chart: Chart) -> list[Words]:
    return [each for each in chart.shapes if isinstance(each, Words)]


def test_it_is_read_without_colour_and_on_the_shade() -> None:
    """WCAG 1.4.3: 4.5 to 1 at least; the shade of every other row is hardly seen."""
    for colour in (INK, LINE, SHADE):
        assert len(set(colour)) == 1
    assert contrast(LINE, (255, 255, 255)) >= 4.5
    assert contrast(INK, SHADE) >= 4.5
    assert 1.1 < contrast(SHADE, (255, 255, 255)) < 1.3


def test_luminance_as_the_guideline_has_it() -> None:
    """WCAG 2.1: black on white is 21 to 1; #767676 is the lightest grey of 4.5 to 1 on white (W3C,
    Understanding 1.4.3 names it so)."""
    white = (255, 255, 255)
    assert contrast((0, 0, 0), white) == pytest.approx(21.0)
    assert contrast((0x76,) * 3, white) >= 4.5 > contrast((0x77,) * 3, white)


def test_every_mark_stands_in_the_middle_of_its_row_and_column(chart: Chart) -> None:
    count = len(PLAN.operations)
    table = marks(chart)[: count * len(PLAN.holders)]
    grid = [table[k : k + len(PLAN.holders)] for k in range(0, len(table), len(PLAN.holders))]
    assert tuple(tuple(kind for kind, *_ in row) for row in grid) == WANTED
    heads = [each for each in words(chart) if each.anchor == "middle"]
    assert [each.text for each in heads] == ["1", "2"]
    for column, head in enumerate(heads):
        assert {round(row[column][1], 6) for row in grid} == {round(head.x, 6)}
    shades = [each for each in chart.shapes if isinstance(each, Box) and each.colour == SHADE]
    assert len(shades) == 2  # of three rows the first and the last
    assert [grid[0][0][2], grid[2][0][2]] == [each.y + each.tall / 2 for each in shades]
    for each in shades:  # the sheet is whole px wide
        assert each.x == pytest.approx(chart.wide - each.x - each.wide, abs=0.5)
    middles = [row[0][2] for row in grid]
    assert all(row[1][2] == row[0][2] for row in grid)
    steps = {round(b - a, 6) for a, b in pairwise(middles)}
    assert steps == {shades[0].tall}


def test_marks_are_of_one_size_and_a_dash_is_flat(chart: Chart) -> None:
    for kind, _, _, wide, tall in marks(chart):
        if kind == "not":
            assert tall < wide / 4
            assert wide < 2 * MARKS
        else:
            assert wide == tall == 2 * MARKS


def test_nothing_runs_into_anything_else(chart: Chart) -> None:
    """Words by their box on a line, marks by theirs; all of it on the sheet."""
    boxes = []
    for each in words(chart):
        wide = text_width(each.text, each.size)
        left = each.x - (wide / 2 if each.anchor == "middle" else 0.0)
        boxes.append((left, each.y - 0.75 * each.size, left + wide, each.y + 0.25 * each.size))
    for _, x, y, wide, tall in marks(chart):
        boxes.append((x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2))
    for k, (left, top, right, low) in enumerate(boxes):
        assert left >= 0.0
        assert top >= 0.0
        assert right <= chart.wide
        assert low <= chart.tall
        for other in boxes[:k]:
            apart = right < other[0] or other[2] < left or low < other[1] or other[3] < top
            assert apart, (boxes[k], other)
    shades = [each for each in chart.shapes if isinstance(each, Box) and each.colour == SHADE]
    for each in words(chart):
        if each.text in ("a", "a longer name"):
            row = next(s for s in shades if s.y < each.y < s.y + s.tall)
            assert each.y - (row.y + row.tall / 2) == pytest.approx(0.35 * SIZE, abs=0.5)


def test_a_wide_table_has_its_edge_at_the_right_too() -> None:
    """Twenty holders: then the table, and neither key nor legend, is what is widest."""
    many = tuple(
        PlannedHolder(name=f"{n}", state="to print", side_up=UP, used=("a",)) for n in range(20)
    )
    wide = layout(replace(PLAN, holders=many), at_size)
    states = [each for each in words(wide) if each.text in ("to print", "in drawer", "NONE")]
    assert len(states) == 3
    ends = [each.x + at_size(each.text) for each in states]
    assert EDGE - 1 <= wide.wide - max(ends) < 2 * EDGE


def test_the_key_names_every_mark_once(chart: Chart) -> None:
    below = marks(chart)[len(PLAN.operations) * len(PLAN.holders) :]
    assert [kind for kind, *_ in below] == ["to print", "in drawer", "can", "not"]
    for (_, x, y, wide, _), says in zip(below, words(chart)[-6:-2], strict=True):
        assert x + wide / 2 < says.x < x + wide / 2 + SIZE
        assert says.y - y == pytest.approx(0.35 * SIZE, abs=0.5)


def test_the_png_has_ink_where_the_chart_has_it_and_nowhere_else(chart: Chart) -> None:
    image = np.asarray(Image.open(io.BytesIO(png(chart))).convert("L")).astype(int)
    paper = np.where(image >= SHADE[0] - 2, 0, 255 - image)
    for kind, x, y, _, _ in marks(chart):
        middle = image[round(2 * y), round(2 * x)]
        edge = image[round(2 * y), round(2 * x + 2 * MARKS - 2)]
        wanted = {"to print": (INK[0],) * 2, "in drawer": (INK[0],) * 2, "not": (LINE[0], None)}
        full, at_edge = wanted.get(kind, (None, INK[0]))
        assert full is None or middle == full, kind
        assert at_edge is None or abs(edge - at_edge) < 60, kind
        if kind == "can":
            assert middle >= SHADE[0]
        paper[round(2 * y) - 15 : round(2 * y) + 15, round(2 * x) - 15 : round(2 * x) + 15] = 0
    for each in words(chart):
        wide = 2 * text_width(each.text, each.size)
        left = 2 * each.x - (wide / 2 if each.anchor == "middle" else 0.0)
        top, low = round(2 * each.y - 2 * each.size), round(2 * each.y + 0.7 * each.size)
        area = paper[top:low, round(left) - 2 : round(left + wide) + 3]
        assert area.max() > 150, each.text
        ink = np.flatnonzero(area.max(axis=0) > 60)
        assert ink[-1] - ink[0] > 0.7 * wide - 6, each.text
        area[:] = 0
    assert paper.max() == 0


def test_the_table_says_what_the_plan_says() -> None:
    assert [each.name for each in rows(PLAN)] == ["a", "b", "a longer name"]
    says = holder_line(2, PLAN.holders[1])
    assert "250.2 cm³" in says  # 250 249 mm³, of which 1000 make a cm³
    assert "posts under centre" in says


def test_the_svg_has_the_same_marks(chart: Chart) -> None:
    """A disc and a ring have a line round them, half of which lies outside."""
    root = ElementTree.fromstring(svg(chart))
    space = "{http://www.w3.org/2000/svg}"
    wanted = [each for each in marks(chart) if each[0] in ("can", "in drawer")]
    for (kind, x, y, wide, _), each in zip(wanted, root.iter(f"{space}circle"), strict=True):
        line = float(each.attrib["stroke-width"])
        assert (float(each.attrib["cx"]), float(each.attrib["cy"])) == pytest.approx(
            (x, y), abs=0.06
        )
        assert 2 * float(each.attrib["r"]) + line == pytest.approx(wide)
        assert (each.attrib["fill"] == "none") == (kind == "can")
    boxes = [each for each in chart.shapes if isinstance(each, Box)]
    for box, each in zip(boxes, list(root.iter(f"{space}rect"))[1:], strict=True):
        told = [float(each.attrib[key]) for key in ("x", "y", "width", "height")]
        assert told == pytest.approx([box.x, box.y, box.wide, box.tall], abs=0.06)
        assert each.attrib["fill"] == "#" + 3 * f"{box.colour[0]:02x}"


def test_the_verdict_says_how_much_less_a_family_might_weigh() -> None:
    """(weight - bound) / weight, as solvers of integer programs give their gap; from memory."""
    assert verdict(PLAN).startswith("Proved")
    assert "up to 20.0 % less" in verdict(replace(PLAN, weight=10, bound=8, proven=False))
    assert "up to 0.0 % less" in verdict(replace(PLAN, weight=0, bound=0, proven=False))


def test_the_columns_of_the_table_stand_under_each_other() -> None:
    lines = as_text(PLAN).splitlines()
    at = [next(k for k, line in enumerate(lines) if line.split()[:1] == [name]) for name in "ab"]
    table = [lines[k] for k in (*at, at[-1] + 1)]
    states = ("to print", "in drawer", "none")
    (head,) = [line for line in lines if line.split()[:1] == ["operation"]]
    for number, marks_ in (("1", "oX."), ("2", "X..")):
        assert "".join(line[head.index(number)] for line in table) == marks_
    assert len({line.lower().index(says) for line, says in zip(table, states, strict=True)}) == 1
    assert len({line.index("dial up") - len(where) for line, where in
                zip(table, ("movement, ", "works, ", "movement, "), strict=True)}) == 1  # fmt: skip
