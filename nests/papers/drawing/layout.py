"""Choosing sheet and scale, and placing the views.

First-angle projection: the front section stands above, the plan below it on the same axis. All
else finds its place in the rectangles that are left. The largest scale of ISO 5455 at which
everything fits is taken, on the smallest sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeAlias

from nests.holder.compose import Holder
from nests.papers.drawing.clip_view import clip_detail
from nests.papers.drawing.detail_view import seat_detail
from nests.papers.drawing.fits import fit_table
from nests.papers.drawing.loose import loose_bodies
from nests.papers.drawing.loose_view import loose_view
from nests.papers.drawing.noted import noted
from nests.papers.drawing.plan_view import plan_view, seen_from_above
from nests.papers.drawing.planes import section_planes
from nests.papers.drawing.profile import Subject
from nests.papers.drawing.scenery import scenery
from nests.papers.drawing.section_view import section_view
from nests.papers.drawing.tables import cut_table, metal_table, notes, pad_table, post_table
from nests.papers.drawing.title_block import HEIGHT, MARGIN, WIDTH, field_of, frame, title_block
from nests.papers.drawing.values import Block, Box, Dimension, Drawing, Point, Sheet, around
from nests.units import BadInput

SIZES = {
    "A5": ((210.0, 148.0),),
    "A4": ((297.0, 210.0), (210.0, 297.0)),
    "A3": ((420.0, 297.0),),
}
"""mm; ISO 216, lying and, where it may help, standing. A3 only where nothing smaller will do."""
SCALES = (5.0, 2.0, 1.0, 0.5, 0.2)
"""ISO 5455."""
READABLE = 2.0
"""Scale at which a holder's engraving can be read on paper; looked at, no source."""
GAP = 5.0
"""mm kept between blocks."""
EDGE = 3.5
"""mm kept between the frame and what it holds."""
NOTE_WIDTH = 105.0
"""mm; longest line of the notes."""
MOST_SECTIONS = 3
"""Sections drawn at most."""
MOST_SHEETS = 3
"""Sheets of one drawing at most."""
TRIES = (("A5", 1), ("A4", 1), ("A4", 2), ("A4", MOST_SHEETS))
"""Sheets that are tried at each scale, and how many of them."""
LAST_TRIES = (("A3", 1), ("A3", 2))
"""What is tried when these hold it at no scale."""


Groups: TypeAlias = list[list[Block]]
"""Blocks; those of one group keep their places to each other."""


class _Views:
    """The views and tables of a drawing; what does not depend on the scale is made once."""

    def __init__(self, holder: Holder) -> None:
        self.subject = subject = Subject.of(holder)
        self.sections = sections = section_planes(subject)[:MOST_SECTIONS]
        self._scenes = [scenery(subject, each) for each in sections]
        self._above = seen_from_above(subject)
        self._notes = noted(subject)
        # the outer size stands where a section goes through the axis
        self._axial = next((s.letter for s in sections if s.shows_axis), sections[0].letter)
        sign, shown = sections[0].turned
        clips = (
            clip_detail(subject, section, scene, shown)
            for section, scene in zip(sections, self._scenes, strict=True)
        )
        found = (seat_detail(subject, shown, sign), next(filter(None, clips), None))
        self._details = [of for of, _ in filter(None, found)]
        details = [[view] for _, view in filter(None, found)]
        self.seat: Groups = [*details, *_groups(fit_table(subject, sections))]
        self.letters = _groups(cut_table(self._notes))
        self.notes = _groups(notes(subject, NOTE_WIDTH))
        self.carrying = _groups(post_table(subject), pad_table(subject), metal_table(subject))
        self.loose = _groups(*(loose_view(body) for body in loose_bodies(holder)))

    def plan(self, scale: float) -> Block:
        """The plan."""
        return plan_view(self.subject, self._above, self._notes, self.sections, scale)

    def all_sections(self, scale: float) -> list[Block]:
        """The sections; a length stands in the first that shows it, if not in the plan."""
        done = [n.what.name for n in self._notes]
        out = []
        for each, scene in zip(self.sections, self._scenes, strict=True):
            details = [of for of in self._details if of.shown in (each.left, each.right)]
            outer = each.letter == self._axial or not self.subject.round_body
            made = section_view(self.subject, each, scene, scale, done, details, outer)
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
        widest = max(min(size) for form, _ in tries for size in SIZES[form])
        for scale in SCALES:
            if 2 * views.subject.reach * scale > widest:
                continue
            made = _at_scale(views, scale, tries)
            if made is not None:
                return made
    raise BadInput(f"{holder.recipe.name} fits on no sheet up to A3.")


def _at_scale(views: _Views, scale: float, tries: tuple[tuple[str, int], ...]) -> Drawing | None:
    """The drawing at a scale on the first of several sheets that hold it; None if none does."""
    holder = views.subject.holder
    deals = _deals(views, scale)
    for form, count in tries:
        for deal, size in _ways(deals, form, count, scale):
            sheets = _sheets(deal, size)
            if sheets is None:
                continue
            corner = (size[0] - MARGIN, MARGIN)
            titles = [
                title_block(holder, form, (k, len(sheets)), scale).moved(*corner)
                for k in range(1, len(sheets) + 1)
            ]
            whole = [(frame(size), *s, t) for s, t in zip(sheets, titles, strict=True)]
            return Drawing(holder.recipe.name, form, size, scale, tuple(whole))
    return None


def _ways(
    deals: dict[int, list[list[Groups]]], form: str, count: int, scale: float
) -> Iterator[tuple[list[Groups], tuple[float, float]]]:
    """Ways to deal the views to sheets of a form, and the size of these; where three are needed to
    keep the engraving readable, each view last on the first sheet that still has room."""
    for deal in deals[count]:
        for size in SIZES[form]:
            yield deal, size
    if count == MOST_SHEETS and scale <= READABLE:
        for deal in deals[0]:
            for size in SIZES[form]:
                filled = _filled(deal, size)
                if len(filled) <= count:
                    yield filled, size


def _filled(deal: list[Groups], size: tuple[float, float]) -> list[Groups]:
    """The groups of a deal in their order, each on the first sheet that still has room for it."""
    out: list[Groups] = []
    for group in (each for groups in deal for each in groups):
        for sheet in out:
            if _sheets([[*sheet, group]], size) is not None:
                sheet.append(group)
                break
        else:
            out.append([group])
    return out


def _deals(views: _Views, scale: float) -> dict[int, list[list[Groups]]]:
    """Ways to deal the views to one, two or three sheets, the best of each number first; under 0
    orders in which they fill as many as they need."""
    front, *sections = views.all_sections(scale)
    plan = views.plan(scale)
    # first-angle projection: the plan stands under the front section, on one axis
    plan = plan.moved(0.0, front.box()[1] - GAP - plan.box()[3])
    seat, letters, said = views.seat, views.letters, views.notes
    carrying, loose, more = views.carrying, views.loose, _groups(*sections)
    pair = [front, plan]
    two = [
        [[pair, *letters, *said, *carrying], [*more, *seat, *loose]],
        [[pair, *letters, *said], [*more, *seat, *carrying, *loose]],
        [[pair, *seat, *letters, *said], [*more, *carrying, *loose]],
        [[pair, *said], [*more, *seat, *letters, *carrying, *loose]],
        [[[plan], *seat, *letters, *said], [[front], *more, *carrying, *loose]],
        [[[plan], *letters, *said, *carrying], [[front], *seat, *more, *loose]],
    ]
    # a sheet of their own for the loose bodies, where there are several kinds
    three = [
        [[pair, *letters, *said], [*more, *seat, *carrying], loose],
        [[pair, *said], [*more, *seat, *letters, *carrying], loose],
        [[pair, *said], [*letters, *more, *carrying], [*seat, *loose]],
    ]
    return {
        0: [two[1], two[4]],
        1: [[[pair, *seat, *letters, *said, *more, *carrying, *loose]]],
        # a second sheet for tables and a detail alone is worth less than a smaller scale, unless
        # the engraving could not be read at that
        2: two if more or loose or scale <= READABLE else [],
        3: three if len(loose) > 1 else [],
    }


def _sheets(deal: list[Groups], size: tuple[float, float]) -> list[Sheet] | None:
    """Every group of a deal in its place, sheet by sheet; None if one sheet has no room."""
    out = []
    for groups in filter(None, deal):
        shifts = _in_some_order([around(group) for group in groups], size)
        if shifts is None:
            return None
        pairs = zip(groups, shifts, strict=True)
        out.append(tuple(block.moved(*shift) for group, shift in pairs for block in group))
    return out


def _in_some_order(boxes: Sequence[Box], size: tuple[float, float]) -> list[Point] | None:
    """How far to move each box; the first is placed first, the others in one of several orders."""
    rest = list(range(1, len(boxes)))
    orders = [
        rest,
        sorted(rest, key=lambda k: boxes[k][1] - boxes[k][3]),
        sorted(rest, key=lambda k: boxes[k][0] - boxes[k][2]),
        rest[::-1],
    ]
    for order in orders:
        shifts = _placed(boxes, [0, *order], size)
        if shifts is not None:
            return shifts
    return None


def _placed(
    boxes: Sequence[Box], order: Sequence[int], size: tuple[float, float]
) -> list[Point] | None:
    """Boxes on one sheet in an order, each as high as there is room, then as far left."""
    left, low, right, high = field_of(size)
    field = (left + EDGE, low + EDGE, right - EDGE, high - EDGE)
    free = _without([field], (right - WIDTH - GAP, low, right, low + HEIGHT + GAP))
    out = [(0.0, 0.0)] * len(boxes)
    for k in order:
        box = boxes[k]
        wide, tall = box[2] - box[0], box[3] - box[1]
        spot = _spot(free, wide, tall)
        if spot is None:
            return None
        out[k] = (spot[0] - box[0], spot[1] - box[3])
        taken = (spot[0] - GAP, spot[1] - tall - GAP, spot[0] + wide + GAP, spot[1] + GAP)
        free = _without(free, taken)
    return out


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
