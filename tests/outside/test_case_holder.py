"""Cases in their holders: crown, lugs, buttons and flank against plane geometry and mutilation.

Distances are worked out by hand or by shapely from the sheet and the drawn sizes, never from what
the checks use. What lies in a way is planted: a recipe that lost the room for a lug or a crown must
be stopped, with either side up.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from manifold3d import Manifold

from nests.checks import judge
from nests.choosing import choose
from nests.finding import Finding, Grade
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Button, Crown, Flank, Lug, Pusher, Sheet, Stem
from nests.given.zones import Round
from nests.holder.compose import Holder, compose
from nests.holder.recipe import Recipe
from nests.holder.workpiece import lugs
from nests.parts.relief import Relief
from nests.parts.ring_seat import RingSeat
from nests.parts.stem_slot import StemSlot
from nests.places import Side
from nests.study import Study

CARD = PrinterCard()
LOST = 0.15
"""mm that half the play, 0.10, measuring, 0.02, and print, 0.03, may take."""
MARGIN = 0.05
SIDES = [each.value for each in Side]


def case(droop: float | None = 1.6, crown: float = 6.0, **more: object) -> Sheet:
    """A round case of ⌀ 39 with four lugs that point to 12 and 6 h."""
    ends = ((1.25, 12.0), (4.75, 6.0), (7.25, 6.0), (10.75, 12.0))
    tall = None if droop is None else 4.2
    return replace(
        Sheet(
            name="CASE",
            kind="case",
            outline=Round(diameter=39.0),
            rim=4.0,
            dial_height=2.4,
            bridge_height=2.2,
            flank=Flank(from_depth=0.6, to_depth=3.2),
            stem=Stem(depth=2.0, diameter=1.5, draw=1.2, crown=Crown(diameter=crown, home=3.2)),
            lugs=tuple(
                Lug(hour=h, width=4.5, reach=6.5, towards=t, droop=droop, thickness=tall)
                for h, t in ends
            ),
            mass=48.0,
        ),
        **more,
    )  # type: ignore[arg-type]


def recipe(sheet: Sheet, side_up: str = "bridge") -> Recipe:
    return choose("case", sheet, None, {"side_up": side_up}, CARD, explain=False).recipe


def found(made: Recipe, check: str, words: str = "") -> list[Finding]:
    return [f for f in judge(Study.of(compose(made)), (check,)) if words in f.says]


def stopped(made: Recipe, check: str, words: str) -> bool:
    return any(f.grade is Grade.STOP for f in found(made, check, words))


def cylinder(holder: Holder, diameter: float, out: float) -> Manifold:
    """A crown by hand: a cylinder at 3 h from the edge, its axis 2 mm below the dial-side rim."""
    up = holder.recipe.side_up is Side.DIAL
    site = holder.recipe.site()
    z = site.seat + (4.0 - 2.0)
    rod = Manifold.cylinder(out, diameter / 2, circular_segments=256).rotate((0.0, 90.0, 0.0))
    rod = rod.translate((19.5, 0.0, z))
    return rod if up else rod.rotate((0.0, 0.0, 180.0))


@pytest.mark.parametrize("side_up", SIDES)
@pytest.mark.parametrize("across", [3.0, 6.0, 8.0, 10.0])
def test_crown_meets_nothing_home_or_drawn(across: float, side_up: str) -> None:
    """The whole crown moved 0.15 mm any way keeps clear of the solid, by its exact distance."""
    made = recipe(case(crown=across), side_up)
    holder = compose(made)
    for out in (3.2, 4.4):
        left = holder.solid.min_gap(cylinder(holder, across, out), 2.0)
        assert left >= LOST + MARGIN
    (clear,) = found(made, "reach", "the crown of")
    assert clear.grade is Grade.CLEAR
    left = holder.solid.min_gap(cylinder(holder, across, 4.4), 1.0)
    assert f"{left:.2f} mm" in clear.says


@pytest.mark.parametrize("side_up", SIDES)
def test_crown_that_meets_the_slot_is_stopped(side_up: str) -> None:
    """The slot made for a crown of 4 mm, and one of 6.4 on the stem: its floor is met."""
    made = recipe(case(crown=4.0), side_up)
    wide = replace(made, workpiece=case(crown=6.4))
    parts = tuple(
        replace(each, crown_room=0.05) if isinstance(each, StemSlot) else each
        for each in made.parts
    )
    assert found(replace(wide, parts=parts), "reach", "may meet")
    gone = tuple(each for each in made.parts if not isinstance(each, StemSlot))
    assert stopped(replace(made, parts=gone), "clearance", "crown")
    assert stopped(replace(made, parts=gone), "reach", "the stem of 1.5 mm")


def test_slot_of_before_is_stopped_by_the_crown_pushed_home() -> None:
    """A neck of 2.5 mm before the room for the crown, as it was drawn when no sheet gave one."""
    sheet = case()
    assert sheet.stem is not None
    without = replace(sheet, stem=replace(sheet.stem, crown=None))
    old = compose(recipe(without))
    crown = cylinder(old, 6.0, 3.2)
    assert (old.solid ^ crown).volume() > 1.0
    assert recipe(sheet) != recipe(without)


@pytest.mark.slow
@pytest.mark.parametrize("side_up", SIDES)
@pytest.mark.parametrize("droop", [None, -1.0, 0.0, 1.6, 5.0])
def test_lug_without_its_relief_is_stopped(droop: float | None, side_up: str) -> None:
    made = recipe(case(droop), side_up)
    assert not [f for f in found(made, "clearance") if f.grade in (Grade.STOP, Grade.MEND)]
    for number in range(1, 5):
        name = f"lug {number}"
        parts = tuple(
            each for each in made.parts if not (isinstance(each, Relief) and each.of == name)
        )
        if len(parts) < len(made.parts):
            assert stopped(replace(made, parts=parts), "clearance", name)


@pytest.mark.parametrize("side_up", SIDES)
def test_lug_that_points_elsewhere_is_stopped(side_up: str) -> None:
    """The reliefs of lugs that point straight out do not do for lugs that point to 12 and 6 h."""
    bent = case()
    straight = replace(bent, lugs=tuple(replace(each, towards=None) for each in bent.lugs))
    made = recipe(straight, side_up)
    printed = replace(compose(made), recipe=replace(made, workpiece=bent))
    says = [f for f in judge(Study.of(printed), ("clearance",)) if "lug 1" in f.says]
    assert says[0].grade is Grade.STOP


def test_tips_that_droop_to_floor_or_bench_are_stopped() -> None:
    """Made for tips 1.6 mm below the back's rim face; now they droop 5, and through the floor 8."""
    made = recipe(case(1.6), "dial")
    assert stopped(replace(made, workpiece=case(5.0)), "clearance", "lug")
    deep = case(8.0)
    parts = tuple(
        replace(each, below=8.0) if isinstance(each, Relief) else each for each in made.parts
    )
    low = replace(made, workpiece=deep, parts=parts)
    assert stopped(low, "clearance", "above the bench")


@pytest.mark.parametrize("droop", [0.0, 1.6, 5.0, 8.0])
def test_under_every_tip_there_is_air(droop: float) -> None:
    """A ball at the lowest corner of each lug keeps its distance from solid and bench."""
    made = recipe(case(droop), "dial")
    holder = compose(made)
    for lug in lugs(made.site()):
        assert lug.low >= LOST + MARGIN
        for x, y in np.vstack(lug.plan.to_polygons()):
            ball = Manifold.sphere(LOST, 32).translate((float(x), float(y), lug.low))
            assert (ball ^ holder.solid).volume() < 1e-9


def test_lug_is_where_the_sheet_says() -> None:
    """At 1.25 h, 37.5° from 12 h, 6.5 mm to 12 h: its middle line ends at R sin, R cos + 6.5; seen
    from the bridge side x is mirrored (plane geometry)."""
    for side, sign in ((Side.DIAL, 1.0), (Side.BRIDGE, -1.0)):
        site = recipe(case(), side.value).site()
        plan = shapely.union_all(
            [shapely.Polygon(each) for each in lugs(site)[0].plan.to_polygons()]
        )
        x, y = 19.5 * math.sin(math.radians(37.5)), 19.5 * math.cos(math.radians(37.5))
        hand = shapely.box(x - 2.25, 0.0, x + 2.25, y + 6.5)
        hand = shapely.affinity.scale(hand, sign, 1.0, origin=(0.0, 0.0))
        hand = hand.difference(shapely.Point(0.0, 0.0).buffer(19.5, 4096))
        assert shapely.symmetric_difference(plan, hand).area < 0.05


def test_unknown_droop_and_flank_are_not_assessed() -> None:
    made = recipe(case(None, flank=None))
    for check, words in (("clearance", "droop"), ("flank", "upright")):
        (one,) = [f for f in found(made, check, words) if f.grade is Grade.UNKNOWN]
        assert one.says.startswith("not assessed")


@pytest.mark.parametrize("side_up", SIDES)
def test_wall_holds_the_upright_flank(side_up: str) -> None:
    """From the ledge to the chamfer, of which the sheet says 0.6 to 3.2 mm below the dial-side rim
    face are upright: over the bezel it begins 0.6 mm above the ledge, over the back 0.8 mm."""
    made = recipe(case(), side_up)
    seat = next(each for each in made.parts if isinstance(each, RingSeat))
    begins = 0.6 if side_up == "bridge" else 4.0 - 3.2
    held = made.body.depth - seat.lead_in - begins
    (one,) = found(made, "flank", "holds the flank")
    assert one.grade is Grade.CLEAR
    assert f"over {held:.2f} mm" in one.says
    shallow = replace(made, body=replace(made.body, depth=1.2), parts=made.parts)
    assert {f.grade for f in found(shallow, "flank", "holds the flank")} <= {Grade.STOP, Grade.MEND}


def test_wall_open_on_one_side_lets_the_case_slip_out() -> None:
    """A lug as wide as the case leaves half of the edge open: from 180° it slips out."""
    sheet = case(lugs=(Lug(hour=9.0, width=38.5, reach=3.0, droop=0.0, thickness=3.0),))
    made = recipe(case())
    relief = Relief(of="lug 1", clearance=0.3, inward=1.6)
    seat = next(each for each in made.parts if isinstance(each, RingSeat))
    open_ = replace(made, workpiece=sheet, parts=(seat, relief))
    (one,) = found(open_, "flank", "the wall stands")
    assert one.value is not None
    assert one.value > 150.0
    assert one.grade is not Grade.CLEAR


def test_buttons_have_their_way() -> None:
    pusher = Pusher(
        name="start", hour=2.0, depth=2.0, lever_radius=19.5, travel=0.6,
        button=Button(diameter=3.0, out=2.5),
    )  # fmt: skip
    made = recipe(case(pushers=(pusher,), lugs=()))
    assert not [f for f in found(made, "clearance") if f.grade is Grade.STOP]
    gone = tuple(each for each in made.parts if each.tag != "pusher slot")
    assert stopped(replace(made, parts=gone), "clearance", "button of 'start'")


@pytest.mark.parametrize("side_up", SIDES)
def test_a_press_on_the_tip_of_a_lug_tips_the_case_sooner(side_up: str) -> None:
    """F = W a / (b - a), with a at most the radius of the rim and b that of the lug's corner, where
    1.25 h at ⌀ 39 and 6.5 mm to 12 h take it (statics)."""
    made = recipe(case(), side_up)
    (tips,) = [f for f in found(made, "steady", "the workpiece") if "tips when" in f.says]
    assert "rim or a lug" in tips.says
    x, y = 19.5 * math.sin(math.radians(37.5)) + 2.25, 19.5 * math.cos(math.radians(37.5)) + 6.5
    weight = 48.0 * 9.80665e-3
    assert tips.value is not None
    most = weight * 19.5 / (math.hypot(x, y) - 19.5)
    assert 0.3 * most < tips.value <= most
    bare = recipe(case(lugs=()), side_up)
    (rim,) = [f for f in found(bare, "steady", "the workpiece") if "tips when" in f.says]
    assert rim.value is not None
    assert tips.value < rim.value
