"""Tipping and sliding, as the check reports them, against statics by hand.

Moments about an edge and Coulomb friction: J. L. Meriam, L. G. Kraige, *Engineering Mechanics:
Statics*, chapters 3 and 6 (known formulas, from memory). Volume and centre of a mesh: trimesh.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
import trimesh

from nests.checks.bench.steady import check
from nests.finding import Finding, Grade
from nests.given.operation import Operation, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Arbor, Rest, Sheet
from nests.given.zones import Disc, Ring, Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.parts.body import Body
from nests.parts.cradle import Cradle
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.places import Place, Side, at_hour
from nests.study import Study

G = 9.80665e-3  # N on a gram
RADIUS, TIP, MASS = 7.0, 2.0, 8.0  # posts at 7 mm, tips of 2 mm, 8 g


def three_posts(*presses: Press, arbors: tuple[Arbor, ...] = (), **sheet: Any) -> Recipe:
    """Workpiece of 26 mm on three posts at 2, 6 and 10 h, dial up; the ledge lies lower."""
    rests = tuple(
        Rest(name=f"rest {h}", side=Side.BRIDGE, height=0.0,
             zone=Disc(centre=at_hour(h, RADIUS), diameter=3.0))
        for h in (2, 6, 10)
    )  # fmt: skip
    about = {"mass": MASS, **sheet}
    workpiece = Sheet(
        name="disc", outline=Round(diameter=26.0), rim=2.0, dial_height=1.0, rests=rests,
        arbors=arbors, **about,
    )  # fmt: skip
    posts = tuple(StakePost(under=rest.name, tip=TIP, shank=TIP) for rest in rests)
    return Recipe(
        name="three posts", workpiece=workpiece, body=Body(under=3.0),
        operation=Operation(name="pressing", side_up=Side.DIAL, presses=presses),
        parts=(RingSeat(drop=0.2), *posts),
    )  # fmt: skip


def found(recipe: Recipe) -> list[Finding]:
    return check(Study.of(compose(recipe)))


def one(recipe: Recipe, words: str) -> Finding:
    (finding,) = [f for f in found(recipe) if words in f.says]
    return finding


INSIDE = RADIUS * math.cos(math.radians(60)) + TIP / 2
"""Distance of the sides of the posts' hull from the middle: of a triangle grown by the tips."""


def test_workpiece_tips_over_the_side_of_its_posts():
    """Moments about a side of the hull: F (R - a) = W a."""
    finding = one(three_posts(), "the workpiece, 8 g in all")
    assert finding.value == pytest.approx(MASS * G * INSIDE / (13.0 - INSIDE), rel=3e-3)


def on_radius(radius: float, **about: Any) -> Recipe:
    """The posts at another radius."""
    recipe = three_posts(**about)
    rests = tuple(
        replace(rest, zone=Disc(centre=at_hour(h, radius), diameter=3.0))
        for rest, h in zip(recipe.workpiece.rests, (2, 6, 10), strict=True)
    )
    return replace(recipe, workpiece=replace(recipe.workpiece, rests=rests))


@pytest.mark.parametrize(
    ("radius", "mass", "grade"),
    [
        (6.5, 8.0, Grade.STOP),  # a = 4.25 mm, F = 0.49 W
        (7.0, 8.0, Grade.MEND),  # a = 4.5 mm, F = 0.53 W = 0.04 N
        (9.0, 8.0, Grade.MEND),  # a = 5.5 mm, F = 0.06 N
        (9.0, 67.0, Grade.MEND),  # F = 0.48 N
        (9.0, 71.0, Grade.CLEAR),  # F = 0.51 N
    ],
)
def test_what_a_finger_tips_rocks_and_what_half_its_weight_tips_does_not_stand(
    radius: float, mass: float, grade: Grade
) -> None:
    """F = W a/(R - a) with R = 13 mm, against 0.5 N and W/2; a = r/2 + 1 mm."""
    finding = one(on_radius(radius, mass=mass), "the workpiece, ")
    inside = radius / 2 + TIP / 2
    assert finding.value == pytest.approx(mass * G * inside / (13.0 - inside), rel=4e-3)
    assert finding.grade is grade
    if grade is not Grade.CLEAR:
        assert "rocks at a touch" in finding.says
    assert "from memory" in finding.origin


def test_a_light_workpiece_on_its_ledge_stands_as_well_as_it_can() -> None:
    """A ledge out to 12.7 mm of 13: 42 times its weight, were that 1 g only 0.4 N."""
    recipe = replace(three_posts(mass=1.0), parts=(RingSeat(),))
    finding = one(recipe, "the workpiece, ")
    assert finding.value is not None
    assert finding.value < 0.5
    assert finding.grade is Grade.CLEAR
    assert "press it there alone" in finding.says


def test_holder_tips_over_its_foot():
    """Chamfered foot: radius 20.5 mm at the plate and, half a layer up, 0.025 mm more; edge 21."""
    recipe = three_posts()
    holder = compose(recipe)
    mesh = trimesh.Trimesh(holder.mesh.vertices, holder.mesh.faces)
    own, on_it = mesh.volume / 1000 * PrinterCard().density * G, MASS * G
    x, y, _ = mesh.center_mass * own / (own + on_it)
    foot, edge = 20.525, 21.0
    by_hand = (own + on_it) * (foot - math.hypot(x, y)) / (edge - foot)
    assert one(recipe, "the holder, ").value == pytest.approx(by_hand, rel=0.02)


@pytest.mark.parametrize("force", [0.1, 0.5, 20.0])
def test_resultant_of_press_and_weight(force):
    """Varignon: a press F at r towards a side and W in the middle act at F r/(F + W)."""
    arbor = Arbor(name="arbor", at=at_hour(4.0, 3.0))  # straight over the side between 2 and 6 h
    recipe = three_posts(Press(arbor="arbor", force=force), arbors=(arbor,))
    finding = one(recipe, "the workpiece stands on")
    by_hand = INSIDE - force * 3.0 / (force + MASS * G)
    assert finding.value == pytest.approx(by_hand, abs=0.01)
    # a press 3 mm above the posts' plane, 10° out of upright, moves the resultant by 3 tan 10°
    assert finding.limit == pytest.approx(3.0 * math.tan(math.radians(10)), rel=1e-9)


@pytest.mark.parametrize(
    ("radius", "grade"), [(3.9, Grade.CLEAR), (4.2, Grade.MEND), (4.7, Grade.STOP)]
)
def test_press_beside_the_posts(radius, grade):
    arbor = Arbor(name="arbor", at=at_hour(4.0, radius))
    recipe = three_posts(Press(arbor="arbor", force=200.0), arbors=(arbor,))
    assert one(recipe, "the workpiece stands on").grade is grade


def test_most_of_a_range_of_forces_is_taken():
    arbor = Arbor(name="arbor", at=at_hour(4.0, 3.0))
    press = Press(arbor="arbor", force=5.0, most=30.0)
    assert "with 30 N" in one(three_posts(press, arbors=(arbor,)), "workpiece stands on").says


@pytest.mark.parametrize(("friction", "slides"), [(0.17, True), (0.18, False)])
def test_sliding_begins_at_the_angle_of_friction(friction, slides):
    """tan 10° = 0.1763; the weights are little beside a press of 200 N."""
    arbor = Arbor(name="arbor", at=at_hour(0.0, 0.0))
    recipe = three_posts(Press(arbor="arbor", force=200.0), arbors=(arbor,))
    recipe = replace(recipe, printer=PrinterCard(friction=friction))
    finding = one(recipe, "sideways")
    assert finding.value == pytest.approx(200.0 * math.sin(math.radians(10)))
    assert (finding.grade is Grade.MEND) is slides


def test_unweighed_workpiece_is_unknown_and_its_presses_are_not():
    arbor = Arbor(name="arbor", at=at_hour(4.0, 3.0))
    recipe = three_posts(Press(arbor="arbor", force=9.0), arbors=(arbor,), mass=None)
    unknown = one(recipe, "not assessed")
    assert unknown.grade is Grade.UNKNOWN
    assert "weigh" in unknown.remedy
    assert one(recipe, "workpiece stands on").value == pytest.approx(INSIDE - 3.0, abs=0.01)


def test_two_posts_are_not_enough():
    recipe = three_posts()
    (finding,) = [
        f for f in found(replace(recipe, parts=recipe.parts[:-1])) if f.grade is Grade.STOP
    ]
    assert "fewer than three" in finding.says


@pytest.mark.parametrize(("middle", "grade"), [((0.0, 0.0), Grade.CLEAR), ((6.5, 0.0), Grade.STOP)])
def test_a_ring_in_a_cradle_carries_as_the_ring_it_is(middle, grade):
    """One ring-shaped rest: W m / (R - m), m to the side of its hull, a chord over a drain.

    Its edge is printed 0.1 mm inside the rest; the way out for the resin is 2.6 mm wide.
    """
    ring = Rest(name="ring", side=Side.BRIDGE, height=0.2,
                zone=Ring(centre=Place(*middle), outer=12.0, inner=9.0))  # fmt: skip
    recipe = Recipe(
        name="on a ring",
        kind="sub-assembly cradle",
        workpiece=Sheet(name="disc", kind="sub-assembly", outline=Round(diameter=26.0), rim=2.0,
                        bridge_height=0.5, rests=(ring,), mass=MASS),
        body=Body(under=3.0),
        operation=Operation(name="looking", side_up=Side.DIAL),
        parts=(Cradle(inset=0.1),),
    )  # fmt: skip
    (finding,) = [f for f in found(recipe) if "workpiece" in f.says]
    assert finding.grade is grade
    to_side = math.sqrt(5.9**2 - 1.3**2)
    if grade is Grade.CLEAR:
        expected = MASS * G * to_side / (13.0 - to_side)
        assert finding.value == pytest.approx(expected, rel=2e-3)
    else:  # it lies beside its axis, and falls
        assert -finding.value == pytest.approx(6.5 - 5.9, abs=0.02)


def test_contact_that_the_solid_lacks_does_not_carry():
    """A ledge cut away but for three pads: the hull ends where the solid does."""
    whole, half = (
        replace(three_posts(), parts=(RingSeat(pads=pads, pad_width=1.0),)) for pads in (0, 3)
    )
    # three pads of the ledge, out to its groove at 0.3 mm inside the rim, at 12, 4 and 8 h
    inside = math.hypot(12.7, 0.5) * math.cos(math.radians(60) - math.atan2(0.5, 12.7))
    expected = MASS * G * inside / (13.0 - inside)
    assert one(half, "the workpiece, 8 g").value == pytest.approx(expected, rel=0.01)
    ring = MASS * G * 12.7 / 0.3
    assert one(whole, "the workpiece, 8 g").value == pytest.approx(ring, rel=0.05)
