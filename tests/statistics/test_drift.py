"""Drift: the worked cumulative sum of a handbook, and what is found and cried falsely."""

from __future__ import annotations

import math

import numpy as np
import pytest

from nests.statistics.drift import all_drifts, drifted, sums

HANDBOOK = (324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225,
            324.600, 324.625, 325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775,
            326.875, 328.350)  # fmt: skip
"""NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3, example; from memory."""


def test_handbook_sums() -> None:
    """Target 325, k = 0.3175, h = 4.1959: the upper sum passes h at the 14th mean and is 5.28
    there, after 3.01 at the 13th; from memory, and reckoned once more here."""
    found = sums([each - 325.0 for each in HANDBOOK], 0.3175)
    assert round(found[12][0], 2) == 3.01
    assert next(k for k, (high, _) in enumerate(found, 1) if high > 4.1959) == 14
    assert found[13][0] == pytest.approx(328.325 + 327.250 - 650.0 - 2 * 0.3175)
    assert max(low for _, low in found) < 4.1959


SD, COUNT = 0.015, 3


def series(rng: np.random.Generator, holders: int, step_at: int, step: float) -> list[float]:
    readings = rng.normal(0.0, SD, (holders, COUNT))
    readings[step_at:] += step
    return [float(row.mean()) for row in readings]


@pytest.mark.parametrize("before", [5, 20])
@pytest.mark.parametrize("step", [0.03, -0.03])
def test_a_step_is_found_within_five_holders(before: int, step: float) -> None:
    rng = np.random.default_rng(11)
    missed, runs = 0, 400
    for _ in range(runs):
        means = series(rng, before + 5, before, step)
        found = all_drifts(means, [COUNT] * len(means), SD)
        missed += not any(each.at >= before and each.way * step > 0.0 for each in found)
    assert missed <= runs // 50


def test_false_words_are_few() -> None:
    rng = np.random.default_rng(12)
    words = holders = 0
    for _ in range(100):
        words += len(all_drifts(series(rng, 200, 200, 0.0), [COUNT] * 200, SD))
        holders += 200
    assert words / holders <= 0.005  # asked for is 0.02


def test_it_tells_since_when_and_by_how_much() -> None:
    rng = np.random.default_rng(4)
    found = drifted(series(rng, 30, 20, 0.03), [COUNT] * 30, SD)
    assert found is not None
    assert found.way == 1
    assert 18 <= found.since <= 21
    assert found.by == pytest.approx(0.03, abs=3 * SD / math.sqrt(COUNT))


def test_a_printer_that_moved_for_good_is_told_once() -> None:
    rng = np.random.default_rng(9)
    assert len(all_drifts(series(rng, 60, 20, 0.06), [COUNT] * 60, SD)) == 1


def test_few_holders_say_nothing() -> None:
    assert drifted([0.0, 0.0, 0.3], [3, 3, 3], SD) is None


def test_what_is_no_scatter() -> None:
    with pytest.raises(ValueError, match="scatter"):
        drifted([0.0], [1], 0.0)
