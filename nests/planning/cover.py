"""Weighted set cover, exact: the cheapest of some sets that hold every member.

Integer weights keep the arithmetic exact: an answer is proved when the solver's lower bound,
rounded up to a whole number, reaches the weight found.
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, vstack

BLOCK = 12
"""Sets settled by one tie-breaking solve: powers of two up to 2^11 stay far above the solver's
tolerance of 1e-6 on a whole number."""
HEAVIEST = 10**9
"""Largest weight of a cover: a double still tells whole numbers of this size apart by 1e-7."""


@dataclass(frozen=True)
class Cover:
    """Indices of the sets chosen, ascending; their weight; a weight no cover can be below."""

    chosen: tuple[int, ...]
    weight: int
    bound: int
    tie_broken: bool = True
    """Whether the answer is also the first of all equally cheap ones."""

    @property
    def proven(self) -> bool:
        """Whether no cheaper cover exists."""
        return self.weight == self.bound

    @property
    def gap(self) -> float:
        """How much cheaper a cover might be, as a share of the weight found."""
        return (self.weight - self.bound) / self.weight if self.weight else 0.0


def smallest_cover(
    sets: Sequence[frozenset[int]], weights: Sequence[int], seconds: float = 10.0
) -> Cover:
    """The cheapest choice of sets whose union is the union of all; weights are whole and >= 0.

    Solved by branch and bound (HiGHS through `scipy.optimize.milp`). Of several cheapest covers
    the one is taken that holds the earliest set in which two differ, so the order of `sets`
    decides. When `seconds` end first, the best cover found is returned with the bound reached;
    greedy choice stands in until the solver has one. Raises `ValueError` for bad weights.
    """
    if len(weights) != len(sets) or any(w < 0 or w != int(w) for w in weights):
        raise ValueError("each set needs a whole weight of 0 or more")
    members = sorted(set().union(*sets))
    if not members:
        return Cover((), 0, 0)
    until = time.monotonic() + seconds
    problem = _Problem.of(sets, weights, members)
    best = _greedy(sets, weights)
    weight = sum(weights[j] for j in best)
    if weight > HEAVIEST:
        raise ValueError(f"a cover has the weight {weight}; at most {HEAVIEST} is allowed")
    found, low = problem.solve(problem.price, until)
    if found is not None and (total := sum(weights[j] for j in found)) <= weight:
        best, weight = found, total
    bound = min(weight, max(0, math.ceil(low - 1e-4)))
    if bound < weight:
        return Cover(best, weight, bound, tie_broken=False)
    first = problem.first(weight, until)
    return Cover(first or best, weight, bound, tie_broken=first is not None)


@dataclass(frozen=True)
class _Problem:
    """The rows `each member is held at least once`, and the price of each set."""

    holds: csr_array[Any]
    price: NDArray[np.float64]

    @staticmethod
    def of(
        sets: Sequence[frozenset[int]], weights: Sequence[int], members: Sequence[int]
    ) -> _Problem:
        row = {member: i for i, member in enumerate(members)}
        at = [(row[member], j) for j, each in enumerate(sets) for member in each]
        rows, columns = np.array(at, dtype=np.intc).T  # the indices HiGHS takes
        shape = (len(members), len(sets))
        holds = csr_array((np.ones(len(at)), (rows, columns)), shape=shape)
        return _Problem(holds, np.array(weights, dtype=np.float64))

    def solve(
        self,
        price: NDArray[np.float64],
        until: float,
        fixed: NDArray[np.float64] | None = None,
        weight: int | None = None,
    ) -> tuple[tuple[int, ...] | None, float]:
        """Sets of the best cover found, if any, and the solver's lower bound on its price.

        `fixed` holds 0 or 1 for the sets already settled and nan for the others; `weight` is a
        limit on the sum of the weights.
        """
        left = until - time.monotonic()
        if left <= 0.0:
            return None, 0.0
        count = len(self.price)
        low, high = np.zeros(count), np.ones(count)
        if fixed is not None:
            low, high = np.nan_to_num(fixed, nan=0.0), np.nan_to_num(fixed, nan=1.0)
        rows, least = self.holds, np.ones(self.holds.shape[0])
        most = np.full(len(least), np.inf)
        if weight is not None:
            rows = vstack([rows, csr_array(self.price[None])])
            least, most = np.append(least, -np.inf), np.append(most, weight + 0.5)
        result = milp(
            price,
            integrality=np.ones(count, dtype=np.int64),
            bounds=Bounds(low, high),
            constraints=LinearConstraint(rows, least, most),
            options={"time_limit": left, "mip_rel_gap": 0.0},
        )
        bound = 0.0 if result.mip_dual_bound is None else float(result.mip_dual_bound)
        if result.x is None:
            return None, bound
        chosen = tuple(np.flatnonzero(result.x > 0.5).tolist())
        # trusted only as far as it is checked: rounding must not have lost a member
        if np.any(self.holds[:, list(chosen)].sum(axis=1) < 1):
            return None, bound
        return chosen, bound

    def first(self, weight: int, until: float) -> tuple[int, ...] | None:
        """Of all covers of this weight the first, block by block; None if time ends."""
        fixed = np.full(len(self.price), np.nan)
        chosen: tuple[int, ...] | None = None
        for start in range(0, len(fixed), BLOCK):
            block = np.arange(start, min(start + BLOCK, len(fixed)))
            price = np.zeros(len(fixed))
            price[block] = -(2.0 ** np.arange(len(block) - 1, -1, -1))
            chosen, _ = self.solve(price, until, fixed, weight)
            if chosen is None or self.price[list(chosen)].sum() > weight + 0.25:
                return None
            fixed[block] = np.isin(block, chosen)
        return chosen


def _greedy(sets: Sequence[frozenset[int]], weights: Sequence[int]) -> tuple[int, ...]:
    """A cover, not the cheapest: always the set that costs least per member still missing."""
    missing = set().union(*sets)
    chosen: list[int] = []
    while missing:
        useful = [j for j in range(len(sets)) if sets[j] & missing]
        best = min(useful, key=lambda j: (weights[j] / len(sets[j] & missing), j))
        chosen.append(best)
        missing -= sets[best]
    return tuple(sorted(chosen))
