"""Pressing: either side up, a stake post under the jewel of every arbor that is pressed.

A wheel, a jewel or a part of the automatic works is pressed on from the bridge side as a hand is
from the dial side: the press runs down the arbor to its jewel on the side that looks to the bench.
Posts under further rests steady the movement.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from nests.families import Offer
from nests.families._common import body_for, undialled
from nests.families._offered import is_low, is_round, lies_open
from nests.families._pressed import on_posts, operation_for, side_of
from nests.families._standing import PostWish
from nests.given.at_work import pressed
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import refuse_wrong_kind
from nests.holder.recipe import Recipe
from nests.places import Side
from nests.units import BadInput, Length, mm, said


@dataclass(frozen=True, kw_only=True)
class Wish(PostWish):
    """Options of the pressing family."""

    side_up: Literal["dial", "bridge"] | None = said("side that looks up", None)
    post_height: Length = mm(3.0, low=1.0, high=12.0, meaning="room under the lowest point")
    rest_posts: bool = said("whether further posts stand under rests", True)


def offers(work: Sheet, operation: Operation) -> tuple[Offer, ...]:
    """Round movements on which something is pressed with the bridge side up."""
    if not lies_open(work, operation) or not is_round(work) or not pressed(work, operation):
        return ()
    return (Offer(1 if is_low(work) else 0),) if operation.side_up is Side.BRIDGE else ()


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    refuse_wrong_kind("movement holder", sheet)
    up = side_of(wish.side_up, operation, Side.BRIDGE)
    sheet, work = undialled(sheet, operation, operation_for(operation, up, wish, "pressing"))
    if not pressed(sheet, work):
        raise BadInput(
            f"nothing is pressed on '{sheet.name}'; name an arbor of the sheet, or an operation "
            "with presses."
        )
    blank = Recipe(
        name=f"{sheet.name} pressing {up.value} up",
        family="pressing",
        workpiece=sheet,
        operation=work,
        printer=card,
        body=body_for(sheet, up, wish, card, post=wish.post_height),
        chord_error=wish.chord_error,
    )
    return on_posts(blank, wish, rests=6 if wish.rest_posts else 0)
