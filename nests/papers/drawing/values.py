"""The values a drawing is made of. On paper everything is in mm from the sheet's lower left corner.

A view is first drawn about its own origin as a `Block` and then moved to its place on the sheet.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeAlias

from nests.papers.drawing.lettering import DESCENT, width

Point: TypeAlias = tuple[float, float]
Point3: TypeAlias = tuple[float, float, float]
Box: TypeAlias = tuple[float, float, float, float]
"""Left, lower, right, upper."""


@dataclass(frozen=True)
class Pen:
    """A line: its layer, its width in mm, and dashes and gaps in mm (none for a full line)."""

    layer: str
    width: float
    dashes: tuple[float, ...] = ()


# line group 0.35 of ISO 128-2 (wide 0.35, narrow 0.18, lettering 0.25); lengths of dashes and gaps
# 12 and 3 line widths, long-dash-dot 24-3-0.5-3, the same standard; both from memory
WIDE, NARROW, LETTERING = 0.35, 0.18, 0.25
OUTLINE = Pen("outline", WIDE)
EDGE = Pen("fine edges", NARROW)
HIDDEN = Pen("hidden edges", NARROW, (2.0, 0.7))
CENTRE = Pen("centre lines", NARROW, (4.0, 0.6, 0.15, 0.6))
CUT = Pen("cutting planes", WIDE, (4.0, 0.9, 0.2, 0.9))
LOOKING = Pen("cutting planes", NARROW)
HATCHING = Pen("hatching", NARROW)
MEASURE = Pen("dimensions", NARROW)
LETTERS = Pen("lettering", LETTERING)
SHEET = Pen("sheet", WIDE)
SHEET_FINE = Pen("sheet", NARROW)
PENS = (OUTLINE, EDGE, HIDDEN, CENTRE, CUT, HATCHING, MEASURE, LETTERS, SHEET)


@dataclass(frozen=True)
class Stroke:
    """A line through points."""

    points: tuple[Point, ...]
    pen: Pen
    closed: bool = False

    def moved(self, x: float, y: float) -> Stroke:
        """The same elsewhere."""
        return Stroke(_moved(self.points, x, y), self.pen, self.closed)

    def box(self) -> Box:
        """Least box round it."""
        return box_of(self.points)


@dataclass(frozen=True)
class Arc:
    """A part of a circle, counterclockwise from `first` to `last` (degrees)."""

    centre: Point
    radius: float
    pen: Pen
    first: float = 0.0
    last: float = 360.0

    def moved(self, x: float, y: float) -> Arc:
        """The same elsewhere."""
        at = (self.centre[0] + x, self.centre[1] + y)
        return Arc(at, self.radius, self.pen, self.first, self.last)

    def box(self) -> Box:
        """Least box round it, to within a fiftieth of its radius."""
        span = self.last - self.first
        count = max(2, math.ceil(span / 15.0))
        turns = [math.radians(self.first + span * k / count) for k in range(count + 1)]
        (x, y), r = self.centre, self.radius
        return box_of([(x + r * math.cos(t), y + r * math.sin(t)) for t in turns])


@dataclass(frozen=True)
class Fill:
    """A filled polygon, such as an arrow head."""

    points: tuple[Point, ...]
    pen: Pen

    def moved(self, x: float, y: float) -> Fill:
        """The same elsewhere."""
        return replace(self, points=_moved(self.points, x, y))

    def box(self) -> Box:
        """Least box round it."""
        return box_of(self.points)


@dataclass(frozen=True)
class Hatch:
    """A cut face: its closed rings, and the hatching lines in it."""

    rings: tuple[tuple[Point, ...], ...]
    lines: tuple[tuple[Point, Point], ...]
    spacing: float
    pen: Pen = HATCHING

    def moved(self, x: float, y: float) -> Hatch:
        """The same elsewhere."""
        return replace(
            self,
            rings=tuple(_moved(ring, x, y) for ring in self.rings),
            lines=tuple(((a + x, b + y), (c + x, d + y)) for (a, b), (c, d) in self.lines),
        )

    def box(self) -> Box:
        """Least box round it."""
        return box_of([p for ring in self.rings for p in ring])


@dataclass(frozen=True)
class Text:
    """A line of text: `at` on its base line, `anchor` the share of its width left of `at`.

    `height` is that of a capital letter in mm. A turned text is read from the right.
    """

    at: Point
    words: str
    height: float
    anchor: float = 0.0
    turned: bool = False
    pen: Pen = LETTERS

    def __post_init__(self) -> None:
        """Join accents set behind their letter with it."""
        object.__setattr__(self, "words", unicodedata.normalize("NFC", self.words))

    def moved(self, x: float, y: float) -> Text:
        """The same elsewhere."""
        return replace(self, at=(self.at[0] + x, self.at[1] + y))

    def box(self) -> Box:
        """Box round its letters, descenders included."""
        wide = width(self.words) * self.height
        left, right = -self.anchor * wide, (1.0 - self.anchor) * wide
        low, high = -DESCENT * self.height, self.height
        x, y = self.at
        if self.turned:
            return (x - high, y + left, x - low, y + right)
        return (x + left, y + low, x + right, y + high)


@dataclass(frozen=True)
class Dimension:
    """A length that was measured on the solid, and how it is drawn.

    `first` and `second` are the measured points on paper, `at` a point of the dimension line,
    `angle` its direction in degrees. `value` is the true length in mm and `scale` that of the
    view, so that |second − first| along the line is value·scale. `ends` are the measured points
    in the holder frame, or in that of the loose `body` it is of; a round thing's `ends` are a
    point of its axis and one of its surface, and its value twice their distance. `upright` says
    that the length is measured along z, whatever else the ends differ by; else it is in plan.
    """

    name: str
    first: Point
    second: Point
    at: Point
    angle: float
    value: float
    scale: float
    ends: tuple[Point3, Point3]
    text: Text
    prefix: str = ""
    suffix: str = ""
    round: bool = False
    upright: bool = False
    body: str = ""
    lines: tuple[Stroke, ...] = ()
    arrows: tuple[Fill, ...] = ()

    def moved(self, x: float, y: float) -> Dimension:
        """The same elsewhere."""
        (first, second, at) = _moved((self.first, self.second, self.at), x, y)
        return replace(
            self,
            first=first,
            second=second,
            at=at,
            text=self.text.moved(x, y),
            lines=tuple(line.moved(x, y) for line in self.lines),
            arrows=tuple(arrow.moved(x, y) for arrow in self.arrows),
        )

    def box(self) -> Box:
        """Least box round all of it."""
        return around([self.text, *self.lines, *self.arrows])


Item: TypeAlias = Stroke | Arc | Fill | Hatch | Text | Dimension


@dataclass(frozen=True)
class Block:
    """Things that stand together: a view, a table, the title block."""

    name: str
    items: tuple[Item, ...]

    def moved(self, x: float, y: float) -> Block:
        """The same elsewhere."""
        return Block(self.name, tuple(each.moved(x, y) for each in self.items))

    def box(self) -> Box:
        """Least box round all of it."""
        return self._box

    @cached_property
    def _box(self) -> Box:
        return around(self.items)


Sheet: TypeAlias = tuple[Block, ...]
"""The blocks of one sheet of paper."""
APART = 10.0
"""mm between sheets where they lie side by side."""


@dataclass(frozen=True)
class Drawing:
    """A finished drawing: form and size of its sheets in mm, scale of its main views, sheets."""

    title: str
    form: str
    size: tuple[float, float]
    scale: float
    sheets: tuple[Sheet, ...]

    @property
    def blocks(self) -> tuple[Block, ...]:
        """Everything, the sheets side by side from left to right."""
        step = self.size[0] + APART
        return tuple(
            block.moved(k * step, 0.0) for k, sheet in enumerate(self.sheets) for block in sheet
        )

    @property
    def items(self) -> tuple[Item, ...]:
        """Everything in `blocks`."""
        return tuple(each for block in self.blocks for each in block.items)

    @property
    def width(self) -> float:
        """Width of the sheets side by side, mm."""
        return len(self.sheets) * (self.size[0] + APART) - APART

    @property
    def dimensions(self) -> tuple[Dimension, ...]:
        """All dimensions."""
        return tuple(each for each in self.items if isinstance(each, Dimension))

    @property
    def texts(self) -> tuple[Text, ...]:
        """All texts, those of the dimensions included."""
        return texts_of(self.items)


def texts_of(items: Iterable[Item]) -> tuple[Text, ...]:
    """All texts among some items, those of the dimensions included."""
    return tuple(
        each.text if isinstance(each, Dimension) else each
        for each in items
        if isinstance(each, Text | Dimension)
    )


def box_of(points: Iterable[Point]) -> Box:
    """Least box round points."""
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys), max(xs), max(ys))


def around(items: Sequence[Item | Block]) -> Box:
    """Least box round several things."""
    boxes = [each.box() for each in items]
    left, low, right, high = zip(*boxes, strict=True)
    return (min(left), min(low), max(right), max(high))


def _moved(points: Sequence[Point], x: float, y: float) -> tuple[Point, ...]:
    return tuple((a + x, b + y) for a, b in points)
