"""What several families need: options, body, seat, and what closes every recipe."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from nests.families._comfort import ComfortWish
from nests.families._engraved import ENGRAVED, marks
from nests.families._rim import (
    LOW_FLOOR,
    RimPlan,
    finger_reliefs,
    off_gaps,
    stem_slot,
    vents,
    wall_reliefs,
)
from nests.families._room import LEAST_LEDGE, ledge_gaps, ledge_width, rim_beside_dial
from nests.finding import refuse
from nests.given.at_work import fitted
from nests.given.dial import DIAL
from nests.given.operation import Operation, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.holder.recipe import Recipe
from nests.parts.base import Part
from nests.parts.body import Body
from nests.parts.ring_seat import RingSeat
from nests.parts.site import Site
from nests.parts.stem_slot import StemSlot
from nests.places import Side
from nests.units import BadInput, Hour, Length, mm, said

LEAST_RELIEF: Length = 3.0
"""mm of the narrowest finger relief, for the tip of a tool; common practice, no source."""
LEAST_DEPTH: Length = 0.3
"""mm of wall that still centre a rim; from memory."""
UNDER_FACE: Length = 0.06
"""mm by which the wall ends below the upper face of the rim, at the least; from memory."""
HELD: Length = 0.8
"""mm of an upright flank a wall is to hold; from memory."""
INTO_POCKET: Length = 0.5
"""mm a vent begins inside the wall of the pocket, so that it opens into it."""
LEAD_IN: Length = 0.2
"""mm of chamfer that still lead a rim into its bore; from memory."""
NO_MORE: Length = 0.06
"""mm above a lever that print and measuring may take."""


@dataclass(frozen=True, kw_only=True)
class CommonWish(ComfortWish):
    """Options every family has.

    `varies` are those that may be others where they are not given and the usual ones do not do,
    with the values to try, the preferred first.
    """

    varies: ClassVar[Mapping[str, tuple[object, ...]]] = {
        "play": (0.14, 0.08),
        "wall": (10.0, 12.0),
    }

    wall: Length = mm(8.0, low=4.0, high=40.0, meaning="from the workpiece to the outer face")
    floor: Length = mm(2.0, low=1.2, high=20.0, meaning="thickness of the floor")
    play: Length = mm(0.10, low=0.0, high=1.0, meaning="play of the rim in the bore, on the ⌀")
    fit: str = said("ISO 286 classes of bore and rim, such as H7/g6, instead of play", "")
    ledge: Length = mm(0.9, low=0.3, high=6.0, meaning="widest ledge under the rim")
    chord_error: Length = mm(
        0.005, low=0.0005, high=0.1, meaning="how far a chord may leave its arc"
    )


def asked(
    operation: Operation | None, side_up: Side, name: str, presses: tuple[Press, ...] = ()
) -> Operation:
    """The operation a recipe is for: the one given, else a plain one of that name.

    Raises `BadInput` if the one given is done with the other side up.
    """
    if operation is None:
        return Operation(name=name, side_up=side_up, presses=presses, stem=True)
    if operation.side_up is not side_up:
        raise BadInput(
            f"side_up is {side_up.value}, but '{operation.name}' is done with the "
            f"{operation.side_up.value} side up; leave --side-up out or choose another operation."
        )
    return operation


def undialled(sheet: Sheet, given: Operation | None, made: Operation) -> tuple[Sheet, Operation]:
    """The workpiece of an operation that a family made up, and that operation: with the bridge side
    up a dial is off, for its face may not be touched. What was given says itself what is fitted."""
    if given is not None or made.side_up is not Side.BRIDGE or sheet.dial is None:
        return sheet, made
    made = replace(made, absent=(*made.absent, DIAL))
    return fitted(sheet, made), made


def refuse_on_a_dial(site: Site, play: Length) -> None:
    """Raise `Refused` where a dial looks to the bench and leaves no rim to lie on."""
    about = site.sheet.dial
    if about is None or site.side_down is not Side.DIAL:
        return
    width = rim_beside_dial(site, play)
    if width < LEAST_LEDGE:
        raise refuse(
            "support",
            f"the dial of '{site.sheet.name}' is on and looks to the bench; its face may not be "
            f"touched, and it leaves {max(width, 0.0):.2f} mm of the rim to lie on, of which "
            f"{LEAST_LEDGE:g} mm are needed.",
            "take the dial off first, and name 'dial' under 'absent' in the operation",
        )


def seat_depth(sheet: Sheet, side_up: Side) -> Length:
    """How deep the rim may sit: below its upper face, and below a flange that looks up."""
    _, flange = sheet.edge(side_up)
    room = sheet.rim - (flange + 0.15 if flange else 0.0)
    deep = max(1.2, _to_the_flank(sheet, side_up))
    if room < LEAST_DEPTH + UNDER_FACE:
        raise BadInput(
            f"rim on the sheet '{sheet.name}' is {sheet.rim:g} mm, of which {room:.2f} mm "
            f"can be held; at least {LEAST_DEPTH + UNDER_FACE:g} mm is needed."
        )
    if deep > 1.2:
        return round(min(deep, room - UNDER_FACE), 3)
    return round(min(1.2, max(0.75 * room, LEAST_DEPTH)), 3)


def _to_the_flank(sheet: Sheet, side_up: Side) -> Length:
    """How deep a rim must sit for the wall to hold the flank where it is upright; 0 where the sheet
    does not say where that is."""
    flank = sheet.flank
    if flank is None:
        return 0.0
    begins = flank.from_depth if side_up is Side.BRIDGE else sheet.rim - flank.to_depth
    return begins + HELD + 2 * LEAD_IN


def body_for(
    sheet: Sheet,
    side_up: Side,
    wish: CommonWish,
    card: PrinterCard,
    *,
    post: Length = 0.0,
    wall: Length | None = None,
) -> Body:
    """Body whose floor lies so deep that vents fit, and posts of height `post` under the seat; the
    seat lies on a whole layer, so that its ledge comes out where it is drawn."""
    down = sheet.height(side_up.other)
    under, floor = max(0.8, LOW_FLOOR - down, post), wish.floor_for(wish.floor, card)
    layers = math.ceil((floor + under + down) / card.layer - 1e-6)
    return Body(
        wall=wall or wish.wall,
        floor=floor,
        under=round(layers * card.layer - floor - down, 6),
        depth=seat_depth(sheet, side_up),
    )


def play_of(site: Site, wish: CommonWish) -> Length:
    """The play on the ⌀ a ring seat aims at."""
    return RingSeat(play=wish.play, fit=wish.fit).aim(site)


def _over_levers(site: Site) -> Length:
    """The lead-in that leaves the bore as high as the highest lever of a pusher, so that the wall
    opposite meets the rim at the height of the push; as good as none is needed above the wall."""
    levers = [site.lever(each) for each in site.sheet.pushers]
    above = site.top - max(levers, default=-math.inf) - NO_MORE
    return max(above, LEAD_IN) if above > 0.0 else math.inf


def ring_seat(
    site: Site, wish: CommonWish, *, drop: Length = 0.0, steps: tuple[float, ...] = ()
) -> RingSeat:
    """Ring seat whose lead-in leaves at least half of the depth to centre the rim, and whose ledge
    stays on what may be touched."""
    play = play_of(site, wish)
    refuse_on_a_dial(site, play)
    depth = seat_depth(site.sheet, site.side_up)
    square = not isinstance(site.sheet.outline, Round)  # the ends of a shaped movement lie square
    ledge = ledge_width(site, wish.ledge, play)
    gaps, gap_width = ledge_gaps(site, ledge, play)
    # the groove must leave a wall of the ledge and be wide enough to print, or there is none
    groove = min(RingSeat.corner_relief, ledge + play / 2 - site.card.smallest_wall - 0.02)
    pairs = list(zip(gaps, [gap_width] * len(gaps), strict=True))
    across = max(1.0, site.card.smallest_gap)
    usual = (0.0, 3.0) if square else (1.5, *(q / 4 for q in range(24)))
    wide = ledge + play / 2
    drains = [
        q for q in usual
        if all(off_gaps(site, (q + turn) % 12.0, across, pairs, wide) for turn in (0.0, 6.0))
    ]  # fmt: skip
    seat = RingSeat(
        drain_hour=drains[0] if drains else usual[0],
        play=wish.play,
        fit=wish.fit,
        ledge=ledge,
        drop=drop,
        steps=steps,
        lead_in=round(min(0.5, depth / 2, _over_levers(site)), 3),
        corner_relief=round(groove, 3) if groove >= site.card.smallest_gap else 0.0,
    )
    return replace(seat, gaps=gaps, gap_width=gap_width) if gaps else seat


def _reliefs_and_marks(blank: Recipe, plan: RimPlan, relief: Length) -> list[Part]:
    """Finger reliefs as wide as the marks leave them, and what is engraved."""
    site, sheet, above = blank.site(), blank.workpiece, min(0.3, blank.body.depth / 3)
    lacking: BadInput | None = None
    for share in (1.0, 0.75, 0.55):
        attempt = plan.on(plan.radius)
        out = finger_reliefs(attempt, site, max(relief * share, LEAST_RELIEF), above)
        try:
            kind = ENGRAVED[blank.kind]
            does = blank.operation
            return [*out, *marks(attempt, site, kind, sheet, blank.side_up, does)]
        except BadInput as none:
            lacking = lacking or none
    assert lacking is not None
    raise lacking


def finished(
    blank: Recipe,
    plan: RimPlan,
    parts: Sequence[Part],
    reasons: Sequence[str],
    *,
    avoid: Sequence[tuple[Hour, Length]] = (),
    level: Literal["floor", "foot"] = "floor",
    inward: Length | None = None,
    ledge: Length | None = None,
    stem: StemSlot | None = None,
    relief: Length = 9.0,
) -> Recipe:
    """A recipe with its parts and what closes every one: stem slot, finger reliefs, vents, marks.

    `relief` is the width of a finger relief, `inward` how far inside the edge a vent begins, if not
    where the pocket does; the rest is as in `stem_slot` and `vents`.
    """
    site, sheet = blank.site(), blank.workpiece
    slot = stem or StemSlot()
    # what lies above the wall needs no way through it
    above = sheet.stem is not None and not slot.pushers and slot.deepest(site) >= site.top
    ways = [] if above else stem_slot(plan, sheet, slot)
    out = [*parts, *wall_reliefs(site, parts, plan), *ways]
    closing = _reliefs_and_marks(blank, plan, relief)
    pockets = [each for part in parts if (each := part.opens(site)) is not None]
    begins = max(pockets, default=2.0) + INTO_POCKET if inward is None else inward
    if pockets:
        out = [each.into(site, max(pockets)) for each in out]
    out += vents(site, avoid, standing=parts, level=level, inward=begins, ledge=ledge)
    out += closing
    return replace(blank, parts=tuple(out), reasons=tuple(reasons))
