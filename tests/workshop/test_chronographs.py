"""Ways to the pushers of movements nobody tuned: printable, without a mend, whatever the travel.

Seeds were taken for what they have, not for how they come out: 6 three pushers, 20 and 105 one, 46,
54 and 105 levers beyond the rim, 78 a pusher beside a stem at 9 h, 95 short and long travels.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from movements import movement
from orders import CHRONOGRAPH

from nests.checks import judge
from nests.documents.files import data_folder
from nests.families import family
from nests.finding import Finding, Grade
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Pusher, Sheet, Stem
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.planning.holders import lacks
from nests.study import Study

SEEDS = (6, 20, 46, 54, 78, 93, 95, 105)
FAST = {(20, "slot"), (54, "slot"), (54, "plunger"), (78, "slot"), (78, "plunger")}
TRAVELS = tuple(travel / 100 for travel in range(35, 121, 5))
SHORT = {(0.4, "slot"), (0.4, "plunger"), (0.7, "plunger"), (1.2, "plunger")}
SORTS = ("slot", "plunger")


def inv_30_c(**changes: object) -> Sheet:
    """INV 30-C with both pushers changed alike."""
    sheet = read(data_folder("gallery") / "sheets" / "inv-30-c.json", Sheet)
    return replace(sheet, pushers=tuple(replace(each, **changes) for each in sheet.pushers))  # type: ignore[arg-type]


def order(sheet: Sheet, sort: str) -> Recipe:
    rule = family("chronograph")
    return rule.recipe(sheet, CHRONOGRAPH, rule.Wish(pushed_by=sort), PrinterCard())


def grave(recipe: Recipe) -> list[Finding]:
    found = judge(Study.of(compose(recipe)))
    return [each for each in found if each.grade in (Grade.STOP, Grade.MEND)]


def some_fast(whole: tuple[object, ...], fast: set[object]) -> list[object]:
    """Every case with every sort of way, all slow but the fast ones."""
    cases = [(each, sort) for each in whole for sort in SORTS]
    marks = (pytest.mark.slow, pytest.mark.long)
    return [c if c in fast else pytest.param(*c, marks=marks[k % 2]) for k, c in enumerate(cases)]


@pytest.mark.slow
@pytest.mark.parametrize(("travel", "sort"), some_fast(TRAVELS, SHORT))
def test_every_travel(travel: float, sort: str) -> None:
    """Guides of every length: a roof that leaned a little too far was short enough in some."""
    assert not grave(order(inv_30_c(travel=travel), sort))


@pytest.mark.slow
@pytest.mark.parametrize(("seed", "sort"), some_fast(SEEDS, FAST))
def test_movements_nobody_tuned(seed: int, sort: str) -> None:
    sheet = movement(seed)
    recipe = order(sheet, sort)
    assert not lacks(recipe)
    assert sorted(name for part in recipe.parts for name in part.serves().pushers) == sorted(
        each.name for each in sheet.pushers
    )
    assert not grave(recipe)


@pytest.mark.parametrize(
    ("depth", "sort"),
    [
        (-0.5, "slot"),
        (2.6, "slot"),
        (2.6, "plunger"),
        *(
            pytest.param(
                depth / 100, sort, marks=pytest.mark.long if depth % 40 else pytest.mark.slow
            )
            for depth in range(-40, 271, 20)
            for sort in SORTS
        ),
    ],
)
def test_levers_at_every_height(depth: float, sort: str) -> None:
    """From above the upper face of the body to below the ledge; the rim is 2.2 mm high.

    A lever above the wall opposite may lift the workpiece: `steady` asks to mend that, no more.
    """
    left = grave(order(inv_30_c(depth=depth), sort))
    assert {(each.check, each.grade) for each in left} <= (
        {("steady", Grade.MEND)} if depth < 0.3 else set()
    )


def beside_stem(hour: float) -> Sheet:
    """INV 30-C with its stem at 3 h and one pusher, at some hour, as deep as the stem."""
    sheet = inv_30_c()
    assert isinstance(sheet.stem, Stem)
    pusher: Pusher = replace(sheet.pushers[0], hour=hour, depth=sheet.stem.depth)
    return replace(sheet, pushers=(pusher,))


@pytest.mark.parametrize("hour", [3.0, 3.3, pytest.param(3.5, marks=pytest.mark.slow)])
@pytest.mark.parametrize("sort", SORTS)
def test_a_pusher_at_the_stem_goes_through_its_slot(hour: float, sort: str) -> None:
    """Through the crown, or so near to the stem that a way of its own would cut into the slot."""
    recipe = order(beside_stem(hour), sort)
    ways = [part for part in recipe.parts if part.serves().pushers]
    assert [part.tag for part in ways] == ["stem slot"]
    assert not lacks(recipe)
    found = judge(Study.of(compose(recipe)))
    assert not [each for each in found if each.grade in (Grade.STOP, Grade.MEND)]
    told = [each for each in found if each.check == "reach" and "pusher" in each.says]
    assert told
    assert all(each.parts == ("stem slot",) for each in told)


def test_a_pusher_away_from_the_stem_has_a_way_of_its_own() -> None:
    for sort, tag in (("slot", "pusher slot"), ("plunger", "plunger")):
        recipe = order(beside_stem(4.0), sort)
        assert [part.tag for part in recipe.parts if part.serves().pushers] == [tag]
