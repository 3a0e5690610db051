"""Shaped: seat and bore follow an outline that is not round; the body may stay round."""

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
from nests.sheet import Round, Sheet
from nests.units import Length, mm, said


@dataclass(frozen=True, kw_only=True)
class Wish(PostWish):
    """Options of the shaped family."""

    side_up: Literal["dial", "bridge"] | None = said("side that looks up", None)
    body: Literal["circle", "outline"] = said("whether the body is round or follows", "circle")
    post_height: Length = mm(3.0, low=1.0, high=12.0, meaning="room under the lowest point")


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    refuse_wrong_kind("movement holder", sheet)
    if isinstance(sheet.outline, Round):
        raise refuse(
            "kind",
            f"'{sheet.name}' is round; a shaped holder would centre nothing better than a bore.",
            "use the family 'round' or 'hand-setting'",
        )
    up = Side(wish.side_up) if wish.side_up else operation.side_up if operation else Side.DIAL
    forces = pressed_arbors(sheet, operation) if up is Side.DIAL else {}
    base = replace(
        body(sheet, up, wish, post=wish.post_height if forces else 0.0), follow=wish.body
    )
    blank = Recipe(
        name=f"{sheet.name} shaped {up.value} up",
        family="shaped",
        workpiece=sheet,
        operation=asked(operation, up, "general", EVERY_HAND if forces else ()),
        printer=card,
        body=base,
        chord_error=wish.chord_error,
    )
    site, plan = blank.site(), rim_plan(sheet)
    standing = stand(site, wish, forces)
    parts: list[Part] = [standing.seat, *standing.posts]
    parts += stem_slot(plan, sheet)
    parts += finger_reliefs(plan, above=min(0.3, base.depth / 3))
    parts += vents(site, ledge=standing.under)
    parts += marks(plan, site, "movement", sheet, up, blank.operation.name)
    return replace(blank, parts=tuple(parts), reasons=standing.reasons)
