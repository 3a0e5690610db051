"""How pushers are reached side by side: which go through the stem's slot, and who has room."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from manifold3d import CrossSection, OpType

from nests.families._holding import WALL_SPARE
from nests.parts.base import Part, Site
from nests.parts.stem_slot import StemSlot
from nests.units import BadInput


def taken(site: Site, part: Part) -> CrossSection:
    """What a part cuts and adds, in plan."""
    shape = part.shape(site)
    solids = [each for each in (shape.cuts, shape.adds) if each is not None]
    return CrossSection.batch_boolean([each.project() for each in solids], OpType.Add)


def crowded(site: Site, one: CrossSection, other: CrossSection) -> bool:
    """Whether two plans leave less than a wall between them."""
    room = one.offset(site.card.smallest_wall + WALL_SPARE, circular_segments=32)
    return not (room ^ other).is_empty()


def beside_stem(site: Site, parts: Sequence[Part]) -> StemSlot:
    """The stem's slot, which is the way to every pusher whose own part would crowd it."""
    usual = StemSlot()
    if site.sheet.stem is None:
        return usual
    slot = taken(site, usual)
    near = [part for part in parts if crowded(site, taken(site, part), slot)]
    return StemSlot(pushers=tuple(name for part in near for name in part.works()))


def refuse_crowded(site: Site, parts: Sequence[Part]) -> None:
    """Raise `BadInput` where two ways to pushers leave less than a wall between them."""
    for one, two in combinations(parts, 2):
        if crowded(site, taken(site, one), taken(site, two)):
            first, second = (site.sheet.pusher(each.works()[0]) for each in (one, two))
            raise BadInput(
                f"the pushers '{first.name}' at {first.hour:g} h and '{second.name}' at "
                f"{second.hour:g} h lie so near each other that their ways leave less than "
                f"{site.card.smallest_wall:g} mm of wall; one holder can have a way to one of "
                "them: take the other off the sheet, or set them farther apart."
            )
