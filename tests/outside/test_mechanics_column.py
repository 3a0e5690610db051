"""Columns against Gere and a machine-design text."""

import math

import pytest

from nests.mechanics.column import (
    Section,
    Segment,
    bearing_pressure,
    euler_load,
    johnson_load,
    long_term,
)
from tests.outside.mechanics_known import gyration, switch_slenderness

TUBE = Section(40.0, 36.0)


def test_steel_tube():
    """J. M. Gere, Mechanics of Materials, problem 11.4-2: tube 40/36, 1.2 m, E 210 GPa, fixed at
    its foot and free: 15.6 kN, as many digits as printed."""
    load = euler_load(Segment(1200.0, TUBE, 210e3)) / 1000
    assert load == pytest.approx(15.6, abs=0.051)


def test_johnson_gives_way_to_euler():
    """Machine-design text: σy 48 ksi (E 30 Msi): at L/k 111."""
    assert switch_slenderness(30e3, 48.0) == pytest.approx(111, abs=0.5)
    post, strength = Section(2.0), 79.0
    switch = switch_slenderness(2200.0, strength) * gyration(post)
    squash = post.area * strength
    below, above = (
        johnson_load(squash, math.pi**2 * 2200.0 * post.second_moment / (switch * s) ** 2)
        for s in (1 - 1e-9, 1)
    )
    assert below == pytest.approx(above, rel=1e-6)
    assert above == pytest.approx(squash / 2)
    assert johnson_load(squash, 1e12 * squash) == pytest.approx(squash)
    assert johnson_load(squash, 0.4 * squash) == pytest.approx(0.4 * squash)


def test_shortening():
    """F L/(E A)."""
    assert 1 / Segment(6.0, Section(2.0), 2200.0).compliance == pytest.approx(2200 * math.pi / 6)


def test_pressure_and_creep():
    assert bearing_pressure(30.0, Section(1.2)) == pytest.approx(30 / (math.pi * 0.36))
    assert bearing_pressure(30.0, Section(1.2, 0.4)) == pytest.approx(30 / (math.pi * 0.32))
    assert long_term(2200.0, 0.4) == 880.0
    with pytest.raises(ValueError, match="between 0 and 1"):
        long_term(2200.0, 40.0)
    with pytest.raises(ValueError, match="inner < outer"):
        Section(1.0, 1.0)
