"""What operations ask of a holder, alone and together."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nests.given.absent import unknown, without
from nests.given.at_work import at_work
from nests.given.operation import Operation, Press
from nests.given.sheet import Sheet
from nests.kinds import read
from nests.places import Side
from nests.planning.demand import demand_of, missing_facts, plainly_apart, together
from nests.units import BadInput

SHEETS = Path(__file__).parents[2] / "gallery" / "sheets"
SHEET = read(SHEETS / "inv-32-k.json", Sheet)
NAMES = sorted(
    {each.name for each in (*SHEET.keep_clear, *SHEET.rests)} | {"third wheel", "escape wheel"}
)

operations = st.builds(
    Operation,
    name=st.just("any"),
    side_up=st.just(Side.DIAL),
    presses=st.lists(
        st.builds(
            Press,
            arbor=st.sampled_from(["centre", "small seconds", "every hand"]),
            force=st.floats(1.0, 60.0),
        ),
        max_size=3,
    ).map(tuple),
    stem=st.booleans(),
    pushers=st.booleans(),
    turned_over=st.booleans(),
    shock=st.floats(1.0, 100.0),
    absent=st.sets(st.sampled_from(NAMES)).map(lambda s: tuple(sorted(s))),
)


@given(st.lists(operations, min_size=1, max_size=5))
def test_together_asks_at_least_what_each_asks(several: list[Operation]) -> None:
    each = [demand_of(SHEET, one) for one in several]
    both = together(each)
    assert both == together(each[::-1])
    assert together([both, *each]) == both
    keeps = {k.name for k in SHEET.keep_clear}
    for one, demand in zip(several, each, strict=True):
        work = at_work(SHEET, both.operation("all", ""))
        alone = at_work(SHEET, one)
        # all that must be kept clear for one is kept clear for all; what carries all is there
        assert {k.name for k in alone.keep_clear} <= {k.name for k in work.keep_clear} <= keeps
        assert {r.name for r in work.rests} <= {r.name for r in alone.rests}
        forces = dict(both.forces)
        assert all(forces[arbor] >= force for arbor, force in demand.forces)
        assert all(work.arbor(arbor) for arbor in forces)
        whole = both.operation("all", "")
        assert whole.shock >= one.shock or not one.turned_over
        for asked in ("stem", "pushers", "turned_over"):
            assert getattr(both, asked) >= getattr(demand, asked)
        assert both.asks_no_less(demand)
        assert not demand.asks_no_less(both) or demand == both


def test_no_field_of_an_operation_is_forgotten() -> None:
    """Each field but the words and the spread of a force changes the demand, or a test above says
    how it is met."""
    from dataclasses import fields

    words = {"name", "says", "mark"}
    asked = {"on", "side_up", "presses", "stem", "pushers", "turned_over", "shock", "absent"}
    assert {each.name for each in fields(Operation)} == words | asked


def test_every_hand_and_the_arbors_named_are_one_demand() -> None:
    every = Operation(name="a", side_up=Side.DIAL, presses=(Press(arbor="every hand", force=9.0),))
    named = Operation(
        name="b",
        side_up=Side.DIAL,
        presses=tuple(Press(arbor=a.name, force=9.0) for a in SHEET.arbors if a.carries),
    )
    assert demand_of(SHEET, every) == demand_of(SHEET, named)


def test_names_the_sheet_does_not_know_take_nothing_away() -> None:
    plain = Operation(name="a", side_up=Side.DIAL)
    odd = Operation(name="b", side_up=Side.DIAL, absent=("tourbillon carriage",))
    assert demand_of(SHEET, plain) == demand_of(SHEET, odd)
    assert without(SHEET, odd.absent) == SHEET
    assert unknown(SHEET, (*odd.absent, "centre", "plate edge", "motion works")) == odd.absent


@pytest.mark.parametrize(
    ("operation", "words"),
    [
        (Operation(name="a", side_up=Side.DIAL, presses=(Press(arbor="moon"),)), "no arbor"),
        (Operation(name="a", side_up=Side.BRIDGE, presses=(Press(arbor="centre"),)), "dial side"),
        (
            Operation(
                name="a", side_up=Side.DIAL, presses=(Press(arbor="centre"),), absent=("centre",)
            ),
            "no arbor",
        ),
        (Operation(name="a", side_up=Side.DIAL, on="INV 32-K balance", stem=True), "stem"),
        (Operation(name="a", side_up=Side.DIAL, on="INV 32-K balance", pushers=True), "pushers"),
        (Operation(name="a", side_up=Side.DIAL, on="moon works"), "no sub-assembly"),
        (
            Operation(
                name="a",
                side_up=Side.DIAL,
                on="INV 32-K balance",
                presses=(Press(arbor="every hand"),),
            ),
            "carries a hand",
        ),
    ],
)
def test_missing_facts_are_named(operation: Operation, words: str) -> None:
    (fact,) = missing_facts(SHEET, operation)
    assert words in fact


def test_an_unknown_sub_assembly_is_refused() -> None:
    with pytest.raises(BadInput, match="moon works"):
        at_work(SHEET, Operation(name="a", side_up=Side.DIAL, on="moon works"))


def test_uncertainties_follow_what_is_left() -> None:
    """A JSON Pointer (RFC 6901) names a list entry by its index, which changes."""
    from dataclasses import replace

    values = {
        "/arbors/1/at": 0.011,
        "/arbors/4/at": 0.014,
        "/rests/0/height": 0.02,
        "/keep_clear/2/to_height": 0.03,
        "/rim": 0.04,
    }
    sheet = replace(SHEET, uncertainties=values)
    less = without(sheet, {"centre", SHEET.rests[0].name, SHEET.keep_clear[0].name})
    assert less.arbors[0] == SHEET.arbors[1]
    assert less.uncertainties == {
        "/arbors/0/at": 0.011,
        "/arbors/3/at": 0.014,
        "/keep_clear/1/to_height": 0.03,
        "/rim": 0.04,
    }


def test_workpiece_and_side_keep_operations_apart() -> None:
    up = demand_of(SHEET, Operation(name="a", side_up=Side.DIAL))
    down = demand_of(SHEET, Operation(name="b", side_up=Side.BRIDGE))
    sub = demand_of(SHEET, Operation(name="c", side_up=Side.DIAL, on="INV 32-K balance"))
    assert plainly_apart(up, up) == ""
    assert "side up" in plainly_apart(up, down)
    assert "INV 32-K balance" in plainly_apart(up, sub)
