"""Cradle: a pocket for a sub-assembly, either side up, standing on its rests.

Automatic works, a tourbillon carriage or an escapement lie in it while they are worked on or
wait. A stake post stands under the jewel of every arbor that is pressed. The sheet of the
sub-assembly stands on the movement's sheet, or alone.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from nests.families import Offer
from nests.families._common import body_for, finished
from nests.families._pressed import operation_for, side_of
from nests.families._rim import free_rim
from nests.families._room import inset
from nests.families._standing import PostWish, posts_among_pads
from nests.finding import refuse
from nests.given.at_work import pressed
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.stand_in import WithEdge
from nests.holder.recipe import Recipe
from nests.parts.base import Part
from nests.parts.cradle import Cradle
from nests.parts.site import Site
from nests.places import Place
from nests.units import BadInput, Length, mm, said

ROOMY: Length = 12.0
"""mm of wall that leave a small cradle the room to be engraved; from trying."""


@dataclass(frozen=True, kw_only=True)
class Wish(WithEdge, PostWish):
    """Options of the cradle family."""

    varies: ClassVar[Mapping[str, tuple[object, ...]]] = {
        "clearance": (0.10, 0.06),
        **PostWish.varies,
    }
    sub_assembly: str = said("name of the sub-assembly on the sheet; none if the sheet is one", "")
    side_up: Literal["dial", "bridge"] | None = said("side that looks up", None)
    clearance: Length = mm(0.15, low=0.02, high=2.0, meaning="between edge and pocket, all round")
    post_height: Length = mm(
        3.0, low=1.0, high=12.0, meaning="room under the lowest point, where something is pressed"
    )


def offers(work: Sheet, operation: Operation) -> tuple[Offer, ...]:
    """Every sub-assembly; a small one with a wall that has the room to be engraved."""
    return (Offer(0), Offer(1, {"wall": ROOMY})) if work.kind == "sub-assembly" else ()


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
    up = side_of(wish.side_up, operation)
    does = operation_for(operation, up, wish, "carried")
    forces = pressed(work, does)
    base = body_for(work, up, wish, card, post=wish.post_height if forces else 0.0)
    blank = Recipe(
        name=f"{work.name} cradle {up.value} up",
        kind="sub-assembly cradle",
        family="cradle",
        workpiece=work,
        printer=card,
        body=base,
        operation=does,
        chord_error=wish.chord_error,
    )
    site, plan = blank.site(), free_rim(work, wish.marked)
    keys = [
        (each.hour, (each.width + 2 * card.smallest_wall) * plan.radius / site.radius(each.hour))
        for each in wish.notch
    ]
    for at, width in keys:
        plan.take(at, width)
    plan.notch = True  # keys stand in the pocket, far inside the notch at 12 h
    cradle = Cradle(
        clearance=wish.clearance,
        # pads are not drawn for the printer's bias
        inset=round(inset(site, 2 * wish.clearance, card.outward(site.across)), 3),
        lead_in=round(min(0.4, base.depth / 2), 3),
    )
    if wish.edge is not None:
        _require_wide_enough(wish.edge, cradle, site)
    posts, reasons = posts_among_pads(site, cradle, wish, forces)
    parts: list[Part] = [cradle, *posts]
    touches = [each for part in parts for each in part.contacts(site)]
    count = Counter(each.touches for each in touches)
    rings = {name for name, places in count.items() if places > 1}  # left open at the vents
    touches = [each for each in touches if each.touches not in rings]
    feet = [(site.frame.place(Place(*c.place[:2])).hour, math.sqrt(c.area)) for c in touches]
    wide_feet = [(hour, 2 * across + 0.5) for hour, across in feet]
    for avoid in ([*keys, *wide_feet], keys):  # a vent may pass closer to a foot than is usual
        made = finished(
            blank,
            plan,
            parts,
            ["stands on its rests alone; the edge only centres.", *reasons],
            avoid=avoid,
            inward=0.5,
            relief=min(8.0, plan.radius),
        )
        if any(each.lets_out for each in made.parts):
            break
    if not rings:
        return made
    site = made.site()
    lies = [each.lies(site) for each in made.parts if each.lets_out]
    drains = tuple(each.hour for each in lies if each is not None)
    opened = [replace(each, drains=drains) if each is cradle else each for each in made.parts]
    return replace(made, parts=tuple(opened))


def _require_wide_enough(edge: Length, cradle: Cradle, site: Site) -> None:
    """Raise `BadInput` where no pad has room on what of the edge may be touched."""
    outer = max(cradle.inset, cradle.beside_wall(site))
    least = outer + cradle.smallest_pad + cradle.inset
    if edge < least:
        raise BadInput(
            f"edge is {edge:g} mm; a pad is at least {cradle.smallest_pad:g} mm wide and stays "
            f"{outer:.2f} and {cradle.inset:.2f} mm inside what may be touched, so "
            f"{math.ceil(100 * least) / 100:.2f} mm or more is needed."
        )
