"""The straight line against certified values and worked examples."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from nests.statistics.line import coverage_factor, f_exceeded, straight_line
from nests.units import BadInput

NORRIS_Y = (0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1,
            778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6,
            339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2)  # fmt: skip
NORRIS_X = (0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6,
            775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8,
            339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5)  # fmt: skip
"""NIST Statistical Reference Datasets, Linear Regression, Norris: 36 observations."""
NORRIS = {
    "intercept": -0.262323073774029,
    "intercept_sd": 0.232818234301152,
    "slope": 1.00211681802045,
    "slope_sd": 0.429796848199937e-03,
    "residual_sd": 0.884796396144373,
}
"""Certified values of the same."""


@pytest.mark.parametrize("name", NORRIS)
def test_norris(name: str) -> None:
    found = getattr(straight_line(NORRIS_X, NORRIS_Y), name)
    assert found == pytest.approx(NORRIS[name], rel=1e-9, abs=0.0)


def test_norris_freedom() -> None:
    assert straight_line(NORRIS_X, NORRIS_Y).freedom == 34  # certified


T = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
B = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)
"""JCGM 100:2008, table H.6, as carried by the documentation of GTC, "Calibration of a thermometer
(GUM H3)": readings of a thermometer, corrections; the line is taken from 20 °C."""


def test_thermometer() -> None:
    """JCGM 100:2008, H.3.3 and H.3.4: y1 = -0.1712, u 0.0029; y2 = 0.002 18, u 0.000 67; r -0.930;
    s 0.0035; b(30 °C) = -0.1494, u 0.0041 (the results from memory, the data read)."""
    line = straight_line(np.array(T) - 20.0, B)
    assert round(line.intercept, 4) == -0.1712
    assert round(line.intercept_sd, 4) == 0.0029
    assert round(line.slope, 5) == 0.00218
    assert round(line.slope_sd, 5) == 0.00067
    assert round(line.correlation, 3) == -0.930
    assert round(line.residual_sd, 4) == 0.0035
    assert round(line.at(10.0), 4) == -0.1494
    assert round(line.at_sd(10.0), 4) == 0.0041


def test_covariance_is_that_of_a_library() -> None:
    """numpy.polyfit with cov=True divides by the degrees of freedom as the GUM does."""
    x = np.array(T) - 20.0
    _, covariance = np.polyfit(x, B, 1, cov=True)
    assert straight_line(x, B).covariance[::-1, ::-1] == pytest.approx(covariance, rel=1e-9)


def test_weights_are_those_of_a_library() -> None:
    """numpy.polyfit takes the root of a weight; scaled covariance."""
    rng = np.random.default_rng(5)
    x, w = rng.uniform(1, 30, 17), rng.uniform(0.2, 9.0, 17)
    y = 0.3 - 0.02 * x + rng.normal(0.0, 1.0, 17) / np.sqrt(w)
    coefficients, covariance = np.polyfit(x, y, 1, w=np.sqrt(w), cov=True)
    line = straight_line(x, y, w)
    assert (line.slope, line.intercept) == pytest.approx(tuple(coefficients), rel=1e-10)
    assert line.covariance[::-1, ::-1] == pytest.approx(covariance, rel=1e-9)


def test_a_double_weight_is_a_point_twice() -> None:
    """As far as the coefficients go."""
    once = straight_line((1, 2, 4, 7), (1.0, 2.2, 3.7, 7.1), (1, 2, 1, 1))
    twice = straight_line((1, 2, 2, 4, 7), (1.0, 2.2, 2.2, 3.7, 7.1))
    assert (once.slope, once.intercept) == pytest.approx((twice.slope, twice.intercept))


@pytest.mark.parametrize(("freedom", "factor"), [(1, 12.71), (5, 2.57), (9, 2.26), (20, 2.09)])
def test_coverage_factor(freedom: int, factor: float) -> None:
    """JCGM 100:2008, table G.2, 95 %."""
    assert round(coverage_factor(freedom), 2) == factor


def test_variance_ratio() -> None:
    """F with 2 and 10 degrees of freedom is above 4.10 in 5 % of cases: NIST/SEMATECH e-Handbook,
    1.3.6.7.3."""
    assert f_exceeded(4.103, 2, 10) == pytest.approx(0.05, abs=1e-4)
    assert f_exceeded(3.3, 3, 7) == pytest.approx(float(stats.f.sf(3.3, 3, 7)))


def test_an_outlier_is_pointed_out_and_stays_in() -> None:
    x = np.arange(12.0)
    y = 0.05 + 0.001 * x + np.tile((0.004, -0.004), 6)
    whole = straight_line(x, y)
    assert whole.outliers() == ()
    y[7] += 0.08
    line = straight_line(x, y)
    assert line.outliers() == (7,)
    assert len(line.x) == 12
    assert line.intercept != whole.intercept
    # externally studentized: left out, refitted, over the spread it then has
    rest = np.delete(np.arange(12), 7)
    other = straight_line(x[rest], y[rest])
    spread = math.sqrt(other.residual_sd**2 + other.at_sd(7.0) ** 2)
    assert line.studentized[7] == pytest.approx((y[7] - other.at(7.0)) / spread)


def test_true_points_are_seldom_called_outliers() -> None:
    rng = np.random.default_rng(3)
    x = np.linspace(1.0, 30.0, 14)
    called = [len(straight_line(x, rng.normal(0, 0.02, 14)).outliers()) > 0 for _ in range(600)]
    assert sum(called) <= 15  # 1 % of 600 is 6; more than 15 comes once in 2000 times


@pytest.mark.parametrize(
    ("x", "y", "weights", "says"),
    [
        ((1, 2), (1, 2), None, "3 points"),
        ((1, 2, 3), (1, 2), None, "as many"),
        ((2, 2, 2), (1, 2, 3), None, "x = 2"),
        ((1, 2, float("nan")), (1, 2, 3), None, "finite"),
        ((1, 2, 3), (1, 2, 3), (1, 0, 1), "greater than 0"),
    ],
)
def test_what_is_no_line(x, y, weights, says) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadInput, match=says):
        straight_line(x, y, weights)


def test_points_on_the_line_have_no_outlier() -> None:
    line = straight_line((1, 2, 3, 4), (2.0, 4.0, 6.0, 8.0))
    assert line.residual_sd == pytest.approx(0.0, abs=1e-12)
    assert line.outliers() == ()
