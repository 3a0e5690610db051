"""Chronograph: hand setting with every pusher usable, so that hands can be started and zeroed.

An open slot for a finger or peg, a guided plunger, or an arm of the wall that springs back.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from nests.compose import refuse_wrong_kind
from nests.families import hand_setting
from nests.families._common import narrowest, play_of
from nests.families.hand_setting import Reach, write
from nests.operation import Operation
from nests.parts.base import Site
from nests.parts.body import Body
from nests.parts.plunger import Plunger
from nests.parts.pusher_slot import PusherSlot
from nests.parts.spring_lever import SpringLever
from nests.places import Side
from nests.printer_card import PrinterCard
from nests.recipe import Recipe
from nests.sheet import Pusher, Sheet
from nests.units import BadInput, Length, mm, said
from nests.workpiece import allowance

EXTRA: Length = 0.01
"""mm more than what may be lost between part and lever."""


@dataclass(frozen=True, kw_only=True)
class Wish(hand_setting.Wish):
    """Options of the chronograph family."""

    wall: Length = mm(10.0, low=4.0, high=40.0, meaning="from the workpiece to the outer face")
    pushed_by: Literal["slot", "plunger", "spring lever"] = said("what works the pushers", "slot")


def _spare(sheet: Sheet, wish: Wish, card: PrinterCard) -> Length:
    """How far a lever may lie off its place, in mm."""
    site = Site(sheet, Side.DIAL, card, wish.chord_error, Body())
    return round(allowance(site, play_of(site, wish)).sideways + EXTRA, 3)


def _past(pusher: Pusher, least: Length, usual: Length) -> Length:
    """How far beyond its working travel a lever is driven: surely past it, and not to its stop."""
    if pusher.stop is None:
        return max(least, usual)
    return round(max(0.0, min(max(least, usual), (pusher.stop - pusher.travel) / 2)), 3)


def _reach(pusher: Pusher, kind: str, sheet: Sheet, wall: Length, spare: Length) -> Reach:
    gap = max(spare, Plunger.rest_gap)
    if kind == "plunger":
        plunger = Plunger(pusher=pusher.name, rest_gap=gap, past=_past(pusher, spare, Plunger.past))
        return Reach(plunger, pusher.hour, plunger.button + 1.0)
    if kind == "spring lever":
        # the arm grows away from the stem
        stem = sheet.stem.hour if sheet.stem else 3.0
        anticlockwise = (pusher.hour - stem) % 12.0 > 6.0
        lever = SpringLever(
            pusher=pusher.name,
            anticlockwise=anticlockwise,
            rest_gap=gap,
            past=_past(pusher, spare, SpringLever.past),
        )
        outer = narrowest(sheet) + wall
        half = math.degrees(lever.length / 2 / outer) / 30.0
        middle = (pusher.hour - half if anticlockwise else pusher.hour + half) % 12.0
        # as wide on the rim as the arm is long on the outer face
        return Reach(lever, middle, (lever.length + 5.0) * narrowest(sheet) / outer + 2.0, True)
    slot = PusherSlot(pusher=pusher.name)
    return Reach(slot, pusher.hour, slot.width + 1.5)


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    refuse_wrong_kind("movement holder", sheet)
    if not sheet.pushers:
        raise BadInput(f"the sheet '{sheet.name}' has no pusher; a chronograph holder needs one.")
    spare = _spare(sheet, wish, card)
    reaches = [_reach(each, wish.pushed_by, sheet, wish.wall, spare) for each in sheet.pushers]
    base = write(sheet, operation, wish, card, reaches)
    done = base.operation if operation else replace(base.operation, pushers=True)
    return replace(
        base,
        operation=done,
        name=f"{sheet.name} chronograph",
        family="chronograph",
        reasons=(*base.reasons, f"pushers are worked by {wish.pushed_by}."),
    )
