"""May the job start? As a truth table: every check by every grade, every holder by what is known.

The rows are products; no row is written by hand. A holder to print is judged by findings that are
put in the checks' place, one of the kept ones by what crossing over says without the bench; the
rest of the way, from work plan to job sheet, is as in the shop.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from nests.checks import names
from nests.choosing import Choice, choose
from nests.documents.files import data_folder
from nests.drawer import crossing
from nests.drawer.shelf import written
from nests.finding import Finding, Grade, by_gravity
from nests.given.operation import USUAL, Operation, WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.kinds.kept import Change, KeptHolder, Readings, State, make_id
from nests.kinds.plan import Plan
from nests.papers.report import job_sheet
from nests.papers.report.blocks import Listing, Paragraph, Table
from nests.places import Side
from nests.planning import holders, kept
from nests.planning.coverage import as_text
from nests.planning.job import solve
from nests.planning.kept import holders_in
from nests.planning.offers import Existing
from nests.planning.readiness import readiness
from nests.units import BadInput
from tests.ordering import preferred as order
from tests.prints import accepted

SHEETS = data_folder("gallery") / "sheets"
SHEET = read(SHEETS / "inv-26-a.json", Sheet)
CARD = PrinterCard()
LOOK = WorkPlan(name="one", operations=(Operation(name="look", side_up=Side.DIAL),))
HANDS = WorkPlan(name="hands", operations=(USUAL.operation("hand-setting"),))
GRADES = tuple(product(names(), Grade))


def finding(check: str, grade: Grade) -> Finding:
    remedy = "" if grade is Grade.CLEAR else f"see to {check}"
    return Finding(check=check, grade=grade, says=f"{check} is {grade.value} here.", remedy=remedy)


def told(check: str, grade: Grade) -> str:
    return f"{check} is {grade.value} here."


def all_findings(check: str, grade: Grade) -> tuple[Finding, ...]:
    """Those of all checks, clear but for one."""
    found = [finding(name, grade if name == check else Grade.CLEAR) for name in names()]
    return by_gravity(tuple(found))


def plan_of(work: WorkPlan, existing: tuple[Existing, ...] = ()) -> Plan:
    return readiness(solve(SHEET, work, CARD, existing))


def paper(answer: Plan, work: WorkPlan) -> str:
    """All words of the job sheet."""
    out = []
    for block in job_sheet(answer, work, SHEET, {}, "0").blocks:
        if isinstance(block, Paragraph):
            out.append(block.text)
        elif isinstance(block, Listing):
            out += block.items
        elif isinstance(block, Table):
            out += [cell for row in block.rows for cell in row]
    return "\n".join(out)


@pytest.fixture
def printed(monkeypatch: pytest.MonkeyPatch) -> Callable[[tuple[Finding, ...]], None]:
    """Put findings in the place of those of a holder to print, which is drawn but once."""

    def judged_as(found: tuple[Finding, ...]) -> None:
        def chosen(*arguments: Any, **options: Any) -> Choice:
            return replace(_chosen(*arguments), findings=found)

        monkeypatch.setattr(holders, "choose", chosen)
        monkeypatch.setattr(holders, "in_the_way", lambda *_: None)  # of findings of ours, nothing

    return judged_as


def _once(of: Callable[..., Any]) -> Callable[..., Any]:
    """A function that works out the same thing but once, or refuses it; a sheet has no hash."""
    known: dict[str, Any] = {}

    def asked(*arguments: object) -> Any:
        key = repr(arguments)
        if key not in known:
            try:
                known[key] = of(*arguments)
            except BadInput as refused:
                known[key] = refused
        if isinstance(known[key], BadInput):
            raise known[key]
        return known[key]

    return asked


_composed, _chosen = _once(compose), _once(partial(choose, explain=False))


@pytest.mark.parametrize(("check", "grade"), GRADES)
def test_a_holder_to_print(
    check: str, grade: Grade, printed: Callable[[tuple[Finding, ...]], None]
) -> None:
    printed(all_findings(check, grade))
    answer = plan_of(LOOK)
    assert answer.may_start is (grade in (Grade.CLEAR, Grade.MEND))
    _is_told(answer, LOOK, check, grade)
    assert [each.state for each in answer.holders] == ([] if grade is Grade.STOP else ["to print"])


def _is_told(answer: Plan, work: WorkPlan, check: str, grade: Grade) -> None:
    says = told(check, grade)
    for words in (answer.says, as_text(answer), paper(answer, work)):
        assert (says in words) is (grade is not Grade.CLEAR)
        assert (f"See to {check}." in words) is (grade in (Grade.UNKNOWN, Grade.MEND))
        assert ("must not start" in words) is not answer.may_start
    for each in answer.holders:
        assert each.grade == grade.value
        assert (says in " ".join(each.open_facts)) is (grade is Grade.UNKNOWN)
        assert (says in " ".join(each.mends)) is (grade is Grade.MEND)
    assert bool([each for each in answer.operations if each.holder]) is (grade is not Grade.STOP)


@cache
def hands() -> Recipe:
    made = order("hand-setting", {}, sheet=SHEETS / "inv-26-a.json", operation="hand-setting")
    return made.recipe


DIMENSIONS = ("seat", "ledge", "centre-below-ledge", "cured")
"""What is known of that holder or not: its ⌀, its ledge, the tip under the pressed jewel, and
whether it is washed and cured; all else on the list is."""
STATES: tuple[State, ...] = ("in use", "worn", "retired")


@dataclass(frozen=True)
class Filed:
    """A holder of the drawer: which of `DIMENSIONS` were gauged, and how it stands."""

    gauged: tuple[bool, ...]
    state: State

    def document(self) -> KeptHolder:
        known = accepted(hands())
        lacks = {name for name, there in zip(DIMENSIONS, self.gauged, strict=True) if not there}
        known = Readings(
            sizes={name: each for name, each in known.sizes.items() if name not in lacks},
            tried={name: each for name, each in known.tried.items() if name not in lacks},
        )
        filed = Change(number=1, did="filed", readings=known)
        reason = "" if self.state == "in use" else "it is scratched."
        now = Change(number=2, did="measured", readings=known, state=self.state, reason=reason)
        return KeptHolder(id=make_id(hands().kind, 1), recipe=hands(), history=(filed, now))

    def put(self, folder: Path) -> None:
        kept_holder = self.document()
        folder.mkdir()
        (folder / f"{kept_holder.id}.json").write_bytes(written(kept_holder))


def not_known(name: str) -> str:
    return f"'{name}' was not {'tried' if name == 'cured' else 'gauged'}:"


def crossed(holder: KeptHolder, *args: object, **more: object) -> crossing.Crossing:
    """Crossing over without the bench."""
    return crossing.cross(holder, *args, **{**more, "bench": False})  # type: ignore[arg-type]


@pytest.mark.parametrize("gauged", tuple(product((True, False), repeat=len(DIMENSIONS))))
@pytest.mark.parametrize("state", STATES)
def test_a_holder_of_the_drawer(
    gauged: tuple[bool, ...],
    state: State,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    printed: Callable[[tuple[Finding, ...]], None],
) -> None:
    printed(all_findings("wall", Grade.CLEAR))
    monkeypatch.setattr(kept, "cross", crossed)
    Filed(gauged, state).put(tmp_path / "drawer")
    answer = plan_of(HANDS, holders_in(tmp_path / "drawer", SHEET))
    (holder,) = answer.holders
    assert (holder.state == "in drawer") is (state != "retired")
    assert holder.condition == ("" if state == "retired" else state)
    assert answer.may_start is (state == "retired" or all(gauged))
    words = (answer.says, as_text(answer), paper(answer, HANDS))
    for name, known in zip(DIMENSIONS, gauged, strict=True):
        lacks = state != "retired" and not known
        assert all((not_known(name) in each) is lacks for each in words)
    assert all(("it is scratched" in each) is (state == "worn") for each in words)
    assert all(("worn" in each.lower()) is (state == "worn") for each in words)
    assert (holder.grade == "mend") is (state == "worn")
    assert holder.posts == ("centre",)
    assert holder.family == "hand-setting"
    assert holder.volume == pytest.approx(_composed(hands()).solid.volume(), abs=0.1)


@pytest.mark.parametrize(("check", "grade"), GRADES)
def test_a_finding_of_crossing_over(
    check: str,
    grade: Grade,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    printed: Callable[[tuple[Finding, ...]], None],
) -> None:
    printed(all_findings("wall", Grade.STOP))  # nothing to print will do
    found = _crossed_once()
    monkeypatch.setattr(
        kept, "cross", lambda *_, **__: replace(found, findings=all_findings(check, grade))
    )
    Filed((True,) * len(DIMENSIONS), "in use").put(tmp_path / "drawer")
    answer = plan_of(HANDS, holders_in(tmp_path / "drawer", SHEET))
    assert answer.may_start is (grade in (Grade.CLEAR, Grade.MEND))
    assert [each.state for each in answer.holders] == ([] if grade is Grade.STOP else ["in drawer"])
    if grade is not Grade.STOP:  # with a stop it is passed over for one to print, which tells
        _is_told(answer, HANDS, check, grade)


@cache
def _crossed_once() -> crossing.Crossing:
    filed = Filed((True,) * len(DIMENSIONS), "in use").document()
    return crossing.cross(filed, SHEET, HANDS.operations[0], bench=False)


def test_an_unknown_plate_keeps_a_job_from_starting() -> None:
    """INV 26-A with neither plate nor bridges nor push-out force: where the press goes is open.

    Nothing here is put in anything's place.
    """
    centre, *others = SHEET.arbors
    (jewel,) = centre.jewels
    bare = replace(
        SHEET,
        plate=replace(SHEET.plate, thickness=None),
        bridges=replace(SHEET.bridges, thickness=None),
        arbors=(replace(centre, jewels=(replace(jewel, push_out_force=None),)), *others),
    )
    answer = readiness(solve(bare, HANDS, CARD))
    (holder,) = answer.holders
    assert not answer.may_start
    assert "must not start" in answer.says
    assert any("not assessed" in fact and "thickness" in fact for fact in holder.open_facts)
    assert readiness(solve(SHEET, HANDS, CARD)).may_start
