"""The plan from above, as it lies under the front section in first-angle projection."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from nests.papers.drawing.chains import Rounds, drawn, enlarged
from nests.papers.drawing.dimensions import arrow
from nests.papers.drawing.edges import Eye, edges_of
from nests.papers.drawing.free import Boxes, free_text, taken_by
from nests.papers.drawing.labels import OFF, laid_out
from nests.papers.drawing.lettering import LARGE, PLAIN
from nests.papers.drawing.noted import Noted
from nests.papers.drawing.planes import SectionPlane, post_place
from nests.papers.drawing.profile import Profile, Subject
from nests.papers.drawing.values import (
    CENTRE,
    CUT,
    EDGE,
    HIDDEN,
    LOOKING,
    OUTLINE,
    Arc,
    Block,
    Item,
    Point,
    Stroke,
)
from nests.parts.base import Part
from nests.places import at_hour

Floats = NDArray[np.float64]
UP = np.array((0.0, 0.0, 1.0))
PLANE_FROM, PLANE_LONG = 1.5, 5.5
"""mm beyond the outer face from which the ends of a cutting plane are drawn, and their length."""
LOOK = 4.5
"""mm; length of the arrow that says where one looks."""
BEYOND, BEHIND = LOOK + LARGE + 1.0, LARGE / 2
"""mm; from the end of a cutting plane, where labels leave room for its letter: past the tip of the
arrow, and behind the plane."""
LETTER_PLACES = (
    *((2.5, 2.2), (3.0, 0.0), (-2.5, 6.5), (0.0, 7.5), (5.0, 2.0), (0.0, -2.8)),
    *((2.8, -1.5), (2.8, 4.0), (2.8, 6.0), (-2.5, -2.8), (6.0, 0.0), (8.0, 0.0), (11.0, 0.0)),
    *((0.0, -6.0), (14.0, 0.0), (18.0, 0.0), (14.0, 5.0), (14.0, -5.0), (22.0, 0.0), (26.0, 0.0)),
)
"""mm from the end of a cutting plane to its letter, at best: along it, and to where it looks."""


Lines: TypeAlias = list[Stroke | Arc]


def seen_from_above(subject: Subject) -> Lines:
    """Edges seen from above, in mm of the holder; of vents and guides those that are hidden too."""
    holder, faces = subject.holder, subject.faces
    mesh = holder.mesh
    edges = edges_of(mesh, UP)
    pieces = Eye(mesh, UP).split(edges)
    parts = {each.label: each.part for each in holder.laid}

    def made_by(chosen: Callable[[Part], bool]) -> NDArray[np.bool_]:
        wanted = [i for i, label in holder.made_by.items() if chosen(parts[label])]
        return np.asarray(np.isin(edges.makers, wanted).any(axis=1))[pieces.edge]

    known: list[tuple[Point, float]] = [((0.0, 0.0), r) for r in subject.radii]
    for each in holder.laid:
        at = post_place(subject, each.part)
        if at is not None:
            found = faces.cylinders(each.label, at.x, at.y)
            known += [((at.x, at.y), c.radius) for c in found]
    marked = made_by(lambda part: part.strokes) & ~_notch(subject, pieces.start)
    groups = (
        (pieces.seen & ~marked, OUTLINE),
        (pieces.seen & marked, EDGE),
        (~pieces.seen & made_by(lambda part: part.shown_hidden), HIDDEN),
    )
    rounds = Rounds(holder.recipe.chord_error, tuple(known))
    out: Lines = []
    for chosen, pen in groups:
        start, end = pieces.start[chosen][:, :2], pieces.end[chosen][:, :2]
        out += drawn(start, end, pen, rounds if pen is OUTLINE else None)
    return out


def plan_view(
    subject: Subject, seen: Lines, notes: list[Noted], sections: list[SectionPlane], scale: float
) -> Block:
    """The plan about the axis, its cutting planes, and the labels of its cuts."""
    items: list[Item] = [*enlarged(seen, scale)]
    reach = subject.reach * scale
    items += _centre_lines(reach)
    halves = [
        (sign, half, each.letter)
        for each in sections
        for sign, half in ((-1.0, each.left), (1.0, each.right))
    ]
    ends = [_plane_ends(half, notes, reach, scale) for _, half, _ in halves]
    # labels keep clear of the ends of cutting planes, of the arrows on them and of their letters
    looks = [sign * half.plane.left for sign, half, _ in halves]
    arrows = [
        (_point(end - BEHIND * look), _point(end + BEYOND * look))
        for look, (_, end) in zip(looks, ends, strict=True)
    ]
    items += laid_out(notes, arrows, subject.reach, scale)
    planes = [
        _plane_end(half, sign, begin, end, scale)
        for (sign, half, _), (begin, end) in zip(halves, ends, strict=True)
    ]
    marks = [mark for plane in planes for mark in plane]
    taken = np.vstack((taken_by(items), taken_by(marks, lines=True)))
    items += marks
    for (sign, half, letter), (_, end) in zip(halves, ends, strict=True):
        text = free_text(letter, LARGE, _letter_places(half, sign, end), taken, 0.6)
        if text is not None:
            items.append(text)
            taken = np.vstack((taken, text.box()))
    items += _post_numbers(subject, scale, taken_by(items, lines=True), taken_by(items))
    items += _hours(subject, reach, taken_by(items, lines=True))
    return Block("plan", tuple(items))


def _notch(subject: Subject, points: np.ndarray) -> np.ndarray:
    """Whether points lie in the 12 h notch, which is drawn as an edge of the body."""
    return np.asarray((np.abs(points[:, 0]) < 2.0) & (points[:, 1] > subject.reach - 1.5))


def _centre_lines(reach: float) -> list[Item]:
    far = reach + 2.0
    return [Stroke(((-far, 0.0), (far, 0.0)), CENTRE), Stroke(((0.0, -far), (0.0, far)), CENTRE)]


def _plane_end(half: Profile, sign: float, begin: Floats, end: Floats, scale: float) -> list[Item]:
    """End of a cutting plane: a wide dashed line, and an arrow to where one looks."""
    plane = half.plane
    tip = end + LOOK * sign * plane.left
    marks: list[Item] = [
        Stroke((_point(begin), _point(end)), CUT),
        Stroke((_point(end), _point(tip)), LOOKING),
        arrow(_point(tip), _point(end)),
    ]
    if plane.offset or abs(math.sin(2 * plane.angle)) > 1e-9:  # else a centre line runs there
        off = plane.offset * scale * plane.left
        marks.append(Stroke((_point(off), _point(begin)), CENTRE))
    return marks


def _letter_places(half: Profile, sign: float, end: Floats) -> list[Point]:
    """Places for the letter of a cutting plane beside its end, the best first."""
    ahead, look = half.plane.ahead, half.plane.left * sign
    places = [end + a * ahead + b * look for a, b in LETTER_PLACES]
    return [_point(place - (0.0, LARGE / 2)) for place in places]


def _plane_ends(
    half: Profile, notes: list[Noted], reach: float, scale: float
) -> tuple[Floats, Floats]:
    """Where a cutting plane begins and ends beside the view: beyond dimensions it would cross."""
    plane = half.plane
    off = plane.offset * scale * plane.left
    clear = PLANE_FROM
    for each in notes:
        ends = np.array((each.first, each.second))
        sides = ends @ plane.left - plane.offset
        ahead = bool(ends[0] @ plane.ahead > 0.0)
        if each.outside and ahead and sides.min() < 0.5 and sides.max() > -0.5:
            clear = OFF + PLANE_FROM
    begin, end = (off + (reach + d) * plane.ahead for d in (clear, clear + PLANE_LONG))
    return begin, end


def _post_numbers(subject: Subject, scale: float, taken: Boxes, words: Boxes) -> list[Item]:
    """Number of every post beside it, off what is `taken`, or at least off all `words`."""
    out: list[Item] = []
    number = 0
    for each in subject.holder.laid:
        at = post_place(subject, each.part)
        if at is None:
            continue
        number += 1
        widest = max((c.radius for c in subject.faces.cylinders(each.label, at.x, at.y)), default=1)
        away = widest * scale
        x, y = at.x * scale, at.y * scale
        arm = away + 1.5
        out.append(Stroke(((x - arm, y), (x + arm, y)), CENTRE))
        out.append(Stroke(((x, y - arm), (x, y + arm)), CENTRE))
        turns = [math.radians(t) for t in (45, 135, 225, 315)]
        places = [
            (x + r * math.cos(t), y + r * math.sin(t) - PLAIN / 2)
            for r in (away + 2.2, away + 4.0)
            for t in turns
        ]
        # on a small holder a number may stand over a line of the view, but on no other text
        text = free_text(str(number), PLAIN, places, taken) or free_text(
            str(number), PLAIN, places, words
        )
        if text is not None:
            out.append(text)
            taken, words = (np.vstack((boxes, text.box())) for boxes in (taken, words))
    return out


def _hours(subject: Subject, reach: float, taken: Boxes) -> list[Item]:
    """Hours of the dial, so that nobody has to guess which way they run."""
    frame = subject.holder.recipe.site().frame
    out: list[Item] = []
    for hour in (12, 3, 6, 9):
        at = frame.place(at_hour(hour, 1.0))
        places = []
        for off in (2.6, 4.2, 6.0, 8.0, 11.0, 14.0, 17.0, 20.0, 23.0, 26.0):
            for turn in (0.06, -0.06, 0.12, -0.12, 0.2, -0.2, 0.32, -0.32, 0.45, -0.45):
                far = reach + off
                x = far * (at.x * math.cos(turn) - at.y * math.sin(turn))
                y = far * (at.x * math.sin(turn) + at.y * math.cos(turn))
                places.append((x + 2.5 * at.x, y - 1.25 + 1.0 * at.y))
        text = free_text(f"{hour} h", PLAIN, places, taken, 1.5)
        if text is not None:
            out.append(text)
            taken = np.vstack((taken, text.box()))
    return out


def _point(xy: np.ndarray) -> Point:
    return (float(xy[0]), float(xy[1]))
