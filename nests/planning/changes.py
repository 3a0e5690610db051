"""In which holder each operation is done, so that the workpiece changes holders least."""

from __future__ import annotations

from collections.abc import Sequence


def fewest_changes(count: int, serves: Sequence[Sequence[int]]) -> list[tuple[int, ...]]:
    """Which holder does which of `count` operations, so that the workpiece changes holders least.

    At each change the holder is taken that serves the longest run from there on; no other choice
    could reach further with as many changes. Operations that none serves interrupt no run.
    """
    sets = [set(each) for each in serves]
    todo = [i for i in range(count) if any(i in each for each in sets)]
    used: list[list[int]] = [[] for _ in sets]
    at = 0
    while at < len(todo):
        runs = [next((k for k, i in enumerate(todo[at:]) if i not in s), len(todo) - at)
                for s in sets]  # fmt: skip
        best = max(range(len(sets)), key=lambda j: (runs[j], -j))
        used[best] += todo[at : at + runs[best]]
        at += runs[best]
    return [tuple(each) for each in used]
