"""The pose of printing against closed forms and scipy's rotations.

Volumes, areas and heights are those of the prism on a regular polygon of N sides, worked out below;
rotations are compared with `scipy.spatial.transform.Rotation` (J. Diebel, "Representing attitude",
Stanford 2006, gives the same matrices).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from manifold3d import Manifold
from scipy.spatial.transform import Rotation

from nests.checks import judge
from nests.finding import Grade
from nests.given.printer_card import PrinterCard
from nests.printing.pose import FLAT, Pose, facing_down, inverse, laid, moved
from nests.printing.search import COARSE, UNTOUCHED, candidates, search
from nests.solids.solid import triangles
from nests.study import Study

CARD = PrinterCard()
SIDES = 128
EDGE = Pose(lean=90.0)
UPSIDE_DOWN = Pose(lean=180.0)
ON_SUPPORTS = Pose(lift=5.0)

angles = some.builds(
    Pose,
    turn=some.floats(0.0, 360.0),
    lean=some.floats(0.0, 180.0),
    lift=some.floats(0.0, 20.0),
)


def polygon(radius: float) -> float:
    """Area of a regular polygon of `SIDES` inscribed in a circle."""
    return SIDES / 2 * radius**2 * math.sin(2 * math.pi / SIDES)


def rod(radius: float, height: float) -> Manifold:
    return Manifold.cylinder(height, radius, radius, SIDES)


def tube(inner: float = 4.0, outer: float = 6.0, height: float = 5.0) -> Manifold:
    return rod(outer, height) - rod(inner, height + 2.0).translate((0.0, 0.0, -1.0))


def found(study: Study, check: str):
    (first, *_) = judge(study, (check,))
    return first


# --- the matrix -----------------------------------------------------------------------------


@given(angles)
def test_rotation_is_that_of_scipy_and_orthonormal(pose):
    turn = Rotation.from_euler("z", pose.turn, degrees=True)
    lean = Rotation.from_euler("x", pose.lean, degrees=True)
    mine = pose.rotation()
    assert mine == pytest.approx((lean * turn).as_matrix(), abs=1e-12)
    assert mine @ mine.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(mine) == pytest.approx(1.0, abs=1e-12)  # no mirror


@given(angles)
def test_there_and_back_and_the_lowest_point_at_its_height(pose):
    corners = triangles(tube()).vertices
    matrix = pose.matrix(corners)
    printed = moved(matrix, corners)
    assert printed[:, 2].min() == pytest.approx(pose.lift, abs=1e-9)
    assert moved(inverse(matrix), printed) == pytest.approx(corners, abs=1e-9)


def test_as_used_is_the_identity_to_the_bit():
    corners = triangles(tube()).vertices
    assert np.array_equal(FLAT.matrix(corners), np.eye(4))
    assert np.array_equal(moved(FLAT.matrix(corners), corners), corners)
    solid = tube()
    assert laid(solid, FLAT.matrix(corners)) is solid


@pytest.mark.parametrize("turn", [0.0, 90.0, 180.0, 270.0, 360.0])
@pytest.mark.parametrize("lean", [0.0, 90.0, 180.0])
def test_quarter_turns_are_exact(turn, lean):
    mine = Pose(turn=turn, lean=lean).rotation()
    assert np.array_equal(mine, np.rint(mine))


@given(some.floats(-1.0, 1.0), some.floats(0.0, 2 * math.pi))
def test_any_direction_can_be_brought_down(z, around):
    flat = math.sqrt(1.0 - z * z)
    direction = np.array((flat * math.cos(around), flat * math.sin(around), z))
    # angles are kept to a thousandth of a degree
    down = facing_down(direction).rotation() @ direction
    assert down == pytest.approx([0.0, 0.0, -1.0], abs=2e-5)


# --- what changes with the pose -------------------------------------------------------------


def test_tube_flat_is_a_cup_lifted_and_on_edge_it_is_none():
    """Flat, the plate closes the bore: volume N/2·r²·sin(2π/N)·h."""
    cup = found(Study(tube(), CARD), "suction")
    assert cup.grade is Grade.STOP
    assert cup.value == pytest.approx(polygon(4.0) * 5.0, rel=1e-9)
    assert cup.place == pytest.approx((0.0, 0.0, 2.5), abs=1e-3)
    for pose in (ON_SUPPORTS, EDGE):
        none = found(Study(tube(), CARD, pose=pose), "suction")
        assert none.grade is Grade.CLEAR
        assert none.value == 0.0
    over = found(Study(tube(), CARD, pose=UPSIDE_DOWN), "suction")
    assert over.value == pytest.approx(cup.value, rel=1e-9)


def test_cup_opens_to_the_film_upright_and_to_the_plate_upside_down():
    """Blind bore r 4 × 4 from the top of a rod: a cup upright; closed by the plate upside down."""
    solid = rod(6.0, 5.0) - rod(4.0, 5.0).translate((0.0, 0.0, 1.0))
    volume = polygon(4.0) * 4.0
    assert found(Study(solid, CARD), "suction").value == pytest.approx(volume, rel=1e-9)
    over = Study(solid, CARD, pose=UPSIDE_DOWN)
    closed = found(over, "trapped resin")
    assert closed.grade is Grade.MEND
    assert closed.value == pytest.approx(volume, rel=1e-9)
    assert closed.place == pytest.approx((0.0, 0.0, 3.0), abs=1e-3)  # told in use
    lifted = Study(solid, CARD, pose=replace(UPSIDE_DOWN, lift=5.0))
    assert found(lifted, "trapped resin").grade is Grade.CLEAR
    assert found(lifted, "suction").grade is Grade.CLEAR


@pytest.mark.parametrize("layer", [0.02, 0.05])
def test_rod_on_edge_needs_support_from_a_quarter_of_its_circle(layer):
    """A rod of radius r lying on the plate leans beyond 45° below r·sin 45° from its middle.

    So its undersides run from the plate up over r·(1 - cos 45°), and out to r·sin 45° each side.
    """
    radius, long = 5.0, 8.0
    study = Study(rod(radius, long), replace(CARD, layer=layer), pose=EDGE)
    assert found(study, "overhang").grade is Grade.STOP
    (group,) = [each for each in study.overhangs if max(o.area for o in each) > 0.1][:1]
    highest = max(each.layer for each in group) * layer
    assert highest == pytest.approx(radius * (1.0 - math.cos(math.pi / 4)), abs=4 * layer)
    figures = {f.pose: f for f in search(study.solid, CARD, UNTOUCHED).ranking}
    assert not figures[FLAT].undersides
    assert found(Study(study.solid, CARD), "overhang").grade is Grade.CLEAR


def test_undersides_of_a_lying_rod_by_the_triangles():
    """Seen from below: 2·r·sin 45°·length, less the facet on the plate; one facet either way."""
    radius, long = 5.0, 8.0
    solid = rod(radius, long)
    lying = next(
        f for f in search(solid, CARD, UNTOUCHED).ranking
        if f.pose.lean == pytest.approx(90.0) and not f.pose.on_supports
    )  # fmt: skip
    facet = 2.0 * radius * math.sin(math.pi / SIDES) * long
    wanted = 2.0 * radius * math.sin(math.pi / 4) * long - facet
    assert lying.undersides == pytest.approx(wanted, abs=2.0 * facet)


@pytest.mark.parametrize(
    ("pose", "height"),
    [(FLAT, 3.0), (UPSIDE_DOWN, 3.0), (EDGE, 20.0), (Pose(turn=90.0, lean=90.0), 10.0),
     (ON_SUPPORTS, 8.0), (Pose(lean=30.0), 20.0 * 0.5 + 3.0 * math.sqrt(3.0) / 2.0)],
)  # fmt: skip
def test_height_of_a_box(pose, height):
    """A box a × b × c tipped by t about the edge a is b·sin t + c·cos t high."""
    study = Study(Manifold.cube((10.0, 20.0, 3.0)), CARD, pose=pose)
    assert len(study.layers.heights) == round(height / CARD.layer)
    printed = moved(study.to_print, study.mesh.vertices)
    assert printed[:, 2].max() == pytest.approx(height, abs=1e-12)


def test_size_is_that_of_the_pose():
    low = replace(CARD, build_z=15.0)
    box = Manifold.cube((10.0, 20.0, 3.0))
    for pose, grade in ((FLAT, Grade.CLEAR), (EDGE, Grade.STOP), (Pose(lift=13.0), Grade.STOP)):
        size = judge(Study(box, low, pose=pose), ("soundness",))
        assert {f.grade for f in size if f.unit == "mm"} == {grade}


def test_foot_is_judged_where_it_lies_on_the_plate():
    """Chamfer of 0.5 at z = 0 only: a foot as used, none upside down, none on supports."""
    solid = Manifold.cylinder(0.5, 5.5, 6.0, SIDES) + rod(6.0, 4.5).translate((0.0, 0.0, 0.5))
    assert found(Study(solid, CARD), "foot").grade is Grade.CLEAR
    over = found(Study(solid, CARD, pose=UPSIDE_DOWN), "foot")
    assert over.grade is Grade.MEND
    assert over.place[2] == pytest.approx(5.0)  # the upper edge in use lies on the plate
    up = found(Study(solid, CARD, pose=ON_SUPPORTS), "foot")
    assert up.grade is Grade.CLEAR
    assert up.value is None


def test_what_hangs_on_supports_is_unknown_not_clear():
    study = Study(tube(), CARD, pose=ON_SUPPORTS)
    begins = found(study, "island")
    assert begins.grade is Grade.UNKNOWN
    assert begins.value == pytest.approx(polygon(6.0) - polygon(4.0), rel=1e-9)


def test_pin_that_hangs_is_an_island_only_one_way_up():
    """A table: plate above, leg below; a pin hangs beside the leg, 2 mm short of the plate."""
    solid = Manifold.cube((20.0, 6.0, 2.0)).translate((0.0, 0.0, 6.0))
    solid += Manifold.cube((6.0, 6.0, 6.5)) + Manifold.cube((2.0, 2.0, 4.5)).translate((15, 2, 2))
    down = found(Study(solid, CARD), "island")
    assert down.grade is Grade.STOP
    assert down.place == pytest.approx((16.0, 3.0, 2.025), abs=1e-3)
    assert found(Study(solid, CARD, pose=UPSIDE_DOWN), "island").grade is Grade.CLEAR


# --- the search -----------------------------------------------------------------------------


def test_mushroom_is_printed_on_its_cap():
    solid = rod(3.0, 10.0) + rod(9.0, 2.0).translate((0.0, 0.0, 9.0))
    assert found(Study(solid, CARD), "overhang").grade is Grade.STOP
    best = search(solid, CARD, UNTOUCHED).best
    assert best.pose == UPSIDE_DOWN
    assert best.carries
    assert found(Study(solid, CARD, pose=best.pose), "overhang").grade is Grade.CLEAR


def test_wedge_is_laid_on_the_face_it_can_stand_on():
    """A wedge on its edge: no side is level, so it must be turned onto one of them."""
    across = math.radians(35.0)
    solid = Manifold.hull_points(
        [(x, y, z) for x in (0.0, 12.0) for y, z in ((0.0, 0.0), (-3.0, 9.0), (6.0, 7.0))]
    ).rotate((0.0, 0.0, math.degrees(across)))
    best = search(solid, CARD, UNTOUCHED).best
    assert not best.stopped(CARD)
    assert not best.pose.on_supports
    corners = triangles(solid).vertices
    on_plate = moved(best.pose.matrix(corners), corners)[:, 2] < 2e-3
    assert on_plate.sum() >= 3


def test_with_nothing_to_choose_it_stays_as_used():
    cube = Manifold.cube((8.0, 8.0, 8.0))
    assert search(cube, CARD, UNTOUCHED).best.pose == FLAT


def test_search_is_deterministic_and_says_its_layer():
    solid = tube() + Manifold.cube((9.0, 2.0, 4.0))
    one, two = search(solid, CARD), search(solid, CARD)
    assert one == two
    assert one.layer == COARSE
    assert f"layers of {COARSE:g} mm" in one.words()
    assert one.after(one.best).words() in one.words()


def test_candidates_differ():
    turned = [pose.rotation()[2] for pose in candidates(tube()) if not pose.on_supports]
    apart = np.array(turned) @ np.array(turned).T - np.eye(len(turned))
    assert apart.max() < math.cos(math.radians(9.0))


@pytest.mark.parametrize("lean", [0.0, 30.0, 60.0, 75.0, 90.0])
def test_stair_step_of_a_face_that_leans(lean):
    """Steps of layer·cos(lean) square to the face; none on an upright one."""
    figures = {f.pose: f for f in search(tube(), CARD).ranking}
    for pose, each in figures.items():
        up = pose.rotation()[2, 2]
        wanted = 0.0 if abs(abs(up) - 1.0) < 1e-6 else CARD.layer * abs(up)
        assert each.step == pytest.approx(wanted, abs=1e-9)
        assert each.hidden == (up < -1e-6)
    wide = Study(tube(), CARD, pose=Pose(lean=lean))
    assert wide.to_print[2, 2] == pytest.approx(math.cos(math.radians(lean)), abs=1e-12)
