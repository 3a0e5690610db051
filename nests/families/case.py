"""Case: holds a closed or open case at its flank. It never carries a movement.

The ledge carries the rim face, the wall holds the flank; the sheet may say where that is upright,
and the wall is made so high. Lugs hang free, however far their tips droop: the holder stands higher
for them, and for a crown that comes lower than the back. The room for the crown begins at the flank
with its whole diameter, so that it can be pushed home; buttons have their way, too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from manifold3d import CrossSection

from nests.families import Offer
from nests.families._common import CommonWish, asked, body_for, finished, play_of, ring_seat
from nests.families._rim import RimPlan, free_rim, narrowest, off_gaps
from nests.families._room import distance_off, growth
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Lug, Pusher, Sheet, Stem
from nests.holder.compose import refuse_wrong_kind
from nests.holder.recipe import Recipe
from nests.holder.workpiece import uncertainty
from nests.parts.base import Part
from nests.parts.body import Body
from nests.parts.pusher_slot import PusherSlot
from nests.parts.relief import Relief
from nests.parts.ring_seat import RingSeat
from nests.parts.site import Site
from nests.parts.stem_slot import StemSlot
from nests.parts.window import Window
from nests.places import Points, Side
from nests.units import Hour, Length, mm, said

LEAST_ROOM: Length = 0.3
"""mm round a lug, crown or button, though less were enough; from memory."""
USUAL_DROOP: Length = 2.5
"""mm that are left under a lug whose droop nobody measured; from memory."""
BODIES: tuple[tuple[Literal["circle", "outline"], Length], ...] = (
    ("circle", 4.0),
    ("circle", 1.5),
    ("outline", 4.0),
    ("outline", 1.5),
)
"""What the body follows, and mm of wall left beyond the lugs: the preferred first, the next where
the build plate is too small."""
FINGERS: Length = 8.0
"""mm for two finger tips at a crown, where there is room for them; from memory."""
BUTTON: Length = 5.0
"""mm ⌀ of the widest usual button, where the sheet does not give it; from memory."""
AT_CORNERS: Length = 5.5
"""mm of wall that are left at the corners of an outline, and letters with it; from memory."""
FLOOR_LEFT: Length = 6.0
"""mm of floor left inside the edge round a window; from memory."""
WIDEST: Length = 15.0
"""mm of the widest way for a crown."""
STEP: Length = 0.5
"""mm between two places at which what lies beside a crown is looked for."""
INTO: Length = 0.1
"""mm by which one way opens into another; from memory."""
BETWEEN: Length = 1.0
"""mm of wall that are left between two ways through it; from memory."""


@dataclass(frozen=True, kw_only=True)
class Wish(CommonWish):
    """Options of the case family."""

    side_up: Literal["dial", "bridge"] | None = said(
        "side that looks up: dial for the crystal", None
    )
    play: Length = mm(0.20, low=0.0, high=1.0, meaning="play of the case in the bore, on the ⌀")
    ledge: Length = mm(1.5, low=0.3, high=6.0, meaning="width of the ledge under the flank")


def offers(work: Sheet, operation: Operation) -> tuple[Offer, ...]:
    """Every case."""
    return (Offer(0),) if work.kind == "case" else ()


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    up = Side(wish.side_up) if wish.side_up else operation.side_up if operation else Side.BRIDGE
    blank = Recipe(
        name=f"{sheet.name} case holder {up.value} up",
        kind="case holder",
        family="case",
        workpiece=sheet,
        printer=card,
        chord_error=wish.chord_error,
        operation=asked(operation, up, "casing"),
    )
    refuse_wrong_kind(blank.kind, sheet)
    room = _rooms(blank.site(), wish)
    blank = replace(blank, body=_body(blank, wish, room))
    site, plan = blank.site(), free_rim(sheet, wish.marked)
    seat = ring_seat(site, wish)
    parts: list[Part] = []
    avoid: list[tuple[Hour, Length]] = []
    for number, lug in enumerate(sheet.lugs, 1):
        low = site.lug_ends(lug)[0] - room - _below(lug)
        # where it ends above the ledge, so low a piece of wall holds nothing
        below = _below(lug) + max(0.0, low - (site.seat - room))
        relief = Relief(of=f"lug {number}", clearance=room, below=round(below, 6))
        if low < site.top:
            parts.append(relief.into(site, seat.opens(site)))
            avoid.append(_on_the_rim(site, lug, room, plan))
            plan.take(*avoid[-1])
    for pusher in sheet.pushers:
        slot = _button_slot(site, pusher, room)
        if site.lever(pusher) - slot.below < site.top:
            parts.append(slot)
            avoid.append((pusher.hour, slot.width + 1.5))
            plan.take(*avoid[-1])
    stem = None
    if sheet.stem is not None:
        stem = StemSlot(crown=_for_fingers(site, sheet.stem, room, parts), crown_room=room)
        avoid.append((sheet.stem.hour, stem.wide(sheet.stem) + 1.0))
    gaps = [gap for each in parts for gap in each.leaves_out(site)]
    parts.insert(0, _drained(site, seat, gaps))
    reasons = ["for a case only: nothing in it supports a movement."]
    if sheet.lugs:
        reasons.append("the lugs hang free: ledge and wall alone hold the case.")
    window = _window(site, card)
    if window is not None:
        parts.append(window)
        reasons.append("open below, so that less is peeled off the film at once.")
    return finished(blank, plan, parts, reasons, stem=stem, avoid=avoid)


def _window(site: Site, card: PrinterCard) -> Window | None:
    """An opening in the floor, where the whole floor is more than the film lets go of at once."""
    whole = CrossSection([site.body.plan(site)]).area()
    across = 2 * (narrowest(site.sheet) - FLOOR_LEFT)
    if whole <= card.largest_peel or across < 10.0:
        return None
    return Window(diameter=round(min(across, 60.0), 1))


def _drained(site: Site, seat: RingSeat, ways: list[tuple[Hour, Length]]) -> RingSeat:
    """The seat with the drains of its groove off every way through it, or wholly in one."""
    across, deep = max(1.0, site.card.smallest_gap), seat.ledge + seat.aim(site) / 2
    gaps = [*ways, *((hour, seat.gap_width) for hour in seat.gaps)]
    if site.sheet.stem is not None:
        gaps.append((site.sheet.stem.hour, FINGERS + across))
    for q in (seat.drain_hour, *(each / 4 for each in range(24))):
        if all(off_gaps(site, (q + turn) % 12.0, across, gaps, deep) for turn in (0.0, 6.0)):
            return replace(seat, drain_hour=q)
    return seat


def _rooms(site: Site, wish: Wish) -> Length:
    """Room round lugs, crown and buttons: all that may be lost, measured as ill as the worst."""
    pointers = ("/lugs", "/stem", "/pushers")
    ill = max(0.0, uncertainty(site.sheet, *pointers) - site.sheet.uncertainty)
    off = distance_off(site, play_of(site, wish), growth(site))
    return round(max(LEAST_ROOM, off + ill + 0.02), 3)


def _below(lug: Lug) -> Length:
    return USUAL_DROOP if lug.droop is None else 0.0


def _body(blank: Recipe, wish: Wish, room: Length) -> Body:
    """A body so high that lugs and crown hang free over its floor, and with a wall beyond the lugs,
    as thick as the build plate leaves it."""
    site, sheet, up = blank.site(), blank.workpiece, blank.side_up
    lows = [site.lug_ends(lug)[0] - room - _below(lug) for lug in sheet.lugs]
    if sheet.stem is not None:
        lows.append(StemSlot(crown_room=room).deepest(site))
    lows += [site.lever(each) - _button_slot(site, each, room).below for each in sheet.pushers]
    hangs = site.seat - min(lows, default=site.seat) - sheet.height(up.other)
    tips = [np.vstack(site.lug_plan(lug).to_polygons()) for lug in sheet.lugs]
    outline = site.edge().bore(0.0)
    made = body_for(sheet, up, wish, blank.printer, post=max(hangs, 0.0))
    for follow, beyond in BODIES:
        wall = wish.wall
        if follow == "circle":
            widest = float(np.hypot(*outline.T).max())
            reach = max([float(np.hypot(*each.T).max()) for each in tips], default=0.0) - widest
            # what corners stand out farther is wall enough beside the flanks
            wall = max(min(wall, AT_CORNERS), wall - (widest - narrowest(sheet)))
        else:
            reach = max((_stands_out(outline, each) for each in tips), default=0.0)
        wall = round(max(wall, reach + room + beyond) if tips else wall, 2)
        made = replace(made, wall=wall, follow=follow)
        if _fits_the_plate(replace(blank, body=made)):
            break
    return made


def _stands_out(outline: Points, points: Points) -> Length:
    """How far points stand out beyond an outline, each in its own direction from the axis."""
    away = np.hypot(*points.T)
    return float((away - (points @ outline.T / away[:, None]).max(axis=1)).max())


def _fits_the_plate(recipe: Recipe) -> bool:
    across = np.ptp(recipe.body.plan(recipe.site()), axis=0)
    card = recipe.printer
    plate = sorted((card.build_x, card.build_y))
    return bool(np.all(np.sort(across) <= plate))


def _on_the_rim(site: Site, lug: Lug, room: Length, plan: RimPlan) -> tuple[Hour, Length]:
    """The hour of the room for a lug, and how wide it is on the rim as the plan counts."""
    inside = CrossSection([site.edge().bore(0.0)])
    points = np.vstack(site.lug_beyond(lug, inside, room).to_polygons())
    middle = site.frame.angle(lug.hour)
    turns = [math.remainder(math.atan2(y, x) - middle, math.tau) for x, y in points]
    half, mean = (max(turns) - min(turns)) / 2, (max(turns) + min(turns)) / 2
    width = 2 * plan.radius * math.sin(min(half, math.pi / 2)) + 1.0
    return round(site.frame.hour(middle + mean) % 12.0, 3), width


def _button_slot(site: Site, pusher: Pusher, room: Length) -> PusherSlot:
    """The way to a button: its whole ⌀, or that of a wide one where it is not known."""
    across = (BUTTON if pusher.button is None else pusher.button.diameter) + 2 * room
    width = max(across, PusherSlot.width)
    return PusherSlot(
        pusher=pusher.name, width=round(width, 3), below=round(min(max(across / 2, 0.8), 5.0), 3)
    )


def _for_fingers(site: Site, stem: Stem, room: Length, beside: list[Part]) -> Length:
    """Width of the crown's way: for two finger tips, or what lugs and buttons beside it leave."""
    least = stem.diameter + 2 * StemSlot.room
    if stem.crown is not None:
        least = max(least, stem.crown.diameter + 2 * room)
    near = np.sort([each for part in beside for each in _beside(site, stem.hour, part)])
    half = min(FINGERS / 2, float(near.min(initial=math.inf)) - BETWEEN)
    if half >= least / 2:
        return round(2 * half, 3)
    half = least / 2
    for each in near:  # what would leave a blade between is opened into
        if each - BETWEEN < half < each + INTO:
            half = float(each) + INTO
    return round(min(2 * half, WIDEST), 3)


def _beside(site: Site, hour: Hour, part: Part) -> Iterator[Length]:
    """How far beside a line outward from the axis at an hour the room that a part cuts begins, at
    places along that line through the wall."""
    cuts = part.shape(site).cuts
    assert cuts is not None
    turned = cuts.project().rotate(-math.degrees(site.frame.angle(hour)))
    for along in np.arange(site.radius(hour) - FINGERS / 2, site.outer(hour), STEP):
        bar = CrossSection.square((STEP, 4 * WIDEST)).translate((along, -2 * WIDEST))
        for piece in (turned ^ bar).decompose():
            if not piece.is_empty():
                low, high = piece.bounds()[1], piece.bounds()[3]
                yield 0.0 if low <= 0.0 <= high else min(abs(low), abs(high))
