"""Maximal sets of things that go together in pairs."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray


def maximal_sets(together: NDArray[np.bool_]) -> Iterator[frozenset[int]]:
    """Maximal cliques of a symmetric relation (n, n); its diagonal says what is left out.

    Bron and Kerbosch (Comm. ACM 16 (1973) 575) with the pivot of Tomita, Tanaka and Takahashi
    (Theor. Comput. Sci. 363 (2006) 28): the vertex with most neighbours among the candidates, the
    lowest index first, so that the order is the same each time. At most 3^(n/3) sets exist (Moon
    and Moser, Israel J. Math. 3 (1965) 23); they come one by one so that the caller may stop.
    Raises `ValueError` if the relation is not square and symmetric.
    """
    if together.ndim != 2 or not np.array_equal(together, together.T):
        raise ValueError("the relation must be a square, symmetric matrix")
    there = [i for i in range(len(together)) if together[i, i]]
    # sets as the bits of an int: intersection and count take one machine step per 64 members
    near = [0] * len(together)
    for i in there:
        near[i] = sum(1 << j for j in there if j != i and together[i, j])
    yield from _grow(0, sum(1 << i for i in there), 0, near)


def _grow(chosen: int, open_: int, closed: int, near: list[int]) -> Iterator[frozenset[int]]:
    """Maximal sets that hold `chosen`, some of `open_` and none of `closed`."""
    if not open_ and not closed:
        if chosen:
            yield frozenset(_members(chosen))
        return
    pivot = max(_members(open_ | closed), key=lambda i: ((near[i] & open_).bit_count(), -i))
    for i in _members(open_ & ~near[pivot]):
        yield from _grow(chosen | 1 << i, open_ & near[i], closed & near[i], near)
        open_ &= ~(1 << i)
        closed |= 1 << i


def _members(bits: int) -> Iterator[int]:
    while bits:
        low = bits & -bits
        yield low.bit_length() - 1
        bits ^= low
