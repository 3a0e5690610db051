"""Cantilever clips against a worked case and the beam equation."""

import math

import pytest

from nests.mechanics.clip import Clip, ramp_factor

CLIP = Clip(
    length=10.0, thickness=1.5, width=4.0, modulus=1800.0, friction=0.3,
    lead_angle=math.radians(30), return_angle=math.radians(45),
)  # fmt: skip


def test_worked_clip():
    """Beam theory: L 10, h 1.5, b 4, E 1800, ε .02, µ .3, 30°: .889 mm, 5.40 N, 5.73 N."""
    y = CLIP.deflection(0.02)
    assert y == pytest.approx(0.889, abs=5e-4)
    assert CLIP.bending_force(y) == pytest.approx(5.40, abs=5e-3)
    assert CLIP.insertion_force(y) == pytest.approx(5.73, abs=5e-3)


def test_clip_is_the_end_loaded_cantilever():
    """y = P L³/(3 E I) and root strain M c/(E I), I = b h³/12 (any text on beams)."""
    y = 0.5
    force = CLIP.bending_force(y)
    inertia = 4.0 * 1.5**3 / 12
    assert force * 10**3 / (3 * 1800 * inertia) == pytest.approx(y)
    assert CLIP.strain(y) == pytest.approx(force * 10 * 0.75 / (1800 * inertia))
    assert CLIP.deflection(CLIP.strain(y)) == pytest.approx(y)


def test_friction_on_a_slope_is_an_angle_more():
    """(µ + tan)/(1 - µ tan) = tan(slope + friction angle), addition theorem."""
    for degrees in (0, 15, 45, 70):
        angle = math.radians(degrees)
        assert ramp_factor(0.3, angle) == pytest.approx(math.tan(angle + math.atan(0.3)))


def test_self_locking_begins_where_friction_and_slope_make_a_right_angle():
    limit = math.atan(1 / 0.3)
    assert math.isfinite(ramp_factor(0.3, limit - 1e-6))
    assert ramp_factor(0.3, limit + 1e-9) == math.inf
    assert ramp_factor(0.0, math.pi / 2) == math.inf
    steep = Clip(
        length=10.0, thickness=1.5, width=4.0, modulus=1800.0, friction=0.3,
        lead_angle=0.5, return_angle=math.radians(80),
    )  # fmt: skip
    assert steep.locks
    assert steep.removal_force(0.5) == math.inf
    assert not CLIP.locks
    assert CLIP.removal_force(0.5) == pytest.approx(CLIP.bending_force(0.5) * 1.3 / 0.7)
