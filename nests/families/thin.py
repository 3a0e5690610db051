"""Thin: a low movement bends between rim and middle, so posts carry it and the rim only centres.

The ledge lies below the rim by more than all deviations, and at least three posts, spread round
the middle, carry: then statics sends a press through the post beneath it. Where the posts do not
stand all round what is pressed, the workpiece would tip over the outermost: the ledge carries too.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from nests.compose import refuse_wrong_kind
from nests.families._common import (
    asked,
    body,
    finger_reliefs,
    marks,
    rim_plan,
    stem_slot,
    vents,
)
from nests.families._kinds import PostWish, stand
from nests.families._posts import pressed_arbors
from nests.finding import refuse
from nests.operation import EVERY_HAND, Operation
from nests.parts.base import Part
from nests.places import Side
from nests.printer_card import PrinterCard
from nests.recipe import Recipe
from nests.sheet import Sheet
from nests.units import Length, mm, said


@dataclass(frozen=True, kw_only=True)
class Wish(PostWish):
    """Options of the thin family."""

    side_up: Literal["dial", "bridge"] | None = said("side that looks up", None)
    drop: Length = mm(0.20, low=0.05, high=1.0, meaning="ledge below the rim")
    post_height: Length = mm(2.5, low=1.0, high=12.0, meaning="room under the lowest point")


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    refuse_wrong_kind("movement holder", sheet)
    up = Side(wish.side_up) if wish.side_up else operation.side_up if operation else Side.DIAL
    forces = pressed_arbors(sheet, operation) if up is Side.DIAL else {}
    base = body(sheet, up, wish, post=wish.post_height)
    blank = Recipe(
        name=f"{sheet.name} thin {up.value} up",
        family="thin",
        workpiece=sheet,
        operation=asked(operation, up, "carried", EVERY_HAND if forces else ()),
        printer=card,
        body=base,
        chord_error=wish.chord_error,
    )
    site, plan = blank.site(), rim_plan(sheet)
    standing = stand(site, wish, forces, carried=True, drop=wish.drop, rests=12)
    count = len(standing.posts)
    if count < 3:
        raise refuse(
            "support",
            f"'{sheet.name}' offers {count} places on its {up.other.value} side for a post; three "
            "are needed to carry it.",
            "measure more rests on that side",
        )
    parts: list[Part] = [standing.seat, *standing.posts]
    parts += stem_slot(plan, sheet)
    parts += finger_reliefs(plan, above=min(0.3, base.depth / 3))
    parts += vents(site, ledge=standing.under)
    parts += marks(plan, site, "movement", sheet, up, blank.operation.name)
    return replace(blank, parts=tuple(parts), reasons=standing.reasons)
