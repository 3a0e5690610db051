"""The detail of a clip, larger: its finger, its hook, and the room behind it to bend."""

from __future__ import annotations

import math
from dataclasses import dataclass

from nests.papers.drawing.detail_view import FIRST, Detail, across, framed, up
from nests.papers.drawing.dimensions import STEP, height_of, in_rows, linear
from nests.papers.drawing.planes import SectionPlane
from nests.papers.drawing.profile import Profile, Subject
from nests.papers.drawing.scenery import Scenery
from nests.papers.drawing.values import Block, Dimension
from nests.parts.drawn import Hook

LETTER = "Y"
WIDEST = 62.0
"""mm of paper the detail may take across."""
HAIR = 1e-3
"""mm inside the lip of the hook at which its height is measured."""


@dataclass(frozen=True)
class Finger:
    """A clip as measured: distances from the axis of hook, face, back and the wall behind; heights
    of the floor it stands on, of lower and upper end of the hook's tip, and of its top."""

    tip: float
    face: float
    back: float
    wall: float
    floor: float
    lip: float
    land: float
    top: float


def finger(subject: Subject, label: str, shown: Profile) -> Finger | None:
    """Read a clip off the solid; None if its faces are not as a clip's are."""
    # flat faces square to the plane of the cut run along an hour a quarter turn away
    walls = subject.faces.walls(label, shown.plane.angle - math.pi / 2)
    levels = subject.faces.levels(label)
    if len(walls) < 4 or len(levels) < 2:
        return None
    tip, face, back, wall = walls[:4]
    across = (tip.across, face.across, back.across, wall.across)
    return Finger(*across, levels[0], tip.low, tip.high, levels[-1])


def clip_detail(
    subject: Subject, section: SectionPlane, scene: Scenery, seat: Profile
) -> tuple[Detail, Block] | None:
    """The first clip a section goes through, larger; None without one.

    `seat` is a profile that shows the ledge, which a clip interrupts.
    """
    for each in subject.holder.laid:
        site = subject.holder.recipe.site()
        hook = next((i for i in each.part.drawn(site) if isinstance(i, Hook)), None)
        if hook is None:
            continue
        line = hook.lie
        for sign, half in ((-1.0, section.left), (1.0, section.right)):
            plane = half.plane
            if math.cos(line.angle - plane.angle) < 1.0 - 1e-9 or plane.offset != line.aside:
                continue
            found = finger(subject, each.label, half)
            if found is not None:
                of = _circle(found, half, sign)
                behind = scene.beyond(sign)
                dimensions = _dimensions(subject, of, each.label, found, seat)
                return of, framed(subject, of, dimensions, behind)
    return None


def _circle(found: Finger, half: Profile, sign: float) -> Detail:
    near, far = found.tip - 0.4, found.wall + 0.6
    low, high = found.floor - 0.5, found.top + 0.2
    radius = math.hypot(far - near, high - low) / 2
    return Detail(LETTER, half, sign, (near + far) / 2, (low + high) / 2, radius, WIDEST)


def _dimensions(
    subject: Subject, of: Detail, label: str, found: Finger, seat: Profile
) -> list[Dimension]:
    middle = (found.floor + found.lip) / 2
    tip = (found.tip, (found.lip + found.land) / 2)
    rows = [
        across(of, f"{label}: hook", tip, (found.face, middle)),
        across(of, f"{label}: thickness", (found.face, middle), (found.back, middle)),
        across(of, f"{label}: room behind", (found.back, middle), (found.wall, middle)),
    ]
    lip = (found.tip + HAIR, found.lip)
    floor = ((found.back + found.wall) / 2, found.floor)
    inward = -of.sign * (of.reach + FIRST)
    out = [up(of, f"{label}: length", floor, lip, inward - of.sign * STEP)]
    ledges = seat.ledges(subject.seat[0]) if subject.seat is not None else []
    ledge = max((e for e in ledges if e.at < found.lip), key=lambda e: e.at, default=None)
    if ledge is not None:
        along = (ledge.low + ledge.high) / 2
        ends = (seat.plane.point(along, ledge.at), of.shown.plane.point(*lip))
        what = height_of(f"{label}: undercut", *ends)
        shown = of.on_paper(ledge.high, ledge.at), of.on_paper(*lip)
        out.append(linear(what, *shown, inward, of.scale, upright=True))
    outward = of.sign * (of.reach + FIRST)
    top = (found.face + (found.back - found.face) / 2, found.top)
    out.append(up(of, f"{label}: top", floor, top, outward))
    return [*out, *in_rows(rows, of.reach + FIRST, STEP, of.scale)]
