"""The decision rule against its own zones (ISO 14253-1: conformity inside the limits less U,
nonconformity outside the limits plus U, neither in between)."""

from __future__ import annotations

import numpy as np
import pytest

from nests.statistics.deciding import Decision, decide


@pytest.mark.parametrize(
    ("value", "shows"),
    [
        (9.970, Decision.CONFORMS), (10.000, Decision.CONFORMS), (10.030, Decision.CONFORMS),
        (9.969, Decision.NEITHER), (9.950, Decision.NEITHER), (9.930, Decision.NEITHER),
        (10.031, Decision.NEITHER), (10.050, Decision.NEITHER), (10.070, Decision.NEITHER),
        (9.929, Decision.FAILS), (10.071, Decision.FAILS),
    ],
)  # fmt: skip
def test_zones(value: float, shows: Decision) -> None:
    """10 ± 0.05 mm read with U = 0.02 mm: 9.97 to 10.03 conforms, below 9.93 and above 10.07 it
    does not, reckoned from the rule."""
    assert decide(value, 9.95, 10.05, 0.02) is shows


def test_without_uncertainty_nothing_is_left_open() -> None:
    assert decide(10.05, 9.95, 10.05, 0.0) is Decision.CONFORMS
    assert decide(10.0501, 9.95, 10.05, 0.0) is Decision.FAILS


def test_an_uncertainty_wider_than_the_limits_shows_no_conformity() -> None:
    found = {decide(float(v), 9.99, 10.01, 0.02) for v in np.linspace(9.9, 10.1, 401)}
    assert found == {Decision.NEITHER, Decision.FAILS}


def test_the_chance_of_a_wrong_word() -> None:
    """With U = 2 u a part just beyond its limit is called conforming in 2.3 % of readings at most:
    the tail of the normal law beyond two standard deviations."""
    rng = np.random.default_rng(1)
    readings = 10.05 + 1e-6 + rng.normal(0.0, 0.01, 20_000)
    wrong = np.mean([decide(float(v), 9.95, 10.05, 0.02) is Decision.CONFORMS for v in readings])
    assert wrong == pytest.approx(0.0228, abs=0.004)


def test_what_are_no_limits() -> None:
    with pytest.raises(ValueError, match="limits"):
        decide(1.0, 2.0, 1.0, 0.1)
    with pytest.raises(ValueError, match="uncertainty"):
        decide(1.0, 0.0, 1.0, -0.1)
