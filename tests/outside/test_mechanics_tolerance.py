"""ISO 286 tables and fits, and the law of a clearance.

Fits: engineering handbooks and the Python packages `isofits`, `pressfit` (read). Tables: the bands
10-18 and 50-80 mm are read from public tables of IT grades (a web page of engineering tables and
two open-source tolerance calculators agree); fundamental deviations as in the reference list.
"""

import math
from fractions import Fraction
from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.stats import norm

from nests.mechanics.tolerance import (
    BANDS,
    GRADES,
    TOLERANCES,
    Limits,
    Spread,
    clearance,
    limits,
    probability_below,
    tolerance,
)
from tests.outside.mechanics_known import draws


@pytest.mark.parametrize(
    ("nominal", "hole", "shaft", "least", "most"),
    [
        (25, "H7", "g6", 7, 41),
        (50, "H8", "f7", 25, 89),
        # composed from the tables by hand
        (25.6, "H8", "h7", 0, 54),
        (18, "G7", "h6", 6, 35),
        (80, "F8", "h6", 30, 95),
        (12, "JS7", "js6", -14.5, 14.5),
    ],
)
def test_worked_fits(nominal, hole, shaft, least, most):
    bore, pin = limits(nominal, hole), limits(nominal, shaft)
    assert 1000 * (bore.lower - pin.upper) == pytest.approx(least, abs=1e-6)
    assert 1000 * (bore.upper - pin.lower) == pytest.approx(most, abs=1e-6)


@pytest.mark.parametrize(
    ("nominal", "name", "lower", "upper"),
    [(50, "H7", 0, 25), (25, "g6", -20, -7), (6, "f7", -22, -10), (6.001, "f7", -28, -13)],
)
def test_limits_of_size(nominal, name, lower, upper):
    found = limits(nominal, name)
    assert 1000 * (found.lower - nominal) == pytest.approx(lower, abs=1e-6)
    assert 1000 * (found.upper - nominal) == pytest.approx(upper, abs=1e-6)


@pytest.mark.parametrize(
    ("nominal", "row"),
    [
        (4, (5, 8, 12, 18, 30, 48, 75)),
        (10, (6, 9, 15, 22, 36, 58, 90)),
        (18, (8, 11, 18, 27, 43, 70, 110)),
        (26, (9, 13, 21, 33, 52, 84, 130)),
        (50, (11, 16, 25, 39, 62, 100, 160)),
        (80, (13, 19, 30, 46, 74, 120, 190)),
    ],
)
def test_standard_tolerances(nominal, row):
    assert [round(1000 * tolerance(nominal, grade), 6) for grade in GRADES] == list(row)


def test_table_follows_the_rule_of_the_standard_within_its_rounding():
    """ISO 286-1: i = .45 D^⅓ + .001 D, D the geometric mean; IT5 to IT11 = 7 … 100 i; ±9 %."""
    for band, (low, high) in enumerate(pairwise(BANDS)):
        d = math.sqrt(low * high)
        unit = 0.45 * d ** (1 / 3) + 0.001 * d
        for value, times in zip(TOLERANCES[band], (7, 10, 16, 25, 40, 64, 100), strict=True):
            assert times * unit == pytest.approx(value, rel=0.09)


@pytest.mark.parametrize("name", ["H4", "H12", "p6", "Js7", "7H", "H"])
def test_unknown_classes_are_refused(name):
    with pytest.raises(ValueError, match=r"table|unknown"):
        limits(25, name)


@pytest.mark.parametrize("nominal", [3.0, 80.01])
def test_sizes_off_the_table_are_refused(nominal):
    with pytest.raises(ValueError, match="outside the table"):
        limits(nominal, "H7")


def test_three_uniform_laws():
    """P(|sum of three uniforms on ±1| > 2) = 1/24 (volume of two corners of a cube)."""
    parts = [Spread(0, 1.0)] * 3
    below, upto = probability_below([-2.0, 2.0], parts, 0.0)
    assert below + 1 - upto == pytest.approx(1 / 24, rel=1e-12)


@pytest.mark.skipif(not hasattr(stats, "irwinhall"), reason="this scipy has no Irwin-Hall law")
@pytest.mark.parametrize("count", [1, 2, 3, 5, 8])
def test_equal_uniform_laws_are_irwin_and_hall(count):
    """scipy.stats.irwinhall: the sum of uniform laws on 0…1."""
    at = np.linspace(0.01, count - 0.01, 41)
    found = probability_below(2 * at - count, [Spread(0, 1.0)] * count, 0.0)
    assert np.allclose(found, stats.irwinhall(count).cdf(at), atol=1e-9)


def test_normal_laws_add_their_squares():
    parts = [Spread(5.0, 0.3, "normal", 3.0), Spread(2.0, 0.8, "normal", 2.0)]
    at = np.linspace(1, 5, 9)
    wanted = norm.cdf(at, 3.0, math.hypot(0.1, 0.4))
    assert np.allclose(probability_below(at, parts, 3.0), wanted, atol=1e-12)


@settings(max_examples=25, deadline=None)
@given(
    widths=st.lists(st.floats(1e-5, 0.1), min_size=1, max_size=4),
    deviation=st.sampled_from([0.0, 1e-4, 0.01, 0.2]),
    seed=st.integers(0, 1000),
)
def test_exact_law_agrees_with_seeded_sampling(widths, deviation, seed):
    parts = [Spread(0.0, w) for w in widths] + [Spread(0.0, 3 * deviation, "normal")]
    count = 40000
    random = np.random.default_rng(seed)
    drawn = sum(draws(part, random, count) for part in parts)
    at = np.quantile(drawn, [0.02, 0.3, 0.5, 0.9])
    found = probability_below(at, parts, 0.0)
    # a quantile of n draws scatters by √(p(1-p)/n) in probability: five times that
    assert np.abs(found - [0.02, 0.3, 0.5, 0.9]).max() < 5 * 0.5 / math.sqrt(count)


def rational(at, widths):
    """Distribution function of a sum of uniform laws in exact rational arithmetic."""
    widths = [Fraction(w) for w in widths]
    total = Fraction(0)
    for signs in product((1, -1), repeat=len(widths)):
        corner = Fraction(at) + sum(s * w for s, w in zip(signs, widths, strict=True))
        total += math.prod(signs) * max(corner, Fraction(0)) ** len(widths)
    return float(total / math.factorial(len(widths)) / math.prod(2 * w for w in widths))


@pytest.mark.parametrize(
    "widths",
    [
        (1.0, 0.7, 0.01, 0.002),
        (1.0, 1e-3, 1e-3, 1e-3, 1e-3),
        (1.0, *(1.1e-3,) * 7),
        (0.05, 0.03, 1e-5, 2e-7),
        (0.3, 0.3, 1e-9),
    ],
)
def test_unequal_widths_do_not_drown_in_rounding(widths):
    parts = [Spread(0.0, w) for w in widths]
    reach = sum(widths)
    at = np.array([-0.999, -0.7, -0.31, -1e-3, 0.0, 0.2, 0.55, 0.9, 0.9999]) * reach
    wanted = [rational(x, widths) for x in at]
    assert np.allclose(probability_below(at, parts, 0.0), wanted, atol=2e-6, rtol=0)
    off_kinks = [1, 2, 4, 5, 6, 7]
    found = probability_below(at[off_kinks], parts, 0.0)
    assert np.allclose(found, np.array(wanted)[off_kinks], atol=1e-9, rtol=0)
    kink = probability_below([-widths[0]], parts, 0.0)[0]
    assert kink == pytest.approx(rational(-widths[0], widths), abs=1e-5)


@pytest.mark.parametrize("deviation", [0.0, 1e-3])
def test_far_beyond_the_range_is_certain(deviation):
    parts = [Spread(0.0, 0.02)] * 5 + [Spread(0.0, 3 * deviation, "normal")]
    assert probability_below([-50.0, 50.0], parts, 0.0).tolist() == [0.0, 1.0]


def test_clearance_of_a_seat():
    """Worst case and root of squares by hand; probabilities against a million seeded draws."""
    bores = [Spread(25.70, 0.05), Spread(0.0, 0.03, "normal", 2.0)]
    shafts = [Spread(25.62, 0.02, "normal", 2.0), Spread(0.0, 0.01)]
    found = clearance(bores, shafts, allowed=0.14)
    assert found.centre == pytest.approx(0.08)
    assert found.worst == Limits(pytest.approx(0.08 - 0.11), pytest.approx(0.08 + 0.11))
    root = math.sqrt(0.05**2 + 0.03**2 + 0.02**2 + 0.01**2)
    assert found.root_sum_square.upper == pytest.approx(0.08 + root)
    random = np.random.default_rng(0)
    drawn = sum(draws(b, random, 10**6) for b in bores) - sum(
        draws(s, random, 10**6) for s in shafts
    )
    assert found.interference == pytest.approx((drawn < 0).mean(), abs=5e-4)
    assert found.loose == pytest.approx((drawn > 0.14).mean(), abs=1.5e-3)
    assert clearance(bores, shafts).loose is None


def test_clearance_of_an_iso_fit_never_interferes():
    fit = clearance([Spread.within(limits(25, "H7"))], [Spread.within(limits(25, "g6"))], 0.041)
    assert fit.interference == 0.0
    assert fit.loose == 0.0
    assert fit.worst.lower == pytest.approx(0.007)
    assert fit.worst.upper == pytest.approx(0.041)
    certain = clearance([Spread(10.0, 0.0)], [Spread(10.1, 0.0)])
    assert certain.interference == 1.0
