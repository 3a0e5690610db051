"""How a dimension is drawn: extension lines, dimension line, arrows, text (after ISO 129-1)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from nests.papers.drawing.lettering import PLAIN, width
from nests.papers.drawing.values import MEASURE, Box, Dimension, Fill, Point, Point3, Stroke, Text
from nests.units import printed

ARROW = 2.2
"""mm; length of an arrow head, its width a third of that (15° and closed, as ISO 129-1 allows)."""
OVER = 1.2
"""mm by which an extension line passes the dimension line."""
ABOVE = 0.8
"""mm between a line and the text on it."""
STEP = PLAIN + ABOVE + 3.0
"""mm between parallel dimension lines."""
MOST_STEPS = 3000
"""How long rows are searched for."""


@dataclass(frozen=True)
class Measured:
    """What was measured: see `Dimension` for the fields."""

    name: str
    value: float
    ends: tuple[Point3, Point3]
    prefix: str = ""
    suffix: str = ""
    round: bool = False
    upright: bool = False
    body: str = ""

    def words(self) -> str:
        """Its number as written."""
        return f"{self.prefix}{printed(self.value)}{self.suffix}"


def length_of(name: str, first: Point3, second: Point3) -> Measured:
    """The distance of two points of the solid in plan."""
    return Measured(name, math.dist(first[:2], second[:2]), (first, second))


def height_of(name: str, first: Point3, second: Point3, suffix: str = "") -> Measured:
    """The height of one point of the solid above another, wherever they are in plan."""
    value = abs(second[2] - first[2])
    return Measured(name, value, (first, second), suffix=suffix, upright=True)


def diameter_of(
    name: str, middle: Point3, surface: Point3, value: float, suffix: str = ""
) -> Measured:
    """A diameter, `value` mm, measured from its axis to a point of the surface."""
    return Measured(name, value, (middle, surface), "⌀", suffix, round=True)


def drawn_as(what: Measured, first: Point, second: Point, scale: float) -> dict[str, Any]:
    """What a dimension has from what was measured, and from the points it is drawn at."""
    return {**vars(what), "first": first, "second": second, "scale": scale}


def linear(
    what: Measured,
    first: Point,
    second: Point,
    level: float,
    scale: float,
    *,
    upright: bool = False,
    tail: bool = False,
    past: float = -math.inf,
) -> Dimension:
    """A dimension across (or `upright`), its line at `level` (y of it, or x).

    Text that does not fit between the arrows stands beyond the far end, or with `tail` beyond
    the near one (the lower end of an upright dimension). At the far end it stands `past` a place.
    """
    first, second = (first, second) if first[upright] <= second[upright] else (second, first)
    near, far = first[upright], second[upright]
    room, wide = far - near, width(what.words()) * PLAIN

    def at(along: float, off: float = 0.0) -> Point:
        return (level - off, along) if upright else (along, level + off)

    inside = room >= 2 * ARROW + 1.5
    text_inside = wide <= room - 1.0
    begin, end = near, far
    if text_inside:
        middle = (near + far) / 2
    else:
        beyond = 1.0 if inside else ARROW + 1.5
        middle = near - beyond - wide / 2 if tail else max(far + beyond, past) + wide / 2
        begin, end = min(begin, middle - wide / 2), max(end, middle + wide / 2)
    if not inside:
        begin, end = min(begin, near - ARROW - 1.5), max(end, far + ARROW + 1.5)
    lines = [Stroke((at(begin), at(end)), MEASURE)]
    for point, along in ((first, near), (second, far)):
        gap = level - point[not upright]
        if abs(gap) > 1e-6:
            past = math.copysign(OVER, gap) * (-1.0 if upright else 1.0)
            lines.append(Stroke((point, at(along, past)), MEASURE))
    out = 1.0 if inside else -1.0
    arrows = (arrow(at(near), at(near + out)), arrow(at(far), at(far - out)))
    return Dimension(
        **drawn_as(what, first, second, scale),
        at=at(near),
        angle=90.0 if upright else 0.0,
        text=Text(at(middle, ABOVE), what.words(), PLAIN, 0.5, turned=upright),
        lines=tuple(lines),
        arrows=arrows,
    )


def led_out(
    what: Measured,
    first: Point,
    second: Point,
    shift: Point,
    landing: Point,
    scale: float,
) -> Dimension:
    """A dimension straight from point to point whose text stands on a leader.

    Its line lies `shift` off the points. The leader starts from the end nearer to `landing` and
    ends in a level stretch there that carries the text, away from the view.
    """
    a, b = _moved(first, shift), _moved(second, shift)
    long = max(math.dist(a, b), 1e-9)
    ahead = ((b[0] - a[0]) / long, (b[1] - a[1]) / long)
    inside = long >= 2 * ARROW + 1.5
    out = 0.0 if inside else ARROW + 0.8
    begin = (a[0] - out * ahead[0], a[1] - out * ahead[1])
    end = (b[0] + out * ahead[0], b[1] + out * ahead[1])
    start = min((begin, end), key=lambda p: math.dist(p, landing))
    right = landing[0] >= 0.0
    wide = width(what.words()) * PLAIN
    finish = (landing[0] + (wide if right else -wide), landing[1])
    turn = 1.0 if inside else -1.0
    heads = (
        arrow(a, (a[0] + turn * ahead[0], a[1] + turn * ahead[1])),
        arrow(b, (b[0] - turn * ahead[0], b[1] - turn * ahead[1])),
    )
    lines = [Stroke((begin, end), MEASURE), Stroke((start, landing, finish), MEASURE)]
    away = math.hypot(*shift)
    if away > 1e-6:
        past = ((away + OVER) / away * shift[0], (away + OVER) / away * shift[1])
        lines += [Stroke((p, _moved(p, past)), MEASURE) for p in (first, second)]
    return Dimension(
        **drawn_as(what, first, second, scale),
        at=a,
        angle=math.degrees(math.atan2(ahead[1], ahead[0])),
        text=Text((landing[0], landing[1] + ABOVE), what.words(), PLAIN, 0.0 if right else 1.0),
        lines=tuple(lines),
        arrows=heads,
    )


def _moved(point: Point, by: Point) -> Point:
    return (point[0] + by[0], point[1] + by[1])


def arrow(tip: Point, towards: Point) -> Fill:
    """Arrow head with its point at `tip`, its tail towards another point."""
    turn = math.atan2(towards[1] - tip[1], towards[0] - tip[0])
    along, across = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))
    half = ARROW / 6
    back = (tip[0] + ARROW * along[0], tip[1] + ARROW * along[1])
    return Fill(
        (
            tip,
            (back[0] + half * across[0], back[1] + half * across[1]),
            (back[0] - half * across[0], back[1] - half * across[1]),
        ),
        MEASURE,
    )


@dataclass(frozen=True)
class Pending:
    """A dimension that has not got its row or column yet."""

    what: Measured
    first: Point
    second: Point


def in_rows(pending: Sequence[Pending], base: float, step: float, scale: float) -> list[Dimension]:
    """Dimensions in rows from `base` on, `step` apart (negative downward), the shortest nearest.

    No text meets a line or a text of another, as far as a search of `MOST_STEPS` steps finds
    such rows; else each stands in a row of its own.
    """
    order = sorted(pending, key=lambda p: abs(p.second[0] - p.first[0]))
    choices = [
        [
            linear(p.what, p.first, p.second, base + row * step, scale, tail=tail)
            for row in range(len(order) + 1)
            for tail in (False, True)
        ]
        for p in order
    ]
    found = _apart(choices)
    if not found and order:  # then texts that have no room may stand beyond all the others
        past = max(max(p.first[0], p.second[0]) for p in order) + 1.0
        farther = [
            mine
            + [
                linear(p.what, p.first, p.second, base + row * step, scale, past=past)
                for row in range(len(order) + 1)
            ]
            for p, mine in zip(order, choices, strict=True)
        ]
        found = _apart(farther)
    return found or [choices[k][2 * k] for k in range(len(order))]


def in_columns(
    pending: Sequence[Pending], base: float, step: float, scale: float
) -> list[Dimension]:
    """Upright dimensions in columns from `base` on, `step` apart (negative to the left).

    Each has a column of its own in the order given, its long text hanging below, unless a line of
    one would run through a text of another; then they change places, as far as a search finds any.
    """

    def stood(each: Pending, column: int, tail: bool) -> Dimension:
        level = base + column * step
        return linear(each.what, each.first, each.second, level, scale, upright=True, tail=tail)

    plain = [stood(each, k, True) for k, each in enumerate(pending)]
    if not any(meet(a, b) for a, b in combinations(plain, 2)):
        return plain
    columns = range(len(plain) + 1)
    choices = [[stood(p, k, tail) for k in columns for tail in (True, False)] for p in pending]
    return _apart(choices) or plain


def _apart(choices: Sequence[Sequence[Dimension]]) -> list[Dimension]:
    """One of each, none of which meets another; none where `MOST_STEPS` steps find no such."""
    out: list[Dimension] = []
    taken: list[int] = [-1]
    for _ in range(MOST_STEPS):
        if len(out) == len(choices):
            return out
        mine = choices[len(out)]
        for k in range(taken[-1] + 1, len(mine)):
            if not any(meet(mine[k], other) for other in out):
                taken[-1] = k
                out.append(mine[k])
                taken.append(-1)
                break
        else:  # nothing fits: the one before moves on
            if not out:
                break
            out.pop()
            taken.pop()
    return []


def meet(one: Dimension, other: Dimension) -> bool:
    """Whether a text of one covers anything of the other, or their dimension lines meet."""
    if any(
        overlap(a.text.box(), box, 0.4)
        for a, b in ((one, other), (other, one))
        for box in (b.text.box(), *(line.box() for line in b.lines))
    ):
        return True
    return overlap(one.lines[0].box(), other.lines[0].box(), 1.0)


def overlap(a: Box, b: Box, margin: float) -> bool:
    """Whether two boxes come nearer than `margin` to each other."""
    return (
        a[0] < b[2] + margin
        and b[0] < a[2] + margin
        and a[1] < b[3] + margin
        and b[1] < a[3] + margin
    )
