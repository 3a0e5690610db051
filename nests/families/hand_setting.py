"""Hand setting: dial up, a stake post under the jewel of every arbor that takes a hand.

The press on a hand runs through pinion and pivot to the jewel; without a post it goes on through
the jewel's friction fit. Posts under further rests steady the movement.
"""

from __future__ import annotations

from dataclasses import dataclass

from nests.families import Offer
from nests.families._common import body_for
from nests.families._offered import is_low, is_round, lies_open
from nests.families._pressed import on_posts, operation_for
from nests.families._standing import PostWish
from nests.finding import refuse
from nests.given.at_work import pressed
from nests.given.operation import EVERY_HAND, Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import refuse_wrong_kind
from nests.holder.recipe import Recipe
from nests.places import Side
from nests.units import BadInput, Length, mm, said


@dataclass(frozen=True, kw_only=True)
class Wish(PostWish):
    """Options of the hand-setting family."""

    post_height: Length = mm(3.0, low=1.0, high=12.0, meaning="room under the lowest point")
    rest_posts: bool = said("whether further posts stand under rests", True)


def offers(work: Sheet, operation: Operation) -> tuple[Offer, ...]:
    """Round movements on which something is pressed with the dial up."""
    if not lies_open(work, operation) or not is_round(work) or not pressed(work, operation):
        return ()
    return (Offer(1 if is_low(work) else 0),) if operation.side_up is Side.DIAL else ()


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    refuse_wrong_kind("movement holder", sheet)
    if operation is not None and operation.side_up is not Side.DIAL:
        raise refuse(
            "kind",
            f"'{operation.name}' is done with the bridge side up; hands are set with the dial up.",
            "use the family 'pressing' if something is pressed, else 'round' or 'thin'",
        )
    work = operation_for(operation, Side.DIAL, wish, "hand setting", EVERY_HAND)
    if not pressed(sheet, work):
        raise BadInput(
            f"no arbor on the sheet '{sheet.name}' is pressed; name what each arbor carries."
        )
    blank = Recipe(
        name=f"{sheet.name} hand setting",
        family="hand-setting",
        workpiece=sheet,
        operation=work,
        printer=card,
        body=body_for(sheet, Side.DIAL, wish, card, post=wish.post_height),
        chord_error=wish.chord_error,
    )
    return on_posts(blank, wish, rests=6 if wish.rest_posts else 0)
