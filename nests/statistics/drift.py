"""Drift: does what comes out of a printer still lie where it lay?

Means of readings come one after another. Each is held against the mean of all before it, so that no
zero has to be known (a self-starting chart), and what is left over adds up (a cumulative sum).
While nothing moves the steps are independent and of the standard normal law, whatever the zero is.

Source: D. M. Hawkins, "Self-starting CUSUM charts for location and scale", The Statistician 36
(1987) 299-316; the cumulative sum: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

SLACK = 0.75
"""Standard deviations of a mean that are let pass at each step: half of the least shift that is
looked for (6.3.2.3: k = δ/2), here 1.5 of them."""
LIMIT = 3.5
"""Sum at which it is said. A false word then comes once in some 400 means, and a shift of 3.5
standard deviations after five means is found within five more in 99 % of cases, as
`tests/statistics/test_drift.py` counts."""
BEFORE = 3
"""Means from which on a zero is known well enough to be held against."""


@dataclass(frozen=True)
class Drifted:
    """The mean at which it was said (counted from 0), which way it went (+1 or -1), where it began
    to, and by how much it lies off what was before, in the unit of the means."""

    at: int
    way: int
    since: int
    by: float


def sums(steps: Sequence[float], slack: float) -> list[tuple[float, float]]:
    """The upper and lower cumulative sum after each step (6.3.2.3)."""
    out: list[tuple[float, float]] = []
    high = low = 0.0
    for each in steps:
        high, low = max(0.0, high + each - slack), max(0.0, low - each - slack)
        out.append((high, low))
    return out


def drifted(
    means: Sequence[float], counts: Sequence[int], sd: float, *, limit: float = LIMIT
) -> Drifted | None:
    """The first drift in means of so many readings each, of which one scatters by `sd`; None where
    there is none. Raises ValueError for what is no standard deviation or no count."""
    if not sd > 0.0 or len(means) != len(counts) or any(n < 1 for n in counts):
        raise ValueError("a scatter above 0 and one count of readings for each mean are needed")
    steps = _standard(means, counts, sd)
    high = low = 0.0
    began = {1: 0, -1: 0}
    for index, step in enumerate(steps):
        before = {1: high, -1: low}
        high, low = max(0.0, high + step - SLACK), max(0.0, low - step - SLACK)
        for way, total in ((1, high), (-1, low)):
            if before[way] == 0.0:
                began[way] = index
            if total > limit:
                since = began[way]
                return Drifted(index, way, since, _apart(means, counts, since, index))
    return None


def all_drifts(means: Sequence[float], counts: Sequence[int], sd: float) -> tuple[Drifted, ...]:
    """Every drift: after one is said, it begins anew with what came since it began."""
    out: list[Drifted] = []
    start = 0
    while (found := drifted(means[start:], counts[start:], sd)) is not None:
        found = Drifted(start + found.at, found.way, start + found.since, found.by)
        out.append(found)
        start = max(found.since, start + 1)
    return tuple(out)


def _standard(means: Sequence[float], counts: Sequence[int], sd: float) -> list[float]:
    """Each mean less that of all before, in standard deviations of that difference; 0 while too few
    came before."""
    out: list[float] = []
    total, weight = 0.0, 0
    for index, (mean, count) in enumerate(zip(means, counts, strict=True)):
        if index < BEFORE:
            out.append(0.0)
        else:
            spread = sd * math.sqrt(1.0 / count + 1.0 / weight)
            out.append((mean - total / weight) / spread)
        total, weight = total + mean * count, weight + count
    return out


def _apart(means: Sequence[float], counts: Sequence[int], since: int, last: int) -> float:
    """Mean from `since` to `last` less the mean of all before."""

    def of(some: range) -> float:
        return math.fsum(means[k] * counts[k] for k in some) / math.fsum(counts[k] for k in some)

    return of(range(since, last + 1)) - of(range(since))
