"""Hertz contact against two benchmark cases and Boussinesq's half-space, integrated numerically."""

import math

import pytest
from scipy.integrate import quad
from scipy.special import ellipe, ellipk

from nests.mechanics.hertz import ball_on_flat, contact_modulus, cylinder_on_flat


def test_ball_on_a_rigid_flat():
    """Textbook exercise (read): r 8 mm, F 30·2π N, E 1000 N/mm², ν .3 on rigid: a = 1.010 mm."""
    contact = ball_on_flat(60 * math.pi, 8.0, contact_modulus(1000.0, 0.3, math.inf, 0.3))
    assert contact.half_width == pytest.approx(1.010, abs=5e-4)


def test_steel_roller_on_an_aluminium_block():
    """NAFEMS, Advanced Finite Element Contact Benchmarks (2006), case 1, from memory.

    Radius 50 mm, 35 kN on 1 mm, E 210 and 70 GPa, ν .3: half width 6.21 mm, 3585 MPa.
    """
    contact = cylinder_on_flat(35e3, 50.0, 1.0, contact_modulus(210e3, 0.3, 70e3, 0.3))
    assert contact.half_width == pytest.approx(6.21, abs=6e-3)
    assert contact.peak_pressure == pytest.approx(3585, abs=1.0)
    assert contact.mean_pressure * 2 * contact.half_width == pytest.approx(35e3)


def test_ball_pressure_carries_the_load_and_fits_the_ball():
    """Under p₀√(1 - r²/a²) a half-space (Boussinesq) sinks by approach - r²/2R inside a."""
    force, radius, modulus = 20.0, 2.0, 5000.0
    contact = ball_on_flat(force, radius, modulus)
    a, peak = contact.half_width, contact.peak_pressure

    def pressure(r):
        return peak * math.sqrt(max(0.0, 1 - (r / a) ** 2))

    assert quad(lambda r: 2 * math.pi * r * pressure(r), 0, a)[0] == pytest.approx(force)

    def sinking(s):
        # a ring of pressure at r sinks the surface at s by 4 r p K(m) dr/(π E* (r + s))
        def ring(r):
            return 4 * r * pressure(r) * ellipk(4 * r * s / (r + s) ** 2) / (math.pi * (r + s))

        return quad(ring, 0, a, points=[s] if s else None, limit=200)[0] / modulus

    for s in (0.0, 0.4 * a, 0.9 * a):
        fitted = contact.approach - s**2 / (2 * radius)
        assert sinking(s) == pytest.approx(fitted, rel=1e-4)


def test_largest_shear_of_ball_and_roller():
    """Johnson, eqs 3.45 and 4.45: stresses on the axis, searched for their largest shear, ν .3."""
    ball = ball_on_flat(20.0, 2.0, 5000.0)

    def ball_shear(z):
        radial = -1.3 * (1 - z * math.atan(1 / z)) + 0.5 / (1 + z * z)
        return 0.5 * abs(radial + 1 / (1 + z * z))

    depths = [i / 1000 for i in range(1, 2000)]
    best = max(depths, key=ball_shear)
    assert ball.shear == pytest.approx(ball_shear(best) * ball.peak_pressure, rel=5e-3)
    assert ball.shear_depth == pytest.approx(best * ball.half_width, rel=2e-2)
    roller = cylinder_on_flat(20.0, 2.0, 3.0, 5000.0)

    def roller_shear(z):
        return z - z * z / math.sqrt(1 + z * z)

    best = max(depths, key=roller_shear)
    assert roller.shear == pytest.approx(roller_shear(best) * roller.peak_pressure, rel=5e-3)
    assert roller.shear_depth == pytest.approx(best * roller.half_width, rel=1e-2)
    assert ellipe(0) == pytest.approx(math.pi / 2)
