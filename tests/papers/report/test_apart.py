"""What is kept apart is told once: the pairs told are the pairs there are, and no others."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from nests.kinds.plan import Apart, Plan, PlannedOperation
from nests.papers.report.apart import kept_apart, told_apart
from nests.places import Side

NAMES = st.sampled_from("abcdefgh")
SOME = st.lists(NAMES, min_size=1, max_size=4, unique=True).map(tuple)
KEPT = st.builds(Apart, first=SOME, second=SOME, says=st.sampled_from(["one.", "two."]))


def pairs(first: tuple[str, ...], second: tuple[str, ...]) -> list[frozenset[str]]:
    return [frozenset(pair) for pair in product(first, second)]


@given(st.lists(KEPT.filter(lambda each: not set(each.first) & set(each.second)), max_size=6))
def test_every_pair_is_told_once_and_no_other(apart: list[Apart]) -> None:
    wanted: dict[str, set[frozenset[str]]] = {}
    for each in apart:
        wanted.setdefault(each.says, set()).update(pairs(each.first, each.second))
    told = {
        each.says: [pair for sets in each.sets for pair in pairs(*sets)]
        for each in kept_apart(apart)
    }
    assert {says: set(found) for says, found in told.items()} == wanted
    assert all(len(found) == len(set(found)) for found in told.values())


def test_two_sides_are_one_pair_of_sets() -> None:
    apart = [Apart(first=(one,), second=(two,), says="x") for one in "abc" for two in "de"]
    (found,) = kept_apart(apart)
    assert found.sets == ((("a", "b", "c"), ("d", "e")),)


def test_only_what_lies_alike_is_told_pair_by_pair() -> None:
    """Of three operations, the one done with the other side up needs no word of its own."""
    up = [PlannedOperation(name=n, side_up=Side.DIAL, state="none") for n in "ab"]
    down = PlannedOperation(name="c", side_up=Side.BRIDGE, state="none")
    apart = (Apart(first=("a",), second=("b", "c"), says="x"),)
    plan = Plan(
        sheet="s", work="w", printer="p", may_start=False, says="no", weight=1, bound=1,
        proven=True, operations=(*up, down), apart=apart,
    )  # fmt: skip
    assert told_apart(plan) == (Apart(first=("a",), second=("b",), says="x"),)
