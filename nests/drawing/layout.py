"""Choosing sheet and scale, and placing the views.

First-angle projection: the front section stands above, the plan below it on the same axis. All
else finds its place in the rectangles that are left. The largest scale of ISO 5455 at which
everything fits is taken, on the smallest sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from nests.compose import Holder
from nests.drawing.detail_view import detail, detail_view
from nests.drawing.labels import noted
from nests.drawing.plan_view import plan_view, seen_from_above
from nests.drawing.planes import section_planes
from nests.drawing.profile import Subject
from nests.drawing.scenery import scenery
from nests.drawing.section_view import section_view
from nests.drawing.tables import cut_table, fit_table, notes, pad_table, post_table
from nests.drawing.title_block import HEIGHT, MARGIN, WIDTH, field_of, frame, title_block
from nests.drawing.values import Block, Box, Dimension, Drawing, Sheet, around
from nests.units import BadInput

SHEETS = {"A5": (210.0, 148.0), "A4": (297.0, 210.0), "A3": (420.0, 297.0)}
"""mm; ISO 216, lying. A3 only where nothing smaller will do."""
SCALES = (5.0, 2.0, 1.0, 0.5, 0.2)
"""ISO 5455."""
GAP = 5.0
"""mm kept between blocks."""
EDGE = 4.0
"""mm kept between the frame and what it holds."""
NOTE_WIDTH = 105.0
"""mm; longest line of the notes."""
MOST_SECTIONS = 3
"""Sections drawn at most."""
TRIES = (("A5", 1), ("A4", 1), ("A4", 2))
"""Sheets that are tried at each scale, and how many of them."""
LAST_TRIES = (("A3", 1), ("A3", 2))
"""What is tried when these hold it at no scale."""


Groups: TypeAlias = list[list[Block]]
"""Blocks; those of one group keep their places to each other."""


class _Views:
    """The views and tables of a drawing; what does not depend on the scale is made once."""

    def __init__(self, holder: Holder) -> None:
        self.subject = subject = Subject.of(holder)
        self.sections = section_planes(subject)[:MOST_SECTIONS]
        self._scenes = [scenery(subject, each) for each in self.sections]
        self._above = seen_from_above(subject)
        self._notes = noted(subject)
        shown = self.sections[0].left
        self._detail = enlarged = detail(subject, shown)
        self.seat = _groups(
            detail_view(subject, enlarged) if enlarged else None, fit_table(subject, shown)
        )
        self.cuts = _groups(cut_table(self._notes), notes(subject, NOTE_WIDTH))
        self.carrying = _groups(post_table(subject), pad_table(subject))

    def plan(self, scale: float) -> Block:
        """The plan."""
        return plan_view(self.subject, self._above, self._notes, self.sections, scale)

    def all_sections(self, scale: float) -> list[Block]:
        """The sections; a length stands in the first that shows it, if not in the plan."""
        done = [n.what.name for n in self._notes]
        out = []
        for number, (each, scene) in enumerate(zip(self.sections, self._scenes, strict=True)):
            enlarged = self._detail if number == 0 else None
            made = section_view(self.subject, each, scene, scale, done, enlarged)
            done += [d.name for d in made.items if isinstance(d, Dimension)]
            out.append(made)
        return out


def _groups(*blocks: Block | None) -> Groups:
    """The blocks there are, each a group of its own."""
    return [[each] for each in blocks if each is not None]


def model(holder: Holder) -> Drawing:
    """The drawing of a holder. Raises `BadInput` if it fits on no sheet at any scale."""
    views = _Views(holder)
    for tries in (TRIES, LAST_TRIES):
        for scale in SCALES:
            if 2 * views.subject.reach * scale > SHEETS[tries[-1][0]][1]:
                continue
            made = _at_scale(views, scale, tries)
            if made is not None:
                return made
    raise BadInput(f"{holder.recipe.name} fits on no sheet up to A3.")


def _at_scale(views: _Views, scale: float, tries: Sequence[tuple[str, int]]) -> Drawing | None:
    """The drawing at a scale on the first of several sheets that hold it; None if none does."""
    holder = views.subject.holder
    front, *sections = views.all_sections(scale)
    plan = views.plan(scale)
    # first-angle projection: the plan stands under the front section, on one axis
    plan = plan.moved(0.0, front.box()[1] - GAP - plan.box()[3])
    seat, cuts, carrying = views.seat, views.cuts, views.carrying
    more = _groups(*sections)
    one = [[[[front, plan], *seat, *cuts, *more, *carrying]]]
    two = [
        [[[front, plan], *seat, *cuts], [*more, *carrying]],
        [[[plan], *seat, *cuts], [[front], *more, *carrying]],
        [[[plan], *cuts, *carrying], [[front], *seat, *more]],
    ]
    # a second sheet for one or two views is worth less than a smaller scale
    two = [deal for deal in two if len(deal[1]) > 2 or more]
    for form, most in tries:
        size = SHEETS[form]
        sheets = _first_that_fits(one if most == 1 else two, size)
        if sheets is not None:
            corner = (size[0] - MARGIN, MARGIN)
            titles = [
                title_block(holder, form, (k, len(sheets)), scale).moved(*corner)
                for k in range(1, len(sheets) + 1)
            ]
            whole = [(frame(size), *s, t) for s, t in zip(sheets, titles, strict=True)]
            return Drawing(holder.recipe.name, form, size, scale, tuple(whole))
    return None


def _first_that_fits(deals: list[list[Groups]], size: tuple[float, float]) -> list[Sheet] | None:
    """The first deal of groups to sheets in which every sheet has room for its own."""
    for deal in deals:
        sheets = [_in_some_order(groups, size) for groups in deal if groups]
        if all(sheet is not None for sheet in sheets):
            return [sheet for sheet in sheets if sheet is not None]
    return None


def _in_some_order(groups: Groups, size: tuple[float, float]) -> Sheet | None:
    """The groups on one sheet, the first one first, the others in one of several orders."""
    first, *rest = groups
    boxes = [around(group) for group in rest]
    tall = [box[3] - box[1] for box in boxes]
    wide = [box[2] - box[0] for box in boxes]
    number = list(range(len(rest)))
    orders = [
        number,
        sorted(number, key=lambda k: -tall[k]),
        sorted(number, key=lambda k: -wide[k]),
        number[::-1],
    ]
    for order in orders:
        placed = _placed([first, *(rest[k] for k in order)], size)
        if placed is not None:
            return placed
    return None


def _placed(groups: Groups, size: tuple[float, float]) -> Sheet | None:
    """Groups of blocks on one sheet, each as high as there is room, then as far left."""
    left, low, right, high = field_of(size)
    field = (left + EDGE, low + EDGE, right - EDGE, high - EDGE)
    free = _without([field], (right - WIDTH - GAP, low, right, low + HEIGHT + GAP))
    out: list[Block] = []
    for group in groups:
        box = around(group)
        wide, tall = box[2] - box[0], box[3] - box[1]
        spot = _spot(free, wide, tall)
        if spot is None:
            return None
        out += [b.moved(spot[0] - box[0], spot[1] - box[3]) for b in group]
        taken = (spot[0] - GAP, spot[1] - tall - GAP, spot[0] + wide + GAP, spot[1] + GAP)
        free = _without(free, taken)
    return tuple(out)


def _spot(free: list[Box], wide: float, tall: float) -> tuple[float, float] | None:
    """Upper left corner of the highest free place, then the leftmost."""
    fits = [b for b in free if b[2] - b[0] >= wide and b[3] - b[1] >= tall]
    best = min(fits, key=lambda b: (-round(b[3], 3), b[0]), default=None)
    return (best[0], best[3]) if best is not None else None


def _without(free: list[Box], taken: Box) -> list[Box]:
    """Largest free rectangles that are left when one is taken."""
    out: list[Box] = []
    for box in free:
        left, low, right, high = box
        if taken[0] >= right or taken[2] <= left or taken[1] >= high or taken[3] <= low:
            out.append(box)
            continue
        out += [
            (left, low, min(right, taken[0]), high),
            (max(left, taken[2]), low, right, high),
            (left, low, right, min(high, taken[1])),
            (left, max(low, taken[3]), right, high),
        ]
    real = [b for b in out if b[2] - b[0] > 1.0 and b[3] - b[1] > 1.0]
    return [
        b
        for k, b in enumerate(real)
        if not any(_within(b, o) and (b != o or k > m) for m, o in enumerate(real) if m != k)
    ]


def _within(inner: Box, outer: Box) -> bool:
    return (
        inner[0] >= outer[0]
        and inner[1] >= outer[1]
        and inner[2] <= outer[2]
        and inner[3] <= outer[3]
    )
