"""The coverage table as a picture: one layout, drawn as SVG and as PNG.

A mark is told by its shape: filled square, done in a holder to print; filled disc, done in one of
the drawer; ring, could be done in it; short dash, cannot.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from dataclasses import dataclass
from html import escape
from typing import Literal, TypeAlias

from nests.kinds.plan import Plan
from nests.planning.coverage import holder_line, rows

ROW, COLUMN, EDGE, SIZE = 22, 30, 16, 13
SHADE, INK, LINE = (238, 238, 238), (17, 17, 17), (118, 118, 118)
Colour: TypeAlias = tuple[int, int, int]


@dataclass(frozen=True)
class Box:
    """A filled rectangle, px."""

    x: float
    y: float
    wide: float
    tall: float
    colour: Colour


@dataclass(frozen=True)
class Circle:
    """A disc or, with `ring`, the line round it."""

    x: float
    y: float
    radius: float
    ring: bool


@dataclass(frozen=True)
class Words:
    """Text on a baseline, anchored at its start or middle."""

    x: float
    y: float
    text: str
    anchor: Literal["start", "middle"] = "start"
    size: float = SIZE


Shape: TypeAlias = Box | Circle | Words


@dataclass(frozen=True)
class Chart:
    """What is to be drawn, back to front, and the size of the sheet in px."""

    wide: int
    tall: int
    shapes: tuple[Shape, ...]


def layout(plan: Plan, width: Callable[[str], float]) -> Chart:
    """Place every shape; `width` gives the width in px of a text at `SIZE`."""
    table, holders = rows(plan), plan.holders
    legend = [holder_line(n, h) for n, h in enumerate(holders, 1)]
    name = EDGE + max(width(row.name) for row in table) + EDGE
    marks = name + max(width(row.where) for row in table) + EDGE
    state = marks + COLUMN * len(holders) + EDGE / 2
    title = f"{plan.sheet}: {plan.work}"
    wide = max(state + width("in drawer") + EDGE, *(EDGE * 2 + width(t) for t in [title, *legend]))
    key_wide = EDGE + math.fsum(width(says) + 3 * EDGE for _, says in _KEY)
    wide = max(wide, key_wide + EDGE)
    top = 2 * EDGE + 2 * ROW
    shapes: list[Shape] = [Words(EDGE, EDGE + SIZE, title, size=SIZE)]
    for column in range(len(holders)):
        middle = marks + COLUMN * (column + 0.5)
        shapes.append(Words(middle, top - 7, str(column + 1), "middle"))
    for index, row in enumerate(table):
        y = top + ROW * index
        if index % 2 == 0:
            shapes.append(Box(EDGE / 2, y, wide - EDGE, ROW, SHADE))
        base = y + ROW / 2 + 4.5
        shapes += [Words(EDGE, base, row.name), Words(name, base, row.where)]
        for column, mark in enumerate(row.marks):
            middle = marks + COLUMN * (column + 0.5)
            shown = holders[column].state if mark == "used" else mark
            shapes += _mark(shown, middle, y + ROW / 2)
        shapes.append(Words(state, base, "NONE" if row.state == "none" else row.state))
    y = top + ROW * len(table) + EDGE
    x: float = EDGE
    for kind, says in _KEY:
        shapes += [*_mark(kind, x + 6, y), Words(x + 18, y + 4.5, says)]
        x += width(says) + 3 * EDGE
    y += ROW
    for line in legend:
        shapes.append(Words(EDGE, y + 4.5, line))
        y += ROW
    return Chart(round(wide), round(y + EDGE / 2), tuple(shapes))


_KEY = (
    ("to print", "done in it, to print"),
    ("in drawer", "done in it, in the drawer"),
    ("can", "could be done in it"),
    ("not", "cannot"),
)


def _mark(kind: str, x: float, y: float) -> list[Shape]:
    if kind == "to print":
        return [Box(x - 6, y - 6, 12, 12, INK)]
    if kind in ("in drawer", "can"):
        return [Circle(x, y, 6, ring=kind == "can")]
    return [Box(x - 4, y - 0.75, 8, 1.5, LINE)]


def svg(chart: Chart) -> bytes:
    """The chart as SVG 1.1; the same chart gives the same bytes."""
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{chart.wide}" height="{chart.tall}" '
        f'viewBox="0 0 {chart.wide} {chart.tall}" font-family="sans-serif">',
        f'<rect width="{chart.wide}" height="{chart.tall}" fill="#fff"/>',
    ]
    for each in chart.shapes:
        match each:
            case Box():
                at = f'x="{each.x:.1f}" y="{each.y:.1f}"'
                size = f'width="{each.wide:.1f}" height="{each.tall:.1f}"'
                out.append(f'<rect {at} {size} fill="{_hex(each.colour)}"/>')
            case Circle():
                paint = "none" if each.ring else _hex(INK)
                at = f'cx="{each.x:.1f}" cy="{each.y:.1f}" r="{each.radius - 0.75:.2f}"'
                out.append(f'<circle {at} fill="{paint}" stroke="{_hex(INK)}" stroke-width="1.5"/>')
            case Words():
                at = f'x="{each.x:.1f}" y="{each.y:.1f}" font-size="{each.size:g}"'
                out.append(f'<text {at} text-anchor="{each.anchor}">{escape(each.text)}</text>')
    return "\n".join([*out, "</svg>", ""]).encode()


def png(chart: Chart) -> bytes:
    """The chart as PNG, each px drawn as two."""
    from PIL import Image

    from nests.papers.picture.writing import circle, explain, strokes, write

    image = Image.new("RGB", (2 * chart.wide, 2 * chart.tall), (255, 255, 255))
    rings: list[list[tuple[float, float]]] = []
    discs: list[list[tuple[float, float]]] = []
    for each in chart.shapes:
        match each:
            case Box():
                left, top = round(2 * each.x), round(2 * each.y)
                right, low = round(2 * (each.x + each.wide)), round(2 * (each.y + each.tall))
                image.paste(each.colour, (left, top, right, low))
            case Circle():
                # a ring is a line of three px, a disc has none
                reach = 2 * each.radius - (1.5 if each.ring else 0.0)
                path = circle(2 * each.x, 2 * each.y, reach)
                (rings if each.ring else discs).append(path)
            case Words():
                anchor = "ls" if each.anchor == "start" else "ms"
                write(image, 2 * each.x, 2 * each.y, each.text, 2 * each.size, anchor, INK)
    explain(image, [each.text for each in chart.shapes if isinstance(each, Words)], 2 * EDGE)
    # a closed path is filled, an open one is a line
    strokes(image, [*discs, *(half for ring in rings for half in (ring[:18], ring[16:]))], INK, 3)
    out = io.BytesIO()
    image.save(out, "PNG", optimize=True)
    return out.getvalue()


def _hex(colour: Colour) -> str:
    return f"#{colour[0]:02x}{colour[1]:02x}{colour[2]:02x}"
