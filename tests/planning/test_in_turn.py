"""An operation whose presses no one holder carries is done press by press, and the plan says so."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from nests.finding import refuse
from nests.given.operation import EVERY_HAND, Operation, Press, WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.kinds import read
from nests.places import Side
from nests.planning import holders
from nests.planning.demand import Demand, demand_of
from nests.planning.holders import Trial, Workshop
from nests.planning.in_turn import press_by_press
from nests.planning.job import solve
from nests.planning.readiness import readiness

GALLERY = Path(__file__).parents[2] / "gallery"
CARD = read(GALLERY / "printers" / "bench-printer.json", PrinterCard)
HANDS = Operation(name="hands on", side_up=Side.DIAL, presses=EVERY_HAND)


def sheet(name: str) -> Sheet:
    return read(GALLERY / "sheets" / f"{name}.json", Sheet)


def test_each_axis_is_a_press_in_the_order_of_the_sheet_as_hard_as_was_said() -> None:
    heavy = Press(arbor="centre", force=45.0, origin="measured")
    parts = press_by_press(sheet("inv-17-t"), Operation(
        name="hands on", side_up=Side.DIAL, presses=(*EVERY_HAND, heavy), stem=True,
    ))  # fmt: skip
    assert [each.name for each in parts] == ["hands on, centre", "hands on, small seconds"]
    assert [each.engraved for each in parts] == ["HANDS ON 1", "HANDS ON 2"]
    assert [[p.arbor for p in each.presses] for each in parts] == [
        ["centre", "centre"], ["small seconds"],
    ]  # fmt: skip
    assert parts[0].presses[1] == heavy
    assert all(each.stem and each.side_up is Side.DIAL for each in parts)


def test_arbors_on_one_axis_stand_on_one_post_and_stay_together() -> None:
    assert press_by_press(sheet("inv-28-s"), HANDS) == ()


def no_two_presses(monkeypatch: pytest.MonkeyPatch) -> None:
    """A workshop that finds a holder for one press, and none for two."""
    make = Workshop.make

    def alone(self: Workshop, demand: Demand, name: str, mark: str = "") -> Trial:
        if len(demand.forces) > 1:
            return Trial(reasons=("hand-setting: what one takes the other lacks",))
        return make(self, demand, name, mark)

    monkeypatch.setattr(Workshop, "make", alone)


def test_what_no_holder_carries_together_is_done_in_holders_of_their_own(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    no_two_presses(monkeypatch)
    work = WorkPlan(name="a short job", operations=(HANDS,))
    job = solve(sheet("inv-17-t"), work, CARD)
    plan = readiness(job)
    assert [(each.name, each.state) for each in plan.operations] == [
        ("hands on, centre", "to print"), ("hands on, small seconds", "to print"),
    ]  # fmt: skip
    assert [each.posts for each in plan.holders] == [("centre",), ("small seconds",)]
    assert len({each.engraved for each in plan.holders}) == 2
    assert (
        "'hands on' is done press by press, as 'hands on, centre' and 'hands on, small seconds', "
        "for no one holder carries all its presses: "
        "hand-setting: what one takes the other lacks." in plan.says
    )
    (turn,) = plan.in_turn
    assert turn.parts == ("hands on, centre", "hands on, small seconds")
    assert not job.alone


def refusing(monkeypatch: pytest.MonkeyPatch, check: str) -> list[str]:
    """A choice that refuses everything for one check; what it was asked is written down."""
    asked: list[str] = []

    def choose(family: str, work: Sheet, operation: Operation, *_: object, **__: object) -> None:
        asked.append(f"{family}: {operation.name}")
        raise refuse(check, "no.", "nothing")

    monkeypatch.setattr(holders, "choose", choose)
    return asked


@pytest.mark.parametrize(("check", "again"), [("load path", False), ("reach", True)])
def test_what_asks_no_less_than_a_jewel_bears_is_not_tried(
    monkeypatch: pytest.MonkeyPatch, check: str, again: bool
) -> None:
    asked, shop = refusing(monkeypatch, check), Workshop(sheet("inv-17-t"), CARD)
    less = demand_of(shop.sheet, HANDS)
    more = replace(less, forces=tuple((arbor, 2 * force) for arbor, force in less.forces))
    other = replace(less, forces=less.forces[:1])
    assert shop.make(less, "less").reasons
    tried = len(asked)
    assert shop.make(more, "more").reasons == shop.make(less, "less").reasons
    assert (len(asked) > tried) is again
    before = len(asked)
    shop.make(other, "other")  # it asks less, so it may be found
    assert len(asked) > before


def test_a_name_that_is_taken_is_not_given_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    no_two_presses(monkeypatch)
    monkeypatch.setattr(Workshop, "in_the_way", lambda *_: ())  # seconds, and not asked here
    other = Operation(name="hands on, centre", mark="OTHER", side_up=Side.DIAL)
    job = solve(sheet("inv-17-t"), WorkPlan(name="short", operations=(HANDS, other)), CARD)
    assert [each.state for each in readiness(job).operations] == ["none", "to print"]
    assert not job.in_turn
