"""A section: cut faces hatched, what lies behind, and the lengths that belong to it."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from itertools import chain

import numpy as np

from nests.papers.drawing.chains import enlarged
from nests.papers.drawing.cuts import hatched
from nests.papers.drawing.detail_view import Detail, circled
from nests.papers.drawing.dimensions import (
    STEP,
    Measured,
    Pending,
    diameter_of,
    height_of,
    in_columns,
    in_rows,
    length_of,
)
from nests.papers.drawing.lettering import LARGE
from nests.papers.drawing.noted import arm_of, guide_bores
from nests.papers.drawing.planes import SectionPlane, post_place
from nests.papers.drawing.profile import Profile, Run, Subject, bores, seat_levels, spans
from nests.papers.drawing.scenery import Scenery
from nests.papers.drawing.values import (
    CENTRE,
    OUTLINE,
    Block,
    Dimension,
    Item,
    Point,
    Stroke,
    Text,
    around,
)
from nests.parts.answers import Lie
from nests.parts.drawn import BelowOpening, Bottom, Ceiling, Drawn, FreeArm, Tunnel
from nests.places import Place

CLEAR = 6.5
"""mm from a view to its first dimension line; its text keeps clear of the centre line's end."""
HATCH_SPACING = 1.6
"""mm between hatching lines, measured square to them."""


def section_view(
    subject: Subject,
    section: SectionPlane,
    shown: Scenery,
    scale: float,
    done: Collection[str] = (),
    details: Sequence[Detail] = (),
    outer: bool = True,
) -> Block:
    """The section about the axis and the foot of the holder, with the circles of its `details`.

    Lengths whose names are in `done` stand elsewhere and are not given twice; `outer` asks for
    the size of the body.
    """
    view = _View(subject, section, scale, done)
    items: list[Item] = []
    for face in shown.faces:
        rings = [[(float(x), float(y)) for x, y in ring * scale] for ring in face]
        items.append(hatched(rings, HATCH_SPACING))
        items += [Stroke(tuple(ring), OUTLINE, closed=True) for ring in rings]
    items += enlarged(shown.edges, scale)
    across = section.is_across and not subject.is_round
    if section.letter == "A" or section.is_clean or across:
        view.main_dimensions()
    if outer:
        view.outer()
    for sign, half in ((-1.0, section.left), (1.0, section.right)):
        view.cut_dimensions(sign, half)
    items += [*view.centres, *view.dimensions()]
    for each in details:
        items += circled(each, scale, items)
    items.append(Stroke(((0.0, -2.0), (0.0, subject.height * scale + 2.0)), CENTRE))
    items.append(Text((0.0, around(items)[3] + 2.5), section.name, LARGE, 0.5))
    return Block(f"section {section.name}", tuple(items))


class _View:
    """Collects a section's dimensions in rows above and below and in columns at its sides."""

    def __init__(
        self, subject: Subject, section: SectionPlane, scale: float, done: Collection[str]
    ) -> None:
        self.subject, self.section, self.scale = subject, section, scale
        self._done = set(done)
        self._foot = subject.reach - subject.holder.recipe.body.foot_chamfer
        self._columns: dict[float, list[Pending]] = {-1.0: [], 1.0: []}
        self._rows: dict[bool, list[Pending]] = {True: [], False: []}
        self.centres: list[Stroke] = []

    def on_paper(self, sign: float, along: float, z: float) -> Point:
        """A point of the left (-1) or right (+1) half on paper."""
        return (sign * along * self.scale, z * self.scale)

    def row(self, what: Measured, first: Point, second: Point, above: bool) -> None:
        """A dimension across, in the next row above or below."""
        if self._again(what):
            return
        self._rows[above].append(Pending(what, first, second))

    def dimensions(self) -> list[Dimension]:
        """All dimensions in their places."""
        top, side = self.subject.height * self.scale, self.subject.reach * self.scale + CLEAR
        columns = [
            in_columns(pending, sign * side, sign * STEP, self.scale)
            for sign, pending in self._columns.items()
        ]
        return [
            *chain.from_iterable(columns),
            *in_rows(self._rows[True], top + CLEAR, STEP, self.scale),
            *in_rows(self._rows[False], -CLEAR, -STEP, self.scale),
        ]

    def column(self, what: Measured, first: Point, second: Point, sign: float) -> None:
        """An upright dimension, in the next column left or right; long text hangs below."""
        if self._again(what):
            return
        self._columns[sign].append(Pending(what, first, second))

    def _again(self, what: Measured) -> bool:
        again = what.name in self._done
        self._done.add(what.name)
        return again

    def height(self, name: str, half: Profile, sign: float, along: float, z: float) -> None:
        """A height above the foot, shown at the side of its half."""
        # where the body follows an outline, its foot ends nearer to the axis here than elsewhere
        foot = min(self._foot, half.reach - self.subject.holder.recipe.body.foot_chamfer)
        ends = (half.plane.point(min(along, foot - 0.2), 0.0), half.plane.point(along, z))
        self.column(
            height_of(name, *ends),
            self.on_paper(sign, foot, 0.0),
            self.on_paper(sign, along, z),
            sign,
        )

    def main_dimensions(self) -> None:
        """Bores above, what is cut from below, and heights beside the turned half."""
        subject, left, right = self.subject, self.section.left, self.section.right
        for what, run in bores(subject, self.section.turned[1]):
            radius, z = what.value / 2, run.high
            self.row(what, self.on_paper(-1, radius, z), self.on_paper(1, radius, z), True)
        if not subject.is_round:
            for what, run, other in spans(subject, left, right, self.section.name):
                ends = (self.on_paper(-1, run.at, run.high), self.on_paper(1, other.at, other.high))
                self.row(what, *ends, True)
        if self.section.letter != "A":
            return
        for each in subject.holder.laid:
            for item in each.part.drawn(subject.holder.recipe.site()):
                if isinstance(item, BelowOpening):
                    self._from_below(each.label)
        self._heights()

    def _from_below(self, label: str) -> None:
        left = self.section.left
        for found in self.subject.faces.cylinders(label)[:1]:
            z = (found.low + found.high) / 2
            x, y = found.radius * left.plane.ahead
            what = diameter_of(label, (0.0, 0.0, z), (float(x), float(y), z), 2 * found.radius)
            at = found.low
            self.row(
                what, self.on_paper(-1, found.radius, at), self.on_paper(1, found.radius, at), False
            )

    def outer(self) -> None:
        """The outer ⌀, or the length straight across a body that is not round."""
        subject, left, right = self.subject, self.section.left, self.section.right
        z = subject.holder.recipe.body.foot_chamfer * 2 + 0.3  # below what is cut into the wall
        if not subject.round_body:
            if math.cos(left.plane.angle - right.plane.angle) > 1e-9 - 1.0:
                return  # a bent cut is drawn straight: no one length of the body shows in it
            ends = left.plane.point(left.reach, z), right.plane.point(right.reach, z)
            what = length_of(f"outer across at {self.section.name}", *ends)
            shown = self.on_paper(-1, left.reach, 0.0), self.on_paper(1, right.reach, 0.0)
            self.row(what, *shown, False)
            return
        radius = max(c.radius for c in subject.faces.cylinders("body") if not c.bore)
        x, y = radius * left.plane.ahead
        what = diameter_of("outer", (0.0, 0.0, z), (float(x), float(y), z), 2 * radius)
        low = self.subject.holder.recipe.body.foot_chamfer
        self.row(what, self.on_paper(-1, radius, low), self.on_paper(1, radius, low), False)

    def _heights(self) -> None:
        sign, half = self.section.turned
        for name, (along, z) in seat_levels(self.subject, half).items():
            self.height(name, half, sign, along, z)

    def cut_dimensions(self, sign: float, half: Profile) -> None:
        """Lengths of the posts and cuts this half goes through."""
        for each in self.subject.holder.laid:
            at = post_place(self.subject, each.part)
            if at is not None:
                self._post(each.label, at, half, sign)
            for item in each.part.drawn(self.subject.holder.recipe.site()):
                self._cut(each.label, item, half, sign)

    def _cut(self, label: str, item: Drawn, half: Profile, sign: float) -> None:
        """What a section gives of one thing a part has."""
        if isinstance(item, Bottom):
            for number, ledge in enumerate(half.ledges(label)):
                name = f"{label}: {item.word}{f' {number + 1}' if number else ''}"
                self.height(name, half, sign, ledge.high - 0.1, ledge.at)
        elif isinstance(item, Ceiling):
            for run in half.undersides(label)[:1]:
                self._ceiling(f"{label}: {item.word}", half, sign, run)
        elif isinstance(item, Tunnel) and _along(item.lie, half):
            self._guide(label, item, half, sign)
        elif isinstance(item, FreeArm) and _along(item.lie, half):
            self._lever(label, half, sign)

    def _ceiling(self, name: str, half: Profile, sign: float, run: Run) -> None:
        """Height of a face that looks down, above the foot beside it."""
        foot = min(self._foot, half.reach - self.subject.holder.recipe.body.foot_chamfer) - 0.2
        along = (run.low + run.high) / 2
        what = height_of(name, half.plane.point(foot, 0.0), half.plane.point(along, run.at))
        self.column(what, self.on_paper(sign, foot, 0.0), self.on_paper(sign, along, run.at), sign)

    def _post(self, label: str, at: Place, half: Profile, sign: float) -> None:
        along = float(np.array((at.x, at.y)) @ half.plane.ahead)
        off = float(np.array((at.x, at.y)) @ half.plane.left) - half.plane.offset
        central = at.radius < 0.3
        if abs(off) > 1e-3 or along < -1e-6 or (central and sign < 0.0):
            return
        tip = self.subject.faces.top(label, at.x, at.y)
        if tip is None:
            return
        radius, high = tip
        # measured square to the cut: the room for a pivot lies along it
        left, z = half.plane.left, high - 1e-3
        x, y = np.array((at.x, at.y)) + radius * left
        what = diameter_of(f"{label}: tip", (at.x, at.y, z), (float(x), float(y), z), 2 * radius)
        first = self.on_paper(sign, along - radius, high)
        second = self.on_paper(sign, along + radius, high)
        self.row(what, first, second, True)
        x, y = np.array((at.x, at.y)) + (radius - 0.05) * left
        ends = ((float(x), float(y), 0.0), (float(x), float(y), high))
        foot = self.on_paper(sign, self._foot, 0.0)
        self.column(height_of(f"{label}: height", *ends), foot, second, sign)

    def _guide(self, label: str, item: Tunnel, half: Profile, sign: float) -> None:
        """Height of a guide's axis, its length, and depth of its spring pocket."""
        bores = guide_bores(self.subject, label, item)
        z, guide, plane = item.z, bores["guide"], half.plane
        along = (guide.low + guide.high) / 2
        axis = height_of(f"{label}: axis", plane.point(along, 0.0), plane.point(along, z))
        self.column(axis, self.on_paper(sign, self._foot, 0.0), self.on_paper(sign, along, z), sign)
        near, far = (min(c.low for c in bores.values()), max(c.high for c in bores.values()))
        ends = self.on_paper(sign, near - 1.0, z), self.on_paper(sign, far + 0.8, z)
        self.centres.append(Stroke(ends, CENTRE))
        # the shoulders lie between the guide and the wider bore beside it, the outer face below
        if "collar pocket" in bores and "spring pocket" in bores:
            low = z - (guide.radius + bores["collar pocket"].radius) / 2
            deep = z - (guide.radius + bores["spring pocket"].radius) / 2
            self._across(f"{label}: guide", half, sign, (guide.low, low), (guide.high, deep))
        if "spring pocket" in bores:
            spring = bores["spring pocket"]
            deep = z - (guide.radius + spring.radius) / 2
            outer = (spring.high, z - spring.radius - 0.2)
            self._across(f"{label}: spring pocket", half, sign, (guide.high, deep), outer)

    def _across(self, name: str, half: Profile, sign: float, a: Point, b: Point) -> None:
        """A length across a half, between points of it (along, z), in a row above."""
        what = length_of(name, half.plane.point(*a), half.plane.point(*b))
        self.row(what, self.on_paper(sign, *a), self.on_paper(sign, *b), True)

    def _lever(self, label: str, half: Profile, sign: float) -> None:
        """Where a spring lever's nose ends, its height, and the width of the arm it sits on."""
        arm = arm_of(self.subject, label, half.plane.angle)
        nose = [r for r in half.upright if r.label == label]
        tops = half.ledges(label)
        if not nose:
            return
        tip = min(nose, key=lambda run: run.at)
        z, point = (tip.low + tip.high) / 2, half.plane.point
        self._across(f"{label}: nose to outer face", half, sign, (tip.at, z), (arm.outer, arm.z))
        along = (arm.inner + arm.outer) / 2
        ends = point(along, 0.0), point(along, self.subject.height)
        shown = self.on_paper(sign, along, 0.0), self.on_paper(sign, along, self.subject.height)
        self.column(height_of(f"{label}: width of the arm", *ends), *shown, sign)
        for ledge in tops[-1:]:
            if ledge.at < self.subject.height - 0.05:
                middle = (ledge.low + ledge.high) / 2
                self.height(f"{label}: nose", half, sign, middle, ledge.at)


def _along(lie: Lie, half: Profile) -> bool:
    """Whether a half cuts a part through its middle, outward."""
    return not half.plane.offset and math.cos(lie.angle - half.plane.angle) > 1.0 - 1e-9
