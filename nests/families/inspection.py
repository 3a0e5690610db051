"""Inspection: held by clips over the rim, a window below, and safe to turn over.

Clips may touch rests only, so the sheet must have a rest at the rim on the side that looks up.
A clip is hooked over as far as the workpiece can shift and a little more, and the floor lies so
deep that its finger is long enough to bend that far again and again; a heavy workpiece gets stouter
fingers. On a rim that is not round they stand square to the edge, where that is straight enough.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from nests.families import Offer
from nests.families._common import CommonWish, asked, body_for, play_of, ring_seat, undialled
from nests.families._engraved import marks
from nests.families._holding import (
    clips_for,
    deep_enough,
    largest_share,
    spread,
    stout_enough,
    tab_for,
)
from nests.families._offered import is_round
from nests.families._rim import RimPlan, free_rim, narrowest, stem_slot, vents, wall_reliefs
from nests.finding import Refused, refuse
from nests.given.at_work import fitted
from nests.given.dial import DIAL
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.holder.compose import refuse_wrong_kind
from nests.holder.recipe import Recipe
from nests.parts.answers import Finger
from nests.parts.base import Part
from nests.parts.clip import Clip
from nests.parts.ring_seat import RingSeat
from nests.parts.site import Site
from nests.parts.swing_tab import SwingTab
from nests.parts.window import Window
from nests.places import Side
from nests.units import GRAVITY, Hour, Length, dial_hour, quantity, said


@dataclass(frozen=True, kw_only=True)
class Wish(CommonWish):
    """Options of the inspection family."""

    varies: ClassVar[Mapping[str, tuple[object, ...]]] = {
        "holds": (4,),
        "hold": ("swing tab",),
        "play": (0.14, 0.08),
        "wall": (10.0, 12.0),
    }
    side_up: Literal["dial", "bridge"] | None = said("side that looks up", None)
    hold: Literal["clip", "swing tab"] = said("what holds the rim", "clip")
    holds: int = quantity("", 3, 2, 6, "how many of them")
    window: float = quantity("", 0.6, 0.1, 0.85, "⌀ of the window as a share of the workpiece's ⌀")


def offers(work: Sheet, operation: Operation) -> tuple[Offer, ...]:
    """Movements that are turned over; a swing tab lies over a round rim only."""
    if work.kind != "movement" or not operation.turned_over:
        return ()
    tab = (Offer(1, {"hold": "swing tab"}),) if is_round(work) else ()
    return (Offer(0, {"hold": "clip"}), *tab)


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    refuse_wrong_kind("movement holder", sheet)
    if wish.hold == "swing tab" and not isinstance(sheet.outline, Round):
        raise refuse(
            "kind",
            f"'{sheet.name}' is not round; a swing tab lies over a round rim.",
            "hold it with clips",
        )
    up = Side(wish.side_up) if wish.side_up else operation.side_up if operation else Side.BRIDGE
    holds_it = asked(operation, up, "looking")
    sheet, holds_it = undialled(sheet, operation, holds_it)
    if operation is None and up is Side.DIAL and sheet.dial is not None:
        try:
            return _of(sheet, replace(holds_it, turned_over=True), wish, card)
        except Refused:  # the dial hides the rim: what is held over it is a movement without
            off = replace(holds_it, turned_over=True, absent=(DIAL,))
            made = _of(fitted(sheet, off), off, wish, card)
            why = "the dial hides the rim, so it is for a movement whose dial is off."
            return replace(made, reasons=(*made.reasons, why))
    return _of(sheet, holds_it if operation else replace(holds_it, turned_over=True), wish, card)


def _of(sheet: Sheet, operation: Operation, wish: Wish, card: PrinterCard) -> Recipe:
    """The recipe for an operation. Raises `Refused` where nothing can be held."""
    up = operation.side_up
    blank = Recipe(
        name=f"{sheet.name} inspection {up.value} up",
        family="inspection",
        workpiece=sheet,
        operation=operation,
        printer=card,
        body=body_for(sheet, up, wish, card),
        chord_error=wish.chord_error,
    )
    ground, play = blank.site(), play_of(blank.site(), wish)
    if wish.hold == "swing tab":
        return _held(blank, wish, tab_for(ground))
    refused: Refused | None = None
    for clip in clips_for(ground, play):
        try:
            return _held(blank, wish, clip)
        except Refused as error:
            refused = refused or error
    assert refused is not None
    raise refused


def _held(blank: Recipe, wish: Wish, hold: Clip | SwingTab) -> Recipe:
    """The recipe with what holds the rim, wherever there is room. Raises `Refused`."""
    sheet, up = blank.workpiece, blank.side_up
    ground, play, plain = blank.site(), play_of(blank.site(), wish), blank.body
    made = hold.holding(ground).made
    if isinstance(made, Finger):
        blank = replace(blank, body=deep_enough(plain, ground, made, play))
    rim = _round_the_rim(blank.site(), hold, wish)
    seat = rim.seat
    share = largest_share(blank.site(), rim.holds, seat)
    if isinstance(made, Finger):
        load = share * blank.operation.shock * GRAVITY * (sheet.mass or 0.0)
        deep, thickness = stout_enough(plain, ground, made, play, load)
        blank = replace(blank, body=deep)
        if thickness > hold.thickness:
            rim = _round_the_rim(blank.site(), replace(hold, thickness=thickness), wish)
    site = blank.site()
    parts: list[Part] = [
        replace(seat, drain_hour=_drain(sheet, [each.at for each in rim.holds])),
        _window(site, wish),
        *rim.slots,
        *rim.holds,
        *(rim.vents or vents(site, rim.taken, standing=[seat])),
        *marks(rim.plan, site, "movement", sheet, up, blank.operation),
    ]
    return replace(
        blank,
        parts=tuple(parts),
        reasons=(
            f"held at {', '.join(f'{dial_hour(each.at)} h' for each in rim.holds)} on rests.",
        ),
    )


@dataclass(frozen=True)
class _Rim:
    """The seat, what stands round the rim, what of the wall that takes, and the vents if they came
    first."""

    seat: RingSeat
    holds: list[Clip | SwingTab]
    taken: list[tuple[Hour, Length]]
    slots: list[Part]
    vents: list[Part]
    plan: RimPlan


def _round_the_rim(site: Site, hold: Clip | SwingTab, wish: Wish) -> _Rim:
    """Find room for as many as are wished. Raises `Refused` where there is none for two."""
    sheet, plan, seat = site.sheet, free_rim(site.sheet, wish.marked), ring_seat(site, wish)
    slots = [*wall_reliefs(site, [seat], plan), *stem_slot(plan, sheet)]
    # the ways out of a seat that is not round must leave it square, so they come first
    ways = [] if isinstance(sheet.outline, Round) else vents(site, standing=[seat])
    found = spread(site, hold, wish.holds, play_of(site, wish), plan, [*slots, *ways])
    if len(found) < 2:
        about = sheet.dial if site.side_up is Side.DIAL else None
        if about is not None:
            raise refuse(
                "hold",
                f"'{sheet.name}' has {len(found)} places on its dial side where the dial, which is "
                "on, leaves a rest at the rim's edge free; two at least must be held to turn it "
                "over.",
                "take the dial off, and name 'dial' under 'absent' in the operation, or turn it "
                "over with the bridge side up",
            )
        raise refuse(
            "hold",
            f"'{sheet.name}' has {len(found)} places on its {site.side_up.value} side where a "
            "rest reaches the rim's edge; two at least must be held to turn it over.",
            "measure rests at the rim on that side",
        )
    holds, rooms = [each for each, _ in found], [room for _, room in found]
    return _Rim(seat, holds, rooms, slots, ways, plan)


def _window(site: Site, wish: Wish) -> Window:
    across = 2 * narrowest(site.sheet)
    ridge = site.floor - site.card.smallest_wall - 0.05
    return Window(
        diameter=round(min(wish.window * across, across - 2 * wish.ledge - 2.0), 2),
        vent=6.0,
        groove=min(2.0, 2 * ridge / site.rise),
    )


def _drain(sheet: Sheet, hours: list[Hour]) -> Hour:
    """The hour of one of the seat's two drains, six hours apart, as far from what holds the rim as
    can be; where the rim is not round, across its flanks or its ends."""
    quarters = [q / 4 for q in range(24)] if isinstance(sheet.outline, Round) else [0.0, 3.0]
    return max(quarters, key=lambda q: min(min((q - h) % 6, (h - q) % 6) for h in hours))
