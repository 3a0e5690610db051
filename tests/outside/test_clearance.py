"""Clearances against closed forms of analytic geometry; the solids are chords of the true ones."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, Manifold

from nests.checks.bench._fittings import Piece
from nests.checks.bench.clearance import FAR, approach, check
from nests.consistency import check_sheet
from nests.finding import Finding, Grade
from nests.given.absent import without
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Arbor, Jewel, KeepClear, Rest, Sheet
from nests.given.zones import Disc, Polygon, Ring, Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.holder.workpiece import FINE, Allowance, Prism, Rod
from nests.parts.body import Body
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.places import Place, Side
from nests.solids.solid import Solid, pillar, turned
from nests.study import Study

NOTHING = Allowance(0.0, 0.0, 0.0)
NEAR = 3 * FINE
"""Chords of both solids."""


def disc(diameter: float, x=0.0, low=0.0, high=1.0, measuring=0.0) -> Prism:
    """A keep-clear disc on the x axis."""
    count = math.ceil(math.pi / math.acos(1 - FINE / (diameter / 2)))
    plan = CrossSection.circle(diameter / 2, count).translate((x, 0.0))
    return Prism("disc", "disc", plan, low, high, measuring)


def free(volume: Prism | Rod, solid: Solid, spare: Allowance = NOTHING) -> float:
    return approach(volume, [Piece("", solid, spare.growth, spare.growth)], spare).free


@given(shift=st.floats(0.0, 1.0), gap=st.floats(0.1, 0.45), turn=st.floats(0.0, math.tau))
@settings(max_examples=30, deadline=None)
def test_disc_in_a_ring_bore(shift, gap, turn):
    """(D - d)/2 - e: bore D, disc d, e out of the middle."""
    bore = 12.0
    across = bore - 2 * shift - 2 * gap
    ring = turned([(20.0, 0.0), (20.0, 1.0)], FINE)
    ring -= turned([(bore, -1.0), (bore, 2.0)], FINE, bore=True)
    volume = disc(across, shift)
    moved = replace(volume, plan=volume.plan.rotate(math.degrees(turn)))
    assert free(moved, ring) == pytest.approx(gap, abs=NEAR)


@given(x=st.floats(0.0, 4.0), z=st.floats(-3.0, 4.0), r=st.floats(0.2, 1.5))
@settings(max_examples=25, deadline=None)
def test_ball_beside_over_and_under_a_disc(x, z, r):
    """A ball of radius r about (x, z); the nearest point of a disc lies in the same half plane."""
    volume, count = disc(3.0), 128
    beside, above = max(x - 1.5, 0.0), max(-z, z - 1.0, 0.0)
    wanted = max(math.hypot(beside, above) - r, 0.0)
    sag = r * (1 - math.cos(math.pi / count)) * 3
    ball = Manifold.sphere(r, count).translate((x, 0.0, z))
    assert free(volume, ball) == pytest.approx(min(wanted, FAR), abs=NEAR + sag)
    assert volume.distances(np.array([[x, 0.0, z]]))[0] == pytest.approx(
        math.hypot(beside, above), abs=NEAR
    )


@given(lean=st.floats(0.2, 1.3), x=st.floats(3.0, 5.0), low=st.floats(-1.5, -0.2))
@settings(max_examples=30, deadline=None)
def test_cone_beside_a_disc(lean, x, low):
    """Point and line: the lower inner edge of the disc and the flank of a cone under it."""
    tip, tall = 0.5, 3.0
    foot = tip + tall * math.tan(lean)
    cone = turned([(2 * foot, -tall), (2 * tip, 0.0)], FINE)
    volume = disc(2.0, x + 1.0, low, 1.0)
    # normal of the flank (cos, sin) of the lean; distance of (x, low) from it
    away = (x - tip) * math.cos(lean) + low * math.sin(lean)
    along = -(x - tip) * math.sin(lean) + low * math.cos(lean)
    if not 0.05 < away < FAR or not -tall / math.cos(lean) < along < 0.0:
        return
    assert free(volume, cone) == pytest.approx(away, abs=NEAR)


def test_rod_over_a_plane_and_past_its_end():
    """A stem of ⌀ 1.2 whose axis lies 1.0 over a plane; a wall 0.3 beyond its end."""
    stem = Rod("stem", math.radians(40.0), 10.0, 14.0, 1.0, 1.2, 0.0)
    plane = Manifold.cube((60.0, 60.0, 1.0), True).translate((0.0, 0.0, -0.5))
    assert free(stem, plane) == pytest.approx(0.4, abs=NEAR)
    wall = Manifold.cube((1.0, 20.0, 20.0), True).translate((14.8, 0.0, 0.0)).rotate((0, 0, 40.0))
    assert free(stem, wall) == pytest.approx(0.3, abs=NEAR)
    at = np.array([[14.3 * math.cos(stem.angle), 14.3 * math.sin(stem.angle), 1.0]])
    assert stem.distances(at)[0] == pytest.approx(0.3, abs=1e-9)


def test_overlap_leaves_less_than_nothing():
    spare = Allowance(play=0.1, measuring=0.0, scatter=0.03, growth=0.01)
    assert free(disc(3.0), Manifold.cube((1.0, 1.0, 1.0)), spare) == pytest.approx(-0.04)


def test_play_acts_sideways_and_uncertainty_every_way():
    """A wall beside loses play, uncertainty, scatter and growth; a floor below all but the play."""
    spare = Allowance(play=0.05, measuring=9.9, scatter=0.03, growth=0.02)
    volume = disc(3.0, measuring=0.02)  # its own uncertainty counts, not the general one
    wall = Manifold.cube((1.0, 9.0, 9.0), True).translate((1.5 + 0.4 + 0.5, 0.0, 0.0))
    floor = Manifold.cube((9.0, 9.0, 1.0), True).translate((0.0, 0.0, -0.4 - 0.5))
    assert free(volume, wall, spare) == pytest.approx(0.4 - 0.12, abs=NEAR)
    assert free(volume, floor, spare) == pytest.approx(0.4 - 0.07, abs=NEAR)


def holder(*parts, card: PrinterCard | None = None, up=Side.DIAL, **sheet) -> Study:
    """A seat of 0.1 mm play and 1 mm ledge for a rim of ⌀ 26, on a face level to 10 mm from it."""
    face = Rest(name="face", side=up.other, height=0.0, zone=Ring(outer=26.0, inner=6.0))
    sheet = {"rests": (face,), "dial_height": 1.0, "bridge_height": 1.0, **sheet}
    work = Sheet(name="X", outline=Round(diameter=26.0), rim=1.5, **sheet)
    blank = Recipe(name="X", workpiece=work, printer=card or PrinterCard())
    return Study.of(
        compose(
            replace(
                blank,
                operation=replace(blank.operation, side_up=up),
                body=Body(under=3.0),
                chord_error=0.001,
                parts=(RingSeat(ledge=1.0, steps=()), *parts),
            )
        )
    )


def keep(diameter: float, x=0.0, low=-1.0, high=0.8, side=Side.BRIDGE) -> KeepClear:
    zone = Disc(centre=Place(x, 0.0), diameter=diameter)
    return KeepClear(name="wheel", side=side, zone=zone, from_height=low, to_height=high)


def graded(study: Study, grade: Grade) -> list[Finding]:
    return [each for each in check(study) if each.grade is grade]


@pytest.mark.parametrize("up", list(Side))
@pytest.mark.parametrize(
    ("gap", "grade"), [(0.08, Grade.STOP), (0.12, Grade.MEND), (0.30, Grade.CLEAR)]
)
def test_wheel_beside_the_ledge(gap, grade, up):
    """Opening ⌀ 24; play 0.05, uncertainty 0.02 and scatter 0.03 are lost of the gap."""
    study = holder(keep_clear=(keep(4.0, 10.0 - gap, side=up.other),), up=up)
    found = max(check(study), key=lambda each: list(Grade).index(each.grade))
    assert found.grade is grade
    assert found.value == pytest.approx(gap - 0.10, abs=NEAR)
    if grade is not Grade.CLEAR:
        assert found.parts == ("ring seat",)
        across = 12.0 if up is Side.DIAL else -12.0  # bridge up, 3 h lies to the left
        seat = study.holder.recipe.site().seat
        assert found.place == pytest.approx((across, 0.0, seat), abs=0.5)


def test_printer_that_closes_bores_brings_the_ledge_nearer():
    """Bores 0.08 too small are drawn larger by as much: what is left does not change."""
    card = PrinterCard(inside_bias=-0.08)
    values = [
        next(f.value for f in check(holder(keep_clear=(keep(4.0, 9.7),), card=each)))
        for each in (card, PrinterCard())
    ]
    assert values[0] == pytest.approx(values[1], abs=NEAR)


@given(offset=st.floats(0.0, 1.2), tip=st.floats(0.6, 2.4))
@settings(max_examples=15, deadline=None)
def test_tip_on_a_round_rest(offset, tip):
    """A disc inside a disc: e + t/2 ≤ d/2 as drawn, e + t/2 + 0.10 ≤ d/2 with all that is lost."""
    bridge = Rest(
        name="bridge", side=Side.BRIDGE, height=0.5,
        zone=Disc(centre=Place(4.0, 3.0), diameter=3.0),
    )  # fmt: skip
    face = Rest(name="face", side=Side.BRIDGE, height=0.0, zone=Ring(outer=26.0, inner=20.0))
    post = StakePost(under="bridge", at=Place(4.0, 3.0 - offset), tip=tip, shank=tip)
    over = offset + tip / 2 - 1.5
    if min(abs(over), abs(over + 0.10)) < 0.01:
        return
    wanted = Grade.STOP if over > 0 else Grade.MEND if over > -0.10 else Grade.CLEAR
    study = holder(post, rests=(bridge, face), keep_clear=(keep(2.0, -6.0),))
    found = max(check(study), key=lambda each: list(Grade).index(each.grade))
    assert found.grade is wanted
    if wanted is not Grade.CLEAR:
        assert found.parts == ("stake post under bridge",)
        assert found.value == pytest.approx(over + 0.10, abs=0.01)


@pytest.mark.parametrize("up", list(Side))
def test_mirrored_post_is_a_stop_on_either_side(up):
    """A square rest and a post set at its mirror image in plan, dial up and bridge up."""
    corners = tuple(Place(x, y) for x, y in ((3.0, 2.0), (6.0, 2.0), (6.0, 5.0), (3.0, 5.0)))
    square = Rest(name="square", side=up.other, height=0.5, zone=Polygon(corners=corners))
    face = Rest(name="face", side=up.other, height=0.0, zone=Ring(outer=26.0, inner=20.0))
    for at, wrong in ((Place(4.5, 3.5), False), (Place(-4.5, 3.5), True)):
        post = StakePost(under="square", at=at, tip=2.0, shank=2.0)
        found = graded(holder(post, up=up, rests=(square, face)), Grade.STOP)
        assert bool(found) is wrong
        assert all(each.parts == ("stake post under square",) for each in found)


@pytest.mark.parametrize(("relief", "bottoms"), [(0.04, True), (0.2, False)])
def test_pivot_and_the_pin_that_spares_it(relief, bottoms):
    """A pivot of ⌀ 0.3 in a bore that leaves `relief` beside and above it."""
    jewel = Jewel(
        side=Side.BRIDGE, diameter=1.8, height=0.7, pivot_diameter=0.3, pivot_protrusion=0.2
    )
    arbor = Arbor(name="centre", at=Place(1.0, 2.0), jewels=(jewel,))
    post = StakePost(under="centre", kind="pin", insert=1.2, tip=1.2, relief=relief)
    study = holder(post, arbors=(arbor,), keep_clear=(keep(2.0, -6.0),))
    found = graded(study, Grade.STOP)
    assert [each.parts for each in found] == ([("stake post under centre",)] if bottoms else [])
    assert all("pivot of 'centre'" in each.says for each in found)


def test_a_post_in_the_rim_is_found_by_its_volume():
    """A post of ⌀ 2 drawn 0.5 mm proud of a rest level with the rim face: π/4·4·0.5 mm³."""
    face = Rest(name="face", side=Side.BRIDGE, height=0.0, zone=Ring(outer=26.0, inner=6.0))
    post = StakePost(under="face", at=Place(6.0, 0.0), tip=2.0, shank=2.0, short=-0.5)
    study = holder(post, rests=(face,), keep_clear=(keep(2.0),))
    found = graded(study, Grade.STOP)
    assert [each.value for each in found] == [pytest.approx(math.pi / 2, rel=5e-3)]


def test_what_is_not_on_the_sheet_is_said_to_be_unknown():
    bare = holder(rests=())
    words = [each.says for each in graded(bare, Grade.UNKNOWN)]
    assert any("names no keep-clear" in each for each in words)
    assert any("no rest that reaches its edge" in each for each in words)
    assert all(each.remedy.startswith("measure") for each in graded(bare, Grade.UNKNOWN))
    half = Rest(
        name="half", side=Side.BRIDGE, height=0.0,
        zone=Polygon(corners=(Place(0, -13), Place(13, -13), Place(13, 13), Place(0, 13))),
    )  # fmt: skip
    found = check(holder(rests=(half,), keep_clear=(keep(2.0),)))
    assert [each.grade for each in found] == [Grade.UNKNOWN]
    assert "along all of the edge it touches" in found[0].says


@pytest.mark.parametrize("up", list(Side))
def test_a_rest_that_lacks_at_the_edge_is_asked_for_on_its_side(up):
    """The rim lies on the side that looks to the bench."""
    (said,) = [each for each in graded(holder(rests=(), up=up), Grade.UNKNOWN)
               if "reaches its edge" in each.says]  # fmt: skip
    assert said.says.endswith(f"no rest that reaches its edge on the {up.other.value} side.")
    assert f"the {up.other.value}-side rim face" in said.remedy


def test_where_nothing_fragile_is_fitted_the_way_is_clear():
    """The last keep-clear is off, or the sheet says that there is none."""
    fitted = holder(keep_clear=(keep(2.0),)).holder.recipe.workpiece
    assert not without(fitted, {"screw"}).nothing_fragile
    for work in (without(fitted, {"wheel"}), replace(fitted, keep_clear=(), nothing_fragile=True)):
        found = check(holder(keep_clear=work.keep_clear, nothing_fragile=work.nothing_fragile))
        assert [each.grade for each in found] == [Grade.CLEAR]
        assert "nothing there has to be kept clear of" in found[0].says
    both = replace(fitted, nothing_fragile=True)
    assert any("only one of the two can hold" in each.says for each in check_sheet(both))


def test_a_part_that_is_not_fitted_is_not_spared():
    study = holder(keep_clear=(keep(4.0, 10.5),))
    assert graded(study, Grade.STOP)
    recipe = study.holder.recipe
    absent = replace(recipe, operation=replace(recipe.operation, absent=("wheel",)))
    assert not graded(Study.of(compose(absent)), Grade.STOP)


def test_a_body_of_revolution_is_drawn_within_its_chords():
    """The volume of a disc and of the disc grown, against π r² h."""
    volume = disc(3.0)
    assert volume.solid().volume() == pytest.approx(math.pi * 2.25, rel=2e-3)
    grown = math.pi * 1.7**2 * 1.2
    assert grown <= volume.grown(0.2, 0.1).volume() <= grown * 1.005
    assert (pillar(volume.plan, 0.0, 1.0) - volume.solid()).is_empty()
