"""What holds a rim from above: where it may stand, and how stout it must be."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from manifold3d import CrossSection, OpType

from nests.families._rim import RimPlan
from nests.families._room import distance_off, growth, inset, spared
from nests.finding import refuse
from nests.given.zones import Round
from nests.holder.workpiece import allowance, rim_plan, rim_zone
from nests.mechanics.holding import hanging_shares
from nests.parts.answers import Finger
from nests.parts.base import Part
from nests.parts.body import Body
from nests.parts.clip import HEAD_ROOM, Clip, Line
from nests.parts.site import Site
from nests.parts.swing_tab import SwingTab
from nests.places import hours_between
from nests.solids.solid import offset
from nests.units import Hour, Length

SPARE_GRIPS: tuple[Length, ...] = (0.25, 0.15)
"""mm a hook reaches over the rim when all play is against it, the less where no more of the rim may
be touched; from memory."""
NARROWER: tuple[Length, ...] = (3.0, 2.2)
"""mm of narrower clips, for an edge that curves away under the usual one, or a rest that is short;
from memory."""
MOST_SAG: Length = 0.1
"""mm by which an edge may curve away under the ends of a hook; from memory."""
SPARE_STRAIN = 0.9
"""Share of the card's strain limit that a finger uses."""
SPARE_FORCE = 1.1
"""Times the force a knock needs that a finger holds; from memory."""
STOUTEST: Length = 2.4
"""mm of the thickest finger: it needs a floor so deep that a tab does better; from memory."""
THICKER: Length = 0.1
"""mm by which a finger is made thicker until it holds."""
AGAIN = 20
"""Times a finger is made longer by what its strain asks; three or four do."""
LONGER: Length = 1e-3
"""mm more each time, so that it comes to an end."""
WALL_SPARE: Length = 0.1
"""mm beyond the smallest wall between two cuts, for chords and slanting walls; from memory."""
THICKEST_TAB: Length = 8.0
"""mm; the largest thickness a swing tab takes."""


def clips_for(site: Site, play: Length) -> list[Clip]:
    """Clips that still reach over the rim when all play is against it, the preferred first: the
    widest, and those that reach farthest."""
    least = allowance(site, play).sideways
    return [
        Clip(at=0.0, grip=round(least + spare, 3), width=width)
        for spare in SPARE_GRIPS
        for width in (Clip.width, *NARROWER)
    ]


def tab_for(site: Site) -> SwingTab:
    """A tab so thick that the holder can be laid down turned over."""
    above = site.sheet.height(site.side_up) + HEAD_ROOM
    return SwingTab(at=0.0, thickness=min(max(SwingTab.thickness, above), THICKEST_TAB))


def deep_enough(body: Body, site: Site, finger: Finger, play: Length) -> Body:
    """The body of a site with so much room under that a finger may be bent aside again and again.

    Strain falls about with the square of the length, L² = L₁²·ε₁/ε: so again until it has fallen.
    """
    beam = finger.beam
    bent = finger.bend + allowance(site, play).sideways
    limit = SPARE_STRAIN * site.card.strain_limit
    for _ in range(AGAIN):
        share = beam.strain(bent) / limit
        if share <= 1.0:
            break
        beam = replace(beam, length=beam.length * math.sqrt(share) + LONGER)
    return replace(body, under=round(body.under + beam.length - finger.beam.length, 3))


def largest_share(site: Site, holds: Sequence[Part], seat: Part) -> float:
    """Share of the weight that the most loaded of what holds carries, turned over.

    Raises `Refused` where it would tip out of them.
    """
    hooks, ledge = (
        [c.place[:2] for part in parts for c in part.contacts(site)] for parts in (holds, [seat])
    )
    shares = hanging_shares(hooks, ledge, 1.0)
    if shares is None:
        raise refuse(
            "hold",
            f"turned over, '{site.sheet.name}' would tip out: all that may be held lies on one "
            f"side of its {site.side_up.value} side.",
            "measure rests at the rim on that side, all round",
        )
    return float(shares.max())


def stout_enough(
    ground: Body, site: Site, first: Finger, play: Length, load: float
) -> tuple[Body, Length]:
    """The body of a site, and the thickness of a finger with which it carries `load` N.

    A thicker finger that is longer by as much as its strain asks holds more. Where no thickness
    does, it is as stout as can be.
    """
    needed = SPARE_FORCE * load
    overlap = first.over - allowance(site, play).sideways
    finger, body = first, deep_enough(ground, site, first, play)
    while finger.beam.thickness < STOUTEST:
        longer = first.beam.length + body.under - ground.under
        if replace(finger.beam, length=longer).lets_go(overlap) >= needed:
            break
        beam = replace(first.beam, thickness=round(finger.beam.thickness + THICKER, 3))
        finger = replace(first, beam=beam)
        body = deep_enough(ground, site, finger, play)
    return body, finger.beam.thickness


def on_rests(site: Site, hold: Clip | SwingTab, play: Length) -> list[Clip | SwingTab]:
    """`hold` wherever round the rim its nose lies on what may be touched, and nothing that stands
    there is to be spared: every quarter of an hour, or square to a straight edge."""
    zone = rim_zone(site, site.side_up)
    if zone is None:
        return []
    face, grows = rim_plan(site, site.side_up), growth(site)
    spare, off = inset(site, play, grows), distance_off(site, play, grows)
    flange, _ = site.sheet.edge(site.side_up)
    upper, over = site.seat + site.sheet.rim, hold.overlap
    high = [each for each in spared(site) if each.high > upper - off]
    out = []
    for each in _round_the_rim(site, hold):
        line = each.line(site)
        edge = line.edge + flange
        if not _is_straight(site, each, face):
            continue
        nose = _block(line, edge - over, edge + over, each.width)
        on_rest = _within(_grown(nose, spare) ^ face, zone)
        if on_rest and all((_grown(nose, off) ^ one.plan).is_empty() for one in high):
            out.append(each)
    return out


def _is_straight(site: Site, hold: Clip | SwingTab, face: CrossSection) -> bool:
    """Whether the edge is straight enough under a hook; a round rim is as it is."""
    if isinstance(site.sheet.outline, Round):
        return True
    line, over = hold.line(site), hold.overlap
    # beside a corner the slit would leave the seat a thin wedge
    beside = hold.width + 2 * (hold.slit + site.card.smallest_wall)
    under = _block(line, line.edge - over, line.edge - MOST_SAG, hold.width)
    return _within(under + _block(line, line.edge - 2 * over, line.edge - over, beside), face)


def spread(
    site: Site,
    hold: Clip | SwingTab,
    count: int,
    play: Length,
    plan: RimPlan,
    slots: Sequence[Part],
) -> list[tuple[Clip | SwingTab, tuple[Hour, Length]]]:
    """Up to `count` of what holds, round the rim where it may stand and has room beside `slots`.

    Each with what it takes of the wall as `plan` counts it, on which that is then taken.
    """
    allowed = [(each, _takes(site, plan, each)) for each in on_rests(site, hold, play)]
    # a plan by hours is too coarse beside a straight edge: there the cuts themselves are laid out
    laid_out = not isinstance(site.sheet.outline, Round)
    rooms = {each: _room(site, each) for each, _ in allowed} if laid_out else {}
    full = CrossSection.batch_boolean([_cut(site, each) for each in slots], OpType.Add)
    out: list[tuple[Clip | SwingTab, tuple[Hour, Length]]] = []
    for index in range(count):
        near = (12.0 * index / count + 1.0) % 12.0
        free = [
            (each, taken)
            for each, taken in allowed
            if ((rooms[each] ^ full).is_empty() if laid_out else plan.is_free(*taken))
        ]
        if not free:
            break
        away = [hours_between(each.at, near) for each, _ in free]
        each, taken = free[away.index(min(away))]
        out.append((each, taken))
        plan.take(*taken)
        full += _cut(site, each)
    return sorted(out, key=lambda pair: pair[0].at)


def _cut(site: Site, part: Part) -> CrossSection:
    """What a part cuts, in plan."""
    cuts = part.shape(site).cuts
    return CrossSection() if cuts is None else cuts.project()


def _room(site: Site, part: Part) -> CrossSection:
    """What a part cuts, in plan, with a wall round it."""
    return _grown(_cut(site, part), site.card.smallest_wall + WALL_SPARE)


def _round_the_rim(site: Site, hold: Clip | SwingTab) -> Iterator[Clip | SwingTab]:
    """`hold` at hours all round, square to the edge."""
    if isinstance(site.sheet.outline, Round):
        yield from (hold.set_at(site, quarter / 4) for quarter in range(48))
        return
    yield from (hold.set_at(site, step / 20) for step in range(240))


def _block(line: Line, inner: Length, outer: Length, width: Length) -> CrossSection:
    flat = CrossSection.square((outer - inner, width)).translate((inner, line.aside - width / 2))
    return flat.rotate(math.degrees(line.angle))


def _grown(plan: CrossSection, out: Length) -> CrossSection:
    return offset(plan, out, 32)


def _within(plan: CrossSection, zone: CrossSection) -> bool:
    return bool((plan - zone).area() < 1e-4)


def _takes(site: Site, plan: RimPlan, hold: Clip | SwingTab) -> tuple[Hour, Length]:
    """What of the wall it takes, as (hour, width) of a plan of the rim."""
    width = hold.wall_taken
    if isinstance(site.sheet.outline, Round):
        return hold.at, width
    # a block beside the axis is seen from there under another hour than it looks to
    line = hold.line(site)
    aside = line.aside + np.array((-width, width)) / 2
    turns = np.arctan2(aside[:, None], (line.edge, line.edge + width / 2))
    low, high = float(turns.min()), float(turns.max())
    hour = site.frame.hour(line.angle + (low + high) / 2)
    return round(hour, 3) % 12.0, 2 * plan.radius * math.sin((high - low) / 2)
