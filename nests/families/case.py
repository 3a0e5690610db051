"""Case: holds a closed or open case at its flanks. It never carries a movement."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from nests.families import Offer
from nests.families._common import CommonWish, asked, body_for, finished, ring_seat
from nests.families._rim import free_rim
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import refuse_wrong_kind
from nests.holder.recipe import Recipe
from nests.parts.base import Part
from nests.parts.relief import Relief
from nests.parts.stem_slot import StemSlot
from nests.places import Side
from nests.units import Length, mm, said


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
    reach = max((lug.reach for lug in sheet.lugs), default=0.0)
    blank = replace(
        blank, body=body_for(sheet, up, wish, card, wall=max(wish.wall, round(reach + 4.0, 2)))
    )
    site, plan = blank.site(), free_rim(sheet, wish.marked)
    parts: list[Part] = [ring_seat(site, wish)]
    for number, lug in enumerate(sheet.lugs, 1):
        parts.append(Relief(of=f"lug {number}"))
        plan.take(lug.hour, lug.width + 1.5)
    reasons = ("for a case only: nothing in it supports a movement.",)
    return finished(blank, plan, parts, reasons, stem=StemSlot(crown=8.0))
