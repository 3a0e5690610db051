"""Holders in which something is pressed: what the families that set posts under jewels share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from nests.families._common import asked, finished
from nests.families._rim import free_rim
from nests.families._standing import DROP, PostWish, stand
from nests.given.at_work import pressed
from nests.given.operation import EVERY_HAND, Operation, Press
from nests.given.sheet import Sheet
from nests.holder.recipe import Recipe
from nests.parts.base import Part
from nests.parts.site import Site
from nests.parts.stem_slot import StemSlot
from nests.parts.vent import Vent
from nests.places import Side
from nests.units import BadInput, Hour, Length

ASKED = "as asked for, for every press"
"""Where a force comes from that was given as an option."""


@dataclass(frozen=True)
class Reach:
    """A part through which something is reached, and the width of wall it takes at an hour."""

    part: Part
    at: Hour
    width: Length
    to_floor: bool = False


def side_of(side_up: str | None, operation: Operation | None, usual: Side = Side.DIAL) -> Side:
    """The side that looks up: the one wished for, else that of the operation, else the usual."""
    return Side(side_up) if side_up else operation.side_up if operation else usual


def hands(sheet: Sheet, up: Side) -> tuple[Press, ...]:
    """What is pressed where nothing is said: all hands with the dial up, nothing else."""
    carried = any(each.carries for each in sheet.arbors)
    return EVERY_HAND if up is Side.DIAL and carried else ()


def operation_for(
    given: Operation | None,
    up: Side,
    wish: PostWish,
    name: str,
    usual: tuple[Press, ...] = (),
) -> Operation:
    """The operation given; else a plain one that presses the arbor wished for, or what is usual.
    A force wished for holds for every press of it.

    Raises `BadInput` if the one given is done with the other side up, if both say what is pressed,
    or for a force where nothing is pressed.
    """
    if not wish.arbor:
        return with_force(asked(given, up, name, usual), wish.force)
    if given is not None:
        raise BadInput(
            f"arbor is '{wish.arbor}', but '{given.name}' says itself what is pressed; give one "
            "of the two."
        )
    press = Press(arbor=wish.arbor)
    if wish.force is not None:
        press = replace(press, force=wish.force)
    return asked(None, up, name, (press,))


def with_force(operation: Operation, force: float | None) -> Operation:
    """The operation with every press as hard as was asked for, in N, whatever it says itself; the
    operation as it is for None. Raises `BadInput` where it presses nothing."""
    if force is None:
        return operation
    if not operation.presses:
        raise BadInput(
            f"force is {force:g} N, and '{operation.name}' presses nothing; give an arbor, or an "
            "operation with presses, or leave the force out."
        )
    presses = tuple(
        replace(each, force=force, least=None, most=None, origin=ASKED)
        for each in operation.presses
    )
    return replace(operation, presses=presses)


def _meets_vents(site: Site, reach: Reach) -> bool:
    """Whether a way goes so deep that no wall would be left above a vent that passes under it."""
    cuts = reach.part.shape(site).cuts
    ridge = site.floor + Vent.width / 2 * site.rise
    return cuts is not None and cuts.bounding_box()[2] < ridge + site.card.smallest_wall + 0.05


def on_posts(
    blank: Recipe,
    wish: PostWish,
    *,
    carried: bool = False,
    drop: Length = DROP,
    rests: int = 6,
    reaches: Sequence[Reach] = (),
    stem: StemSlot | None = None,
) -> Recipe:
    """A movement's holder with its seat and posts, and the parts through which pushers are reached.

    `stem` is the slot of the stem, if not the usual one; `carried`, `drop`, `rests` and what is
    raised are those of `stand`.
    """
    sheet, site, plan = blank.workpiece, blank.site(), free_rim(blank.workpiece, wish.marked)
    forces = pressed(sheet, blank.operation)
    standing = stand(site, wish, forces, carried=carried, drop=drop, rests=rests)
    for each in reaches:
        plan.take(each.at, each.width)
    return finished(
        blank,
        plan,
        [standing.seat, *standing.posts, *(each.part for each in reaches)],
        standing.reasons,
        avoid=[
            (each.at, each.width) for each in reaches if each.to_floor or _meets_vents(site, each)
        ],
        ledge=standing.under,
        stem=stem,
    )
