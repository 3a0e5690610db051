"""Shaped: seat and bore follow an outline that is not round; the body may stay round."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from nests.families import Offer
from nests.families._common import body_for, undialled
from nests.families._offered import is_round
from nests.families._pressed import hands, on_posts, operation_for, side_of
from nests.families._standing import PostWish
from nests.finding import refuse
from nests.given.at_work import pressed
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.holder.compose import refuse_wrong_kind
from nests.holder.recipe import Recipe
from nests.units import Length, mm, said


@dataclass(frozen=True, kw_only=True)
class Wish(PostWish):
    """Options of the shaped family."""

    side_up: Literal["dial", "bridge"] | None = said("side that looks up", None)
    body: Literal["circle", "outline"] = said("whether the body is round or follows", "circle")
    post_height: Length = mm(3.0, low=1.0, high=12.0, meaning="room under the lowest point")


def offers(work: Sheet, operation: Operation) -> tuple[Offer, ...]:
    """Movements that are not round."""
    apart = work.kind == "movement" and not operation.turned_over
    return (Offer(0),) if apart and not is_round(work) else ()


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    refuse_wrong_kind("movement holder", sheet)
    if isinstance(sheet.outline, Round):
        raise refuse(
            "kind",
            f"'{sheet.name}' is round; a shaped holder would centre nothing better than a bore.",
            "use the family 'round' or 'hand-setting'",
        )
    up = side_of(wish.side_up, operation)
    work = operation_for(operation, up, wish, "general", hands(sheet, up))
    sheet, work = undialled(sheet, operation, work)
    room = wish.post_height if pressed(sheet, work) else 0.0
    blank = Recipe(
        name=f"{sheet.name} shaped {up.value} up",
        family="shaped",
        workpiece=sheet,
        operation=work,
        printer=card,
        body=replace(body_for(sheet, up, wish, card, post=room), follow=wish.body),
        chord_error=wish.chord_error,
    )
    return on_posts(blank, wish)
