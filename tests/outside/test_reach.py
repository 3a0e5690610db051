"""Ways to stem and pushers, measured on the solid, against circles and sums by hand.

A circle inside a bore of radius r about a centre e beside the bore's own has radius r - e (plane
geometry). Guides twice as long as their pin is thick: common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely
from manifold3d import CrossSection

from nests.checks.bench._line import STEP, free_radii, stations
from nests.checks.bench.reach import check
from nests.consistency import check_sheet
from nests.finding import Finding, Grade
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Pusher, Sheet, Stem
from nests.given.zones import Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.parts.base import Part
from nests.parts.body import Body
from nests.parts.clip import Clip
from nests.parts.plunger import Plunger
from nests.parts.pusher_slot import PusherSlot
from nests.parts.ring_seat import RingSeat
from nests.parts.spring_lever import SpringLever
from nests.parts.stem_slot import StemSlot
from nests.places import Side
from nests.solids.solid import along, block, lying_bore
from nests.solids.volumes import plan_distances
from nests.study import Study

START = Pusher(name="start", hour=2.0, depth=1.0, lever_radius=12.8, travel=0.8, stop=1.6)
LOST = 0.10
"""mm that half the play, 0.05, the print, 0.03, and measuring, 0.02, may take."""


def holder(*parts: Part, pushers: tuple[Pusher, ...] = (START,), **changes: Any) -> Recipe:
    """A movement of 26 mm, dial up, with a stem at 3 h, in a wall of 12 mm."""
    about = {"stem": Stem(depth=1.0, diameter=1.2, draw=1.1), **changes}
    sheet = Sheet(
        name="movement", outline=Round(diameter=26.0), rim=2.0, bridge_height=1.0,
        pushers=pushers, **about,
    )  # fmt: skip
    return Recipe(
        name="reach", workpiece=sheet, printer=PrinterCard(), body=Body(under=3.0, wall=12.0),
        operation=Operation(name="work", side_up=Side.DIAL, stem=True, pushers=True),
        parts=(RingSeat(), *parts),
    )  # fmt: skip


def found(recipe: Recipe, words: str) -> list[Finding]:
    return [f for f in check(Study.of(compose(recipe))) if words in f.says]


def one(recipe: Recipe, words: str) -> Finding:
    (finding,) = found(recipe, words)
    return finding


@pytest.mark.parametrize("beside", [0.0, 0.3, 0.8])
def test_free_circle_in_a_bore(beside):
    """r - e, and the bore's pointed roof leaves no less."""
    hour_angle = 0.7
    solid = block(0.0, 5.0, 15.0, 8.0, -4.0, 4.0) - lying_bore(4.0, 16.0, 2.4, 0.0, 1.0, 1e-4)
    at = stations(5.0, 15.0)
    free = free_radii(along(solid.translate((0.0, beside, 0.0)), hour_angle), hour_angle, 0.0, at)
    assert free == pytest.approx(1.2 - beside, abs=2e-4)


def test_inside_the_solid_nothing_is_free_and_beyond_it_all():
    solid = block(0.0, 5.0, 15.0, 8.0, -4.0, 4.0)
    at = np.array([4.0, 10.0, 16.0])
    assert free_radii(solid, 0.0, 0.0, at) == pytest.approx([10.0, 0.0, 10.0])


def test_stem_has_the_room_of_its_slot():
    """With 0.03 mm more scatter 0.13 mm may be lost: a room of 0.12 may rub, one of 0.14 not."""
    rough = PrinterCard(scatter=0.06)
    assert not found(replace(holder(StemSlot(room=0.14)), printer=rough), "may rub")
    rubs = one(replace(holder(StemSlot(room=0.12)), printer=rough), "may rub")
    assert rubs.value == pytest.approx(0.12, abs=1e-6)
    assert rubs.limit == pytest.approx(LOST + 0.03, abs=0.006)  # half a chord error at the bore


def test_stem_without_a_slot_has_no_way_out():
    finding = one(holder(), "no way out")
    assert finding.grade is Grade.STOP
    low = replace(
        holder(), body=Body(under=3.0, wall=12.0, depth=0.3), parts=(RingSeat(lead_in=0.1),)
    )
    assert not found(low, "no way out")  # the axis of the stem lies 0.7 mm above so low a body


@pytest.mark.parametrize(("neck", "grade"), [(2.0, Grade.CLEAR), (5.0, Grade.MEND)])
def test_crown_stands_where_the_slot_is_wide(neck, grade):
    """Wide 6 mm: a crown of 6 mm less twice what may be lost."""
    finding = one(holder(StemSlot(neck=neck, crown=6.0)), "crown")
    assert finding.grade is grade
    assert finding.value == pytest.approx(neck, abs=STEP)
    if grade is Grade.CLEAR:
        assert f"up to {6.0 - 2 * LOST:.1f} mm" in finding.says


def test_crown_room_narrower_than_any_crown():
    finding = one(holder(StemSlot(crown=3.0)), "crown")
    assert finding.grade is Grade.MEND
    assert finding.value == pytest.approx(12.0, abs=0.3)  # outside the wall only


def test_peg_that_a_slot_takes():
    """Width 3.5, 0.8 below the lever: a peg of 1.6 mm less twice what may be lost."""
    finding = one(holder(StemSlot(), PusherSlot(pusher="start")), "is reached by")
    assert finding.value == pytest.approx(1.6 - 2 * LOST, abs=0.03)


def test_slot_at_another_hour():
    """Turned by 1.5° a slot 3.5 mm wide leaves least at the outer face, 25 mm from the axis:
    1.75 cos - 25 sin 1.5° to its side; turned by 6° it leaves no way."""
    turn = math.radians(1.5)
    narrow = PusherSlot(pusher="start", at=2.05, below=3.0)
    left = 1.75 - 25.0 * math.sin(turn)
    finding = one(holder(StemSlot(), narrow), "is reached by")
    assert finding.value == pytest.approx(2 * (left - LOST), abs=0.03)
    away = one(holder(StemSlot(), replace(narrow, at=2.2)), "cannot be worked")
    assert away.grade is Grade.STOP


def test_guide_of_a_plunger():
    """From the collar's seat to the pocket: 25 - 1.5 - (13.2 + 1.1 + 0.8) = 8.4 mm."""
    plunger = Plunger(pusher="start", collar_height=0.8, rest_gap=0.15, past=0.15)
    finding = one(holder(StemSlot(), plunger), "guide")
    assert finding.value == pytest.approx(8.4, abs=STEP)
    assert finding.limit == 2 * 1.8
    assert finding.grade is Grade.CLEAR
    short = one(holder(StemSlot(), replace(plunger, pocket_depth=6.6)), "guide")
    assert short.value == pytest.approx(3.3, abs=STEP)
    assert short.grade is Grade.MEND


def test_a_guide_that_is_open_above_guides_nothing():
    """A lever 0.3 mm below the body's upper face: the hood closes the guide, without it a pin would
    lie in a trough."""
    high = replace(START, depth=0.3)
    whole = compose(holder(StemSlot(), Plunger(pusher="start"), pushers=(high,)))
    hooded = [f for f in check(Study.of(whole)) if "guide" in f.says]
    assert [f.grade for f in hooded] == [Grade.CLEAR]
    top = whole.recipe.site().top
    assert whole.solid.bounding_box()[5] > top + 1.0
    bare = replace(whole, solid=whole.solid.trim_by_plane((0.0, 0.0, -1.0), -top))
    (open_above,) = [f for f in check(Study.of(bare)) if "guide" in f.says]
    assert open_above.grade is Grade.MEND
    assert open_above.value == 0.0
    assert "closed above" in open_above.says


@pytest.mark.parametrize(("stop", "grade"), [(1.0, Grade.STOP), (None, Grade.UNKNOWN)])
def test_stop_of_a_lever(stop, grade):
    """0.8 of travel, 0.15 past it and 0.10 that may be lost: 1.05 mm."""
    pusher = replace(START, stop=stop)
    parts = (StemSlot(), Plunger(pusher="start", past=0.15))
    finding = one(holder(*parts, pushers=(pusher,)), "driven")
    assert finding.grade is grade
    assert finding.value == pytest.approx(1.05, abs=0.012)
    far = replace(START, stop=1.1)
    assert not found(holder(*parts, pushers=(far,)), "driven")


def test_plunger_at_rest_and_pushed_in():
    lies_on = holder(StemSlot(), Plunger(pusher="start", rest_gap=0.05))
    assert one(lies_on, "at rest 0.05").grade is Grade.MEND
    short = holder(StemSlot(), Plunger(pusher="start", past=0.05))
    assert one(short, "past the working travel").grade is Grade.MEND


def test_root_of_a_spring_lever():
    """3 t y/(2 L²) = 1.5·1.4·(0.8 + 0.15 + 0.3)/16² = 1.025 %."""
    lever = SpringLever(pusher="start", arm=1.4, length=16.0, rest_gap=0.15, past=0.3)
    finding = one(holder(StemSlot(), lever), "strained")
    assert finding.value == pytest.approx(0.010254, rel=1e-4)
    assert finding.grade is Grade.CLEAR


def test_pushers_and_clips_leave_a_finger_its_room():
    """A finger of 8 mm and a clip of 4 mm: 6 mm beside the line of the pusher, 13 mm from the
    axis: 13 sin 30° = 6.5 for one hour, 13 sin 24° = 5.29 for 0.8 h."""
    slots = (StemSlot(), Plunger(pusher="start"))
    assert one(holder(*slots, Clip(at=1.0)), "has room")
    crowded = one(holder(*slots, Clip(at=1.2)), "without touching")
    assert crowded.value == pytest.approx(13.0 * math.sin(math.radians(24)) - 6.0, abs=1e-3)


def test_two_pushers_close_together():
    """2 sin(half the angle) times 25 mm."""
    second = replace(START, name="reset", hour=2.5)
    parts = (StemSlot(), PusherSlot(pusher="start"), PusherSlot(pusher="reset"))
    finding = one(holder(*parts, pushers=(START, second)), "push both")
    assert finding.value == pytest.approx(50.0 * math.sin(math.radians(7.5)), abs=0.01)


def test_what_the_sheet_does_not_have_is_unknown():
    bare = holder(pushers=(), stem=None)
    assert {f.grade for f in found(bare, "not assessed")} == {Grade.UNKNOWN}
    assert len(found(bare, "not assessed")) == 2
    asked_for_nothing = replace(bare, operation=Operation(name="work", side_up=Side.DIAL))
    assert not found(asked_for_nothing, "")


@pytest.mark.parametrize("at", [(0.0, 0.0), (3.0, 0.5), (2.5, 2.0), (-7.0, 1.0)])
def test_distances_from_plans_are_those_of_areas_in_a_general_library(at):
    """Ours, of edges and crossings, against shapely's of areas: a hole, pieces, about the place."""
    box = shapely.box(-4.0, -3.0, 4.0, 3.0)
    shapes = [
        box.difference(shapely.Point(0.5, 0.2).buffer(2.0)),
        shapely.union(shapely.box(5.0, -1.0, 6.0, 2.0), shapely.box(-9.0, 0.0, -6.0, 1.5)),
        box,
        shapely.Polygon([(1.0, 1.0), (6.0, 2.0), (2.0, 4.0)]),
    ]
    plans = [
        CrossSection([np.asarray(ring.coords)[:-1] for piece in shapely.get_parts(shape)
                      for ring in (shapely.orient_polygons(piece).exterior,
                                   *shapely.orient_polygons(piece).interiors)])
        for shape in shapes
    ]  # fmt: skip
    wanted = shapely.distance(np.array(shapes), shapely.Point(at))
    found = [float(plan_distances(plan, np.array([at]))[0]) for plan in plans]
    assert found == pytest.approx(wanted, abs=1e-9)


CROWN_PUSHER = Pusher(name="all in one", hour=3.0, depth=1.0, lever_radius=12.0, travel=0.7)


def test_a_pusher_through_the_crown_is_served_by_the_stem_slot() -> None:
    """One slot for both; the crown of 3.5 mm must be free from where it stands to the travel in.

    The room begins 2 mm beyond the bore's edge, to a step of 0.15 mm.
    """
    recipe = holder(StemSlot(neck=2.0, crown=6.0), pushers=(CROWN_PUSHER,))
    finding = one(recipe, "worked through the crown")
    assert finding.grade is Grade.CLEAR
    assert finding.value == pytest.approx(2.0 + 0.05 + 0.7, abs=STEP)
    assert "a peg of" not in finding.says
    assert not found(recipe, "cannot be worked")


@pytest.mark.parametrize(("neck", "grade"), [(3.0, Grade.CLEAR), (3.6, Grade.MEND)])
def test_the_crown_comes_in_by_the_travel(neck: float, grade: Grade) -> None:
    """4 mm is as far as a stem brings its crown: a neck of 3.6 and a travel of 0.7 are more."""
    recipe = holder(StemSlot(neck=neck, crown=6.0), pushers=(CROWN_PUSHER,))
    assert one(recipe, "worked through the crown").grade is grade
    assert one(recipe, "the stem turns").grade is Grade.CLEAR


def test_without_a_slot_it_has_no_way_in() -> None:
    finding = one(holder(pushers=(CROWN_PUSHER,)), "worked through the crown")
    assert finding.grade is Grade.STOP
    assert "stem slot" in finding.remedy


def test_a_pusher_above_the_stem_is_one_of_its_own() -> None:
    above = replace(CROWN_PUSHER, depth=0.3)
    recipe = holder(StemSlot(neck=2.0, crown=6.0), pushers=(above,))
    assert not found(recipe, "worked through the crown")


def test_a_pusher_through_the_crown_contradicts_nothing() -> None:
    sheet = holder(pushers=(CROWN_PUSHER,)).workpiece
    assert not [f for f in check_sheet(sheet) if f.grade in (Grade.STOP, Grade.MEND)]
    beside = replace(CROWN_PUSHER, hour=3.06)
    stops = [f for f in check_sheet(replace(sheet, pushers=(beside,))) if f.grade is Grade.STOP]
    assert len(stops) == 1
    assert "the stem fills that place" in stops[0].says
