"""What the sizes rule out, against judging every seat of every holder, for finding and planning.

Brute force crosses each holder of a drawer with each operation, seat by seat, bench and all. What
it lets pass must never have been ruled out; a plan with it must weigh what a plan without it does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import islice
from pathlib import Path

import pytest
from numpy.random import Generator, default_rng

from nests.drawer import search
from nests.drawer.crossing import Crossing, cross
from nests.drawer.index import fresh_index
from nests.drawer.look import matches, wanted_for
from nests.drawer.search import find
from nests.drawer.seats import seats
from nests.drawer.shelf import read_holder
from nests.finding import Grade
from nests.given.at_work import at_work
from nests.given.operation import Operation, WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.recipe import Recipe
from nests.kinds.kept import KeptHolder
from nests.planning import job, kept
from nests.planning.holders import Trial
from nests.planning.job import solve
from nests.planning.kept import holders_in
from nests.planning.offers import Answer, Existing
from nests.units import BadInput

from . import crowds
from .conftest import recipe, sheet


class Judge:
    """Crosses a holder with an operation only once, however often it is asked."""

    def __init__(self) -> None:
        self._known: dict[tuple[object, ...], Crossing | str] = {}
        self.asked = 0

    def __call__(
        self, holder: KeptHolder, of: Sheet, operation: Operation | None = None, *, seat: int = 0
    ) -> Crossing:
        key = holder.id, of.name, operation and replace(operation, name=""), seat
        if key not in self._known:
            self.asked += 1
            try:
                self._known[key] = cross(holder, of, operation, seat=seat)
            except BadInput as bad:
                self._known[key] = str(bad)
        found = self._known[key]
        if isinstance(found, str):
            raise BadInput(found)
        return found

    def passes(self, holder: KeptHolder, of: Sheet, operation: Operation | None) -> Iterator[int]:
        """The seats in which judging finds no stop."""
        for number in range(len(seats(holder))):
            try:
                if self(holder, of, operation, seat=number).grade is not Grade.STOP:
                    yield number
            except BadInput:
                continue


@pytest.fixture
def judge(monkeypatch: pytest.MonkeyPatch) -> Judge:
    """Judging as it is, but nothing twice, and nothing printed is worked out."""
    made = Judge()
    monkeypatch.setattr(search, "_told", lambda tasks: [_judged(made, *task) for task in tasks])
    monkeypatch.setattr(kept, "cross", made)
    monkeypatch.setattr(job, "Workshop", _Printer)
    return made


def _judged(judge: Judge, path: Path, seat: int, of: Sheet, operation: Operation | None):
    try:
        return judge(read_holder(path), of, operation, seat=seat)
    except BadInput as bad:
        return str(bad)


@cache
def _anything() -> Recipe:
    return recipe("round", "", diameter=26.0, height=4.6)


class _Printer:
    """A shop that prints one holder for anything."""

    def __init__(self, sheet: Sheet, card: PrinterCard) -> None:
        self.sheet, self.card = sheet, card

    def make(self, *_: object) -> Trial:
        return Trial(_anything(), 1000.0)


def pool(name: str, many: int, seed: int) -> list[KeptHolder]:
    chance = default_rng(seed)
    made = islice(crowds.recipes(name, chance), many)
    return [crowds.kept_holder(k, each, chance) for k, each in enumerate(made, 1)]


def drawer(of: list[KeptHolder], many: int, chance: Generator) -> list[KeptHolder]:
    chosen = chance.permutation(len(of))[:many]
    return [of[int(k)] for k in sorted(chosen)]


def holds_for_finding(
    folder: Path, holders: list[KeptHolder], of: Sheet, operation: Operation | None, judge: Judge
) -> tuple[int, int]:
    """How many seats pass and how many were not ruled out, if finding agrees with brute force."""
    passing = {(h.id, s) for h in holders for s in judge.passes(h, of, operation)}
    work = at_work(of, operation) if operation is not None else of
    _, seen = matches(fresh_index(folder), wanted_for(work, operation))
    left = {(each.id, each.seat) for each in seen if not each.ruled_out}
    assert passing <= left
    found = find(folder, of, operation, most=10)
    usable = [c for c in found.judged if c.grade is not Grade.STOP]
    assert bool(usable) is bool(passing) or found.left
    everything = find(folder, of, operation, most=200)
    assert not everything.left
    assert {c.kept.id for c in everything.judged if c.grade is not Grade.STOP} == {
        holder_id for holder_id, _ in passing
    }
    return len(passing), len(left)


def holds_for_planning(
    folder: Path, holders: list[KeptHolder], of: Sheet, work: WorkPlan, judge: Judge
) -> int:
    """How many holders of the drawer are used, if planning agrees with brute force."""

    def existing(holder: KeptHolder) -> Existing:
        def asked(operation: Operation) -> Answer:
            found = [judge(holder, of, operation, seat=s)
                     for s in judge.passes(holder, of, operation)]  # fmt: skip
            best = min(found, key=lambda each: each.rank, default=None)
            return Answer("no.") if best is None else Answer(findings=best.findings)

        return Existing(holder.id, asked)

    slow = solve(of, work, crowds.CARD, [existing(each) for each in holders])
    quick = solve(of, work, crowds.CARD, holders_in(folder, of))
    assert quick.proven
    assert quick.family.weight == slow.family.weight
    assert [each.name for each in quick.chosen if each.answer] == [
        each.name for each in slow.chosen if each.answer
    ] or _as_light(quick, slow)
    return len(quick.family.kept)


def _as_light(one: job.Job, other: job.Job) -> bool:
    """Whether two families weigh the same holder by holder: of equals either may be taken."""
    weights = [sorted(c.answer.weight for c in j.chosen if c.answer) for j in (one, other)]
    return weights[0] == weights[1]


def test_a_small_drawer(tmp_path: Path, judge: Judge) -> None:
    """One sheet, eight holders; many are ruled out, some pass."""
    holders = pool("inv-26-a", 8, 10)
    crowds.put(tmp_path / "d", holders)
    of, operations = sheet("inv-26-a"), crowds.OPERATIONS["inv-26-a"][:2]
    figures = [
        holds_for_finding(tmp_path / "d", holders, of, each, judge) for each in (*operations, None)
    ]
    assert sum(passing for passing, _ in figures) >= 3
    assert sum(left for _, left in figures) < len(holders) * len(figures) / 2
    plan = WorkPlan(name="all", operations=operations)
    assert holds_for_planning(tmp_path / "d", holders, of, plan, judge) >= 1


@pytest.mark.long
@pytest.mark.parametrize("name", crowds.OPERATIONS)
def test_drawers_by_chance(name: str, tmp_path: Path, judge: Judge, capsys) -> None:
    """Nine drawers of up to 60 out of 60 holders for each of four sheets."""
    of, operations, chance = sheet(name), crowds.OPERATIONS[name], default_rng(len(name))
    holders = pool(name, 60, 11)
    total = [0, 0, 0, 0]
    for number in range(9):
        some = drawer(holders, 60 if not number else int(chance.integers(5, 61)), chance)
        folder = tmp_path / f"{number}"
        crowds.put(folder, some)
        for each in (*operations, None):
            passing, left = holds_for_finding(folder, some, of, each, judge)
            total = [total[0] + passing, total[1] + left, total[2] + len(some), total[3]]
        plan = WorkPlan(name="all", operations=operations)
        total[3] += holds_for_planning(folder, some, of, plan, judge)
    with capsys.disabled():
        print(f"\n{name}: of {total[2]} holders asked {total[1]} seats were left by their sizes, "
              f"{total[0]} pass; {total[3]} planned with; {judge.asked} crossed")  # fmt: skip
    assert total[0] > 0
    assert total[1] < total[2]
