"""Plates on one-sided supports against superposition and Timoshenko's point supports.

[T] S. Timoshenko, S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., 1959.
"""

import math
import time
from functools import cache

import numpy as np
import pytest

from nests.load_path.paths import lies_at
from nests.mechanics.carried import carry, posts, seat
from nests.mechanics.plate import circle
from tests.outside.mechanics_known import reaction_of, round_plate

RADIUS, MODULUS, FORCE = 13.0, 97000.0, 30.0


@cache
def plate(poisson=0.3, thickness=0.8, rim="free"):
    return round_plate(2 * RADIUS, thickness, MODULUS, poisson, rim=rim)


def three(radius=RADIUS):
    return posts(circle(radius, 3))


def rim(count=48, foundation=math.inf):
    return seat(circle(RADIUS, 360), count, foundation)


def test_round_plate_on_three_points_of_its_edge():
    """[T] § on plates on point supports, ν = 0.25: .0670 centre load, .0362 uniform (memory)."""
    body = plate(0.25)
    carried = carry(body, three())
    unit = body.rigidity(0.8) / (FORCE * RADIUS**2)
    centre = carried.press(body.factor.point_load((0, 0), FORCE))
    assert centre.deflection((0, 0))[0] * unit == pytest.approx(0.0670, abs=1e-4)
    evenly = carried.press(body.factor.pressure(FORCE / (math.pi * RADIUS**2)))
    assert evenly.deflection((0, 0))[0] * unit == pytest.approx(0.0362, abs=1e-4)
    assert centre.contact.reaction == pytest.approx([FORCE / 3] * 3)


def test_three_supports_carry_by_statics_alone():
    """Three reactions follow from balance: barycentric coordinates of the load, bent or not."""
    body = plate()
    corners = circle(RADIUS, 3)
    place = np.array([0.2, 0.5, 0.3]) @ corners
    pressed = carry(body, three()).press(body.factor.point_load(place, FORCE))
    assert pressed.contact.reaction == pytest.approx(FORCE * np.array([0.2, 0.5, 0.3]), rel=1e-6)


def test_plate_tips_when_pressed_outside_its_supports():
    """The triangle's side lies half a radius from the centre."""
    body = plate()
    carried = carry(body, three())
    assert not carried.press(body.factor.point_load((-0.49 * RADIUS, 0), FORCE)).tips
    tipped = carried.press(body.factor.point_load((-0.51 * RADIUS, 0), FORCE))
    assert tipped.tips
    assert np.isnan(tipped.deflection((0, 0))[0])
    # a clip across the side holds it down: lever 13.0·(0.51 - 0.5) against 13.0·(1 + 0.5)
    clipped = carry(body, three() + posts((RADIUS, 0), label="clip", above=True))
    held = clipped.press(body.factor.point_load((-0.51 * RADIUS, 0), FORCE))
    assert reaction_of(held, "clip") == pytest.approx(FORCE * 0.01 / 1.5, rel=1e-6)
    assert reaction_of(held, "post") - reaction_of(held, "clip") == pytest.approx(FORCE, rel=1e-9)


def test_rigid_seat_is_a_simply_supported_rim():
    """[T] .050501 P a²/D at the centre, ν = 0.3, by a seat of 48 one-sided springs."""
    body = plate()
    pressed = carry(body, rim()).press(body.factor.point_load((0, 0), FORCE))
    ratio = pressed.deflection((0, 0))[0] * body.rigidity(0.8) / (FORCE * RADIUS**2)
    assert ratio == pytest.approx(0.050501, rel=1e-3)


def test_elastic_seat_sinks_as_an_even_line_of_springs():
    """Centre load on an even ring of springs: F/(2π a k) more than on a rigid ring."""
    body = plate()
    load = body.factor.point_load((0, 0), FORCE)
    rigid = carry(body, rim()).press(load).deflection((0, 0))[0]
    soft = carry(body, rim(foundation=20.0)).press(load).deflection((0, 0))[0]
    sinking = FORCE / (2 * math.pi * RADIUS * 20.0)
    assert soft - rigid == pytest.approx(sinking, rel=2e-3)


def test_share_of_a_rigid_centre_post_under_a_held_rim():
    """Superposition: load at r = a/4, ν = 0.3: w(a/4)/w(0) = .869 on the post."""
    body = plate(rim="simple")
    pressed = carry(body, posts((0, 0))).press(body.factor.point_load((RADIUS / 4, 0), FORCE))
    assert reaction_of(pressed, "post") / FORCE == pytest.approx(0.869, abs=1e-3)
    # the same with a free rim between a seat and clips, both without play
    body = plate()
    ring = circle(RADIUS, 360)
    both = rim(45, 1e7) + posts(ring[::8], 1e7, label="clip", above=True) + posts((0, 0))
    clamped = carry(body, both).press(body.factor.point_load((RADIUS / 4, 0), FORCE))
    assert reaction_of(clamped, "post") / FORCE == pytest.approx(0.869, abs=2e-3)


def test_share_is_less_where_the_far_rim_may_lift():
    """Statics: with only pushes, the moment about the post must come from the loaded side.

    Reactions at most a from the post balance F·a/4, so the seat carries at least F/4.
    """
    body = plate()
    carried = carry(body, rim() + posts((0, 0)))
    pressed = carried.press(body.factor.point_load((RADIUS / 4, 0), FORCE))
    assert reaction_of(pressed, "seat") / FORCE >= 0.25
    assert reaction_of(pressed, "post") / FORCE <= 0.75
    assert not pressed.contact.carries[carried.supports.places[:, 0] < -0.5 * RADIUS].any()
    assert pressed.deflection((-RADIUS, 0))[0] < 0


def deflection(r, d, poisson=0.3):
    """[T] deflection at r from a centre load, simply supported, per newton."""
    s = r / RADIUS
    log = 2 * s**2 * math.log(s) if s else 0.0
    bent = (3 + poisson) / (1 + poisson) * (1 - s**2) + log
    return bent * RADIUS**2 / (16 * math.pi * d)


@pytest.mark.parametrize("stiffness", [300.0, 1100.0, math.inf])
@pytest.mark.parametrize("gap", [-0.01, 0.0, 0.01, 0.03, 0.2])
@pytest.mark.parametrize("r", [0.0, 4.0])
def test_elastic_post_with_gap_under_a_plate(stiffness, gap, r):
    """R = max(0, (P w_ρ - g)/(w₀ + 1/k)), superposition, within 1 %."""
    body = plate(rim="simple")
    d = body.rigidity(0.8)
    wanted = (FORCE * deflection(r, d) - gap) / (deflection(0.0, d) + 1 / stiffness)
    carried = carry(body, posts((0, 0), stiffness, gap))
    pressed = carried.press(body.factor.point_load((r, 0), FORCE))
    assert reaction_of(pressed, "post") == pytest.approx(max(0.0, wanted), rel=1e-2)
    if r == 0.0 and wanted < FORCE:
        # pressed over the post, a one-sided seat presses all round: no difference
        body = plate()
        carried = carry(body, rim() + posts((0, 0), stiffness, gap))
        pressed = carried.press(body.factor.point_load((0, 0), FORCE))
        assert reaction_of(pressed, "post") == pytest.approx(max(0.0, wanted), rel=1e-2)


def test_proud_post_lifts_the_plate_off_its_seat():
    """One proud rigid post beside the load: statics leaves the post and the far rim to carry."""
    body = plate()
    supports = rim() + posts((0, 0), gap=-0.5)
    pressed = carry(body, supports).press(body.factor.point_load((2.0, 0), FORCE))
    seat_carries = pressed.contact.carries[:-1]
    assert 0 < seat_carries.sum() < 12  # tilted: only a few springs on the loaded side
    assert supports.places[:-1][seat_carries][:, 0].min() > 0
    moments = pressed.contact.reaction @ supports.places
    assert moments == pytest.approx([2.0 * FORCE, 0.0], abs=1e-9 * FORCE * RADIUS)
    assert pressed.deflection((0, 0))[0] == pytest.approx(-0.5, abs=1e-9)


def test_balance_and_complementarity_on_a_crowded_plate():
    body = plate()
    random = np.random.default_rng(3)
    inner = posts(random.uniform(-8, 8, (6, 2)), 800.0, tuple(random.normal(size=6) * 0.02))
    supports = seat(circle(RADIUS, 360), 40, 200.0) + inner
    carried = carry(body, supports)
    for place in random.uniform(-8, 8, (10, 2)):
        pressed = carried.press(body.factor.point_load(place, FORCE))
        contact = pressed.contact
        assert (contact.reaction * contact.gap == 0).all()
        assert contact.reaction.sum() == pytest.approx(FORCE, rel=1e-9)
        error = contact.reaction @ supports.places - FORCE * place
        assert np.abs(error).max() <= 1e-9 * FORCE * RADIUS
        # the gap reported is the gap one would measure on the bent plate
        measured = (
            supports.gaps
            + supports.compliances * contact.reaction
            - pressed.deflection(supports.places)
        )
        assert np.allclose(measured, contact.gap, atol=1e-9)


def test_one_load_case_is_quick_once_the_plate_is_factored():
    body = plate()
    carried = carry(body, rim(64) + posts((4, 0), 1100.0))
    best = math.inf
    for _ in range(5):
        start = time.perf_counter()
        carried.press(body.factor.point_load((4, 0), FORCE)).deflection((4, 0))
        best = min(best, time.perf_counter() - start)
    assert best < 0.050


@pytest.mark.parametrize("hour", range(12))
def test_a_workpiece_that_rocks_lies_down_where_it_is_gauged(hour):
    """On a post h proud right under its middle, in a ledge of radius R, it leans on the ledge on
    that side: at d from the middle it lies h (1 - d/R) above the ledge. Rounding must not choose
    the side."""
    proud, off = 0.05, 4.0
    body = carry(
        round_plate(26.0, 2.0, 97000.0, 0.31),
        seat(circle(13.0, 360), 48) + posts([[0.0, 0.0]], gap=-proud),
    )
    turn = math.radians(30.0 * hour)
    lies = lies_at(body, (off * math.cos(turn), off * math.sin(turn)))
    assert lies == pytest.approx(-proud * (1 - off / 13.0), abs=2e-4)
