"""A whole job: the smallest family of holders for a work plan, and who does what in which.

A holder to print weighs as much as the resin in it, in units of 10 mm³, and a litre on top for the
handling, washing and curing: so fewer holders come first, and less resin second. One that lies in
the drawer weighs 1, so that it is used before anything is printed, and none is fetched in vain.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from nests import families
from nests.at_work import require_known
from nests.operation import Operation, WorkPlan
from nests.places import Side
from nests.planning.demand import Demand, demand_of, missing_facts, plainly_apart, together
from nests.planning.holders import Trial, Workshop
from nests.planning.smallest import Family, Members, smallest_family
from nests.printer_card import PrinterCard
from nests.sheet import Sheet

A_HOLDER = 100_000
"""Units of 10 mm³ a holder more weighs, whatever its resin: a litre; common practice, no source."""
IN_DRAWER = 1

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Answer:
    """Why a holder does not serve an operation, '' if it does; and what was not assessed.

    `for_all` says that the reason holds for every operation on this workpiece and side.
    """

    why_not: str = ""
    open_facts: tuple[str, ...] = ()
    for_all: bool = False


@dataclass(frozen=True)
class Existing:
    """A holder that is there, and what it answers when asked about an operation."""

    name: str
    asked: Callable[[Operation], Answer]


@dataclass(frozen=True)
class Offer:
    """What a holder that is there serves, as indices of groups, and what was not assessed."""

    name: str
    serves: Members
    open_facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Group:
    """Operations of one demand, by index in the work plan."""

    demand: Demand
    members: tuple[int, ...]


@dataclass(frozen=True)
class Chosen:
    """A holder of the family: what it can serve and what it is used for, by index in the plan."""

    name: str
    serves: tuple[int, ...]
    used: tuple[int, ...]
    trial: Trial | None
    """What was built and found; None for a holder of the drawer."""
    open_facts: tuple[str, ...] = ()
    """What was not assessed of a holder of the drawer."""


@dataclass(frozen=True)
class Job:
    """The answer for one work plan.

    `missing` are the facts that lack, by index of the operation; `alone` the reasons why an
    operation has no holder; `apart` those why two groups share none.
    """

    sheet: Sheet
    work: WorkPlan
    card: PrinterCard
    groups: tuple[Group, ...]
    missing: dict[int, tuple[str, ...]]
    alone: dict[int, tuple[str, ...]]
    apart: dict[tuple[int, int], str]
    family: Family
    chosen: tuple[Chosen, ...]


def solve(
    sheet: Sheet,
    work: WorkPlan,
    card: PrinterCard,
    existing: Sequence[Existing] = (),
    *,
    seconds: float = 10.0,
    progress: Progress = lambda _: None,
) -> Job:
    """Find the smallest family of holders for the operations of a work plan.

    `seconds` limit the solving of covers. What no holder serves is left over with its reasons;
    nothing is raised for it. Raises `BadInput` for an arbor or an absent part that an operation
    names and the sheet does not know.
    """
    operations = work.operations
    for each in operations:
        require_known(sheet, each)
    missing = {
        i: facts for i, each in enumerate(operations) if (facts := missing_facts(sheet, each))
    }
    groups = _groups(sheet, operations, missing)
    bench = _Bench(Workshop(sheet, card), operations, groups, progress)
    progress(f"{len(operations)} operations make {len(groups)} different demands")
    plain = _plainly_apart(groups)
    offered = [offer for each in existing if (offer := bench.offer(each)).serves]
    perhaps = np.ones((len(groups), len(groups)), dtype=bool)
    for pair in plain:
        perhaps[pair] = False
    family = smallest_family(
        perhaps,
        bench.judge,
        least=A_HOLDER,
        existing=[(each.serves, IN_DRAWER) for each in offered],
        seconds=seconds,
    )
    kept = [offered[j] for j in family.kept]
    serves = [bench.operations_of(s) for s in (*(each.serves for each in kept), *family.sets)]
    used = fewest_changes(len(operations), serves)
    chosen = [
        Chosen(each.name, able, does, None, each.open_facts)
        for each, able, does in zip(kept, serves, used, strict=False)
    ]
    for members, able, does in zip(
        family.sets, serves[len(kept) :], used[len(kept) :], strict=True
    ):
        name, trial = bench.make_apart(members, does, {each.name for each in chosen})
        chosen.append(Chosen(name, able, does, trial))
    served = {i for able in serves for i in able}
    alone = {
        i: bench.make(frozenset({g})).reasons
        for g, group in enumerate(groups)
        for i in group.members
        if i not in served
    }
    apart = {pair: says for pair, says in plain.items() if pair[0] < pair[1]}
    known = (*family.holding, *(each.serves for each in kept))
    apart |= _why_not(bench, family, known, plain)
    return Job(sheet, work, card, groups, missing, alone, apart, family, tuple(chosen))


@dataclass(frozen=True)
class _Bench:
    """The workshop, asked about sets of groups."""

    shop: Workshop
    operations: Sequence[Operation]
    groups: Sequence[Group]
    progress: Progress

    def operations_of(self, members: Members) -> tuple[int, ...]:
        return tuple(sorted(i for g in members for i in self.groups[g].members))

    def name(self, members: Members) -> str:
        """What is engraved on a holder that may serve these groups."""
        return self._first_and_more(self.operations_of(members))

    def _first_and_more(self, some: Sequence[int]) -> str:
        """The first of some operations, and how many more."""
        more = f" +{len(some) - 1}" if len(some) > 1 else ""
        return f"{self.operations[some[0]].name}{more}"

    def demand(self, members: Members) -> Demand:
        return together([self.groups[g].demand for g in sorted(members)])

    def make(self, members: Members) -> Trial:
        return self.shop.make(self.demand(members), self.name(members))

    def make_apart(
        self, members: Members, does: Sequence[int], taken: set[str]
    ) -> tuple[str, Trial]:
        """The holder for a set, under a name that no other one has, and that name.

        The name says what it is used for; what it may serve is said where that does not fit on it.
        """
        could = self.name(members)
        for plain in dict.fromkeys((self._first_and_more(does) if does else could, could)):
            for name in (plain, *(f"{plain} {letter}" for letter in "bcdefgh")):
                if name not in taken:
                    trial = self.shop.make(self.demand(members), name)
                    if trial.recipe is not None:
                        return name, trial
        return could, self.make(members)

    def judge(self, members: Members) -> int | None:
        """Weight of the holder for a set."""
        trial = self.make(members)
        self.progress(f"{self.name(members)}: {trial.grade.value}")
        return None if trial.recipe is None else A_HOLDER + round(trial.volume / 10.0)

    def offer(self, holder: Existing) -> Offer:
        """What a holder of the drawer serves, asked about as many groups at once as can be."""
        alike: dict[tuple[str, Side], set[int]] = {}
        for g, group in enumerate(self.groups):
            alike.setdefault((group.demand.on, group.demand.side_up), set()).add(g)
        parts = [part for each in alike.values() for part in self._served(holder, sorted(each))]
        serves: Members = frozenset().union(*(members for members, _ in parts))
        facts = (fact for _, answer in parts for fact in answer.open_facts)
        return Offer(holder.name, serves, tuple(dict.fromkeys(facts)))

    def _served(self, holder: Existing, among: list[int]) -> list[tuple[Members, Answer]]:
        """Sets of groups a holder serves: all at once, or looked for in either half."""
        members = frozenset(among)
        answer = holder.asked(self.demand(members).operation(self.name(members), ""))
        if not answer.why_not:
            return [(members, answer)]
        if len(among) == 1 or answer.for_all:
            return []
        middle = len(among) // 2
        return self._served(holder, among[:middle]) + self._served(holder, among[middle:])


def _plainly_apart(groups: Sequence[Group]) -> dict[tuple[int, int], str]:
    pairs = ((g, h) for g in range(len(groups)) for h in range(len(groups)) if g != h)
    found = {(g, h): plainly_apart(groups[g].demand, groups[h].demand) for g, h in pairs}
    return {pair: says for pair, says in found.items() if says}


def _why_not(
    bench: _Bench,
    family: Family,
    holding: Sequence[Members],
    plain: dict[tuple[int, int], str],
) -> dict[tuple[int, int], str]:
    """Why pairs share no holder that the search left open: those that no set holds together."""
    hopeless = {g for part in family.failing if len(part) == 1 for g in part}
    out: dict[tuple[int, int], str] = {}
    for g in range(len(bench.groups)):
        for h in range(g + 1, len(bench.groups)):
            if (g, h) in plain or {g, h} & hopeless or any({g, h} <= s for s in holding):
                continue
            trial = bench.make(frozenset({g, h}))
            if trial.recipe is None:
                out[g, h] = " ".join(sentences(trial.reasons))
    return out


def _groups(
    sheet: Sheet, operations: Sequence[Operation], left_out: dict[int, tuple[str, ...]]
) -> tuple[Group, ...]:
    by_demand: dict[Demand, list[int]] = {}
    for i, each in enumerate(operations):
        if i not in left_out:
            by_demand.setdefault(demand_of(sheet, each), []).append(i)
    return tuple(Group(demand, tuple(members)) for demand, members in by_demand.items())


def sentences(reasons: Sequence[str]) -> list[str]:
    """The reasons, each ending as a sentence does; a family's in one sentence."""
    known = set(families.names())
    out: list[str] = []
    said = ""
    for each in reasons:
        family, _, rest = each.partition(": ")
        if out and family == said:
            out[-1] = f"{out[-1].rstrip('.')}; {rest}"
        else:
            out.append(each)
            said = family if family in known else ""
    return [each if each.endswith((".", "!", "?")) else f"{each}." for each in out]


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
