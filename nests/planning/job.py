"""A whole job: the smallest family of holders for a work plan, and who does what in which.

A holder to print weighs as much as the resin in it, in units of 10 mm³, and a litre on top for the
handling, washing and curing: so fewer holders come first, and less resin second. One that lies in
the drawer weighs next to nothing, see `offers.WEIGHTS`, so that it is used before anything is
printed, and none is fetched in vain.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import NamedTuple

import numpy as np

from nests import families
from nests.given.at_work import require_known
from nests.given.operation import Operation, WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.letters.engraving import capitals
from nests.places import Side
from nests.planning.changes import fewest_changes
from nests.planning.demand import Demand, demand_of, missing_facts, plainly_apart, together
from nests.planning.holders import Trial, Workshop
from nests.planning.in_turn import InTurn, parts_of, press_by_press
from nests.planning.offers import Answer, Asking, Existing, Offer, offers
from nests.planning.smallest import Family, Members, smallest_family
from nests.units import require_all

A_HOLDER = 100_000
"""Units of 10 mm³ a holder more weighs, whatever its resin: a litre; common practice, no source."""

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Group:
    """Operations of one demand, by index in the work plan."""

    demand: Demand
    members: tuple[int, ...]


class Called(NamedTuple):
    """What a holder is called, and what is engraved of its operation where that is not the name."""

    name: str
    mark: str = ""

    @property
    def engraved(self) -> str:
        """The letters that are engraved."""
        return capitals(self.mark or self.name)

    def and_letter(self, letter: str) -> Called:
        """A further one of that name."""
        return Called(f"{self.name} {letter}", self.mark and f"{self.mark} {letter}")


@dataclass(frozen=True)
class Chosen:
    """A holder of the family: what it can serve and what it is used for, by index in the plan."""

    name: str
    serves: tuple[int, ...]
    used: tuple[int, ...]
    trial: Trial | None
    """What was built and found; None for a holder of the drawer."""
    answer: Answer | None = None
    """What a holder of the drawer answered to all it is used for."""

    @property
    def known(self) -> Trial | Answer:
        """What is known of it, printed or not."""
        known = self.trial or self.answer
        assert known is not None
        return known


@dataclass(frozen=True)
class Job:
    """The answer for one work plan.

    `missing` are the facts that lack, by index of the operation; `alone` the reasons why an
    operation has no holder; `apart` those why two groups share none; `unjudged` are holders of the
    drawer that were not judged, `refused` those that serve less than was asked, `too_far` the names
    of those that their sizes rule out. `work` has the operations as they are done: `in_turn` are
    those taken press by press.
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
    unjudged: tuple[str, ...] = ()
    refused: tuple[Offer, ...] = ()
    too_far: tuple[str, ...] = ()
    in_turn: tuple[InTurn, ...] = ()

    @property
    def proven(self) -> bool:
        """Whether no smaller family would do, with all that lies in the drawer."""
        return self.family.proven and not self.unjudged


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

    `seconds` limit the solving of covers. An operation whose presses no one holder carries is taken
    press by press where each has a holder. What none serves is left over with its reasons; nothing
    is raised for it. Raises `BadInput` for an arbor or an absent part that an operation names and
    the sheet does not know.
    """
    require_all(partial(require_known, sheet, each) for each in work.operations)
    return _solved(Workshop(sheet, card), work, existing, seconds, progress)


def _solved(
    shop: Workshop,
    work: WorkPlan,
    existing: Sequence[Existing],
    seconds: float,
    progress: Progress,
    in_turn: tuple[InTurn, ...] = (),
) -> Job:
    """As `solve`, what was tried before being known to the workshop."""
    operations, sheet, card = work.operations, shop.sheet, shop.card
    missing = {
        i: facts for i, each in enumerate(operations) if (facts := missing_facts(sheet, each))
    }
    groups = _groups(sheet, operations, missing)
    bench = _Bench(shop, operations, groups, progress)
    progress(f"{len(operations)} operations make {len(groups)} different demands")
    plain = _plainly_apart(groups)
    asking = Asking(_alike(groups), bench.operation)
    offered = offers(existing, asking)
    perhaps = np.ones((len(groups), len(groups)), dtype=bool)
    for pair in plain:
        perhaps[pair] = False
    family = smallest_family(
        perhaps,
        bench.judge,
        least=A_HOLDER,
        existing=[(each.serves, each.answer.weight) for each in offered.made],
        seconds=seconds,
    )
    if turns := tuple(_in_turn(bench, family.unserved)):
        operations = tuple(p for i, each in enumerate(operations) for p in parts_of(turns, i, each))
        split = replace(work, operations=operations)
        return _solved(shop, split, existing, seconds, progress, (*in_turn, *turns))
    kept = [offered.made[j] for j in family.kept]
    serves = [bench.operations_of(s) for s in (*(each.serves for each in kept), *family.sets)]
    used = fewest_changes(len(operations), serves)
    chosen = [
        Chosen(each.holder.name, able, does, None, bench.answer(asking, each, does))
        for each, able, does in zip(kept, serves, used, strict=False)
    ]
    taken: set[str] = set()
    for members, able, does in zip(
        family.sets, serves[len(kept) :], used[len(kept) :], strict=True
    ):
        name, trial = bench.make_apart(members, does, taken)
        chosen.append(Chosen(name, able, does, trial))
    served = {i for able in serves for i in able}
    alone = {
        i: (*bench.make(frozenset({g})).reasons, *bench.shop.in_the_way(group.demand))
        for g, group in enumerate(groups)
        for i in group.members
        if i not in served
    }
    apart = {pair: says for pair, says in plain.items() if pair[0] < pair[1]}
    known = (*family.holding, *(each.serves for each in kept))
    apart |= _why_not(bench, family, known, plain)
    return Job(
        sheet, work, card, groups, missing, alone, apart, family, tuple(chosen), offered.unjudged,
        offered.refused, offered.too_far, in_turn,
    )  # fmt: skip


def _in_turn(bench: _Bench, unserved: Members) -> Iterator[InTurn]:
    """The operations that no one holder serves, and a holder for each of their presses does."""
    names = {each.name for each in bench.operations}
    for g in sorted(unserved):
        for i in bench.groups[g].members:
            parts = press_by_press(bench.shop.sheet, bench.operations[i])
            demands = [demand_of(bench.shop.sheet, each) for each in parts]
            if not parts or names & {each.name for each in parts}:
                continue
            bench.progress(f"{bench.operations[i].name}: press by press")
            if all(
                bench.shop.make(demand, each.name, each.mark).recipe is not None
                for demand, each in zip(demands, parts, strict=True)
            ):
                yield InTurn(i, bench.operations[i].name, parts, bench.make(frozenset({g})).reasons)


@dataclass(frozen=True)
class _Bench:
    """The workshop, asked about sets of groups."""

    shop: Workshop
    operations: Sequence[Operation]
    groups: Sequence[Group]
    progress: Progress

    def operations_of(self, members: Members) -> tuple[int, ...]:
        return tuple(sorted(i for g in members for i in self.groups[g].members))

    def name(self, members: Members) -> Called:
        """What a holder that may serve these groups is called."""
        return self._first_and_more(self.operations_of(members))

    def _first_and_more(self, some: Sequence[int]) -> Called:
        """The first of some operations, and how many more; in letters with a stroke, as the words
        would want room that small cradles have not."""
        first, more = self.operations[some[0]], len(some) - 1
        if not more:
            return Called(first.name, first.mark)
        return Called(f"{first.name} and {more} more", f"{first.engraved} /{more}")

    def demand(self, members: Members) -> Demand:
        return together([self.groups[g].demand for g in sorted(members)])

    def make(self, members: Members) -> Trial:
        return self.shop.make(self.demand(members), *self.name(members))

    def make_apart(
        self, members: Members, does: Sequence[int], taken: set[str]
    ) -> tuple[str, Trial]:
        """The holder for a set, under a name that no other one is engraved with, and that name.

        `taken` are the letters the others are engraved with, and is added to. The name says what
        it is used for; what it may serve is said where that does not fit on it.
        """
        could = self.name(members)
        for plain in dict.fromkeys((self._first_and_more(does) if does else could, could)):
            for called in (plain, *(plain.and_letter(letter) for letter in "bcdefgh")):
                if called.engraved not in taken:
                    trial = self.shop.make(self.demand(members), *called)
                    if trial.recipe is not None:
                        taken.add(called.engraved)
                        return called.name, trial
        return could.name, self.make(members)

    def judge(self, members: Members) -> int | None:
        """Weight of the holder for a set."""
        trial = self.make(members)
        self.progress(f"{self.name(members).name}: {trial.grade.value}")
        return None if trial.recipe is None else A_HOLDER + round(trial.volume / 10.0)

    def operation(self, members: Members) -> Operation:
        """The one operation that stands for a set of groups."""
        return self.demand(members).operation(self.name(members).name, "")

    def answer(self, asking: Asking, offer: Offer, does: Sequence[int]) -> Answer:
        """What a holder of the drawer answers to no more than what it is used for."""
        used = frozenset(g for g, each in enumerate(self.groups) if {*each.members} & {*does})
        return asking.answer(offer.holder, used).answer if used else offer.answer


def _alike(groups: Sequence[Group]) -> tuple[tuple[int, ...], ...]:
    """Groups with one workpiece and one side up, which one question may be about."""
    out: dict[tuple[str, Side], list[int]] = {}
    for g, group in enumerate(groups):
        out.setdefault((group.demand.on, group.demand.side_up), []).append(g)
    return tuple(tuple(each) for each in out.values())


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
