"""What serves a set of operations serves each of them alone, and a lighter press is never harder:
through `make`, `plan` and `find`."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from movements import without_dial

from nests.choosing import choose
from nests.drawer.crossing import cross
from nests.finding import Grade
from nests.given.at_work import at_work
from nests.given.operation import Operation, Press, WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.kinds import read
from nests.kinds.kept import Change, KeptHolder, make_id
from nests.places import Side
from nests.planning.demand import demand_of, together
from nests.planning.holders import Workshop
from nests.planning.job import solve
from nests.planning.library import work_plan
from nests.planning.readiness import readiness
from nests.units import BadInput
from tests.prints import accepted

CARD = PrinterCard()
SHEETS = Path(__file__).parents[2] / "gallery" / "sheets"


def some_operations(dice: Random, sheet: Sheet) -> list[Operation]:
    """Two to four operations of one side from a plan, the presses of random hardness."""
    side = dice.choice([Side.DIAL, Side.BRIDGE])
    known = [
        each
        for each in work_plan("three-hand").operations
        if each.side_up is side and not each.on and not each.turned_over
    ]
    some = dice.sample(known, min(dice.randint(2, 4), len(known)))
    return [
        replace(each, presses=tuple(_as_hard(press, dice) for press in each.presses))
        for each in some
    ]


def _as_hard(press: Press, dice: Random) -> Press:
    return replace(press, force=round(dice.uniform(2.0, 12.0), 1), least=None, most=None)


@pytest.mark.parametrize("seed", [
    pytest.param(seed, marks=pytest.mark.slow if seed < 202 else pytest.mark.long)
    for seed in range(200, 206)
])  # fmt: skip
def test_what_serves_a_set_serves_each_of_it(seed: int) -> None:
    sheet, dice = without_dial(seed), Random(seed)
    some = some_operations(dice, sheet)
    whole = Workshop(sheet, CARD).make(together([demand_of(sheet, each) for each in some]), "all")
    assert whole.recipe is not None, whole.reasons
    filed = Change(number=1, did="filed", readings=accepted(whole.recipe))
    kept = KeptHolder(id=make_id(whole.recipe.kind, 1), recipe=whole.recipe, history=(filed,))
    for each in some:
        alone = Workshop(sheet, CARD).make(demand_of(sheet, each), "one")  # as `make`
        assert alone.recipe is not None, (each.name, alone.reasons)
        job = solve(sheet, WorkPlan(name="one", operations=(each,)), CARD)
        assert readiness(job).may_start, each.name
        found = cross(kept, sheet, each)  # as `find`
        stops = [finding.says for finding in found.findings if finding.grade is Grade.STOP]
        assert not stops, (each.name, stops)


def _hands_on(name: str) -> tuple[Sheet, str] | None:
    """A movement of the gallery with the first arbor that carries a hand; None for others."""
    sheet = read(SHEETS / f"{name}.json", Sheet)
    arbor = next((each.name for each in sheet.arbors if each.carries), None)
    return None if sheet.kind != "movement" or arbor is None else (sheet, arbor)


NOT_YET = {"inv-32-k": ("oscillating weight", "automatic works")}
"""What lies over the jewels that are pressed on, and is fitted after the hands."""
NAMES = sorted(path.stem for path in SHEETS.glob("*.json"))


@pytest.mark.slow
@pytest.mark.parametrize("name", [each for each in NAMES if _hands_on(each)])
def test_three_to_fifteen_newtons(name: str) -> None:
    """On every movement of the gallery that carries hands: what serves 15 N serves all below."""
    found = _hands_on(name)
    assert found is not None
    sheet, arbor = found
    family = "hand-setting" if isinstance(sheet.outline, Round) else "shaped"
    served = []
    for force in range(3, 16, 2):
        presses = (Press(arbor=arbor, force=float(force)),)
        does = Operation(
            name="press", side_up=Side.DIAL, presses=presses, absent=NOT_YET.get(name, ())
        )
        try:
            best = choose(family, at_work(sheet, does), does, {}, CARD, explain=False)
            served.append(best.faults[0] == 0)
        except BadInput:
            served.append(False)
    assert served[0], name
    assert served == sorted(served, reverse=True), served
