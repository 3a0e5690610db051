"""Round: a universal holder by diameter, with or without a sheet.

It centres and carries the rim and supports no jewel: good for cleaning, looking, carrying about
and light work, not for pressing hands. It crosses over between movements of one diameter.
A seat below makes it a ring with two usable faces.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from nests.families import Offer
from nests.families._common import (
    CommonWish,
    asked,
    body_for,
    finished,
    play_of,
    ring_seat,
    undialled,
)
from nests.families._offered import is_low, is_round, lies_open
from nests.families._rim import free_rim
from nests.families._room import ledge_width
from nests.finding import refuse
from nests.given.at_work import pressed
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.stand_in import WithPushers
from nests.given.stand_in import stand_in as stand_in
from nests.given.zones import Round
from nests.holder.compose import refuse_wrong_kind
from nests.holder.recipe import Recipe
from nests.parts.base import Part
from nests.parts.pusher_slot import PusherSlot
from nests.parts.seat_below import SeatBelow
from nests.places import Side
from nests.units import BadInput, Length, mm, said


@dataclass(frozen=True, kw_only=True)
class Wish(WithPushers, CommonWish):
    """Options of the round family."""

    side_up: Literal["dial", "bridge"] | None = said("side that looks up", None)
    steps: tuple[float, ...] = said("⌀ in mm of smaller seats below the first, largest first", ())
    below: Length | None = mm(None, low=5.0, high=70.0, meaning="⌀ of a second seat underneath")


def offers(work: Sheet, operation: Operation) -> tuple[Offer, ...]:
    """Round movements on which nothing is pressed; a low one is carried on posts first."""
    if not lies_open(work, operation) or not is_round(work) or pressed(work, operation):
        return ()
    return (Offer(1 if is_low(work) else 0),)


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    refuse_wrong_kind("movement holder", sheet)
    if not isinstance(sheet.outline, Round):
        raise refuse(
            "kind",
            f"'{sheet.name}' is not round; a ring seat would touch it at its corners only.",
            "use the family 'shaped'",
        )
    up = Side(wish.side_up) if wish.side_up else operation.side_up if operation else Side.DIAL
    sheet, work = undialled(sheet, operation, asked(operation, up, "general"))
    assert isinstance(sheet.outline, Round)  # the same as before
    base = body_for(sheet, up, wish, card)
    if wish.below is not None:
        web = max(0.0, (wish.below - sheet.outline.diameter) / 2) + 4.2
        base = replace(
            base,
            floor=0.0,
            under=max(base.under, web - sheet.height(up.other)),
            wall=max(base.wall, (wish.below - sheet.outline.diameter) / 2 + 4.0),
        )
    if wish.steps:
        base = replace(base, under=round(base.under + len(wish.steps) * 1.0, 3))
    name = f"{sheet.name} round {up.value} up"
    blank = Recipe(
        name=name,
        family="round",
        workpiece=sheet,
        printer=card,
        body=base,
        chord_error=wish.chord_error,
        operation=work,
    )
    site, plan = blank.site(), free_rim(sheet, wish.marked)
    seat = ring_seat(site, wish, steps=wish.steps)
    # a level underside a little shorter than the card allows, so that chords do not exceed it
    short = max(0.2, round(min(0.5, 0.9 * card.longest_underside), 3))
    if wish.below is not None:  # the opening must stay inside the ledge of the seat below
        reach = round((sheet.outline.diameter - wish.below) / 2 + short, 3)
        if reach > seat.ledge:
            level = ledge_width(site, reach, play_of(site, wish))
            if level < reach:
                raise BadInput(
                    f"below is {wish.below:g} mm; the ledge above it would be {reach:.2f} mm wide, "
                    f"and '{sheet.name}' may be touched {level:.2f} mm inward of its edge."
                )
            seat = replace(seat, ledge=reach)
    parts: list[Part] = [seat]
    if wish.below is not None:
        parts.append(SeatBelow(diameter=wish.below, ledge=short))
    reasons = ["carries the rim only: no jewel is supported, so no hand may be pressed in it."]
    for each in sheet.pushers if wish.pusher else ():
        slot = PusherSlot(pusher=each.name)
        plan.take(each.hour, slot.width + 1.5)
        parts.append(slot)
        reasons.append(f"a slot leads to the pusher {each.name}, as it was asked for.")
    return finished(blank, plan, parts, reasons, level="floor" if base.floor else "foot")
