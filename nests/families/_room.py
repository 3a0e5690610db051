"""How much room the workpiece leaves a contact: what is to be spared, and what may be touched."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from manifold3d import CrossSection, OpType

from nests.holder.workpiece import (
    FINE,
    MARGIN,
    RIM_EDGE,
    ROUND,
    LowerRim,
    Prism,
    allowance,
    dial,
    dial_feet,
    keep_clear,
    left,
    plan_distances,
    rim_plan,
)
from nests.parts.base import Part
from nests.parts.ring_seat import WIDEST_GAP
from nests.parts.site import Site
from nests.places import Place
from nests.solids.solid import offset
from nests.units import Hour, Length

SLACK: Length = 0.01
"""mm for chords and rounding; from memory."""
WIDEST: Length = 200.0
"""mm, wider than any workpiece."""
LEAST_LEDGE: Length = 0.4
"""mm of ledge that still carry well; from memory."""
MOST_LEFT_OUT = 0.5
"""Share of the edge at most that a ledge is left out for want of rests; from memory."""
LEAST_GAP: Length = 0.5
"""mm of a gap in the ledge that are cut however little is to be spared."""
NARROWEST: Length = 0.3
"""mm of ledge drawn however narrow the rest is; from memory."""


def growth(site: Site) -> Length:
    """How far a face that is not drawn against the printer's bias may come out beyond the drawn
    one, mm, outer or in a bore."""
    return allowance(site, 0.0).growth


def inset(site: Site, play: Length, grows: Length | None = None) -> Length:
    """How far a tip must stay inside what it touches, with a play on the ⌀.

    `grows` is how far it may come out beyond what is drawn, mm; if not given, it is drawn against
    the printer's bias and off by what that is not known by.
    """
    known = max(site.card.pin_doubt(0.0), site.card.bore_doubt(0.0)) / 2
    more = known if grows is None else max(grows, 0.0)
    return replace(allowance(site, play), growth=more).sideways + SLACK


def distance_off(site: Site, play: Length, grows: Length | None = None) -> Length:
    """How far a part must stay off what nothing may touch, with a play on the ⌀; `grows` as in
    `inset`."""
    return inset(site, play, grows) + MARGIN


def spared(site: Site) -> tuple[Prism, ...]:
    """What posts and ledge must stay off."""
    return (*keep_clear(site), *dial(site), *dial_feet(site))


def clear_of_dial(site: Site, part: Part, play: Length) -> bool:
    """Whether nothing of a part comes too near to the dial and its hands, with a play on the ⌀:
    what it adds, what is fitted to it, and what moves in it."""
    over = dial(site)
    if not over:
        return True
    spare = replace(allowance(site, play), growth=site.card.outward(site.across))
    adds = part.shape(site).adds
    solids = [each.solid for each in part.fittings(site)] + list(part.sweeps(site))
    solids += [adds] if adds is not None else []
    for each in over:
        own = replace(spare, measuring=each.measuring)
        grown = each.grown(own.play + own.measuring, own.measuring)
        if any(left(grown, solid, own, 2 * MARGIN) < MARGIN for solid in solids):
            return False
    return True


def widest_beside(site: Site, at: Place, top: Length, off: Length) -> Length:
    """⌀ of the widest post up to holder height `top` about a place of the movement that stays
    `off` mm from everything spared; negative where nothing may stand."""
    low = (each for each in spared(site) if each.low < top + off)
    return min((2 * (distance_to(site, at, each.plan) - off) for each in low), default=math.inf)


def rim_beside_dial(site: Site, play: Length) -> Length:
    """mm of the rim that a dial which looks to the bench leaves all round."""
    off = distance_off(site, play, growth(site))
    return min((_from_edge(site, each.plan) for each in dial(site)), default=WIDEST) - off


def covering(site: Site, at: Place, top: Length, off: Length) -> tuple[str, ...]:
    """Names of the keep-clears, and of dial and hands, that lie over a place of the movement,
    between the bench and holder height `top`: no post reaches it while they are there."""
    return tuple(
        each.name
        for each in (*keep_clear(site), *dial(site))
        if each.low < top + off and distance_to(site, at, each.plan) <= 0.0
    )


def distance_to(site: Site, at: Place, plan: CrossSection) -> Length:
    """Distance from a place of the movement to a plan in the holder frame; 0 inside it."""
    here = site.frame.place(at)
    return float(plan_distances(plan, np.array([[here.x, here.y]]))[0])


def ledge_width(site: Site, wanted: Length, play: Length) -> Length:
    """Width of the ledge, at most the wanted one, that stays off what is spared and on rests.

    What lies nearer the edge than `LEAST_LEDGE` allows is left to a gap, see `ledge_gaps`.
    """
    widths = [room for _, room in _rooms(site, play) if room >= LEAST_LEDGE]
    width, rim = min([wanted, *widths]), LowerRim.of(site)
    for _ in range(3):  # how much beside a bare stretch is bare too depends on the width
        zone, _bare = rim.ledge(width + RIM_EDGE)
        if zone is None:
            break
        beyond = rim.face - zone
        level = _from_edge(site, offset(beyond, -FINE, ROUND)) - inset(site, play, growth(site))
        width = min(width, max(level, NARROWEST))
    return round(width, 3)


def ledge_gaps(site: Site, ledge: Length, play: Length) -> tuple[tuple[Hour, ...], Length]:
    """Hours at which a ledge of a width is left out, and how wide the gaps are, mm.

    It spares what lies too near the edge, and as far beside that as no rest reaches the edge. Where
    the rests leave but little of the edge, it is left out there too, for who measured kept off it.
    """
    face, off = rim_plan(site, site.side_down), distance_off(site, play, growth(site))
    inner = offset(face, -ledge - off, ROUND)
    # inside the very edge a rest ends where it ends
    ends = [offset(each, RIM_EDGE, ROUND) for each in LowerRim.of(site).bare.decompose()]
    bare = [each for each in ends if not each.is_empty()]
    gaps = []
    for each, room in _rooms(site, play):
        plan = (each.plan ^ face) - inner
        if room >= LEAST_LEDGE or plan.is_empty():  # a narrow ledge stays off it as it is
            continue
        near = offset(plan, off, ROUND)
        beside = [piece for piece in bare if not (near ^ piece).is_empty()]
        bare = [piece for piece in bare if (near ^ piece).is_empty()]
        whole = _across(site, CrossSection.batch_boolean([plan, *beside], OpType.Add), off)
        gaps.append(whole or _across(site, plan, off))
    more = [_across(site, piece, off) for piece in bare]
    found = [each for each in gaps if each is not None]
    all_of = [*found, *(each for each in more if each is not None)]
    widest = max((width for _, width in all_of), default=0.0)
    if None in more or len(all_of) * widest > MOST_LEFT_OUT * math.pi * site.across:
        all_of = found
    hours = tuple(hour for hour, _ in all_of)
    return hours, round(max((width for _, width in all_of), default=0.0), 3)


def _across(site: Site, plan: CrossSection, off: Length) -> tuple[Hour, Length] | None:
    """The hour of a plan at the edge, and the width of a gap that stays `off` mm from it to either
    side; None where it goes half the way round, or is wider than a gap may be."""
    x0, y0, x1, y1 = plan.bounds()
    angle, points = math.atan2(y0 + y1, x0 + x1), np.vstack(plan.to_polygons())
    if (points @ (math.cos(angle), math.sin(angle))).min() <= 0.0:
        return None
    across = float(np.abs(points @ (-math.sin(angle), math.cos(angle))).max())
    here = site.frame.place(Place(math.cos(angle), math.sin(angle)))
    width = max(LEAST_GAP, 2 * (across + off + SLACK))
    return None if width > WIDEST_GAP else (round(here.hour, 3), width)


def at_the_wall(site: Site, bore: Length, play: Length) -> list[tuple[str, Hour, Length]]:
    """What is to be spared and lies nearer than it may to a bore so far outside the outline, its
    hour, and the width it takes along the wall, mm."""
    off = distance_off(site, play, growth(site))
    wall = CrossSection.square((WIDEST, WIDEST), center=True) - offset(rim_plan(site), bore, ROUND)
    out = []
    for each in spared(site):
        near = offset(each.plan, off, ROUND) ^ wall
        if each.low > site.top or each.high < site.floor or near.is_empty():
            continue
        x0, y0, x1, y1 = near.bounds()
        angle = math.atan2(y0 + y1, x0 + x1)
        across = np.vstack(near.to_polygons()) @ (-math.sin(angle), math.cos(angle))
        out.append((each.name, site.frame.hour(angle), float(np.ptp(across))))
    return out


def _rooms(site: Site, play: Length) -> list[tuple[Prism, Length]]:
    """What reaches down to the ledge, with the width it leaves from the edge."""
    off = distance_off(site, play, growth(site))
    low = [each for each in spared(site) if each.low < site.seat + off]
    return [(each, _from_edge(site, each.plan) - off) for each in low]


def _from_edge(site: Site, plan: CrossSection) -> Length:
    """Least distance of a plan from the edge, inward; 0 where it crosses the edge."""
    if plan.is_empty():
        return WIDEST
    face = rim_plan(site, site.side_down)
    beyond = CrossSection.square((WIDEST, WIDEST), center=True) - face
    return float(plan_distances(beyond, np.vstack(plan.to_polygons())).min())
