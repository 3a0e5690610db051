"""The plans that come with the program may start on movements nobody tuned; see `plans.py`."""

from __future__ import annotations

import pytest
from movements import without_dial
from plans import PLANS, on, started
from test_workshop import with_a_small_jewel


@pytest.mark.parametrize("seeds", [
    pytest.param(range(first, first + 3), marks=marks)
    for first, marks in ((40, pytest.mark.slow), (43, pytest.mark.long), (46, pytest.mark.long),
                         (49, pytest.mark.long))
])  # fmt: skip
def test_of_a_few_movements_nearly_all_may_start(seeds: range) -> None:
    found = [started(seed, plan) for seed in seeds for plan in PLANS]
    assert sum(each.may_start for each in found) >= 0.95 * len(found), found


@pytest.mark.parametrize("plan", [
    pytest.param(PLANS[0], marks=pytest.mark.long), pytest.param(PLANS[1], marks=pytest.mark.slow),
])  # fmt: skip
def test_who_may_not_start_is_told_the_fact_in_the_way(plan: str) -> None:
    """INV 0014 with a jewel so small that no post spares the pivot that stands out of it."""
    answer = on(with_a_small_jewel(without_dial(14)), 14, plan)
    assert not answer.may_start
    assert any("it would do if" in says for says in answer.says), answer
