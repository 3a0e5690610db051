"""Comforts on movements nobody tuned: what is asked for is on the solid, measured from outside.

A comfort may be refused in a sentence, and must never be a stop. Places are asked of the solid by
points and slices with shapely, hours are reckoned here: 30° each, clockwise from the dial side.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from manifold3d import Manifold
from movements import movement, without_dial

from nests.checks import judge
from nests.choosing import choose
from nests.families import family, written
from nests.finding import Grade, Refused
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.holder.buying import to_buy
from nests.holder.compose import Holder, compose
from nests.holder.workpiece import rim_plan, volumes
from nests.load_path.supports import drawn
from nests.parts.body import bare_site
from nests.parts.hour_marks import HourMarks
from nests.parts.lid import Lid
from nests.parts.site import Site
from nests.parts.tweezer_notch import TweezerNotch
from nests.parts.upper_feet import UpperFeet
from nests.parts.vice_flats import ViceFlats
from nests.parts.weight_recess import WeightRecess
from nests.places import Side
from nests.study import Study

CARD = PrinterCard()
ROUNDS = tuple(s for s in range(60) if isinstance(movement(s).outline, Round))[:9]
SHAPED = tuple(s for s in range(120) if not isinstance(movement(s).outline, Round))[:5]
SEEDS = ROUNDS + SHAPED
SIDES = ("dial", "bridge")
LOOKED_AT = ("composition", "wall", "gap", "fine detail", "foot", "island", "overhang", "suction",
             "trapped resin", "loose bodies", "clearance", "lid", "hold", "soundness")  # fmt: skip


@cache
def made(seed: int, up: str, option: str) -> Holder | None:
    """The holder with a comfort, or None where it is refused in a sentence."""
    sheet = without_dial(seed)  # either side up: a dial may not be laid on its face
    name = "round" if seed in ROUNDS else "shaped"
    if option == "upper_feet":
        name = "inspection"
    value: object = "every hour" if option == "hour_marks" else True
    more: dict[str, object] = {option: value} if option else {}
    if option == "weight":
        more = {"weight": weight_for(sheet), "weight_height": 4.0}
    wish = family(name).Wish(**{"side_up": up, **more})
    looks = Operation(name="looking", side_up=Side(up), stem=True, turned_over=name == "inspection")
    try:
        return compose(written(name, sheet, looks, wish, CARD))
    except Refused as refused:
        if refused.finding.check not in ("comfort", "hold") or refused.finding.says[-1] != ".":
            raise
        return None


def weight_for(sheet: Sheet) -> float:
    """Two fifths of the narrowest way across."""
    ring = shapely.Polygon(np.vstack(rim_plan(bare(sheet)).to_polygons()))
    return round(0.8 * ring.exterior.distance(shapely.Point(0.0, 0.0)), 1)


def bare(sheet: Sheet) -> Site:
    return bare_site(sheet, Side.DIAL, 0.01)


def part(holder: Holder, kind: type) -> object:
    (found,) = [each.part for each in holder.laid if isinstance(each.part, kind)]
    return found


def toward(hour: float, up: str) -> np.ndarray:
    """Where an hour lies in the holder: 12 h along y, clockwise with the dial up, else mirrored."""
    turn = math.radians(30.0 * hour)
    return np.array((math.sin(turn) * (1 if up == "dial" else -1), math.cos(turn)))


def plan(holder: Holder, z: float) -> shapely.Geometry:
    rings = [shapely.Polygon(ring) for ring in holder.solid.slice(z).to_polygons()]
    out = shapely.Polygon()
    for ring in rings:
        out = shapely.symmetric_difference(out, ring)
    return shapely.make_valid(out)


def inside(solid: Manifold, x: float, y: float, z: float) -> bool:
    probe = Manifold.cube((0.02, 0.02, 0.02), True).translate((x, y, z))
    return bool((solid ^ probe).volume() > 4e-6)


@pytest.mark.parametrize("option", [
    pytest.param(each, marks=pytest.mark.slow if each in ("lid", "weight") else pytest.mark.long)
    for each in ("hour_marks", "vice_flats", "upper_feet", "lid", "tweezers", "weight")
])  # fmt: skip
def test_a_comfort_is_had_by_most_and_brings_no_stop(option: str) -> None:
    had = Counter()
    for seed in SEEDS:
        up = SIDES[seed % 2]
        holder = made(seed, up, option)
        had[holder is not None] += 1
        if holder is None:
            continue
        own = [each.label for each in holder.laid if each.part.comfort == option]
        for each in judge(Study.of(holder), LOOKED_AT):
            blamed = any(label in each.parts or label in each.says for label in own)
            assert not (blamed and each.grade in (Grade.STOP, Grade.MEND)), (seed, each.says)
    assert had[True] >= 0.7 * len(SEEDS), had


@pytest.mark.slow
@pytest.mark.parametrize("up", SIDES)
def test_strokes_lie_at_their_hours_and_nowhere_else(up: str) -> None:
    """With the bridge side up they run the other way round: a mirrored 4 h would lie at 8 h."""
    for seed in SEEDS:
        holder = made(seed, up, "hour_marks")
        if holder is None:
            continue
        marks, site = part(holder, HourMarks), holder.recipe.site()
        z = site.top - marks.depth / 2
        edge = shapely.Polygon(np.vstack(rim_plan(site).to_polygons()))
        for hour in range(12):
            ahead = toward(hour, up)
            ray = shapely.LineString([(0.0, 0.0), 200.0 * ahead])
            reach = max(math.hypot(*p) for p in shapely.get_coordinates(ray & edge.exterior))
            long = marks.quarter if hour % 3 == 0 else marks.length
            x, y = ahead * (reach + marks.out + long / 2)
            if float(hour) in marks.hours:
                assert not inside(holder.solid, x, y, z), (seed, hour)
                assert inside(holder.solid, x, y, site.top - marks.depth - 0.1), (seed, hour)
                beside = np.array((-ahead[1], ahead[0])) * (marks.line / 2 + 0.1)
                for sign in (1, -1):
                    assert inside(holder.solid, *(np.array((x, y)) + sign * beside), z)


@pytest.mark.slow
def test_flats_are_parallel_whole_and_as_far_apart_as_said() -> None:
    for seed in SEEDS:
        up = SIDES[seed % 2]
        holder = made(seed, up, "vice_flats")
        if holder is None:
            continue
        flats, site = part(holder, ViceFlats), holder.recipe.site()
        middle = plan(holder, flats.height - 0.5)
        points, ahead = shapely.get_coordinates(middle.convex_hull), toward(flats.at, up)
        along = points @ ahead
        wanted = CARD.outside(flats.across)
        assert along.max() - along.min() == pytest.approx(wanted, abs=1e-3), seed
        assert along.max() == pytest.approx(wanted / 2, abs=1e-3)
        side = points @ (-ahead[1], ahead[0])
        for end in (along.max(), along.min()):
            on = side[np.abs(along - end) < 1e-3]
            assert on.max() - on.min() >= 6.0, seed
            # nothing opens into the flat: a strip just behind it is whole
            inward = ahead * (end - math.copysign(0.3, end))
            left = np.array((-ahead[1], ahead[0]))
            ends = [inward + left * s for s in (on.min() + 0.3, on.max() - 0.3)]
            assert middle.covers(shapely.LineString(ends)), seed
        # the upper face is as wide as ever
        upper = shapely.get_coordinates(plan(holder, site.top - 0.45).convex_hull) @ ahead
        assert upper.max() > wanted / 2 + 0.2
        # a stem or pusher is at least an hour away from where jaws stand
        sheet = holder.recipe.workpiece
        ways = [p.hour for p in sheet.pushers] + ([sheet.stem.hour] if sheet.stem else [])
        for way in ways:
            off = abs((way - flats.at + 3.0) % 6.0 - 3.0)
            # a finger 8 mm wide along the way clears a jaw 2 mm wider than the flat on each side
            free = wanted / 2 * math.tan(math.radians(30.0 * min(off, 2.99)))
            assert free >= flats.width(site) / 2 + 2.0 + 4.0 - 1e-6, (seed, way)


@pytest.mark.slow
def test_turned_over_a_holder_stands_on_its_feet_and_on_nothing_else() -> None:
    for seed in SEEDS:
        up = SIDES[seed % 2]
        holder = made(seed, up, "upper_feet")
        if holder is None:
            continue
        feet, site = part(holder, UpperFeet), holder.recipe.site()
        high = holder.solid.bounding_box()[5]
        assert high == pytest.approx(site.top + feet.height, abs=1e-6)
        stands = plan(holder, high - 0.005)
        assert len(shapely.get_parts(stands)) == len(feet.hours) >= 3
        axis = shapely.Point(0.0, 0.0)
        assert stands.convex_hull.contains(axis)
        assert stands.convex_hull.exterior.distance(axis) > 0.2 * min(
            site.radius(float(h)) for h in range(12)
        )
        # the movement, all of the sheet's height, and every keep-clear stays off the bench
        sheet = holder.recipe.workpiece
        own = sheet.dial_height if up == "dial" else sheet.bridge_height
        down = sheet.bridge_height if up == "dial" else sheet.dial_height
        body = holder.recipe.body
        assert high >= body.floor + body.under + down + sheet.rim + own + 0.5 - 1e-6
        for each in volumes(site, holder.recipe.operation):
            low, top = each.solid().bounding_box()[2], each.solid().bounding_box()[5]
            assert top < high - 0.4, (seed, each.words)
            assert low < top
        for hour in feet.hours:
            at = feet.place(site, hour)
            tip = holder.solid ^ Manifold.cylinder(50.0, 3.0).translate(
                (at.x, at.y, site.top + 0.1)
            )
            for each in volumes(site, holder.recipe.operation):
                assert tip.min_gap(each.solid(), 1.0) > 0.7, (seed, hour, each.words)


@pytest.mark.slow
def test_a_lid_goes_on_with_its_play_and_meets_nothing() -> None:
    for seed in SEEDS:
        up = SIDES[seed % 2]
        holder = made(seed, up, "lid")
        if holder is None:
            continue
        lid, site = part(holder, Lid), holder.recipe.site()
        cover = lid.cover(site)
        assert (cover ^ holder.solid).volume() < 1e-2, seed
        # it lies on the upper face, and its skirt keeps half the play all round
        body = shapely.Polygon(holder.recipe.body.plan(site))
        z = site.top - lid.grip / 2
        skirt = [shapely.Polygon(r) for r in cover.slice(z).to_polygons()]
        apart = min(body.exterior.distance(ring.exterior) for ring in skirt)
        assert apart == pytest.approx(lid.play / 2, abs=0.02), seed
        assert cover.translate((0, 0, -0.05)).min_gap(holder.solid, 1.0) == 0.0
        for each in volumes(site, holder.recipe.operation):
            assert cover.min_gap(each.solid(), 1.0) > 0.2, (seed, each.words)
        assert len(cover.decompose()) == 1
        ((_, lying),) = [pair for pair in holder.beside if pair[0] == "lid"]
        assert lying.bounding_box()[2] == pytest.approx(0.0, abs=1e-9)
        assert lying.volume() == pytest.approx(cover.volume())


def tall(holder: Holder) -> float:
    """How far the workpiece stands above the upper face, by its sheet."""
    site = holder.recipe.site()
    return site.frame.z(site.side_up, site.sheet.height(site.side_up)) - site.top


def test_a_lid_that_is_too_low_or_met_by_the_stem_is_a_stop() -> None:
    found = [h for s in ROUNDS for up in SIDES if (h := made(s, up, "lid")) is not None]
    holder = next(h for h in found if part(h, Lid).gaps and tall(h) > 1.5)
    lid = part(holder, Lid)
    others = tuple(p for p in holder.recipe.parts if p is not lid)
    assert all(f.grade is Grade.CLEAR for f in judge(Study.of(holder), ("lid",)))
    low = replace(lid, inside=round(tall(holder) - 0.1, 2))
    faults = {}
    for name, each in (("closed", replace(lid, gaps=())), ("low", low)):
        bad = compose(replace(holder.recipe, parts=(*others, each)))
        faults[name] = [f for f in judge(Study.of(bad), ("lid",)) if f.grade is Grade.STOP]
    assert faults["closed"], "a skirt without a gap meets the stem"
    assert faults["low"], "a roof below the highest point of the movement meets it"


BAD = (Grade.STOP, Grade.MEND)


@pytest.mark.long
@pytest.mark.parametrize("option", ["tweezers", "weight"])
def test_of_all_checks_none_is_worse_for_it(option: str) -> None:
    """Beside the holder without: as many stops and mends of every check, and no more."""
    for seed in SEEDS[::2]:
        up = SIDES[seed % 2]
        holder, plain = made(seed, up, option), made(seed, up, "")
        assert plain is not None
        if holder is not None:
            bad, before = (
                Counter(f.check for f in judge(Study.of(each)) if f.grade in BAD)
                for each in (holder, plain)
            )
            assert bad <= before, seed


def across_at(notch: TweezerNotch, up: str, along: float, aside: float) -> np.ndarray:
    ahead = toward(notch.at, up)
    return along * ahead + aside * np.array((-ahead[1], ahead[0]))


@pytest.mark.slow
def test_tips_of_tweezers_come_down_beside_the_rim_and_under_it() -> None:
    """A tip 0.5 mm thick and 1 mm wide, down the wall and inward: swept, it meets nothing."""
    for seed in SEEDS:
        up = SIDES[seed % 2]
        holder = made(seed, up, "tweezers")
        if holder is None:
            continue
        site = holder.recipe.site()
        edge = shapely.Polygon(np.vstack(rim_plan(site).to_polygons())).exterior
        notches = [each.part for each in holder.laid if isinstance(each.part, TweezerNotch)]
        assert len(notches) == 2
        assert abs((notches[0].at - notches[1].at) % 12.0 - 6.0) < 1e-9
        for notch in notches:
            ray = shapely.LineString([(0.0, 0.0), 200.0 * toward(notch.at, up)])
            reach = max(math.hypot(*p) for p in shapely.get_coordinates(ray & edge))
            x, y = toward(notch.at, up)
            turn = math.degrees(math.atan2(y, x))
            down = Manifold.cube((0.5, 1.0, 30.0)).translate((reach + 0.3, -0.5, 0.0))
            down = down.translate((0.0, 0.0, site.seat - 0.7))
            inward = Manifold.cube((2.3, 1.0, 0.5)).translate((reach - 1.5, -0.5, site.seat - 0.7))
            tip = (down + inward).rotate((0.0, 0.0, turn))
            assert (tip ^ holder.solid).volume() < 1e-9, (seed, notch.at)
            for each in volumes(site, holder.recipe.operation):
                assert (inward.rotate((0.0, 0.0, turn)) ^ each.solid()).volume() < 1e-9, each.words
            # below it stands the wall, behind it what is left of it, and beside it all of it
            low = site.seat - notch.under - 0.3
            assert inside(holder.solid, *across_at(notch, up, reach + 1.0, 0.0), low)
            behind = across_at(notch, up, reach + notch.out + 0.2, 0.0)
            assert inside(holder.solid, *behind, site.seat)
            for sign in (1, -1):
                beside = across_at(
                    notch, up, reach + notch.out - 0.2, sign * (notch.width / 2 + 0.5)
                )
                assert inside(holder.solid, *beside, site.seat + 0.1), (seed, notch.at)
            # no way is so near that tips would meet what stands in it
            sheet = holder.recipe.workpiece
            for way in [p.hour for p in sheet.pushers] + ([sheet.stem.hour] if sheet.stem else []):
                off = math.radians(30.0 * min((way - notch.at) % 12.0, (notch.at - way) % 12.0))
                assert reach * math.sin(min(off, math.pi / 2)) > notch.width / 2 + 1.9


def test_springs_of_the_ledge_know_that_it_ends_at_a_notch() -> None:
    cut = 0
    for seed in ROUNDS:
        up = SIDES[seed % 2]
        holder = made(seed, up, "tweezers")
        if holder is None:
            continue
        site = holder.recipe.site()
        both = [
            drawn(site, [(e.label, e.part) for e in holder.laid if keep or not e.part.spares])
            for keep in (True, False)
        ]
        held, plain = ([p.at for p in props if p.touches == "rim"] for props in both)
        lost = [at for at in plain if at not in held]
        cut += bool(lost)  # none is lost where the ledge is left out there anyway
        notches = [each.part for each in holder.laid if isinstance(each.part, TweezerNotch)]
        for at in plain:
            in_one = False
            for notch in notches:
                ahead = toward(notch.at, up)
                aside = abs(float(np.array(at) @ (-ahead[1], ahead[0])))
                in_one |= aside < notch.width / 2 and float(np.array(at) @ ahead) > 0.0
            assert in_one is (at in lost), (seed, at)
    assert cut >= len(ROUNDS) - 3


@pytest.mark.slow
def test_a_weight_goes_in_from_below_stays_off_the_bench_and_is_bought() -> None:
    had = 0
    for seed in SEEDS:
        up = SIDES[seed % 2]
        holder = made(seed, up, "weight")
        if holder is None:
            continue
        had += 1
        recess, site = part(holder, WeightRecess), holder.recipe.site()
        size, high = weight_for(holder.recipe.workpiece), 4.0
        place = recess.place(site)
        weight = Manifold.cylinder(high, size / 2, size / 2, 96).translate((place.x, place.y, 0.25))
        from_below = Manifold.cylinder(high + 9.0, size / 2, size / 2, 96).translate(
            (place.x, place.y, 0.25 - 9.0)
        )
        assert (from_below ^ holder.solid).volume() < 1e-9, seed
        assert (weight.translate((0, 0, 0.4)) ^ holder.solid).volume() > 1.0, "a ledge is over it"
        # the holder stands on a ring round it, as far out as without it
        foot = shapely.union_all(plan(holder, 0.02))
        without = plan(made(seed, up, ""), 0.02)
        assert foot.convex_hull.symmetric_difference(without.convex_hull).area < 0.05 * foot.area
        around = shapely.Point(place.x, place.y).buffer(size / 2 + 1.2, 64).exterior
        open_at = around.difference(foot)
        assert open_at.length < recess.groove + 0.8, "only the groove leads out"
        assert open_at.length > recess.groove - 0.5
        # nothing stands over it, nor near it
        own = next(each for each in holder.laid if each.part is recess).shape.cuts
        slab = Manifold.cube((200.0, 200.0, site.floor - 0.05)).translate((-100.0, -100.0, 0.0))
        for each in holder.laid[1:]:
            if each.part is recess:
                continue
            if each.shape.adds is not None:
                assert weight.min_gap(each.shape.adds, 50.0) >= min(1.5 * site.floor, 50.0) - 0.3
            if each.shape.cuts is not None and (each.shape.cuts ^ slab).volume() > 1e-4:
                assert own.min_gap(each.shape.cuts ^ slab, 5.0) > CARD.smallest_wall
        (bought,) = [each for each in to_buy(holder.recipe) if "weight" in each.what]
        assert bought.count == 1
        assert f"⌀{size:.1f} × {high:.1f} mm" in bought.what
    assert had


def test_a_weight_has_no_room_under_posts_and_none_without_a_floor() -> None:
    sheet = movement(ROUNDS[0])
    with pytest.raises(Refused, match="has no room for a weight of"):
        written("inspection", sheet, None, family("inspection").Wish(weight=20.0), CARD)
    below = {"below": sheet.outline.diameter + 1.0, "weight": 8.0}
    with pytest.raises(Refused, match="no floor for a weight"):
        written("round", sheet, None, family("round").Wish(**below), CARD)


@pytest.mark.parametrize("up", SIDES)
def test_feet_are_refused_where_nothing_holds(up: str) -> None:
    wish = family("round").Wish(side_up=up, upper_feet=True)
    with pytest.raises(Refused, match="nothing holds"):
        written("round", movement(ROUNDS[0]), None, wish, CARD)


@pytest.mark.slow
def test_a_comfort_that_brings_a_stop_is_refused_by_name(monkeypatch: pytest.MonkeyPatch) -> None:
    """The search never hands out a holder that our own comfort stops."""
    from nests.parts.answers import Shape
    from nests.solids.solid import block

    def through_the_wall(self: HourMarks, site: object) -> Shape:
        return Shape(cuts=block(0.3, 0.0, 90.0, 0.05, -1.0, 90.0))  # a slit no printer shows

    monkeypatch.setattr(HourMarks, "shape", through_the_wall)
    asked = {"side_up": "dial", "hour_marks": "quarters"}
    with pytest.raises(Refused, match="--hour-marks does harm here: "):
        choose("round", movement(ROUNDS[0]), None, asked, CARD)
