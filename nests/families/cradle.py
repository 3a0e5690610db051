"""Cradle: a pocket for a sub-assembly, either side up, standing on its rests.

Automatic works, a tourbillon carriage or an escapement lie in it while they are worked on or
wait. The sheet of the sub-assembly stands on the movement's sheet, or alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from nests.families._common import (
    CommonWish,
    asked,
    body,
    finger_reliefs,
    marks,
    rim_plan,
    stem_slot,
    vents,
)
from nests.families._room import inset
from nests.finding import refuse
from nests.operation import Operation
from nests.parts.base import Part
from nests.parts.cradle import Cradle
from nests.places import Place, Side
from nests.printer_card import PrinterCard
from nests.recipe import Recipe
from nests.sheet import Sheet
from nests.units import Length, mm, said


@dataclass(frozen=True, kw_only=True)
class Wish(CommonWish):
    """Options of the cradle family."""

    sub_assembly: str = said("name of the sub-assembly on the sheet; none if the sheet is one", "")
    side_up: Literal["dial", "bridge"] | None = said("side that looks up", None)
    clearance: Length = mm(0.15, low=0.02, high=2.0, meaning="between edge and pocket, all round")


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    work = sheet.sub_assembly(wish.sub_assembly) if wish.sub_assembly else sheet
    if work.kind == "movement" and work.sub_assemblies and not wish.sub_assembly:
        names = ", ".join(each.name for each in work.sub_assemblies)
        raise refuse(
            "kind",
            f"'{work.name}' is a movement; a cradle carries one of its sub-assemblies: {names}.",
            "give --sub-assembly",
        )
    up = Side(wish.side_up) if wish.side_up else operation.side_up if operation else Side.DIAL
    base = body(work, up, wish)
    blank = Recipe(
        name=f"{work.name} cradle {up.value} up",
        kind="sub-assembly cradle",
        family="cradle",
        workpiece=work,
        printer=card,
        body=base,
        operation=asked(operation, up, "carried"),
        chord_error=wish.chord_error,
    )
    site, plan = blank.site(), rim_plan(work)
    cradle = Cradle(
        clearance=wish.clearance,
        # pads are not drawn for the printer's bias
        inset=round(max(0.0, inset(site, 2 * wish.clearance) + card.outside_bias / 2), 3),
        lead_in=round(min(0.4, base.depth / 2), 3),
    )
    parts: list[Part] = [cradle, *stem_slot(plan, work)]
    parts += finger_reliefs(plan, width=min(8.0, plan.radius), above=min(0.3, base.depth / 3))
    pads = [(Place(*c.place[:2]).hour, 2 * math.sqrt(c.area) + 0.5) for c in cradle.contacts(site)]
    if up is Side.BRIDGE:  # contacts stand in the holder frame, hours are the dial's
        pads = [((12.0 - hour) % 12.0, width) for hour, width in pads]
    parts += vents(site, pads, inward=0.5)
    parts += marks(plan, site, "cradle", work, up, blank.operation.name)
    return replace(
        blank, parts=tuple(parts), reasons=("stands on its rests alone; the edge only centres.",)
    )
