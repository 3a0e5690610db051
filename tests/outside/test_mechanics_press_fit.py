"""Interference fits against two textbook problems and the thick-cylinder equations."""

import math

import pytest
from scipy.integrate import solve_bvp

from nests.mechanics.press_fit import PressFit
from tests.outside.mechanics_known import collapse_pressure, hoop_stress, push_out_force_most


def steel(**more):
    values = {
        "interference": 0.020, "bore": 25.0, "outer": 50.0, "length": 20.0, "friction": 0.12,
        "modulus": 210e3, "poisson": 0.3, "pin_modulus": 210e3, "pin_poisson": 0.3,
    }  # fmt: skip
    return PressFit(**{**values, **more})


def test_steel_pin_in_a_steel_hub():
    """Any machine-design text: 25.020 in 25.000, hub 50, L 20, µ .12: 63.0 MPa, 11.875 kN."""
    fit = steel()
    assert fit.pressure == pytest.approx(63.0, abs=0.05)
    assert fit.push_out_force == pytest.approx(11875, abs=5)
    assert not fit.yields


def test_aluminium_on_aluminium():
    """Textbook problem: 30/55, δ .10, E 69 GPa: 80.8 MPa, hoop stress 149.2 MPa."""
    fit = steel(interference=0.1, bore=30.0, outer=55.0, modulus=69e3, pin_modulus=69e3)
    assert fit.pressure == pytest.approx(80.8, abs=0.05)
    assert hoop_stress(fit) == pytest.approx(149.2, abs=0.05)


def test_hollow_pin_in_another_material_closes_the_interference():
    """Lamé's equation (r σ_r)' = σ_θ solved numerically: ring grows and pin shrinks by δ."""

    def growth(inner, outer, modulus, poisson, pressure_in, pressure_out, at):
        # unknowns u, σ_r in plane stress; σ_θ = E u/r + ν σ_r
        def slope(r, y):
            hoop = modulus * y[0] / r + poisson * y[1]
            return [(y[1] - poisson * hoop) / modulus, (hoop - y[1]) / r]

        r = [inner + (outer - inner) * i / 50 for i in range(51)]
        answer = solve_bvp(
            slope,
            lambda a, b: [a[1] + pressure_in, b[1] + pressure_out],
            r,
            [[0.0] * 51, [0.0] * 51],
            tol=1e-9,
        )
        return float(answer.sol(at)[0])

    fit = steel(hollow=10.0, pin_modulus=110e3, pin_poisson=0.34)
    p = fit.pressure
    ring = growth(12.5, 25.0, 210e3, 0.3, p, 0.0, 12.5)
    pin = growth(5.0, 12.5, 110e3, 0.34, 0.0, p, 12.5)
    assert 2 * (ring - pin) == pytest.approx(0.020, rel=1e-5)


def test_jewel_in_thin_brass_is_capped_by_yield():
    """Plane stress at the bore of a wide plate: hoop p, radial -p, von Mises p√3 = σ."""
    fit = steel(
        interference=0.010, bore=1.2, outer=400.0, length=0.3, friction=0.15, modulus=97e3,
        poisson=0.31, pin_modulus=380e3, pin_poisson=0.25, yield_strength=200.0,
    )  # fmt: skip
    assert fit.elastic_pressure > 200
    assert fit.yields
    assert fit.pressure == pytest.approx(200 / math.sqrt(3), rel=1e-4)
    assert fit.push_out_force == pytest.approx(
        0.15 * 200 / math.sqrt(3) * math.pi * 1.2 * 0.3, rel=1e-4
    )
    # Tresca, wide plate in plane stress: no pressure beyond the yield strength itself
    assert push_out_force_most(fit) == pytest.approx(0.15 * 200 * math.pi * 1.2 * 0.3)


def test_von_mises_stress_at_the_cap_is_the_yield_strength():
    fit = steel(interference=1.0, yield_strength=350.0)
    hoop, radial = hoop_stress(fit), -fit.pressure
    assert math.sqrt(hoop**2 - hoop * radial + radial**2) == pytest.approx(350.0)
    # fully plastic thick ring after Tresca: σ ln(D/d)
    assert collapse_pressure(fit) == pytest.approx(350 * math.log(2))


def test_clearance_holds_nothing_and_diameters_must_nest():
    assert steel(interference=-0.01).push_out_force == 0.0
    with pytest.raises(ValueError, match="hollow < bore < outer"):
        steel(outer=20.0)
