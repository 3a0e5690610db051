"""The smallest family when going together in pairs is not enough.

Three operations may share a holder two by two and yet not all at once: the slots of all can take
the whole wall. So the holder for a set is built and judged as a whole when the set is chosen. From
a set that fails a smallest part that still fails is found, no set that holds that part is looked at
again, and the cover is solved anew (a lazy constraint, one for each smallest failing part).
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from nests.planning.cover import Cover, smallest_cover
from nests.planning.sets import maximal_sets

MOST_SETS = 20_000
"""Maximal sets looked at; beyond, the answer is not called proven."""

Members = frozenset[int]
Judge = Callable[[Members], int | None]


@dataclass(frozen=True)
class Family:
    """The sets chosen, the indices of those used that exist already, and what no holder serves.

    `failing` are the smallest sets found to fail as a whole, `holding` those found to hold;
    `rounds` counts the covers solved, `judged` the sets judged.
    """

    sets: tuple[Members, ...]
    kept: tuple[int, ...]
    weight: int
    bound: int
    unserved: Members
    failing: tuple[Members, ...]
    holding: tuple[Members, ...]
    rounds: int
    judged: int

    @property
    def proven(self) -> bool:
        """Whether no family is cheaper, in the sense of `smallest_family`."""
        return self.weight == self.bound


@dataclass
class _Pool:
    """The sets that may be chosen, and what is known of those judged.

    Every set that holds lies in a set of the pool. It does at first, since what holds goes
    together in pairs. When a failing part is banned, a set that contains it is replaced by its
    parts that lack one member of it; a set that holds lacks such a member, so it lies in one.
    """

    judge: Judge
    sets: list[Members]
    weights: dict[Members, int] = field(default_factory=dict)
    failing: list[Members] = field(default_factory=list)
    judged: int = 0

    def holds(self, members: Members) -> bool:
        """Whether some holder serves all of these; a part of what holds, holds."""
        if any(members <= each for each in self.weights):
            return True
        self.judged += 1
        weight = self.judge(members)
        if weight is not None:
            self.weights[members] = weight
        return weight is not None

    def smallest_failing(self, members: Members) -> Members:
        """A part of a failing set that fails, while each of its own parts holds.

        By halves: U. Junker, QUICKXPLAIN, Proc. AAAI-04 (2004) 167, which judges about
        2 k log2(n / k) sets for a part of k among n.
        """
        return frozenset(self._blamed(frozenset(), False, sorted(members)))

    def _blamed(self, given: Members, grown: bool, among: list[int]) -> list[int]:
        """Which of `among` make `given` fail; `grown` if `given` is new since it was judged."""
        if grown and not self.holds(given):
            return []
        if len(among) == 1:
            return among
        first, second = among[: len(among) // 2], among[len(among) // 2 :]
        late = self._blamed(given | set(first), True, second)
        early = self._blamed(given | set(late), bool(late), first)
        return early + late

    def ban(self, part: Members) -> None:
        """Let no set of the pool contain a failing part."""
        self.failing.append(part)
        broken = [each for each in self.sets if part <= each]
        self.sets = [each for each in self.sets if not part <= each]
        for each in broken:
            for member in sorted(part):
                less = each - {member}
                if less and not any(less <= other for other in self.sets):
                    self.sets = [s for s in self.sets if not s < less] + [less]


def smallest_family(
    together: NDArray[np.bool_],
    judge: Judge,
    *,
    least: int = 1,
    existing: Sequence[tuple[Members, int]] = (),
    seconds: float = 10.0,
) -> Family:
    """The cheapest sets that hold every member, each of which was judged as a whole.

    `together` (n, n) says what goes together in pairs, on its diagonal what can be served at all.
    `judge` gives the weight of the holder for a set, or None if there is none; a holder that serves
    a set serves its parts. `least` is a weight no holder is below. `existing` are sets that stand
    already, with their weights. `seconds` limit the solving of covers, not the judging.

    It ends: every round but the last gives a set its weight or bans a failing part; a part is
    banned once, since no set of the pool contains it afterwards, a set is given its weight once,
    and there are at most 2^n of either.

    The answer is the cheapest cover by largest sets. Where all weights are equal no smaller family
    exists; where they are not, a holder that serves a smaller set more cheaply is not looked for.
    """
    found = list(islice(maximal_sets(together), MOST_SETS + 1))
    whole = len(found) <= MOST_SETS
    if not whole:  # a cover must exist all the same
        found = found[:MOST_SETS] + [frozenset({int(i)}) for i in np.flatnonzero(np.diag(together))]
    pool, rounds = _Pool(judge, found), 0
    while True:
        rounds += 1
        pool.sets.sort(key=lambda s: (-len(s), sorted(s)))
        sets = [each for each, _ in existing] + pool.sets
        weights = [weight for _, weight in existing]
        weights += [max(pool.weights.get(each, least), least) for each in pool.sets]
        begun = time.monotonic()
        cover = smallest_cover(sets, weights, max(seconds, 0.05))
        seconds -= time.monotonic() - begun
        fresh = [sets[j] for j in cover.chosen if j >= len(existing)]
        fresh = [each for each in fresh if each not in pool.weights]
        if not fresh:
            return _family(cover, sets, len(existing), len(together), whole, rounds, pool)
        for each in fresh:
            _settle(pool, each)


def _settle(pool: _Pool, members: Members) -> None:
    """Give a set its weight, or ban what makes it fail."""
    if any(part <= members for part in pool.failing):
        return  # banned meanwhile
    pool.judged += 1
    weight = pool.judge(members)
    if weight is None:
        pool.ban(pool.smallest_failing(members))
    else:
        pool.weights[members] = weight


def _family(
    cover: Cover,
    sets: Sequence[Members],
    existing: int,
    count: int,
    whole: bool,
    rounds: int,
    pool: _Pool,
) -> Family:
    served: Members = frozenset().union(*(sets[j] for j in cover.chosen))
    return Family(
        sets=tuple(sets[j] for j in cover.chosen if j >= existing),
        kept=tuple(j for j in cover.chosen if j < existing),
        weight=cover.weight,
        bound=cover.bound if whole else 0,
        unserved=frozenset(range(count)) - served,
        failing=tuple(pool.failing),
        holding=tuple(pool.weights),
        rounds=rounds,
        judged=pool.judged,
    )
