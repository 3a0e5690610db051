"""Components and cycles of graphs, many nodes at a time.

Whole arrays are halved or doubled per step, so that both take a logarithmic number of passes over
them. scipy has the same; to import it costs more time than most holders have to be followed here.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Ints: TypeAlias = NDArray[np.int64]
Indices: TypeAlias = NDArray[np.int32]


def connected(count: int, one: Ints, two: Ints) -> tuple[int, Ints]:
    """How many components the undirected edges one[k] - two[k] leave of `count` nodes, and the
    number of the component of each node; components are numbered by their first node.

    Trees are hooked below the lowest tree they touch and then flattened by pointer jumping
    (Y. Shiloach, U. Vishkin, "An O(log n) parallel connectivity algorithm", Journal of
    Algorithms 3, 1982; from memory).
    """
    root = np.arange(count)
    while True:
        here, there = root[one], root[two]
        apart = np.flatnonzero(here != there)
        if not len(apart):
            break
        one, two, here, there = one[apart], two[apart], here[apart], there[apart]
        np.minimum.at(root, np.maximum(here, there), np.minimum(here, there))
        while True:
            above = root[root]
            if np.array_equal(above, root):
                break
            root = above
    is_root = root == np.arange(count)
    number = np.cumsum(is_root) - 1
    return int(is_root.sum()), number[root]


def cycles(following: Indices) -> tuple[Indices, Indices]:
    """First node of the cycle of each node, and how many steps ahead it lies.

    `following` (n,) is a permutation. By pointer doubling: step k knows the lowest of the next
    2^k nodes (J. C. Wyllie, "The complexity of parallel computations", Cornell University 1979;
    from memory).
    """
    first = np.arange(len(following), dtype=np.int32)
    ahead = np.zeros(len(following), dtype=np.int32)
    jump, step = following, np.int32(1)
    while True:
        farther = first[jump]
        better = farther < first
        if not better.any():
            return first, ahead
        ahead = np.where(better, ahead[jump] + step, ahead)
        first = np.minimum(first, farther)
        jump = jump[jump]
        step = step + step
