"""Fine detail: upright pins, ridges and bores, and engraved lines, below what the printer shows.

Pins and bores are judged on the layers: a region of solid (or an enclosed region of void) that is
gone when it is shrunk all round by half the card's smallest pin (or hole). Long ones are judged as
walls and gaps, lying bores as gaps.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely

from nests.finding import PRACTICE, Finding, Grade
from nests.layers.linked import components, links
from nests.layers.outlines import Floats, Ints
from nests.layers.regions import Regions
from nests.layers.slices import LayerStack
from nests.solids.graphs import connected
from nests.study import GROOVE, SIDE, Study
from nests.units import Length

LONGEST = 3.0
"""A pin or bore is at most this many times as long in plan as the limit."""
EDGE = 8
"""Most points on the edge of a region that are asked which part made it."""
LEGIBLE = 4.0
"""Least height of letters in widths of their strokes; common practice, no source."""


def check(study: Study) -> list[Finding]:
    """A `stop` for each fine pin and bore, `mend` for fine lines."""
    card, stack = study.card, study.layers
    out = _regions(study, stack.solids, card.smallest_pin, "pin or ridge", "smallest_pin")
    out += _regions(
        study, stack.voids, card.smallest_hole, "upright bore", "smallest_hole", tips=True
    )
    out += _letters(study)
    out += _lands(study)
    how = "by height and stroke" if study.holder is not None else "as shallow grooves"
    return out or [
        Finding(
            check="fine detail",
            grade=Grade.CLEAR,
            unit="mm",
            limit=card.smallest_pin,
            origin=card.origin("smallest_pin"),
            says=f"no upright pin below {card.smallest_pin:g} mm, no upright bore below "
            f"{card.smallest_hole:g} mm, in layers of {stack.layer:g} mm; engraved lines are "
            f"judged {how}.",
        )
    ]


def _regions(
    study: Study, found: Regions, limit: float, word: str, name: str, *, tips: bool = False
) -> list[Finding]:
    """One finding for each upright stack of regions without room for a disc of ⌀ `limit`.

    With `tips` the pointed end of a wider region is none.
    """
    inner = np.flatnonzero(~found.outer)
    low_x, low_y, high_x, high_y = shapely.bounds(found.polygons[inner]).T
    # what is longer is a wall or a slot, and is judged there
    inner = inner[np.maximum(high_x - low_x, high_y - low_y) <= LONGEST * limit]
    # a hair less than the limit, so that a pin of just that ⌀ passes
    gone = shapely.is_empty(shapely.buffer(found.polygons[inner], -(limit / 2 - 2e-3), quad_segs=4))
    small: Ints = inner[gone]
    if tips and len(small):
        small = np.setdiff1d(small, _tips(study.layers, found, small, limit))
    out: list[Finding] = []
    seen = Seen(limit)
    shallow = 0.0 if tips else study.card.smallest_wall
    for index in small:
        x, y = shapely.get_coordinates(shapely.point_on_surface(found.polygons[index]))[0]
        if seen.near(float(x), float(y)):
            continue
        layer = int(study.layers.first_layer[found.section[index]])
        at = np.array([x, y, study.layers.heights[layer]])
        labels = study.labels_at(_edge(study.layers, found, int(index)))
        if 2 * sum(map(study.engraved, labels)) > len(labels):
            continue  # strokes are judged as lines
        if study.holder is None and _height(study.layers, found, small, int(index)) <= shallow:
            continue  # so low it may stand between strokes, and is judged there
        circle = shapely.maximum_inscribed_circle(found.polygons[index], tolerance=1e-3)
        across = 2 * float(shapely.length(circle))
        out.append(
            Finding(
                check="fine detail",
                grade=Grade.STOP,
                parts=tuple(sorted(set(labels))),
                value=across,
                limit=limit,
                unit="mm",
                origin=study.card.origin(name),
                place=study.in_use(at),
                says=f"an {word} is {across:.3f} mm across; the printer card asks for {limit:g} mm."
                if word[0] in "aeiou"
                else f"a {word} is {across:.3f} mm across; the printer card asks for {limit:g} mm.",
                remedy=f"a larger {word}",
            )
        )
    return out


class Seen:
    """Points in plan, kept in cells so that a rough mesh may have any number of them."""

    def __init__(self, within: Length) -> None:
        """Points are near each other below `within` mm."""
        self.within = within
        self.cells: dict[tuple[int, int], list[tuple[float, float]]] = {}

    def near(self, x: Length, y: Length) -> bool:
        """Whether a point kept so far is near; if none is, this one is kept."""
        column, row = math.floor(x / self.within), math.floor(y / self.within)
        for cell in itertools.product(range(column - 1, column + 2), range(row - 1, row + 2)):
            for other in self.cells.get(cell, ()):
                if math.hypot(x - other[0], y - other[1]) < self.within:
                    return True
        self.cells.setdefault((column, row), []).append((x, y))
        return False


def _height(stack: LayerStack, found: Regions, small: Ints, index: int) -> float:
    """How high, in mm, small regions stand over one another about a point of one of them."""
    point = shapely.point_on_surface(found.polygons[index])
    first = last = int(found.section[index])
    while _over(found, small, first - 1, point):
        first -= 1
    while _over(found, small, last + 1, point):
        last += 1
    return float(stack.first_layer[last + 1] - stack.first_layer[first]) * stack.layer


def _over(found: Regions, small: Ints, section: int, point: shapely.Point) -> bool:
    """Whether a small region of a section lies about a point."""
    # `small` ascends, as the sections do
    first, after = np.searchsorted(small, (found.at(section).start, found.at(section).stop))
    here = small[first:after]
    return bool(shapely.contains(found.polygons[here], point).any()) if len(here) else False


def _edge(stack: LayerStack, found: Regions, index: int) -> Floats:
    """Some points (k, 3) on the edge of a region, amid the layers of its section."""
    section = int(found.section[index])
    middle = int(stack.first_layer[section : section + 2].sum() - 1) // 2
    edge = shapely.get_coordinates(found.polygons[index].exterior)[:-1]
    some = edge[np.linspace(0, len(edge) - 1, min(len(edge), EDGE)).astype(int)]
    return np.column_stack((some, np.full(len(some), stack.heights[middle])))


def _tips(stack: LayerStack, found: Regions, small: Ints, limit: float) -> Ints:
    """The small regions in which a wider one comes to a point within `limit` mm of height.

    A point narrows to half its area or less at least, and ends in solid; a bore does not narrow.
    """
    below, above = links(found)
    is_small = np.zeros(len(found.section), dtype=np.bool_)
    is_small[small] = True
    within = is_small[below] & is_small[above]
    _, label = connected(len(is_small), below[within], above[within])
    joins = is_small[below] ^ is_small[above]
    ends = np.where(is_small[below], below, above)[joins]
    wide = np.where(is_small[below], above, below)[joins]
    out: list[Ints] = []
    order = np.argsort(label[ends], kind="stable")
    of_end = label[ends][order]
    for piece in components(label, is_small):
        here = order[slice(*np.searchsorted(of_end, (label[piece[0]], label[piece[0]] + 1)))]
        sections = found.section[piece]
        first, after = sections.min(), sections.max() + 1
        height = float(stack.first_layer[after] - stack.first_layer[first]) * stack.layer
        if len(here) != 1 or height > limit or found.outer[wide[here[0]]]:
            continue
        if len(piece) == 1 or found.areas[piece].min() <= 0.5 * found.areas[ends[here[0]]]:
            out.append(piece)
    return np.concatenate(out) if out else small[:0]


def _letters(study: Study) -> list[Finding]:
    """Engravings whose strokes are too fine, or so low that their strokes run together."""
    holder = study.holder
    limit = study.card.smallest_line
    out = []
    for each in holder.laid if holder is not None else ():
        letters = each.part.letters()
        if letters is None:
            continue
        line = max(letters.line, limit)
        if letters.height < LEGIBLE * line - 1e-9:
            out.append(
                Finding(
                    check="fine detail",
                    grade=Grade.MEND,
                    parts=(each.label,),
                    unit="mm",
                    value=letters.height,
                    limit=LEGIBLE * line,
                    origin=PRACTICE,
                    says=f"the letters of {each.label} are {letters.height:g} mm high with strokes "
                    f"of {line:g} mm; they run together below {LEGIBLE * line:g} mm.",
                    remedy="larger letters or a shorter text",
                )
            )
    return out


def _lands(study: Study) -> list[Finding]:
    """What shallow grooves leave between them, in a body of which no part is known."""
    walls, limit = study.walls, study.card.smallest_line
    if study.holder is not None or not len(walls.face):
        return []
    makers = study.mesh.makers
    between = (makers[walls.face] == SIDE) & (makers[walls.opposite_face] == SIDE)
    least = np.where(between & (walls.opposite_face >= 0), walls.diameter, np.inf)
    index = int(np.argmin(least))
    if least[index] >= limit - 1e-3:
        return []
    x, y, z = (round(float(c), 4) for c in walls.points[index])
    return [
        Finding(
            check="fine detail",
            grade=Grade.MEND,
            parts=(GROOVE,),
            unit="mm",
            value=float(least[index]),
            limit=limit,
            origin=study.card.origin("smallest_line"),
            place=(x, y, z),
            says=f"shallow grooves, as of letters, leave {least[index]:.3f} mm between them; the "
            f"finest line that shows is {limit:g} mm.",
            remedy="larger letters, if they are letters",
        )
    ]
