"""Clips and tabs that hold a workpiece turned over, as the check reports them.

The worked clip: see `test_mechanics_clip`. Shares of a load: statics
of a rigid body (levers), by hand.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from nests.checks.bench.hold import check
from nests.finding import Finding, Grade
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.mechanics.clip import Clip as Beam
from nests.mechanics.holding import hanging_shares
from nests.parts.body import Body
from nests.parts.clip import Clip
from nests.parts.ring_seat import RingSeat
from nests.parts.swing_tab import SwingTab
from nests.places import Side
from nests.study import Study

G = 9.80665e-3  # N on a gram
CARD = PrinterCard(modulus=1800.0, strain_limit=0.02, friction=0.3, scatter=0.0, overhang=45.0)
Y = 2 / 3 * 0.02 * 10.0**2 / 1.5  # 0.889 mm
PLAY = 0.05


def clipped(clip: Clip, *hours: float, under: float = 3.0, **sheet: Any) -> Recipe:
    """A disc of 26 mm, rim 2 mm, turned over in clips; nothing is lost to play or print."""
    about = {"mass": 10.0, "uncertainty": 0.0, **sheet}
    workpiece = Sheet(name="disc", outline=Round(diameter=26.0), rim=2.0, **about)
    return Recipe(
        name="clips", workpiece=workpiece, printer=CARD, body=Body(under=under, wall=10.0),
        operation=Operation(name="looking", side_up=Side.DIAL, turned_over=True),
        parts=(RingSeat(play=0.0), *(replace(clip, at=h) for h in hours)),
    )  # fmt: skip


def worked(**changes: Any) -> Recipe:
    """The worked clip: L 10, h 1.5, b 4, µ .3, lead 30°, bent by Y; the hook leans by 45°.

    L is room under, rim and the height of the leaning underside.
    """
    clip = Clip(at=0.0, thickness=1.5, width=4.0, grip=Y, play=PLAY, lead=30.0, **changes)
    return clipped(clip, 1.0, 5.0, 9.0, under=10.0 - 2.0 - Y - PLAY)


def found(recipe: Recipe) -> list[Finding]:
    return check(Study.of(compose(recipe)))


def one(recipe: Recipe, words: str) -> Finding:
    (finding,) = [f for f in found(recipe) if words in f.says]
    return finding


BEAM = Beam(
    length=10.0, thickness=1.5, width=4.0, modulus=1800.0, poisson=CARD.poisson, reach=Y + PLAY,
    floor=2.0, friction=0.3, lead_angle=math.radians(30), return_angle=math.radians(45),
)  # fmt: skip
"""The worked clip by its sizes; what it does is held against finite elements elsewhere."""


def test_worked_clip():
    """Bent by .889 mm; forces and strain of its sizes."""
    finding = one(worked(), "its root")
    assert finding.value == pytest.approx(BEAM.strain(Y), rel=1e-3)
    for words in ("10.00 mm long", "0.889 mm aside", f"Bending {BEAM.bending_force(Y):.2f} N",
                  f"going in {BEAM.insertion_force(Y):.2f} N",
                  f"coming out {BEAM.removal_force(Y):.2f} N"):  # fmt: skip
        assert words in finding.says


@pytest.mark.parametrize(("thickness", "grade"), [(1.48, Grade.CLEAR), (1.54, Grade.STOP)])
def test_strain_limit(thickness, grade):
    recipe = worked()
    parts = tuple(
        replace(p, thickness=thickness) if isinstance(p, Clip) else p for p in recipe.parts
    )
    assert one(replace(recipe, parts=parts), "its root").grade is grade


def test_knock_against_the_force_at_which_clips_let_go():
    """Three share a central weight; each lets go where its root, its hook and its slope say."""
    finding = one(worked(), "turned over")
    assert finding.value == pytest.approx(10.0 * 10.0 * G)
    assert finding.limit == pytest.approx(3 * BEAM.lets_go(Y), rel=2e-3)
    assert finding.grade is Grade.CLEAR
    heavy = replace(worked(), workpiece=replace(worked().workpiece, mass=170.0))
    assert one(heavy, "turned over").grade is Grade.STOP


def test_unweighed_workpiece_still_has_a_strain():
    recipe = replace(worked(), workpiece=replace(worked().workpiece, mass=None))
    assert one(recipe, "its root").grade is Grade.CLEAR
    unknown = one(recipe, "not assessed")
    assert unknown.grade is Grade.UNKNOWN
    assert f"Up to {3 * BEAM.lets_go(Y) / 10 / G:.0f} g" in unknown.says
    assert "weigh" in unknown.remedy


def test_play_print_and_measuring_bend_the_clip_more_and_leave_it_less():
    """Half the play of 0.10 on the ⌀, 0.03 of print and 0.02 of measuring: 0.10 mm."""
    recipe = worked()
    recipe = replace(
        recipe,
        printer=replace(CARD, scatter=0.03),
        workpiece=replace(recipe.workpiece, uncertainty=0.02),
        parts=(RingSeat(play=0.10), *recipe.parts[1:]),
    )
    finding = one(recipe, "its root")
    assert finding.value == pytest.approx(BEAM.strain(Y + 0.10), rel=2e-3)
    assert finding.grade is Grade.STOP


@pytest.mark.parametrize(("friction", "locks"), [(0.98, False), (1.02, True)])
def test_clip_locks_where_friction_and_slope_make_a_right_angle(friction, locks):
    """µ tan 45° = 1."""
    recipe = replace(worked(), printer=replace(CARD, friction=friction))
    assert any("never comes out" in f.says for f in found(recipe)) is locks


def test_clip_that_is_pushed_off_its_middle_never_goes_in():
    """A hook that reaches far, with much friction: what pushes it shuts it."""
    recipe = replace(worked(), printer=replace(CARD, friction=0.98))
    finding = one(recipe, "never goes in")
    assert finding.grade is Grade.STOP
    assert "off its middle" in finding.says
    assert BEAM.locks is False


def test_nothing_that_holds():
    recipe = worked()
    bare = replace(recipe, parts=recipe.parts[:1])
    (finding,) = found(bare)
    assert finding.grade is Grade.STOP
    still = replace(bare, operation=replace(bare.operation, turned_over=False))
    assert not found(still)


def test_tab_bends_beside_its_screw():
    """F a = ε E b t²/6, b net of the screw: 0.02·1800·2.9·1.5²/(6·3.4) = 11.51 N each."""
    tab = SwingTab(at=0.0, out=3.0, over=0.8, width=4.5, screw=1.6, thickness=1.5, depth=4.0)
    recipe = clipped(Clip(at=0.0), 1.0)
    tabs = tuple(replace(tab, at=h) for h in (1.0, 5.0, 9.0))
    recipe = replace(recipe, parts=(RingSeat(play=0.0), *tabs))
    assert one(recipe, "turned over, 3").limit == pytest.approx(3 * 11.51, rel=1e-3)


def test_holder_laid_down_turned_over_stands_on_its_clips():
    recipe = worked()
    high = replace(recipe, workpiece=replace(recipe.workpiece, dial_height=6.0))
    assert not [f for f in found(high) if "lies on the workpiece" in f.says]
    top = compose(high).solid.bounding_box()[5]
    assert top > high.site().frame.z(Side.DIAL, 6.0)


RIM = 13.0 * np.column_stack([np.cos(np.arange(360) * math.pi / 180),
                              np.sin(np.arange(360) * math.pi / 180)])  # fmt: skip


def around(*degrees: float) -> np.ndarray:
    turn = np.radians(degrees)
    return 13.0 * np.column_stack((np.cos(turn), np.sin(turn)))


@pytest.mark.parametrize("degrees", [(0, 180), (0, 120, 240), (0, 90, 180, 270)])
def test_hooks_all_round_share_alike(degrees):
    assert hanging_shares(around(*degrees), RIM, 6.0) == pytest.approx(6.0 / len(degrees))


def test_three_hooks_as_levers_say():
    """Hooks at 0°, 120° and 180°: moments about the line through two give the third's share."""
    at = around(0, 120, 180)
    shares = hanging_shares(at, RIM, 1.0)
    assert shares is not None
    assert shares.sum() == pytest.approx(1.0)
    assert shares @ at == pytest.approx(np.zeros(2), abs=1e-9)
    assert shares[1] == pytest.approx(0.0, abs=1e-9)  # the axis lies on the line of the others


def test_two_hooks_beside_the_axis_are_levered_off_by_the_ledge():
    """Hooks on a line 5 mm from the axis, ledge 8 mm beyond: (1 + 5/8) of the weight."""
    half = math.degrees(math.acos(5.0 / 13.0))
    shares = hanging_shares(around(-half, half), RIM, 2.0)
    assert shares == pytest.approx([1.0 + 5 / 8] * 2, rel=1e-3)


def test_hooks_on_one_side_without_a_ledge_beyond_do_not_hold():
    assert hanging_shares(around(-20, 20), around(90, 180, 270), 1.0) is None
    assert hanging_shares(around(0), RIM, 1.0) is None


def test_hook_that_would_have_to_pull_lets_go():
    """Least squares alone would have the hook at 290° pull; the other three then balance."""
    at = around(10, 45, 220, 290)
    plain = np.linalg.lstsq(np.vstack([np.ones(4), at.T]), [1.0, 0.0, 0.0], rcond=None)[0]
    assert plain.min() < 0.0
    shares = hanging_shares(at, RIM, 1.0)
    assert shares is not None
    assert shares[3] == 0.0
    assert (shares[:3] > 0.0).all()
    assert shares.sum() == pytest.approx(1.0)
    assert shares @ at == pytest.approx(np.zeros(2), abs=1e-6)
