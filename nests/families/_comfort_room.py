"""Room for comfort, measured on a holder: its upper face, its wall, what stands highest or out."""

from __future__ import annotations

from dataclasses import dataclass

from manifold3d import CrossSection, OpType

from nests.holder.compose import Holder, Laid
from nests.holder.workpiece import rim_plan, volumes
from nests.parts.answers import Guide
from nests.parts.drawn import FreeArm, Hook
from nests.parts.site import Site
from nests.places import Side
from nests.solids.solid import Solid, offset
from nests.units import Hour, Length

SKIN: Length = 0.02
"""mm below or above a face at which it is cut, so that the cut does not run along it."""
CROWN: Length = 6.0
"""mm ⌀ of a crown for which a gap is left, as the sheet of a movement has none; from memory."""
BESIDE: Length = 1.0
"""mm that a gap is wider than what stands out in it; from memory."""
CLAIM = 5e-5
"""mm³ that two cuts may share, less than is called a claim of one place."""
CRUMB = 1e-3
"""mm³ of missing wall that are a chord's and no cut's."""


def upper_face(
    holder: Holder, deep: Length, wall: Length, beside: Length | None = None
) -> CrossSection:
    """Where the upper face is whole down to `deep` mm and a wall below, `wall` mm from all its
    edges, and part of the body alone: nothing springs there. With `beside` it keeps that far from
    what of the workpiece rises above it."""
    site, solid = holder.recipe.site(), holder.solid
    top = site.top
    levels = (top - SKIN, top - deep / 2, top - deep, top - deep - wall)
    face = solid.slice(levels[0])
    for level in levels[1:]:
        face ^= solid.slice(level)
    face -= solid.slice(top + SKIN)
    for each in holder.laid[1:]:
        if each.shape.adds is not None:
            face -= offset(each.shape.adds.project(), wall, 32)
    for plan in beside_springs(holder):
        face -= plan
    if beside is not None:
        face -= offset(_above(holder), beside, 64)
    return offset(face, -wall, 32) if not face.is_empty() else face


def beside_springs(holder: Holder) -> list[CrossSection]:
    """Plans of the room of all that springs, with what lies between."""
    site = holder.recipe.site()
    return [
        each.shape.cuts.project().hull()
        for each in holder.laid
        if _springs(each, site) and each.shape.cuts is not None
    ]


def _springs(each: Laid, site: Site) -> bool:
    return any(isinstance(item, FreeArm | Hook) for item in each.part.drawn(site))


def _above(holder: Holder) -> CrossSection:
    """What of the workpiece, and of what is fitted, rises above the upper face, in plan."""
    site = holder.recipe.site()
    solids = [each.solid() for each in volumes(site, holder.recipe.operation)]
    solids += [each.solid for laid in holder.laid for each in laid.part.fittings(site)]
    high = [each.project() for each in solids if each.bounding_box()[5] > site.top]
    return CrossSection.batch_boolean([rim_plan(site), rim_plan(site, site.side_up), *high],
                                      OpType.Add)  # fmt: skip


def whole_wall(holder: Holder, taken: Solid) -> bool:
    """Whether the body still has all of what is to be taken from it."""
    body = holder.laid[0].shape.adds
    assert body is not None
    return float(((body ^ taken) - holder.solid).volume()) < CRUMB


def unclaimed(holder: Holder, taken: Solid) -> bool:
    """Whether no other cut takes the same place, also outside the body, where cuts run out."""
    cuts = [each.shape.cuts for each in holder.laid if not each.shape.room]
    return all(cut is None or float((cut ^ taken).volume()) < CLAIM for cut in cuts)


def highest(holder: Holder) -> Length:
    """The highest of workpiece, holder and what is fitted, mm above the bench."""
    site = holder.recipe.site()
    solids = [each.solid() for each in volumes(site, holder.recipe.operation)]
    solids += [each.solid for laid in holder.laid for each in laid.part.fittings(site)]
    workpiece = site.frame.z(site.side_up, site.sheet.height(site.side_up))
    return max(
        workpiece,
        site.seat + site.sheet.rim,
        *(float(each.bounding_box()[5]) for each in (holder.solid, *solids)),
    )


@dataclass(frozen=True)
class StandsOut:
    """What stands out of the outer wall at an hour: its width with room, and its highest point."""

    hour: Hour
    width: Length
    high: Length


def stands_out(holder: Holder, low: Length) -> tuple[StandsOut, ...]:
    """Stem with its crown, and buttons of plungers, as far as they reach above `low` mm."""
    site, out = holder.recipe.site(), []
    stem = site.sheet.stem
    if stem is not None and holder.recipe.kind != "sub-assembly cradle":
        ways = [way for part in holder.recipe.parts if (way := part.stem_way(site)) is not None]
        z = site.frame.z(Side.DIAL, -stem.depth)
        if ways:
            wide = max(CROWN, stem.diameter, 2 * max(way.half for way in ways))
            out.append(StandsOut(stem.hour % 12.0, wide + BESIDE, z + wide / 2 + BESIDE / 2))
    for laid in holder.laid:
        for pusher in laid.part.serves().pushers:
            access = laid.part.access(site, pusher)
            if isinstance(access.moves, Guide):
                wide = access.moves.button + BESIDE
                out.append(StandsOut(access.hour % 12.0, wide, access.z + wide / 2))
    return tuple(each for each in out if each.high > low)
