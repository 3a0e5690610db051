"""Movements nobody tuned get the holders they ought to get.

`table.py` beside this file counts a thousand of them; here are as many as a test may take. That a
part is where the recipe says is asked of the solid by points, not of what composed it.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from dataclasses import replace
from random import Random

import numpy as np
import pytest
import shapely
from manifold3d import Manifold
from movements import movement, without_dial
from orders import Order, orders
from table import Outcome, of_seed, served

from nests.choosing import Choice, NoHolder, choose
from nests.consistency import check_sheet
from nests.finding import Grade
from nests.given.at_work import at_work
from nests.given.operation import Operation, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.parts.finger_relief import FingerRelief
from nests.parts.mark import NOTCH, Mark
from nests.parts.stake_post import StakePost
from nests.parts.stem_slot import StemSlot
from nests.parts.vent import Vent
from nests.places import Place, Side, at_hour
from nests.planning.demand import demand_of, together
from nests.planning.holders import Workshop
from nests.planning.library import work_plan
from nests.units import BadInput

CARD = PrinterCard()
SMALL = 0.62
"""mm of a jewel that a tip still carries and that leaves no ring round a pivot."""
FEW, MANY = range(2, 5), (range(100, 112), range(112, 140))


@pytest.mark.slow
def test_every_movement_agrees_with_itself() -> None:
    for seed in range(300):
        faults = [f.says for f in check_sheet(movement(seed)) if f.grade is Grade.STOP]
        assert not faults, faults


def test_a_seed_is_one_movement() -> None:
    assert movement(7) == movement(7) != movement(8)


@pytest.mark.slow
@pytest.mark.parametrize("seed", FEW)
def test_a_few_movements_get_all_they_ought_to(seed: int) -> None:
    found = of_seed(seed)
    assert not [each for each in found if not each.printable]


@pytest.fixture(scope="module", params=[
    pytest.param(MANY[0], marks=pytest.mark.slow), pytest.param(MANY[1], marks=pytest.mark.long),
])  # fmt: skip
def many(request: pytest.FixtureRequest) -> list[Outcome]:
    """Every order of some of forty movements; `table.py` counts many more."""
    return [each for seed in request.param for each in of_seed(seed)]


def test_of_many_movements_nearly_all_get_all(many: list[Outcome]) -> None:
    assert not [each.says for each in many if each.crashed]
    lacking = [f"{e.seed} {e.order.words}: {e.says[0]}" for e in many if not e.printable]
    assert len(lacking) <= 0.01 * len(many), lacking
    mends = [e for e in many if e.printable and e.grade is Grade.MEND]
    assert len(mends) <= 0.10 * len(many)
    families: dict[str, list[bool]] = defaultdict(list)
    for each in many:
        families[each.order.family].append(each.printable)
    for name, printable in families.items():
        assert sum(printable) >= 0.95 * len(printable), name
    assert len(families) >= 6
    assert sorted(e.seconds for e in many)[len(many) // 2] <= 6.0


def chosen(sheet: Sheet, order: Order) -> Choice | None:
    """The holder for an order; None where there is none."""
    try:
        return choose(order.family, sheet, order.operation, order.options, CARD, explain=False)
    except BadInput:
        return None


def _plan(solid: Manifold, z: float) -> shapely.Geometry:
    """The slice of a solid at a height, with its holes."""
    out: shapely.Geometry = shapely.Polygon()
    for ring in solid.slice(z).to_polygons():
        out = shapely.symmetric_difference(out, shapely.Polygon(ring))
    return out


def inside(choice: Choice, points: list[tuple[float, float, float]]) -> list[bool]:
    """Whether points lie in the solid, by its slices."""
    plans = {z: _plan(choice.study.solid, z) for z in {z for _, _, z in points}}
    return [bool(plans[z].contains(shapely.Point(x, y))) for x, y, z in points]


@pytest.mark.parametrize("seed", [
    pytest.param(seed, marks=pytest.mark.slow if seed < 102 else pytest.mark.long)
    for seed in range(100, 106)
])  # fmt: skip
def test_every_part_is_found_on_the_solid(seed: int) -> None:
    """Posts end where the jewel or rest begins, ways are open, vents reach the pocket, letters
    are sunk: by points just inside and just outside of where the sheet and the recipe say."""
    sheet = movement(seed)
    seen: Counter[str] = Counter()
    for order in orders(sheet):
        choice = chosen(sheet, order)
        if choice is None or choice.faults[0]:
            continue
        site = choice.recipe.site()
        for part in choice.recipe.parts:
            if isinstance(part, StakePost):
                contact = part.contacts(site)[0]
                hold = part.foothold(site)
                down = part.insert_out if part.kind != "printed" else 0.0
                x, y, z = contact.place
                beside = part.tip / 2 - 0.1 if part.kind == "printed" else part.insert / 2 + 0.3
                turn = math.atan2(hold.at.y, hold.at.x) + math.pi / 2
                x, y = x + beside * math.cos(turn), y + beside * math.sin(turn)
                assert inside(choice, [(x, y, z - down - 0.02)]) == [True], part.label()
                assert inside(choice, [(*contact.place[:2], z + 0.02)]) == [False], part.label()
                wanted = site.sheet.height(site.side_down)
                assert z <= site.seat + site.sheet.rim + wanted
                seen["post"] += 1
            if isinstance(part, Vent):
                angle = site.frame.angle(part.at)
                low = (site.floor if part.level == "floor" else 0.0) + 0.1
                run = np.linspace(site.radius(part.at) - 0.3, site.outer(part.at) - 0.1, 12)
                way = [(r * math.cos(angle), r * math.sin(angle), low) for r in run]
                assert not any(inside(choice, way)), part.label()
                seen["vent"] += 1
            if isinstance(part, StemSlot) and site.sheet.stem is not None:
                stem = site.sheet.stem
                angle = site.frame.angle(stem.hour)
                z = site.frame.z(Side.DIAL, -stem.depth)
                run = np.linspace(site.radius(stem.hour) + 0.1, site.outer(stem.hour), 12)
                for up in (-stem.diameter / 2, 0.0, stem.diameter / 2):
                    way = [(r * math.cos(angle), r * math.sin(angle), z + up) for r in run]
                    assert not any(inside(choice, way)), "stem"
                seen["stem"] += 1
            if isinstance(part, Mark) and part.text != NOTCH:
                cut = part.shape(site).cuts
                assert cut is not None
                strokes = _plan(cut, site.top - part.depth / 2)
                dots = [each.representative_point() for each in shapely.get_parts(strokes)][:5]
                assert dots, part.text
                above = [(p.x, p.y, site.top - part.depth / 2) for p in dots]
                below = [(p.x, p.y, site.top - part.depth - 0.05) for p in dots]
                assert not any(inside(choice, above)), part.text
                assert all(inside(choice, below)), part.text
                seen["mark"] += 1
            if isinstance(part, FingerRelief):
                at = site.frame.place(at_hour(part.at, (site.radius(part.at) + 1.0)))
                assert inside(choice, [(at.x, at.y, site.top - 0.05)]) == [False]
                seen["relief"] += 1
    assert min(seen[kind] for kind in ("vent", "mark", "stem")) > 0, seen


def with_a_small_jewel(sheet: Sheet) -> Sheet:
    """The sheet with one jewel that is pressed so small that nothing spares the pivot that stands
    out of it."""
    small = max(each.name for each in sheet.arbors if each.carries)
    arbors = [
        replace(each, jewels=tuple(replace(j, diameter=SMALL) for j in each.jewels))
        if each.name == small
        else each
        for each in sheet.arbors
    ]
    return replace(sheet, arbors=tuple(arbors))


@pytest.mark.slow
@pytest.mark.parametrize("seed", [14, 66])
def test_the_fact_that_is_named_is_the_one_in_the_way(seed: int) -> None:
    """With the change that a refusal names, and nothing else, the holder can be printed."""
    sheet, named = with_a_small_jewel(movement(seed)), 0
    for order in orders(sheet):
        if not order.operation or chosen(sheet, order) is not None:
            continue
        with pytest.raises(BadInput) as refused:
            choose(order.family, sheet, order.operation, order.options, CARD)
        assert isinstance(refused.value, NoHolder), refused.value
        fact = refused.value.fact
        assert fact is not None
        assert fact.says in str(refused.value)
        case = fact.case
        made = choose(order.family, case.sheet, case.operation, case.options, case.card)
        assert made.faults[0] == 0
        named += 1
    assert named


@pytest.mark.slow
def test_a_small_jewel_has_what_margin_is_left() -> None:
    """INV 0014: a pivot stands out of a jewel of 0.84 mm. With all play against it the post does
    not touch it, and that less than the usual margin is left is told."""
    order = next(each for each in orders(movement(14)) if each.operation)
    best = chosen(movement(14), order)
    assert best is not None
    assert best.faults == (0, 1)
    assert any("of the pivot" in f.says and f.grade is Grade.MEND for f in best.findings)


@pytest.mark.slow
def test_what_serves_a_set_serves_its_parts() -> None:
    """Over sets of operations of one side, through the functions that `plan` and `make`
    share; and a lighter press is never harder."""
    dice, held = Random(11), 0
    plan = work_plan("three-hand")
    for seed in range(100, 104):
        sheet = movement(seed)
        shop = Workshop(sheet, CARD)
        up = [each for each in plan.operations if each.side_up is Side.DIAL and not each.on]
        some = dice.sample(up, min(4, len(up)))
        demands = [demand_of(sheet, each) for each in some]
        whole = shop.make(together(demands), "all")
        if whole.recipe is None:
            continue
        held += 1
        for demand, operation in zip(demands, some, strict=True):
            alone = shop.make(demand, "one")
            assert alone.recipe is not None, (seed, operation.name, alone.reasons)
    assert held >= 2


@pytest.mark.parametrize("seed", [
    pytest.param(seed, marks=pytest.mark.slow if seed == 100 else pytest.mark.long)
    for seed in (100, 101, 103)
])  # fmt: skip
def test_a_lighter_press_is_never_harder(seed: int) -> None:
    sheet = movement(seed)
    arbor = next(each.name for each in sheet.arbors if each.carries)
    served = []
    for force in (3.0, 6.0, 9.0, 12.0, 15.0, 25.0, 45.0):
        does = Operation(
            name="press", side_up=Side.DIAL, presses=(Press(arbor=arbor, force=force),)
        )
        name = "hand-setting" if type(sheet.outline).__name__ == "Round" else "shaped"
        choice = chosen(at_work(sheet, does), Order(name, {}, does))
        served.append(choice is not None and choice.faults[0] == 0)
    assert served == sorted(served, reverse=True)
    assert served[0]


def test_a_place_read_back_is_itself() -> None:
    """The points above are laid down by hours; a mirrored site must not hide a mirrored part."""
    sheet = movement(3)
    at = Place(2.0, 5.0)
    for order in orders(sheet):
        choice = chosen(sheet, order)
        if choice is not None:
            frame = choice.recipe.site().frame
            assert frame.place(frame.place(at)) == at
            break


DIALLED = [seed for seed in range(100, 140) if movement(seed).dial is not None][:12]
WITH_A_DIAL = ("hand-setting", "shaped", "chronograph")


def _with_a_dial(seed: int) -> list[Outcome]:
    """What is done on a movement of a seed while its dial is on."""
    sheet = movement(seed)
    return [
        served(seed, sheet, each)
        for each in orders(sheet)
        if each.family in WITH_A_DIAL and (each.operation or each.options.get("side_up") == "dial")
    ]


@pytest.mark.parametrize("count", [
    pytest.param(6, marks=pytest.mark.slow), pytest.param(12, marks=pytest.mark.long),
])  # fmt: skip
def test_of_a_dozen_dials_none_is_in_the_way(count: int) -> None:
    """Hands are set, and pushers worked, over dials as wide as they come."""
    found = [each for seed in DIALLED[:count] for each in _with_a_dial(seed)]
    assert len(found) >= count
    assert {each.order.family for each in found} == set(WITH_A_DIAL) or count < len(DIALLED) == 12
    assert not [(e.seed, e.order.words, e.says) for e in found if not e.printable]


def test_a_dial_changes_nothing_else_of_a_movement() -> None:
    for seed in range(40):
        assert replace(movement(seed), dial=None) == without_dial(seed)
    assert 0.3 < sum(movement(seed).dial is not None for seed in range(300)) / 300 < 0.5
