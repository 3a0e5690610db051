"""Thin: a low movement bends between rim and middle, so posts stand under it wherever they may.

Where they stand so far out that a finger on the rim does not tip the movement over them, and all
round what is pressed, they alone carry: the ledge lies below the rim by more than all deviations
and only centres, and statics sends a press through the post beneath it. Elsewhere the ledge carries
the rim too, and a post that keeps the jewel in place stands under every press; only where none does
is the movement left to rock on its posts, which is said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from nests.families import Offer
from nests.families._common import body_for, undialled
from nests.families._offered import is_low, is_round, lies_open
from nests.families._pressed import hands, on_posts, operation_for, side_of
from nests.families._standing import PostWish
from nests.finding import refuse
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import refuse_wrong_kind
from nests.holder.recipe import Recipe
from nests.units import Length, mm, said


@dataclass(frozen=True, kw_only=True)
class Wish(PostWish):
    """Options of the thin family."""

    side_up: Literal["dial", "bridge"] | None = said("side that looks up", None)
    drop: Length = mm(0.20, low=0.05, high=1.0, meaning="ledge below the rim")
    post_height: Length = mm(2.5, low=1.0, high=12.0, meaning="room under the lowest point")


def offers(work: Sheet, operation: Operation) -> tuple[Offer, ...]:
    """Round movements, low ones first."""
    if not lies_open(work, operation) or not is_round(work):
        return ()
    return (Offer(0 if is_low(work) else 1),)


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    refuse_wrong_kind("movement holder", sheet)
    up = side_of(wish.side_up, operation)
    work = operation_for(operation, up, wish, "carried", hands(sheet, up))
    sheet, work = undialled(sheet, operation, work)
    blank = Recipe(
        name=f"{sheet.name} thin {up.value} up",
        family="thin",
        workpiece=sheet,
        operation=work,
        printer=card,
        body=body_for(sheet, up, wish, card, post=wish.post_height),
        chord_error=wish.chord_error,
    )
    made = on_posts(blank, wish, carried=True, drop=wish.drop, rests=12)
    count = sum(part.post() is not None for part in made.parts)
    if count < 3:
        raise refuse(
            "support",
            f"'{sheet.name}' offers {count} places on its {up.other.value} side for a post; three "
            "are needed to carry it.",
            "measure more rests on that side",
        )
    return made
