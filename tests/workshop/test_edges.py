"""At the edge: what reaches it, where no rest does, and what is tried where there is little room.

Every case was met on movements that another generator drew; here each stands alone.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest
import shapely
from movements import movement
from orders import HANDS

from nests.choosing import Case, Choice, NoHolder, choose, in_the_way
from nests.finding import Grade
from nests.given.printer_card import PrinterCard
from nests.given.sheet import CasingLedge, KeepClear, Rest, Sheet
from nests.given.zones import Disc, Ring, Round, Sector
from nests.holder.workpiece import RIM_EDGE, LowerRim
from nests.parts.body import Body
from nests.parts.clip import Clip
from nests.parts.cradle import Cradle
from nests.parts.relief import Relief
from nests.parts.ring_seat import RingSeat
from nests.parts.site import Site
from nests.places import Place, Side
from nests.units import BadInput

CARD = PrinterCard()
ROUND_IT = Ring(outer=24.0, inner=21.0)


def rim(zone: Any, side: Side = Side.BRIDGE, name: str = "rim below") -> Rest:
    return Rest(name=name, side=side, height=0.0, zone=zone)


def plain(*rests: Rest, keep: tuple[KeepClear, ...] = (), **more: Any) -> Sheet:
    """A round sheet of ⌀ 24 with these rests."""
    known: Mapping[str, Any] = {
        "name": "EDGE", "outline": Round(diameter=24.0), "rim": 1.6, "dial_height": 1.0,
        "bridge_height": 1.2, "mass": 5.0, "nothing_fragile": not keep, **more,
    }  # fmt: skip
    return Sheet(rests=rests, keep_clear=keep, **known)


def made(sheet: Sheet, family: str = "round", **options: Any) -> Choice:
    options = options or {"side_up": "dial"}
    return choose(family, sheet, None, options, CARD, explain=False)


def part(choice: Choice, cls: type) -> Any:
    return next(each for each in choice.recipe.parts if isinstance(each, cls))


def of_the_rim(choice: Choice) -> list[str]:
    """What is said not to be known of the rim face."""
    return [f.says for f in choice.findings if f.grade is Grade.UNKNOWN and "rim face" in f.says]


@pytest.mark.parametrize("hours", [(7.36, 6.19), (1.0, 11.5), (3.0, 2.0)])
def test_the_bare_strip_is_as_wide_as_no_rest_reaches(hours: tuple[float, float]) -> None:
    """Its area by the formula for a sector of a ring; slivers of the cut do not turn it inside out.

    The rest reaches as far past its own end as it may end short of the edge.
    """
    radius = 6.85
    zone = Sector(from_hour=hours[0], to_hour=hours[1], outer=radius, inner=5.96)
    sheet = plain(rim(zone), outline=Round(diameter=2 * radius))
    site = Site(sheet, Side.DIAL, CARD, 0.005, Body())
    turn = (hours[0] - hours[1]) % 12.0 * math.tau / 12 - 2 * RIM_EDGE / radius
    strip = turn / 2 * (radius**2 - (radius - RIM_EDGE) ** 2)
    assert LowerRim.of(site).bare.area() == pytest.approx(strip, rel=0.04)


def test_the_ledge_is_left_out_beside_what_reaches_the_edge() -> None:
    """A balance at the edge, and a rest that ends well beside it: none of the ledge lies where the
    rest ends, so nothing of it is unknown."""
    keep = KeepClear(
        name="balance", side=Side.BRIDGE, zone=Disc(centre=Place(0.0, 7.8), diameter=8.0),
        from_height=-0.8, to_height=0.8,
    )  # fmt: skip
    zone = Sector(from_hour=0.7, to_hour=11.3, outer=12.0, inner=11.0)
    best = made(plain(rim(zone), keep=(keep,)))
    assert best.faults == (0, 0)
    assert not of_the_rim(best)
    site = best.recipe.site()
    ledge = best.study.solid.slice(site.seat - 0.001)
    edge = shapely.Point(0.0, 0.0).buffer(11.95, quad_segs=90)
    met = shapely.Polygon()
    for ring in ledge.to_polygons():
        met = shapely.symmetric_difference(met, shapely.Polygon(ring))
    met = shapely.intersection(met, edge)
    for hour in (11.4, 0.0, 0.6):
        angle = site.frame.angle(hour)
        assert not met.contains(shapely.Point(11.6 * math.cos(angle), 11.6 * math.sin(angle)))
    angle = site.frame.angle(3.0)
    assert met.contains(shapely.Point(11.6 * math.cos(angle), 11.6 * math.sin(angle)))


def test_what_is_touched_and_not_on_the_sheet_stays_unknown() -> None:
    """Where rests reach less than half of the edge, most of the ledge lies on what nobody knows."""
    best = made(plain(rim(Sector(from_hour=0.0, to_hour=3.0, outer=12.0, inner=11.0))))
    assert of_the_rim(best)


@pytest.mark.parametrize(("slit", "whole"), [(0.02, True), (0.04, True), (1.5, False)])
def test_rests_beside_each_other_are_one(slit: float, whole: bool) -> None:
    """A slit no wider than readings are sure is no gap in the rim; a wide one is left out."""
    half = slit / 2 / 12.0 * 12 / math.tau
    zones = [
        Sector(from_hour=half, to_hour=6.0 - half, outer=12.0, inner=11.0),
        Sector(from_hour=6.0 + half, to_hour=12.0 - half, outer=12.0, inner=11.0),
    ]
    best = made(plain(*(rim(zone, name=f"rim {k}") for k, zone in enumerate(zones))))
    assert best.faults == (0, 0)
    assert not of_the_rim(best)
    assert (not part(best, RingSeat).gaps) is whole


def test_a_gap_is_never_wider_than_a_gap_may_be() -> None:
    """A pocket movement of 45 mm whose rim was measured over seven hours: what else it touches is
    unknown, and it is no refusal."""
    zone = Sector(from_hour=0.0, to_hour=6.9, outer=22.5, inner=21.0)
    best = made(plain(rim(zone), outline=Round(diameter=45.0)))
    assert best.faults[0] == 0
    assert of_the_rim(best)


@pytest.mark.parametrize("family", ["round", "inspection"])
@pytest.mark.parametrize("beyond", [-0.02, 0.3])
def test_the_wall_gives_way_to_what_reaches_the_edge(family: str, beyond: float) -> None:
    """A cell that ends in the edge, or stands out of it."""
    at = 12.0 - 3.5 + beyond
    cell = KeepClear(
        name="cell", side=Side.BRIDGE, zone=Disc(centre=Place(at, 0.0), diameter=7.0),
        from_height=-0.6, to_height=1.2,
    )  # fmt: skip
    zone = Sector(from_hour=4.2, to_hour=1.8, outer=12.0, inner=11.0)
    best = made(plain(rim(zone), rim(zone, Side.DIAL, "rim"), keep=(cell,)), family)
    assert best.faults == (0, 0), best.findings
    assert part(best, Relief).of == "cell"


@pytest.mark.parametrize(("level", "reach"), [(0.6, 0.25), (0.42, 0.15)])
def test_a_hook_reaches_no_farther_than_the_rim_may_be_touched(level: float, reach: float) -> None:
    zone = Ring(outer=24.0, inner=24.0 - 2 * level)
    best = made(plain(rim(zone), rim(zone, Side.DIAL, "rim")), "inspection", hold="clip")
    assert best.faults == (0, 0)
    assert part(best, Clip).grip <= level
    assert (part(best, Clip).grip > 0.3) is (reach > 0.2)


def test_a_short_rest_gets_a_narrow_clip() -> None:
    """Three bits of rim of 3.3 mm each on a round movement."""
    half = 3.3 / 2 / 12.0 * 12 / math.tau
    bits = [
        rim(
            Sector(from_hour=h - half, to_hour=h + half, outer=12.0, inner=10.8), Side.DIAL, f"b{h}"
        )
        for h in (2.0, 5.0, 9.0)
    ]
    best = made(plain(rim(ROUND_IT), *bits), "inspection", hold="clip", side_up="dial")
    assert best.faults[0] == 0
    assert part(best, Clip).width < Clip.width


@pytest.mark.parametrize(("wide", "clearance"), [(1.4, 0.15), (0.95, 0.1), (0.9, 0.06)])
def test_a_cradle_is_as_tight_as_its_rests_ask(wide: float, clearance: float) -> None:
    rests = tuple(
        Rest(name=f"foot {k}", side=Side.BRIDGE, height=0.2, zone=Disc(centre=at, diameter=wide))
        for k, at in enumerate((Place(5.0, 0.0), Place(-3.0, 4.0), Place(-3.0, -4.0)))
    )
    sub = plain(*rests, kind="sub-assembly", outline=Round(diameter=14.0), rim=0.8, mass=0.8)
    best = made(sub, "cradle", side_up="dial")
    assert best.faults == (0, 0)
    assert part(best, Cradle).clearance == clearance


@pytest.mark.parametrize(("rim_height", "fits"), [(0.90, True), (0.84, False)])
def test_a_rim_below_its_flange_is_held_as_deep_as_it_can_be(rim_height: float, fits: bool) -> None:
    flange = CasingLedge(diameter=25.0, height=0.35, side=Side.DIAL)
    sheet = plain(rim(ROUND_IT), rim=rim_height, casing_ledge=flange)
    if fits:
        assert made(sheet).faults[0] == 0
    else:
        with pytest.raises(BadInput, match="can be held; at least"):
            made(sheet)


@pytest.mark.slow
@pytest.mark.parametrize("side", list(Side))
def test_the_rim_that_would_have_to_be_measured_is_named(side: Side) -> None:
    """A movement without a rest at the rim is not turned over; with the one that is named it is."""
    sheet = movement(100)
    bare = replace(sheet, rests=tuple(r for r in sheet.rests if not r.name.startswith("rim")))
    with pytest.raises(NoHolder) as refused:
        choose("inspection", bare, None, {"side_up": side.value}, CARD)
    fact = refused.value.fact
    assert fact is not None
    assert "a rim that is level 1 mm wide all round" in fact.says
    best = choose("inspection", fact.case.sheet, None, fact.case.options, CARD)
    assert best.faults[0] == 0


@pytest.mark.long
def test_the_rest_that_a_cradle_lacks_is_named() -> None:
    """Two rests carry nothing."""
    rests = tuple(
        Rest(name=f"foot {k}", side=Side.BRIDGE, height=0.2, zone=Disc(centre=at, diameter=1.5))
        for k, at in enumerate((Place(5.0, 1.0), Place(-3.0, 4.0)))
    )
    sub = plain(*rests, kind="sub-assembly", outline=Round(diameter=14.0), rim=0.8, mass=0.8)
    whole = replace(plain(rim(ROUND_IT)), sub_assemblies=(replace(sub, name="works"),))
    options = {"sub_assembly": "works", "side_up": "dial"}
    fact = in_the_way("cradle", Case(whole, None, options, CARD))
    assert fact is not None
    assert "a rest of 1.5 mm ⌀" in fact.says
    assert choose("cradle", fact.case.sheet, None, options, CARD).faults[0] == 0


@pytest.mark.slow
def test_posts_under_jewels_make_room_for_those_that_carry() -> None:
    """INV 0028 is 12.8 mm wide: two rests have no room beside the stoutest post in its middle."""
    best = choose("thin", movement(28), HANDS, {}, CARD, explain=False)
    assert best.faults[0] == 0
