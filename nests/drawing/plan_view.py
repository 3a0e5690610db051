"""The plan from above, as it lies under the front section in first-angle projection."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nests.drawing.chains import Rounds, drawn
from nests.drawing.dimensions import arrow
from nests.drawing.edges import Eye, edges_of
from nests.drawing.free import free_text, taken_by
from nests.drawing.labels import Noted, laid_out
from nests.drawing.lettering import LARGE, PLAIN
from nests.drawing.planes import SectionPlane, post_place
from nests.drawing.profile import Profile, Subject
from nests.drawing.values import (
    CENTRE,
    CUT,
    EDGE,
    HIDDEN,
    OUTLINE,
    Block,
    Box,
    Item,
    Pen,
    Point,
    Stroke,
)
from nests.parts.mark import Mark
from nests.parts.plunger import Plunger
from nests.parts.vent import Vent
from nests.places import at_hour

Floats = NDArray[np.float64]
UP = np.array((0.0, 0.0, 1.0))
PLANE_FROM, PLANE_TO = 1.5, 7.0
"""mm beyond the outer face between which the ends of a cutting plane are drawn."""
LETTER_PLACES = (
    *((2.5, 2.2), (3.0, 0.0), (-2.5, 6.5), (0.0, 7.5), (5.0, 2.0), (0.0, -2.8)),
    *((2.8, -1.5), (2.8, 4.0), (2.8, 6.0), (-2.5, -2.8), (6.0, 0.0), (8.0, 0.0), (11.0, 0.0)),
    *((0.0, -6.0), (14.0, 0.0), (18.0, 0.0)),
)
"""mm from the end of a cutting plane to its letter, at best: along it, and to where it looks."""


@dataclass(frozen=True, eq=False)
class Seen:
    """What is seen from above, in mm: segments (n, 2) and the pen for each kind of them."""

    groups: tuple[tuple[Floats, Floats, Pen], ...]
    rounds: Rounds


def seen_from_above(subject: Subject) -> Seen:
    """Edges seen from above; of vents and guides those that are hidden too."""
    holder, faces = subject.holder, subject.faces
    mesh = holder.mesh
    edges = edges_of(mesh, UP)
    pieces = Eye(mesh, UP).split(edges)
    parts = {each.label: each.part for each in holder.laid}

    def made_by(*kinds: type) -> NDArray[np.bool_]:
        wanted = [i for i, label in holder.made_by.items() if isinstance(parts[label], kinds)]
        return np.asarray(np.isin(edges.makers, wanted).any(axis=1))[pieces.edge]

    known: list[tuple[Point, float]] = [((0.0, 0.0), r) for r in subject.radii]
    for each in holder.laid:
        at = post_place(subject, each.part)
        if at is not None:
            found = faces.cylinders(each.label, at.x, at.y)
            known += [((at.x, at.y), c.radius) for c in found]
    marked = made_by(Mark) & ~_notch(subject, pieces.start)
    groups = (
        (pieces.seen & ~marked, OUTLINE),
        (pieces.seen & marked, EDGE),
        (~pieces.seen & made_by(Vent, Plunger), HIDDEN),
    )
    flat = [(pieces.start[g][:, :2], pieces.end[g][:, :2], pen) for g, pen in groups]
    return Seen(tuple(flat), Rounds(holder.recipe.chord_error, tuple(known)))


def plan_view(
    subject: Subject, seen: Seen, notes: list[Noted], sections: list[SectionPlane], scale: float
) -> Block:
    """The plan about the axis, its cutting planes, and the labels of its cuts."""
    items: list[Item] = []
    for start, end, pen in seen.groups:
        items += drawn(start, end, scale, pen, seen.rounds if pen is OUTLINE else None)
    reach = subject.reach * scale
    items += _centre_lines(reach)
    halves = [
        (sign, half, each.letter)
        for each in sections
        for sign, half in ((-1.0, each.left), (1.0, each.right))
    ]
    ends = [_plane_ends(half, reach, scale)[1] for _, half, _ in halves]
    items += laid_out(notes, [_point(end) for end in ends], subject.reach, scale)
    for sign, half, letter in halves:
        items += _plane_end(half, sign, letter, reach, scale, taken_by(items))
    items += _post_numbers(subject, scale, taken_by(items, lines=True))
    items += _hours(subject, reach, taken_by(items, lines=True))
    return Block("plan", tuple(items))


def _notch(subject: Subject, points: np.ndarray) -> np.ndarray:
    """Whether points lie in the 12 h notch, which is drawn as an edge of the body."""
    return np.asarray((np.abs(points[:, 0]) < 2.0) & (points[:, 1] > subject.reach - 1.5))


def _centre_lines(reach: float) -> list[Item]:
    far = reach + 2.0
    return [Stroke(((-far, 0.0), (far, 0.0)), CENTRE), Stroke(((0.0, -far), (0.0, far)), CENTRE)]


def _plane_end(
    half: Profile, sign: float, letter: str, reach: float, scale: float, taken: list[Box]
) -> list[Item]:
    """End of a cutting plane: a wide dashed line, an arrow to where one looks, the letter."""
    plane = half.plane
    ahead = plane.ahead
    look = plane.left * sign
    off = plane.offset * scale * plane.left
    begin, end = _plane_ends(half, reach, scale)
    tip = end + 4.5 * look
    inner = Stroke((_point(off), _point(begin)), CENTRE)
    marks: list[Item] = [
        inner,
        Stroke((_point(begin), _point(end)), CUT),
        Stroke((_point(end), _point(tip)), EDGE),
        arrow(_point(tip), _point(end)),
    ]
    places = [end + a * ahead + b * look for a, b in LETTER_PLACES]
    text = free_text(letter, LARGE, [_point(p - (0.0, LARGE / 2)) for p in places], taken, 0.6)
    return [*marks, text] if text is not None else marks


def _plane_ends(half: Profile, reach: float, scale: float) -> list[Floats]:
    """Where a cutting plane begins and ends beside the view."""
    off = half.plane.offset * scale * half.plane.left
    return [off + (reach + d) * half.plane.ahead for d in (PLANE_FROM, PLANE_TO)]


def _post_numbers(subject: Subject, scale: float, taken: list[Box]) -> list[Item]:
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
        text = free_text(str(number), PLAIN, places, taken)
        if text is not None:
            out.append(text)
            taken = [*taken, text.box()]
    return out


def _hours(subject: Subject, reach: float, taken: list[Box]) -> list[Item]:
    """Hours of the dial, so that nobody has to guess which way they run."""
    frame = subject.holder.recipe.site().frame
    out: list[Item] = []
    for hour in (12, 3, 6, 9):
        at = frame.place(at_hour(hour, 1.0))
        places = []
        for off in (2.6, 4.2, 6.0, 8.0):
            for turn in (0.06, -0.06, 0.12, -0.12, 0.2, -0.2):
                far = reach + off
                x = far * (at.x * math.cos(turn) - at.y * math.sin(turn))
                y = far * (at.x * math.sin(turn) + at.y * math.cos(turn))
                places.append((x + 2.5 * at.x, y - 1.25 + 1.0 * at.y))
        text = free_text(f"{hour} h", PLAIN, places, taken, 1.5)
        if text is not None:
            out.append(text)
            taken = [*taken, text.box()]
    return out


def _point(xy: np.ndarray) -> Point:
    return (float(xy[0]), float(xy[1]))
