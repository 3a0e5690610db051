"""The workpiece as solids in the holder frame: what it fills, and what nothing may enter.

Heights come from the sheet alone. Between the rim faces the outline is taken as full, less what
the sheet says is sunk or bored; above and below them only what the sheet names is known.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from manifold3d import CrossSection

from nests.given.dial import DIAL, HANDS
from nests.given.operation import Operation
from nests.given.sheet import Jewel
from nests.given.zones import Disc
from nests.holder.allowance import Allowance, allowance, uncertainty
from nests.holder.standing_out import buttons, crown, lugs
from nests.parts.site import Site
from nests.places import Place, Side
from nests.solids.loops import loop
from nests.solids.solid import OVER, Solid, area, block, offset, pillar, union
from nests.solids.volumes import FINE, ROUND, Floats, Prism, Rod, Volume, plan_distances
from nests.units import Length

__all__ = [
    "FINE",
    "LEVER_OPENING",
    "MARGIN",
    "RIM_EDGE",
    "ROUND",
    "Allowance",
    "Floats",
    "LowerRim",
    "Prism",
    "Rod",
    "Volume",
    "allowance",
    "buttons",
    "crown",
    "dial",
    "dial_feet",
    "disc",
    "jewel_plan",
    "keep_clear",
    "left",
    "lugs",
    "pivots",
    "plan_distances",
    "rim_plan",
    "rim_solid",
    "rim_zone",
    "stem",
    "uncertainty",
    "volumes",
]

MARGIN: Length = 0.05
"""mm to be left between holder and keep-clear when all that may be lost is lost; from memory."""
RIM_EDGE: Length = 0.1
"""mm at the edge that are rim even where a rest ends a little short of it; from memory."""
LEVER_DEEP: Length = 0.5
"""mm beyond a face of the rim in which a lever's middle may lie and its opening still cut the rim,
as no sheet gives how thick a lever is; from memory."""
LEVER_OPENING: Length = 4.0
"""mm of the edge left open at a pusher's lever, whose width no sheet gives; from memory."""


def keep_clear(site: Site) -> tuple[Prism, ...]:
    """The keep-clear volumes of the sheet."""
    frame, out = site.frame, []
    for index, each in enumerate(site.sheet.keep_clear):
        low, high = sorted(
            (frame.z(each.side, each.from_height), frame.z(each.side, each.to_height))
        )
        plan = area(each.zone, frame, FINE)
        measuring = uncertainty(site.sheet, f"/keep_clear/{index}")
        out.append(Prism(each.name, f"keep-clear '{each.name}'", plan, low, high, measuring))
    return tuple(out)


def dial(site: Site) -> tuple[Prism, ...]:
    """The dial, and above it the room of its hands, where they are on."""
    about = site.sheet.dial
    if about is None:
        return ()
    plan = CrossSection([loop(about.outline, site.frame, FINE, 0.0).shaft(0.0)])
    measuring, z = uncertainty(site.sheet, "/dial"), site.frame.z
    out = []
    for name, under, over in (
        (DIAL, about.underside, about.face),
        (HANDS, about.face, about.top),
    ):
        low, high = sorted((z(Side.DIAL, under), z(Side.DIAL, over)))
        if high > low:
            out.append(Prism(name, name, plan, low, high, measuring))
    return tuple(out)


def dial_feet(site: Site) -> tuple[Prism, ...]:
    """The feet of the dial, from its rim face inward."""
    frame, out = site.frame, []
    for index, foot in enumerate(site.sheet.dial_feet):
        low, high = sorted((frame.z(Side.DIAL, 0.0), frame.z(Side.DIAL, -foot.length)))
        out.append(
            Prism(
                f"dial foot {index + 1}",
                f"dial foot at {foot.at.hour:.2f} h",
                disc(site, foot.at, foot.diameter),
                low,
                high,
                uncertainty(site.sheet, f"/dial_feet/{index}"),
            )
        )
    return tuple(out)


def pivots(site: Site) -> tuple[Prism, ...]:
    """The pivots that stand out of their jewels."""
    frame, out = site.frame, []
    for index, arbor in enumerate(site.sheet.arbors):
        for number, jewel in enumerate(arbor.jewels):
            if not jewel.pivot_diameter or not jewel.pivot_protrusion:
                continue
            face = frame.z(jewel.side, jewel.height)
            end = frame.z(jewel.side, jewel.height + jewel.pivot_protrusion)
            plan = disc(site, arbor.at, jewel.pivot_diameter)
            measuring = uncertainty(site.sheet, f"/arbors/{index}/jewels/{number}")
            words, ends = f"pivot of '{arbor.name}'", (min(face, end), max(face, end))
            out.append(Prism(arbor.name, words, plan, *ends, measuring, bored=True))
    return tuple(out)


def stem(site: Site, operation: Operation) -> tuple[Rod, ...]:
    """The stem from the edge to beyond the body, where the operation needs it."""
    about = site.sheet.stem
    if about is None or not operation.stem:
        return ()
    return (
        Rod(
            "stem",
            site.frame.angle(about.hour),
            site.radius(about.hour),
            site.outer(about.hour) + about.draw,
            site.frame.z(Side.DIAL, -about.depth),
            about.diameter,
            uncertainty(site.sheet, "/stem"),
        ),
    )


def volumes(site: Site, operation: Operation) -> tuple[Volume, ...]:
    """Everything of the workpiece on a site that no part of a holder may meet during an operation;
    what is not fitted then is not on the site (`Recipe.site`)."""
    return (
        *keep_clear(site),
        *dial(site),
        *dial_feet(site),
        *pivots(site),
        *stem(site, operation),
        *crown(site),
        *buttons(site),
        *lugs(site),
    )


def left(
    grown: Solid, solid: Solid, spare: Allowance, far: Length, near: Length | None = None
) -> Length:
    """What is left at worst between a volume and a piece of a holder, mm, at most `far`, negative
    where they may overlap. `grown` is the volume with what the workpiece may lie or measure off;
    `near` a reach that is looked at first, as it compares far fewer faces."""
    gap = near if near is None else float(grown.min_gap(solid, near))
    if gap is None or gap >= near:  # type: ignore[operator]
        gap = float(grown.min_gap(solid, far + max(0.0, spare.printed)))
    return min(gap - spare.printed, far)


def disc(site: Site, at: Place, diameter: Length) -> CrossSection:
    """A disc of the movement in the plan of the holder."""
    return area(Disc(centre=at, diameter=diameter), site.frame, FINE)


def jewel_plan(site: Site, at: Place, jewel: Jewel) -> CrossSection:
    """The outer face of a jewel in the plan of the holder."""
    return disc(site, at, jewel.diameter)


def rim_plan(site: Site, side: Side | None = None) -> CrossSection:
    """The rim face of a side with its flange in the plan of the holder; no side: the outline."""
    out = 0.0 if side is None else site.sheet.edge(side)[0]
    return CrossSection([loop(site.sheet.outline, site.frame, FINE, out).shaft(out)])


def rim_zone(site: Site, side: Side) -> CrossSection | None:
    """Where the rim face of a side may be touched: its level rests that reach the edge.

    None where the sheet has no such rest.
    """
    face = rim_plan(site, side)
    edge = face - offset(face, -RIM_EDGE, ROUND)
    level = [r for r in site.sheet.rests if r.side is side and abs(r.height) < 1e-9]
    plans = [area(rest.zone, site.frame, FINE) for rest in level]
    zone = CrossSection()
    for plan in plans:
        if not (plan ^ edge).is_empty():
            # up to the very edge where the rest comes near it, and nowhere else along it
            zone += plan + (offset(plan, RIM_EDGE, ROUND) ^ edge)
    if zone.is_empty():
        return None
    # and rests that come as near each other are one
    closed = offset(offset(zone, RIM_EDGE / 2, ROUND), -RIM_EDGE / 2, ROUND)
    return zone + (closed ^ face)


@dataclass(frozen=True)
class LowerRim:
    """The rim face that points down: all of it, where it may be touched up to the edge (None where
    no rest reaches it), and `bare`, the strip along the edge where no rest reaches it."""

    face: CrossSection
    zone: CrossSection | None
    bare: CrossSection

    @classmethod
    def of(cls, site: Site) -> LowerRim:
        """That of a sheet as it lies."""
        zone, face = rim_zone(site, site.side_down), rim_plan(site, site.side_down)
        strip = face - offset(face, -RIM_EDGE, ROUND)
        return cls(face, zone, offset(strip if zone is None else strip - zone, -FINE, ROUND))

    def ledge(self, wide: Length) -> tuple[CrossSection | None, CrossSection]:
        """Where a ledge up to `wide` mm may touch it, and what of that is bare: how wide the rim is
        level there is not known. None where no rest reaches the edge at all."""
        if self.zone is None:
            return None, self.face
        bare = offset(self.bare, wide + RIM_EDGE, ROUND) ^ self.face
        return self.zone + bare, bare - self.zone


def rim_solid(site: Site) -> Solid:
    """The rim and its flange, full but for what the sheet says is sunk, bored or to be spared."""
    low, high = site.seat, site.seat + site.sheet.rim
    out = pillar(rim_plan(site), low, high)
    for side in Side:
        wide, tall = site.sheet.edge(side)
        if wide > 0.0:
            ends = sorted((site.frame.z(side, 0.0), site.frame.z(side, -tall)))
            out += pillar(rim_plan(site, side), *ends)
    room = list(_hollows(site))
    return out - union(room) if room else out


def _hollows(site: Site) -> Iterator[Solid]:
    frame, sheet = site.frame, site.sheet
    low, high = site.seat - OVER, site.seat + sheet.rim + OVER
    sunk = [(rest.side, rest.height, area(rest.zone, frame, FINE)) for rest in sheet.rests]
    sunk += [
        (jewel.side, jewel.height, jewel_plan(site, arbor.at, jewel))
        for arbor in sheet.arbors
        for jewel in arbor.jewels
    ]
    for side, height, plan in sunk:
        if height < 0.0:
            face = frame.z(side, height)
            yield pillar(plan, face, high) if side is site.side_up else pillar(plan, low, face)
    for recess in sheet.plate.recesses:
        yield pillar(area(recess.zone, frame, FINE), low, high)
    for keep in keep_clear(site):
        yield keep.solid()
    for pusher in sheet.pushers:  # the lever is met through an opening in the edge
        edge, angle = site.radius(pusher.hour), frame.angle(pusher.hour)
        through_the_rim = -LEVER_DEEP <= pusher.depth <= sheet.rim + LEVER_DEEP
        if pusher.lever_radius < edge and through_the_rim:
            yield block(angle, pusher.lever_radius, edge + OVER, LEVER_OPENING, low, high)
