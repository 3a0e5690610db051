"""Round: a universal holder by diameter, with or without a sheet.

It centres and carries the rim and supports no jewel: good for cleaning, looking, carrying about
and light work, not for pressing hands. It crosses over between movements of one diameter.
A seat below makes it a ring with two usable faces.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from nests.compose import refuse_wrong_kind
from nests.families._common import (
    CommonWish,
    asked,
    body,
    finished,
    play_of,
    rim_plan,
    ring_seat,
)
from nests.families._room import ledge_width
from nests.finding import refuse
from nests.operation import Operation
from nests.parts.base import Part
from nests.parts.seat_below import SeatBelow
from nests.places import Side
from nests.printer_card import PrinterCard
from nests.recipe import Recipe
from nests.sheet import Sheet
from nests.units import BadInput, Length, mm, said
from nests.zones import Round


@dataclass(frozen=True, kw_only=True)
class Wish(CommonWish):
    """Options of the round family."""

    diameter: Length | None = mm(None, low=5.0, high=70.0, meaning="⌀ of the rim, without a sheet")
    height: Length | None = mm(None, low=0.6, high=25.0, meaning="total height, without a sheet")
    side_up: Literal["dial", "bridge"] | None = said("side that looks up", None)
    steps: tuple[float, ...] = said("⌀ in mm of smaller seats below the first, largest first", ())
    below: Length | None = mm(None, low=5.0, high=70.0, meaning="⌀ of a second seat underneath")


def stand_in(diameter: Length, height: Length) -> Sheet:
    """A sheet for a movement of which only ⌀ and height are known.

    The rim is taken as two fifths of the height, at most 1.5 mm (common practice, no source),
    and room is left on either side for all the rest.
    """
    rim = round(min(1.5, max(0.4, 0.4 * height)), 3)
    rest = round(max(height - rim, 0.0), 3)
    return Sheet(
        name=f"D{diameter:.2f} H{height:.2f}",
        outline=Round(diameter=diameter),
        rim=rim,
        dial_height=rest,
        bridge_height=rest,
        remarks="Made from diameter and height alone; the rim is an assumption.",
    )


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
    base = body(sheet, up, wish, card)
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
        operation=asked(operation, up, "general"),
    )
    site, plan = blank.site(), rim_plan(sheet)
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
    reasons = ("carries the rim only: no jewel is supported, so no hand may be pressed in it.",)
    return finished(blank, plan, parts, reasons, level="floor" if base.floor else "foot")
