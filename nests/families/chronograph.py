"""Chronograph: hand setting with every pusher usable, so that hands can be started and zeroed.

An open slot for a finger or peg, a guided plunger, or an arm of the wall that springs back.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Literal

from nests.families import hand_setting
from nests.operation import Operation
from nests.parts.base import Part
from nests.parts.plunger import Plunger
from nests.parts.pusher_slot import PusherSlot
from nests.parts.spring_lever import SpringLever
from nests.printer_card import PrinterCard
from nests.recipe import Recipe
from nests.sheet import Pusher, Sheet
from nests.units import BadInput, Length, mm, said


@dataclass(frozen=True, kw_only=True)
class Wish(hand_setting.Wish):
    """Options of the chronograph family."""

    wall: Length = mm(10.0, low=4.0, high=40.0, meaning="from the workpiece to the outer face")
    pushed_by: Literal["slot", "plunger", "spring lever"] = said("what works the pushers", "slot")


def _part(pusher: Pusher, kind: str, sheet: Sheet) -> Part:
    if kind == "plunger":
        return Plunger(pusher=pusher.name)
    if kind == "spring lever":
        # the arm grows away from the stem
        stem = sheet.stem.hour if sheet.stem else 3.0
        return SpringLever(pusher=pusher.name, anticlockwise=(pusher.hour - stem) % 12.0 < 6.0)
    return PusherSlot(pusher=pusher.name)


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    if not sheet.pushers:
        raise BadInput(f"the sheet '{sheet.name}' has no pusher; a chronograph holder needs one.")
    common = {each.name: getattr(wish, each.name) for each in fields(hand_setting.Wish)}
    base = hand_setting.recipe(sheet, operation, hand_setting.Wish(**common), card)
    pushers = tuple(_part(each, wish.pushed_by, sheet) for each in sheet.pushers)
    first = next(i for i, part in enumerate(base.parts) if part.tag in ("stem slot", "vent",
                                                                        "finger relief"))
    parts = (*base.parts[:first], *pushers, *base.parts[first:])
    return replace(base, name=f"{sheet.name} chronograph", family="chronograph", parts=parts,
                   reasons=(*base.reasons, f"pushers are worked by {wish.pushed_by}."))
