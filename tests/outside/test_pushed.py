"""Pushers as loads from the side, as the check reports them, against statics by hand.

Moments about an edge and Coulomb friction: J. L. Meriam, L. G. Kraige, *Engineering Mechanics:
Statics*, chapters 3 and 6 (known formulas, from memory).
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from nests.checks.bench._sideways import Push, alone, balance
from nests.checks.bench.steady import check
from nests.finding import Finding, Grade
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Pusher, Sheet
from nests.given.zones import Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.mechanics.rests import support_polygon
from nests.orders.order import order
from nests.parts.body import Body
from nests.parts.finger_relief import FingerRelief
from nests.parts.ring_seat import RingSeat
from nests.places import Side
from nests.study import Study

G = 9.80665e-3  # N on a gram
MASS, RADIUS, RIM = 8.0, 13.0, 2.0
LEDGE = 13.05
"""mm from the middle to the outer side of a ledge without a groove: rim and half the play."""
WALL = 1.0
"""mm above the ledge up to which the bore of `seated` goes straight up."""


def pusher(name: str, hour: float, height: float, force: float) -> Pusher:
    """A lever at a height above the ledge."""
    return Pusher(name=name, hour=hour, depth=RIM - height, lever_radius=12.0, travel=0.5,
                  force=force)  # fmt: skip


def seated(*pushers: Pusher, friction: float = 0.3, **about: Any) -> Recipe:
    """A disc on its ledge, dial up, in a bore 1.2 mm deep of which 0.2 mm are a chamfer."""
    known = {"mass": MASS, "dial_height": 0.5, "rim": RIM, **about}
    sheet = Sheet(name="disc", outline=Round(diameter=2 * RADIUS), bridge_height=1.5,
                  pushers=pushers, **known)  # fmt: skip
    return Recipe(
        name="seated", workpiece=sheet, body=Body(under=3.0, depth=1.2),
        printer=PrinterCard(friction=friction),
        operation=Operation(name="zero test", side_up=Side.DIAL, pushers=True),
        parts=(RingSeat(lead_in=0.2, corner_relief=0.0),),
    )  # fmt: skip


def found(recipe: Recipe) -> list[Finding]:
    return [f for f in check(Study.of(compose(recipe))) if " pushed " in f.says]


def of(body: str, recipe: Recipe, names: str = "'one' pushed with") -> Finding:
    (finding,) = [f for f in found(recipe) if (body in f.says) and f.says.startswith(names)]
    return finding


def test_a_lever_above_the_wall_lifts_less_than_the_weight() -> None:
    """F e against W a: e = 0.5 mm above the wall, to 0.02 mm; 8 g on 13 mm hold 1.02 N mm."""
    finding = of("workpiece", seated(pusher("one", 3.0, WALL + 0.5, 1.0)))
    assert finding.value == pytest.approx(0.5, abs=0.05)
    assert finding.limit == pytest.approx(MASS * G * 13.0, rel=0.01)
    assert finding.grade is Grade.CLEAR
    assert "push level" not in finding.says


@pytest.mark.parametrize(
    ("above", "force", "grade"),
    [(0.5, 60.0, Grade.CLEAR), (2.4, 20.0, Grade.CLEAR), (2.57, 20.0, Grade.MEND),
     (2.7, 20.0, Grade.STOP)],
)  # fmt: skip
def test_the_peg_holds_its_lever_down_so_far(above: float, force: float, grade: Grade) -> None:
    """F e against W a + 0.1 F (12 + a): 20 N and 8 g are in balance at e = 0.1 (12 + 13) + 0.05.

    Near that, 0.07 mm of measuring and print decide.
    """
    recipe = seated(pusher("one", 3.0, WALL + above, force), dial_height=4.0, uncertainty=0.04)
    finding = of("workpiece", recipe)
    assert finding.grade is grade
    assert finding.value == pytest.approx(above * force, abs=0.05 * force)
    by_hand = MASS * G * 13.0 + 0.1 * force * (12.0 + 13.0)
    if above > 1.0:
        assert finding.limit == pytest.approx(by_hand, rel=0.01)
    words = {Grade.CLEAR: "push level", Grade.MEND: "may lift", Grade.STOP: "tips out of its seat"}
    assert words[grade] in finding.says


@pytest.mark.parametrize("height", [0.1, 0.5, 0.95])
def test_a_lever_as_high_as_the_wall_lifts_nothing(height: float) -> None:
    finding = of("workpiece", seated(pusher("one", 7.3, height, 60.0)))
    assert finding.grade is Grade.CLEAR
    assert finding.value == pytest.approx(0.0, abs=1e-6)
    assert "opposite, at 1.3 h" in finding.says


@pytest.mark.parametrize(
    ("friction", "force", "grade"),
    [(0.3, 60.0, Grade.CLEAR), (0.02, 3.0, Grade.CLEAR), (0.02, 8.0, Grade.STOP)],
)
def test_friction_on_the_wall_holds_what_a_low_lever_would_lift(
    friction: float, force: float, grade: Grade
) -> None:
    """F e against W a + µ F (R + a): e = 0.8 mm below the ledge, R + a = 26 mm.

    Where that does not do, the lever, 1 mm inside the edge it tips over, rises against its peg.
    """
    recipe = seated(pusher("one", 3.0, -0.8, force), friction=friction)
    finding = of("workpiece", recipe)
    assert finding.grade is grade
    if friction < 0.1:
        assert finding.value == pytest.approx(0.8 * force, abs=0.05 * force)
        by_hand = MASS * G * 13.0 + friction * force * 26.0
        by_hand += 0.1 * force * (13.0 - 12.0) * (grade is Grade.STOP)
        assert finding.limit == pytest.approx(by_hand, rel=0.01)


def test_two_pushers_together_push_as_their_resultant() -> None:
    """At 2 and 4 h, 60° apart: 2 F cos 30° e, against W a + 2 µ F (12 cos 30° + a). At e = 3.4 mm
    each of 1 N alone stays, and both at once are to mend."""
    pair = (("one", 2.0), ("two", 4.0))
    two = [replace(pusher(n, h, 0.0, 1.0), depth=3.0 - (WALL + 3.44)) for n, h in pair]
    recipe = seated(*two, dial_height=4.0, uncertainty=0.001, rim=3.0)
    (both,) = [f for f in found(replace(recipe, printer=PrinterCard(scatter=0.001)))
               if "workpiece" in f.says]  # fmt: skip
    assert both.says.startswith("'one' and 'two' pushed together with 1 and 1 N")
    half = math.cos(math.radians(30))
    assert both.value == pytest.approx(2 * half * 3.4, rel=0.02)
    assert both.limit == pytest.approx(MASS * G * 13.0 + 2 * 0.1 * (12.0 * half + 13.0), rel=0.02)
    assert "at 9.0 h" in both.says
    assert both.grade is Grade.MEND
    assert "one after the other" in both.says


def test_two_that_face_each_other_make_a_couple() -> None:
    """At 3 and 9 h, one 0.9 mm higher: F e, and no wall takes any of it."""
    both = Push(("one", "two"), np.array([(-4.0, 0.0), (4.0, 0.0)]), np.array([1.9, 1.0]),
                np.array([(5.0, 0.0), (-5.0, 0.0)]))  # fmt: skip
    square = support_polygon([(-5, -5), (5, -5), (5, 5), (-5, 5)])
    got = balance(both, square, 1.0, (0.0, 0.0), np.array([0.0, 3.0]), 0.3, 6.0)
    assert not got.pegs
    assert got.lifts == pytest.approx(4.0 * 0.9)
    assert got.holds == pytest.approx(1.0 * 5.0)


def test_where_no_wall_is_opposite_it_slides_out() -> None:
    """Cuts beside each other take the wall away from 7 to 11 h."""
    recipe = seated(pusher("one", 3.0, 0.5, 2.0))
    cuts = [FingerRelief(at=7.0 + 0.4 * k, width=6.0, above=0.0) for k in range(11)]
    finding = of("workpiece", replace(recipe, parts=(*recipe.parts, *cuts)))
    assert finding.grade is Grade.STOP
    assert "no wall stands opposite, at 9.0 h" in finding.says


def test_an_unweighed_workpiece_is_unknown_only_where_its_weight_counts() -> None:
    """Above e = 0.1 (12 + 13) mm the peg alone does not do."""
    high = seated(pusher("one", 3.0, WALL + 2.6, 2.0), mass=None, dial_height=4.0)
    above = of("not assessed", high, "not assessed")
    assert above.grade is Grade.UNKNOWN
    assert "weigh" in above.remedy
    assert of("workpiece", seated(pusher("one", 3.0, 0.5, 2.0), mass=None)).grade is Grade.CLEAR


def test_a_holder_on_the_bench_is_held_by_hand() -> None:
    """It slides from µ W; told, and no fault of the holder."""
    recipe = seated(pusher("one", 3.0, 0.5, 6.0))
    mesh = Study.of(compose(recipe)).mesh
    own = mesh.volume() / 1000 * PrinterCard().density * G + MASS * G
    finding = of("holder", recipe)
    assert finding.value == pytest.approx(0.3 * own, rel=1e-6)
    assert finding.grade is Grade.CLEAR
    assert "Hold the body with the other hand, opposite, at 9.0 h" in finding.says


def test_a_light_push_needs_no_hand() -> None:
    light = of("holder", seated(pusher("one", 3.0, 0.5, 0.1), friction=1.5, mass=60.0))
    assert "stands by itself" in light.says


def test_a_lever_above_its_wall_tips_the_holder_out_of_the_hand() -> None:
    """F e against W b: e = 0.5 mm above the top, b about 20.5 mm to the edge of its foot."""
    gentle, hard = (of("holder", seated(pusher("one", 3.0, 1.7, f))) for f in (2.0, 20.0))
    assert (gentle.grade, hard.grade) == (Grade.CLEAR, Grade.MEND)
    assert "no hand can hold against it" in hard.says


def test_what_stands_alone_slides_or_tips() -> None:
    """A block 10 mm square, 1 N, pushed 20 mm up: tips from W 5/20; at 10 mm slides from µ W."""
    square = support_polygon([(-5, -5), (5, -5), (5, 5), (-5, 5)])
    for high, tips in ((20.0, 0.25), (10.0, 0.5)):
        push = Push(("one",), np.array([(3.0, 0.0)]), np.array([high]), np.array([(-5.0, 0.0)]))
        assert alone(push, square, 0.0, 1.0, (0.0, 0.0), 0.3) == pytest.approx((0.3, tips))


def test_pushers_that_are_not_asked_for_are_no_loads() -> None:
    recipe = seated(pusher("one", 3.0, WALL + 0.5, 9.0))
    quiet = replace(recipe, operation=replace(recipe.operation, pushers=False))
    assert not found(quiet)


@pytest.mark.slow
@pytest.mark.parametrize("by", ["slot", "plunger"])
def test_the_family_leaves_a_wall_as_high_as_the_levers(by: str) -> None:
    """INV 30-C: both pushers at once, with 13 N, lift nothing."""
    recipe = order("chronograph", {"pushed_by": by}, sheet=Path("gallery/sheets/inv-30-c.json"),
                   operation="chronograph-hands").recipe  # fmt: skip
    assert {f.grade for f in found(recipe)} == {Grade.CLEAR}
    usual = tuple(replace(p, lead_in=0.5) if isinstance(p, RingSeat) else p for p in recipe.parts)
    assert not any("push level" in f.says for f in found(recipe))
    assert any("together" in f.says and "push level" in f.says
               for f in found(replace(recipe, parts=usual)))  # fmt: skip
