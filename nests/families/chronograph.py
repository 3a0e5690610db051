"""Chronograph: posts as for pressing, and every pusher usable, so that hands can be zeroed.

An open slot for a finger or peg, a guided plunger, or an arm of the wall that springs back.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from nests.families import Offer, pressing
from nests.families._common import body_for, play_of, undialled
from nests.families._offered import is_round, lies_open
from nests.families._pressed import Reach, hands, on_posts, operation_for, side_of
from nests.families._pushed import beside_stem, crowds, refuse_crowded
from nests.families._rim import narrowest
from nests.families._room import clear_of_dial
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Pusher, Sheet
from nests.given.stand_in import WithLevers
from nests.holder.compose import refuse_wrong_kind
from nests.holder.recipe import Recipe
from nests.holder.workpiece import allowance
from nests.parts.body import Body
from nests.parts.plunger import Plunger
from nests.parts.pusher_slot import NARROWER, PusherSlot
from nests.parts.site import Site
from nests.parts.spring_lever import SpringLever
from nests.parts.stem_slot import StemSlot
from nests.places import Side
from nests.units import BadInput, Length, mm, said

COVER: Length = 0.2
"""mm of body above the middle of a lever, for a nose to be thick enough; from memory."""
BELOW_RIM: Length = 0.15
"""mm from the body's upper face to that of the rim, so that the rim can be gripped; from memory."""
SLOT_WIDTHS: tuple[Length, ...] = (PusherSlot.width, *NARROWER)
"""mm, widths of slots, the preferred first; the narrowest still takes a usual peg; from memory."""
DEEPEST: Length = 5.0
"""mm, the largest `below` a pusher slot takes."""
EXTRA: Length = 0.01
"""mm more than what may be lost between part and lever."""


@dataclass(frozen=True, kw_only=True)
class Wish(WithLevers, pressing.Wish):
    """Options of the chronograph family."""

    varies: ClassVar[Mapping[str, tuple[object, ...]]] = {
        **pressing.Wish.varies,
        "wall": (12.0, 14.0),
    }

    wall: Length = mm(10.0, low=4.0, high=40.0, meaning="from the workpiece to the outer face")
    pushed_by: Literal["slot", "plunger", "spring lever"] = said("what works the pushers", "slot")

    def stand_in(self, up: Side) -> Sheet:
        """Nothing is drawn for a lever of which the place or the way is not known."""
        if self.pushed_by != "slot" and None in (self.lever_radius, self.travel):
            raise BadInput(
                f"pushed_by is {self.pushed_by}; without a sheet it needs both --lever-radius and "
                "--travel in mm: where a pusher's lever is met, and how far it works."
            )
        return super().stand_in(up)


def _over_levers(body: Body, site: Site) -> Body:
    """The body of a site, as high above the levers as they need it to be worked; with the bridge
    side up they lie high. It stays below the upper face of the rim, and below a flange there."""
    levers = max(site.lever(each) for each in site.sheet.pushers) - site.seat
    room = site.sheet.rim - site.sheet.edge(site.side_up)[1] - BELOW_RIM
    return replace(body, depth=round(max(body.depth, min(levers + COVER, room)), 3))


def _refuse_too_high(pusher: Pusher, site: Site) -> None:
    """Raise `BadInput` where an arm as high as the body cannot meet a lever in its middle."""
    lacks = site.lever(pusher) + site.card.layer - site.top
    if lacks > 1e-9:
        way = lacks if site.side_up is Side.DIAL else -lacks
        bound = "at least" if site.side_up is Side.DIAL else "at most"
        raise BadInput(
            f"depth of the pusher '{pusher.name}' is {pusher.depth:g} mm; with the "
            f"{site.side_up.value} side up its lever lies above the body, and a spring lever needs "
            f"{bound} {pusher.depth + way:.2f} mm: choose pushed_by slot or plunger."
        )


def _past(pusher: Pusher, least: Length, usual: Length) -> Length:
    """How far beyond its working travel a lever is driven: surely past it, and not to its stop."""
    if pusher.stop is None:
        return max(least, usual)
    return round(max(0.0, min(max(least, usual), (pusher.stop - pusher.travel) / 2)), 3)


def _reach(pusher: Pusher, wish: Wish, site: Site, spare: Length, width: Length) -> Reach:
    """The part that works a pusher, a slot `width` mm wide if it is one; `spare` is how far a lever
    may lie off its place, mm.

    Raises `BadInput` where an arm of the wall is too low for its lever.
    """
    sheet = site.sheet
    gap = max(spare, Plunger.rest_gap)
    if wish.pushed_by == "plunger":
        usual = Plunger(pusher=pusher.name, rest_gap=gap, past=_past(pusher, spare, Plunger.past))
        plunger = _beside_dial(site, usual, play_of(site, wish))
        beside = max(plunger.button, plunger.across(site) - 0.2) + 1.0
        return Reach(plunger, pusher.hour, beside)
    if wish.pushed_by == "spring lever":
        _refuse_too_high(pusher, site)
        # the arm grows away from the stem
        stem = sheet.stem.hour if sheet.stem else 3.0
        anticlockwise = (pusher.hour - stem) % 12.0 > 6.0
        lever = SpringLever(
            pusher=pusher.name,
            anticlockwise=anticlockwise,
            rest_gap=gap,
            past=_past(pusher, spare, SpringLever.past),
        )
        outer = narrowest(sheet) + wish.wall
        half = math.degrees(lever.length / 2 / outer) / 30.0
        middle = (pusher.hour - half if anticlockwise else pusher.hour + half) % 12.0
        # as wide on the rim as the arm is long on the outer face
        return Reach(lever, middle, (lever.length + 5.0) * narrowest(sheet) / outer + 2.0, True)
    # a lever that lies above the body is met over a shallow cut, which tells where it is
    deep = site.lever(pusher) - (site.top - site.card.smallest_wall)
    below = round(min(max(PusherSlot.below, deep), DEEPEST), 3)
    slot = PusherSlot(pusher=pusher.name, below=below, width=width)
    return Reach(slot, pusher.hour, slot.width + 1.5)


def _beside_dial(site: Site, usual: Plunger, play: Length) -> Plunger:
    """The usual plunger, or the first other guide that stays off a dial that is on.

    Raises `BadInput` where the dial lies over every guide the wall has room for.
    """
    for each in (usual, *usual.variants(site)):
        try:
            if clear_of_dial(site, each, play):
                return each
        except BadInput:  # no room for that guide
            if each is usual:
                raise
    raise BadInput(
        f"the dial of '{site.sheet.name}' lies over every guide that the wall has room for beside "
        f"the pusher '{usual.pusher}': a thicker wall, an open slot (pushed_by slot), or name "
        "'dial' under 'absent' in the operation."
    )


def offers(work: Sheet, operation: Operation) -> tuple[Offer, ...]:
    """Round movements with pushers beside the stem, which have to be worked."""
    apart = work.kind == "movement" and not operation.turned_over and is_round(work)
    if not apart or lies_open(work, operation):
        return ()
    return (Offer(0, {"pushed_by": "slot"}), Offer(1, {"pushed_by": "plunger"}))


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    refuse_wrong_kind("movement holder", sheet)
    if not sheet.pushers:
        raise BadInput(f"the sheet '{sheet.name}' has no pusher; a chronograph holder needs one.")
    up = side_of(wish.side_up, operation)
    work = operation_for(operation, up, wish, "pushers", hands(sheet, up))
    sheet, work = undialled(sheet, operation, work)
    blank = Recipe(
        name=f"{sheet.name} chronograph {up.value} up",
        family="chronograph",
        workpiece=sheet,
        operation=work if operation else replace(work, pushers=True),
        printer=card,
        body=body_for(sheet, up, wish, card, post=wish.post_height),
        chord_error=wish.chord_error,
    )
    blank = replace(blank, body=_over_levers(blank.body, blank.site()))
    site = blank.site()
    spare = round(allowance(site, play_of(site, wish)).sideways + EXTRA, 3)
    for width in SLOT_WIDTHS:
        wanted = [_reach(each, wish, site, spare, width) for each in sheet.pushers]
        stem = beside_stem(site, [each.part for each in wanted])
        reaches = [each for each in wanted if each.part.serves().pushers[0] not in stem.pushers]
        if wish.pushed_by != "slot" or crowds(site, [each.part for each in reaches]) is None:
            break
    refuse_crowded(site, [*(each.part for each in reaches), *([stem] if stem.pushers else [])])
    made = on_posts(blank, wish, rests=6 if wish.rest_posts else 0, reaches=reaches, stem=stem)
    return replace(made, reasons=(*made.reasons, *_said(wish, stem)))


def _said(wish: Wish, stem: StemSlot) -> tuple[str, ...]:
    """How the pushers are worked."""
    if not stem.pushers:
        return (f"every pusher has its {wish.pushed_by}.",)
    names = ", ".join(f"'{name}'" for name in stem.pushers)
    return (
        f"{names} is worked through the stem's slot, beside or through which it lies; every other "
        f"pusher has its {wish.pushed_by}.",
    )
