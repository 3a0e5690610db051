"""Hand setting: dial up, a stake post under the jewel of every arbor that takes a hand.

The press on a hand runs through pinion and pivot to the jewel; without a post it goes on through
the jewel's friction fit. Posts under further rests steady the movement.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

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
from nests.units import BadInput, Hour, Length, mm, said


@dataclass(frozen=True, kw_only=True)
class Wish(PostWish):
    """Options of the hand-setting family."""

    post_height: Length = mm(3.0, low=1.0, high=12.0, meaning="room under the lowest point")
    rest_posts: bool = said("whether further posts stand under rests", True)


@dataclass(frozen=True)
class Reach:
    """A part through which something is reached, and the width of wall it takes at an hour."""

    part: Part
    at: Hour
    width: Length
    to_floor: bool = False


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    refuse_wrong_kind("movement holder", sheet)
    return write(sheet, operation, wish, card, ())


def write(
    sheet: Sheet,
    operation: Operation | None,
    wish: Wish,
    card: PrinterCard,
    reaches: Sequence[Reach],
) -> Recipe:
    """The recipe with further parts through which the pushers are reached."""
    if operation is not None and operation.side_up is not Side.DIAL:
        raise refuse(
            "kind",
            f"'{operation.name}' is done with the bridge side up; hands are set with the dial up.",
            "use the family 'round' or 'thin'",
        )
    forces = pressed_arbors(sheet, operation)
    if not forces:
        raise BadInput(
            f"no arbor on the sheet '{sheet.name}' is pressed; name what each arbor carries."
        )
    base = body(sheet, Side.DIAL, wish, post=wish.post_height)
    blank = Recipe(
        name=f"{sheet.name} hand setting",
        family="hand-setting",
        workpiece=sheet,
        operation=asked(operation, Side.DIAL, "hand setting", EVERY_HAND),
        printer=card,
        body=base,
        chord_error=wish.chord_error,
    )
    site, plan = blank.site(), rim_plan(sheet)
    standing = stand(site, wish, forces, rests=6 if wish.rest_posts else 0)
    parts: list[Part] = [standing.seat, *standing.posts]
    for reach in reaches:
        plan.take(reach.at, reach.width)
        parts.append(reach.part)
    parts += stem_slot(plan, sheet)
    parts += finger_reliefs(plan, above=min(0.3, base.depth / 3))
    parts += vents(site, [(r.at, r.width) for r in reaches if r.to_floor], ledge=standing.under)
    parts += marks(plan, site, "movement", sheet, Side.DIAL, blank.operation.name)
    return replace(blank, parts=tuple(parts), reasons=standing.reasons)
