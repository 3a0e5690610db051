"""How a workpiece lies in a holder that was made for another: how high, and on what."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from manifold3d import CrossSection

from nests.drawer.seats import Seat, Support, equal_area
from nests.given.sheet import Jewel, Sheet
from nests.holder.compose import Holder
from nests.holder.workpiece import FINE, disc, plan_distances, uncertainty
from nests.kinds.kept import KeptHolder
from nests.parts.site import Site
from nests.places import Points, Side
from nests.solids.solid import area
from nests.units import Length


@dataclass(frozen=True)
class Bearing:
    """A tip with a jewel or a rest of the workpiece above it.

    `over` is how far the tip reaches outside the jewel or rest, `off` how far its middle is from
    the jewel's, `height` the height the rim would have if the tip touched.
    """

    support: Support
    name: str
    jewel: Jewel | None
    over: Length
    off: Length
    height: Length


@dataclass(frozen=True)
class Sitting:
    """A workpiece in a seat. `carried` is the height at which ledge or tips would carry its rim.

    `bare` are the tips that stand under nothing that may be touched; `on_tips` says that tips hold
    it clear of the ledge. `measuring` is the uncertainty, ± mm, of a height of the workpiece.
    """

    seat: Seat
    sheet: Sheet
    site: Site
    bearings: tuple[Bearing, ...]
    bare: tuple[Support, ...]
    carried: Length
    on_tips: bool
    measuring: Length

    @property
    def level(self) -> Length:
        """Height of the lower rim face: as carried, but no deeper than the floor allows."""
        return self.site.seat

    @property
    def across(self) -> Length:
        """⌀ of the edge that looks down, its flange with it."""
        return self.site.across + 2 * self.sheet.edge(self.site.side_down)[0]

    @property
    def play(self) -> Length:
        """Play on the ⌀, negative if it does not go in; along a shaped edge twice the least
        distance to it."""
        if self.seat.edge is None:
            return self.seat.bore - self.across
        out = self.sheet.edge(self.site.side_down)[0]
        edge, bore = self.site.edge().shaft(out), CrossSection([self.seat.edge])
        outside = CrossSection([edge]) - bore
        if not outside.is_empty():
            ends = np.vstack(outside.to_polygons())
            return -2 * float(plan_distances(bore, ends).max())
        around = CrossSection([self.seat.edge]).bounds()
        wall = CrossSection([_frame_round(around)]) - bore
        drawn = 2 * float(plan_distances(wall, edge).min())
        return drawn + self.seat.bore - equal_area(self.seat.edge)

    def gap(self, bearing: Bearing) -> Length:
        """From a tip to what is above it; negative where it stands proud."""
        return self.level - bearing.height

    def tolerance(self, tip: Support) -> Length:
        """How far a gap at a tip may be off, ± mm."""
        return self.measuring + tip.doubt


def sit(
    kept: KeptHolder, holder: Holder, seat: Seat, tips: tuple[Support, ...], sheet: Sheet, up: Side
) -> Sitting:
    """Lay a workpiece into a seat of a holder. `sheet` is the workpiece as it is at the time."""
    tips = () if seat.in_foot else tips
    flat = _site(kept, seat, sheet, up, seat.level)
    found = [_bearing(tip, _plan(tip, holder), flat) for tip in tips]
    bearings = tuple(b for b in found if b is not None)
    bare = tuple(tip for tip, b in zip(tips, found, strict=True) if b is None)
    doubt = uncertainty(sheet, "/rests", "/arbors")
    level, on_tips = _level(seat, bearings, holder, doubt)
    site = _site(kept, seat, sheet, up, level)
    return Sitting(seat, sheet, site, bearings, bare, level, on_tips, doubt)


def _site(kept: KeptHolder, seat: Seat, sheet: Sheet, up: Side, level: Length) -> Site:
    """The ground of the holder's parts, with another workpiece lying at a height.

    No lower than on the floor, however deep the seat would let it.
    """
    recipe = kept.recipe
    body = recipe.body
    for_sheet = Site(sheet, up, recipe.printer, recipe.chord_error, body)
    wall = body.wall + (recipe.site().across - for_sheet.across) / 2
    under = level - seat.floor - sheet.height(up.other)
    return replace(
        for_sheet,
        body=replace(
            body,
            wall=min(max(wall, 2.0), 40.0),
            floor=seat.floor,
            under=max(under, 0.0),
            height=seat.top,
        ),
    )


def _plan(tip: Support, holder: Holder) -> CrossSection:
    """A tip in the plan of the holder: a circle, or the pad as it stands in the solid."""
    if tip.tip != "pad":
        return CrossSection.circle(tip.radius, 64).translate((tip.at.x, tip.at.y))
    adds = holder.laid[tip.part + 1].shape.adds
    assert adds is not None
    here = np.array([(tip.at.x, tip.at.y)])
    drawn = next(c.place[2] for c in holder.contacts if c.place[:2] == (tip.at.x, tip.at.y))
    pieces = adds.slice(drawn - FINE).decompose()
    return min(pieces, key=lambda piece: float(plan_distances(piece, here)[0]))


def _bearing(tip: Support, plan: CrossSection, site: Site) -> Bearing | None:
    """The outermost jewel whose face the tip's middle is under, else the rest it reaches least out
    of."""
    sheet, down = site.sheet, site.side_down
    met = dict.fromkeys(sheet.outermost(each.name, down).name for each in sheet.arbors)
    for arbor in map(sheet.arbor, met):
        jewel, at = arbor.jewel(down), site.frame.place(arbor.at)
        if jewel is not None and at.distance(tip.at) <= jewel.diameter / 2:
            over = _over(plan, disc(site, arbor.at, jewel.diameter))
            return Bearing(tip, arbor.name, jewel, over, at.distance(tip.at), tip.z + jewel.height)
    found = []
    for rest in sheet.rests:
        zone = area(rest.zone, site.frame, FINE)
        if rest.side is down and not (plan ^ zone).is_empty():
            found.append(Bearing(tip, rest.name, None, _over(plan, zone), 0.0, tip.z + rest.height))
    return min(found, key=lambda b: b.over, default=None)


def _over(plan: CrossSection, zone: CrossSection) -> Length:
    """How far a plan reaches outside a zone."""
    left = plan - zone
    if left.is_empty():
        return 0.0
    return float(plan_distances(zone, np.vstack(left.to_polygons())).max())


def _level(
    seat: Seat, bearings: tuple[Bearing, ...], holder: Holder, measuring: Length
) -> tuple[Length, bool]:
    """Height of the rim, and whether tips hold it there: else it lies on the ledge."""
    top = max((b.height for b in bearings), default=seat.level)
    carrying = [
        b for b in bearings if b.height >= max(top - measuring - b.support.doubt, seat.level + FINE)
    ]
    if _holds_middle(carrying, holder):
        return top, True
    return (seat.level if seat.ledge is not None else top), False


def _holds_middle(carrying: list[Bearing], holder: Holder) -> bool:
    """Whether the axis lies between three tips, or over a pad; how well is the bench's to say."""
    if len(carrying) < 3 and not any(b.support.tip == "pad" for b in carrying):
        return False
    corners = np.vstack([p for b in carrying for p in _plan(b.support, holder).to_polygons()])
    stood_on = CrossSection.hull_points(corners)
    return bool((CrossSection.circle(FINE, 8) - stood_on).is_empty())


def _frame_round(bounds: tuple[float, float, float, float]) -> Points:
    x0, y0, x1, y1 = bounds
    return np.array([(x0 - 5, y0 - 5), (x1 + 5, y0 - 5), (x1 + 5, y1 + 5), (x0 - 5, y1 + 5)])
