"""How pushers are reached side by side: which go through the stem's slot, and who has room."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from manifold3d import CrossSection, OpType

from nests.families._holding import WALL_SPARE
from nests.parts.base import Part
from nests.parts.site import Site
from nests.parts.stem_slot import StemSlot
from nests.solids.solid import offset
from nests.units import BadInput, dial_hour


def taken(site: Site, part: Part) -> CrossSection:
    """What a part cuts and adds, in plan."""
    shape = part.shape(site)
    solids = [each for each in (shape.cuts, shape.adds) if each is not None]
    return CrossSection.batch_boolean([each.project() for each in solids], OpType.Add)


def crowded(site: Site, one: CrossSection, other: CrossSection) -> bool:
    """Whether two plans leave less than a wall between them."""
    room = offset(one, site.card.smallest_wall + WALL_SPARE, 32)
    return not (room ^ other).is_empty()


def beside_stem(site: Site, parts: Sequence[Part]) -> StemSlot:
    """The stem's slot, which is the way to every pusher whose own part would crowd it."""
    usual = StemSlot()
    if site.sheet.stem is None:
        return usual
    slot = taken(site, usual)
    near = [part for part in parts if crowded(site, taken(site, part), slot)]
    return StemSlot(pushers=tuple(name for part in near for name in part.serves().pushers))


def crowds(site: Site, parts: Sequence[Part]) -> tuple[Part, Part] | None:
    """The first two ways to pushers that leave less than a wall between them, None if none do."""
    plans = [taken(site, each) for each in parts]
    for one, two in combinations(range(len(parts)), 2):
        if crowded(site, plans[one], plans[two]):
            return parts[one], parts[two]
    return None


def refuse_crowded(site: Site, parts: Sequence[Part]) -> None:
    """Raise `BadInput` where two ways to pushers leave less than a wall between them."""
    pair = crowds(site, parts)
    if pair is None:
        return
    first, second = (site.sheet.pusher(each.serves().pushers[0]) for each in pair)
    least = _least_apart(site, *pair)
    raise BadInput(
        f"hour of the pushers '{first.name}' and '{second.name}' is {dial_hour(first.hour)} h and "
        f"{dial_hour(second.hour)} h; {pair[0].label()} and {pair[1].label()} need "
        + (f"{least:.2f} h" if least is not None else "more")
        + f" between them to leave {site.card.smallest_wall:g} mm of wall: order a holder for each "
        "of the two, from a sheet without the other pusher."
    )


def _least_apart(site: Site, one: Part, two: Part) -> float | None:
    """How many hours apart two ways of one kind leave a wall; None where they cannot be moved."""
    lies, plan = one.lies(site), taken(site, one)
    if lies is None:
        return None
    for step in range(1, 61):
        moved = two.moved_to(round((lies.hour + step / 20) % 12.0, 3))
        if one.moved_to(lies.hour) is None or moved is None:
            return None
        if not crowded(site, plan, taken(site, moved)):
            return step / 20
    return None
