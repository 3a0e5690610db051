"""Why operations share no holder: each reason once, with the sets of operations it keeps apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from nests.kinds.plan import Apart, Plan

ONE_OF_EACH = (
    "A holder carries one workpiece with one side up: what is done on another workpiece, or with "
    "the other side up, has a holder of its own."
)


@dataclass(frozen=True)
class KeptApart:
    """A reason, and the pairs of sets: every operation of one shares with none of the other."""

    says: str
    sets: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]


def told_apart(plan: Plan) -> tuple[Apart, ...]:
    """The pairs kept apart though they are done on one workpiece with one side up.

    The others are told by `ONE_OF_EACH`.
    """
    lies = {each.name: (each.on, each.side_up) for each in plan.operations}
    return tuple(
        Apart(first=(one,), second=(two,), says=each.says)
        for each in plan.apart
        for one, two in product(each.first, each.second)
        if lies[one] == lies[two]
    )


def kept_apart(apart: Sequence[Apart]) -> tuple[KeptApart, ...]:
    """The reasons in the order they are met, their operations drawn together.

    Operations that a reason keeps from the very same others stand in one set, so that two sides
    of a movement make one pair of sets, however many operations are done on each.
    """
    by_reason: dict[str, dict[str, list[str]]] = {}
    for each in apart:
        others = by_reason.setdefault(each.says, {})
        for one in each.first:
            for two in each.second:
                others.setdefault(one, []).append(two)
                others.setdefault(two, []).append(one)
    return tuple(KeptApart(says, tuple(_sets(others))) for says, others in by_reason.items())


def _sets(others: dict[str, list[str]]) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Sets that are kept apart, each pair of operations in one of them only."""
    order = {name: k for k, name in enumerate(others)}
    alike: dict[frozenset[str], list[str]] = {}
    for name, all_others in others.items():
        alike.setdefault(frozenset(all_others), []).append(name)
    told: set[frozenset[str]] = set()
    for kept_from, names in alike.items():
        left = [n for n in kept_from if not any(frozenset((n, own)) in told for own in names)]
        if left:
            told |= {frozenset((n, own)) for n in left for own in names}
            yield tuple(names), tuple(sorted(left, key=order.__getitem__))
