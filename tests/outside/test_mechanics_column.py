"""Columns against Gere, a machine-design text, and eigenvalues of a discretised beam-column."""

import math

import numpy as np
import pytest
from scipy.linalg import eigh

from nests.mechanics.arrays import Floats
from nests.mechanics.column import (
    Section,
    Segment,
    bearing_pressure,
    foot_compliance,
    frustum,
    johnson_load,
    long_term,
    series_stiffness,
    stepped_euler_load,
)
from tests.outside.mechanics_known import gyration, switch_slenderness

TUBE = Section(40.0, 36.0)


def test_steel_tube():
    """J. M. Gere, Mechanics of Materials, problem 11.4-2: tube 40/36, 1.2 m, E 210 GPa, fixed at
    its foot and free: 15.6 kN, as many digits as printed."""
    load = stepped_euler_load([Segment(1200.0, TUBE, 210e3)]) / 1000
    assert load == pytest.approx(15.6, abs=0.051)


def eigenvalue(bending: Floats, bottom: str, top: str) -> float:
    """Load at which a column of length 1 with a bending stiffness by elements buckles: Hermite beam
    elements with geometric stiffness (any finite-element text)."""
    n = len(bending)
    h = 1 / n
    stiff, geometric = np.zeros((2, 2 * n + 2, 2 * n + 2))
    k = (
        np.array(
            [
                [12, 6 * h, -12, 6 * h],
                [6 * h, 4 * h * h, -6 * h, 2 * h * h],
                [-12, -6 * h, 12, -6 * h],
                [6 * h, 2 * h * h, -6 * h, 4 * h * h],
            ]
        )
        / h**3
    )
    g = np.array(
        [
            [36, 3 * h, -36, 3 * h],
            [3 * h, 4 * h * h, -3 * h, -h * h],
            [-36, -3 * h, 36, -3 * h],
            [3 * h, -h * h, -3 * h, 4 * h * h],
        ]
    ) / (30 * h)
    for e in range(n):
        part = slice(2 * e, 2 * e + 4)
        stiff[part, part] += bending[e] * k
        geometric[part, part] += g
    held = {"pinned": [0], "fixed": [0, 1], "free": []}
    gone = held[bottom] + [2 * n + i for i in held[top]]
    keep = np.setdiff1d(np.arange(2 * n + 2), gone)
    return float(eigh(stiff[np.ix_(keep, keep)], geometric[np.ix_(keep, keep)])[0][0])


@pytest.mark.parametrize("steps", [(1.0,), (3.0, 1.0), (1.0, 3.0), (9.0, 3.0, 1.0), (1.0, 0.1)])
def test_stepped_column_holds_at_least_what_is_said(steps: tuple[float, ...]) -> None:
    """Equal lengths of other second moments, from the foot up, against eigenvalues."""
    parts = [
        Segment(1.0 / len(steps), Section(each**0.25 * (64 / math.pi) ** 0.25), 1.0)
        for each in steps
    ]
    real = eigenvalue(np.repeat(steps, 24 // len(steps)), "fixed", "free")
    said = stepped_euler_load(parts)
    assert 0.75 * real < said <= real * (1 + 1e-6)
    if len(steps) == 1:
        assert said == pytest.approx(real, rel=1e-5)


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


def test_springs_in_series():
    """E A / L each, reciprocals add; the post of the trial table: 1152 N/mm."""
    printed = Segment(6.0, Section(2.0), 2200.0)
    assert series_stiffness([printed]) == pytest.approx(2200 * math.pi / 6)
    pin = Segment(3.0, Section(1.0), 97e3)
    both = 1 / (6 / (2200 * math.pi) + 3 / (97e3 * math.pi / 4) + 1e-4)
    assert series_stiffness([printed, pin], more_compliance=1e-4) == pytest.approx(both)


def test_foot_on_a_thick_floor():
    """K. L. Johnson, Contact Mechanics, 3.4: F = 2 a E* δ for a rigid flat punch."""
    force, diameter, modulus, poisson = 30.0, 3.0, 2200.0, 0.4
    sinking = force / (2 * diameter / 2 * modulus / (1 - poisson**2))
    assert force * foot_compliance(diameter, modulus, poisson) == pytest.approx(sinking)


def test_foot_on_a_floor_as_thick_as_its_radius():
    """G. Gazetas, Soil Dynamics and Earthquake Engineering 2 (1983), circular foundation on a
    stratum: 4 G R/(1 - ν) (1 + 1.28 R/H); the factor is from memory."""
    radius, modulus, poisson = 1.5, 1660.0, 0.38
    stiffness = 4 * modulus / (2 * (1 + poisson)) * radius / (1 - poisson)
    for height in (1.5, 2.0, 30.0):
        layer = 1 / foot_compliance(2 * radius, modulus, poisson, height)
        assert layer == pytest.approx(stiffness * (1 + 1.28 * radius / height))


@pytest.mark.parametrize(("narrow", "wide"), [(1.0, 1.02), (1.0, 3.0), (2.0, 2.0)])
def test_frustum(narrow: float, wide: float) -> None:
    """By plane sections, as where a bore leads the force to a ring, the integral of dz/(E A); a
    solid one shortens more by the ratio of disc and spherical cap, integrated about the apex."""
    z = np.linspace(0.0, 2.0, 20001)
    across = narrow + (wide - narrow) * z / 2.0
    plane = float(np.trapezoid(1 / (1660.0 * math.pi / 4 * across**2), z))
    cylinder = frustum(2.0, narrow, wide, 1660.0, 0.5)
    assert cylinder.section == Section(math.sqrt(narrow * wide), 0.5)
    assert cylinder.length / (1660.0 * cylinder.section.outer**2 * math.pi / 4) == pytest.approx(
        plane, rel=1e-6
    )
    angle = math.atan((wide - narrow) / 4.0)
    turned = np.linspace(0.0, angle, 20001)
    cap = np.trapezoid(2 * math.pi * np.sin(turned), turned)
    more = math.pi * math.tan(angle) ** 2 / cap if angle else 1.0
    assert frustum(2.0, narrow, wide, 1660.0, 0.0).compliance == pytest.approx(
        plane * more, rel=1e-6
    )


def test_pressure_and_creep():
    assert bearing_pressure(30.0, Section(1.2)) == pytest.approx(30 / (math.pi * 0.36))
    assert bearing_pressure(30.0, Section(1.2, 0.4)) == pytest.approx(30 / (math.pi * 0.32))
    assert long_term(2200.0, 0.4) == 880.0
    with pytest.raises(ValueError, match="between 0 and 1"):
        long_term(2200.0, 40.0)
    with pytest.raises(ValueError, match="inner < outer"):
        Section(1.0, 1.0)
