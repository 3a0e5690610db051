"""Cushion: a ring in which a flat soft pad is cast, to lay a case on. Never for work."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nests.families import Offer
from nests.families._common import CommonWish, asked
from nests.families._engraved import marks
from nests.families._rim import free_rim
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import refuse_wrong_kind
from nests.holder.recipe import MOULD, Recipe
from nests.parts.base import Part
from nests.parts.body import Body
from nests.parts.mould import Mould
from nests.places import Side
from nests.units import Length, mm


@dataclass(frozen=True, kw_only=True)
class Wish(CommonWish):
    """Options of the cushion family."""

    thickness: Length = mm(4.0, low=1.5, high=15.0, meaning="thickness of the pad")
    margin: Length = mm(2.0, low=-10.0, high=10.0, meaning="pad beyond the case, all round")


def offers(work: Sheet, operation: Operation) -> tuple[Offer, ...]:
    """Nothing: no work is done in it."""
    return ()


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    base = Body(wall=wish.wall + max(wish.margin, 0.0), floor=0.0, height=wish.thickness)
    blank = Recipe(
        name=f"{sheet.name} cushion mould",
        kind=MOULD,
        family="cushion",
        workpiece=sheet,
        printer=card,
        body=base,
        chord_error=wish.chord_error,
        operation=asked(operation, Side.DIAL, "cast pad"),
    )
    refuse_wrong_kind(blank.kind, sheet)
    site, plan = blank.site(), free_rim(sheet, wish.marked)
    across = 2 * (max(site.radius(h / 2) for h in range(24)) + wish.margin)
    mould = Mould(diameter=round(across, 2))
    plan.take(mould.slit_hour, 3.0)
    parts: list[Part] = [
        mould,
        *marks(plan, site, "cushion", sheet, blank.side_up, blank.operation),
    ]
    return replace(
        blank,
        parts=tuple(parts),
        reasons=("for a pad to lay a case on; no movement is worked on in or on it.",),
    )
