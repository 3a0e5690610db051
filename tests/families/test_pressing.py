"""Presses from the bridge side and on sub-assemblies: sound by default, refused in one sentence.

That the posts stand under the jewels, and not mirrored, is read from the exported file in
`holder/test_mirror.py`; that a post keeps its jewel in place is held in
`outside/test_load_path.py`.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from nests import families
from nests.checks import judge
from nests.documents.files import data_folder
from nests.finding import Grade
from nests.given.absent import without
from nests.given.at_work import at_work
from nests.given.operation import Operation, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.load_path.supports import props, under
from nests.parts.stake_post import StakePost
from nests.places import Place, Side
from nests.planning.holders import lacks
from nests.study import Study
from nests.units import BadInput

ROOT = data_folder("gallery")
CARD = read(ROOT / "printers" / "bench-printer.json", PrinterCard)
CARRIAGE, BALANCE, AUTO = "tourbillon carriage", "balance and hairspring", "INV 32-K auto works"
BARE = (CARRIAGE, BALANCE, "motion works")
OFF = ("oscillating weight", "automatic works", "motion works")
TRAIN = {"third wheel": 25.0, "intermediate wheel": 25.0}


def sheet(name: str) -> Sheet:
    return read(ROOT / "sheets" / f"{name}.json", Sheet)


def pressed(forces: dict[str, float], up: Side = Side.BRIDGE, **more: Any) -> Operation:
    presses = tuple(Press(arbor=name, force=force) for name, force in forces.items())
    return Operation(name="pressed", side_up=up, presses=presses, **more)


def made(
    whole: Sheet, family: str, operation: Operation, card: PrinterCard = CARD, **options: Any
) -> Recipe:
    rule = families.family(family)
    return rule.recipe(at_work(whole, operation), operation, rule.Wish(**options), card)


HANDS = {"centre": 35.0, "small seconds": 35.0, "minute recorder": 35.0}
SOUND = (
    # three screws, each of which lifts what the next one is set to
    ("hand-setting", "inv-30-c", pressed(HANDS, Side.DIAL), {}),
    ("pressing", "inv-30-t", pressed(TRAIN, absent=BARE), {}),
    ("pressing", "inv-30-t", pressed(TRAIN, Side.DIAL, absent=BARE), {}),
    ("thin", "inv-30-t", pressed(TRAIN, absent=BARE), {}),
    ("pressing", "inv-32-k", pressed({"third wheel": 18.0, "escape wheel": 18.0}, absent=OFF), {}),
    ("chronograph", "inv-32-k", pressed({"third wheel": 18.0}, absent=OFF, pushers=True), {}),
    ("chronograph", "inv-32-k", pressed({}, absent=OFF, pushers=True), {"pushed_by": "plunger"}),
    ("chronograph", "inv-32-k", pressed({}, absent=OFF, pushers=True),
     {"pushed_by": "spring lever", "wall": 12.0}),
    ("cradle", "inv-30-t", pressed({"pallets": 12.0}, on=CARRIAGE, absent=(BALANCE,)),
     {"floor": 3.4}),  # where pin and screw have room under the wheel
    ("cradle", "inv-30-t", pressed({"balance": 8.0}, Side.DIAL, on=CARRIAGE), {}),
    ("cradle", "inv-32-k", pressed({"winding wheel": 20.0}, on=AUTO), {}),
)  # fmt: skip


@pytest.mark.parametrize(
    ("family", "name", "operation", "options"),
    [*SOUND[:2], *(pytest.param(*each, marks=pytest.mark.slow) for each in SOUND[2:])],
)
def test_default_holders_are_sound(
    family: str, name: str, operation: Operation, options: dict[str, Any]
) -> None:
    recipe = made(sheet(name), family, operation, **options)
    assert lacks(recipe) == ()
    found = judge(Study.of(compose(recipe)))
    assert [f.says for f in found if f.grade is not Grade.CLEAR] == []
    judged = [f for f in found if f.check == "load path"]
    assert len(judged) == len(operation.presses)


def test_a_press_that_outlasts_the_jewel_but_not_the_holder_is_made_and_said() -> None:
    """At 45 N the thinner screws are pushed down in their resin; the jewels stay where they are."""
    hard = pressed(dict.fromkeys(HANDS, 45.0), Side.DIAL)
    found = judge(Study.of(compose(made(sheet("inv-30-c"), "hand-setting", hard))))
    wrong = [f for f in found if f.grade is not Grade.CLEAR]
    assert [(f.check, f.grade) for f in wrong] == [("post", Grade.MEND)] * 2
    assert all("pushes its insert down too much" in f.says for f in wrong)


def test_a_shaped_movement_is_pressed_from_its_bridge_side() -> None:
    shaped = sheet("inv-17-t")
    seconds = shaped.arbors[1]
    both = (*seconds.jewels, replace(seconds.jewels[0], side=Side.DIAL, height=0.0, diameter=1.3))
    shaped = replace(shaped, arbors=(shaped.arbors[0], replace(seconds, jewels=both)))
    recipe = made(shaped, "shaped", pressed({seconds.name: 15.0}))
    assert lacks(recipe) == ()
    assert {f.grade for f in judge(Study.of(compose(recipe)), ("load path", "post", "clearance"))
            } <= {Grade.CLEAR, Grade.UNKNOWN}  # fmt: skip


TOURBILLON = sheet("inv-30-t")


@pytest.mark.parametrize(
    ("family", "operation", "options", "words"),
    [
        ("pressing", pressed({"centre": 20.0}), {}, "no jewel for it on the dial side"),
        ("pressing", pressed({"moon disc": 20.0}), {}, "moon disc"),
        ("pressing", pressed({}), {}, "nothing is pressed"),
        ("pressing", pressed(TRAIN), {"arbor": "third wheel"}, "give one of the two"),
        ("pressing", pressed(TRAIN), {"side_up": "dial"}, "bridge side up"),
        ("hand-setting", pressed(TRAIN), {}, "hands are set with the dial up"),
        ("cradle", pressed({"balance": 8.0}, on=CARRIAGE), {}, "no jewel for it on the dial side"),
        ("cradle", pressed({"balance": 300.0}, Side.DIAL, on=CARRIAGE), {}, "no post keeps"),
        ("cradle", pressed({}, on="moon works"), {}, "no sub-assembly"),
    ],
)
def test_what_cannot_be_served_costs_one_sentence(
    family: str, operation: Operation, options: dict[str, Any], words: str
) -> None:
    with pytest.raises(BadInput, match=words) as refused:
        made(TOURBILLON, family, operation, **options)
    says = str(refused.value)
    assert says.endswith(".")
    assert "\n" not in says
    assert ". " not in says.replace("e.g. ", "")


def moved(at: Place) -> Sheet:
    """The tourbillon with the pallets elsewhere in its carriage."""
    (carriage,) = TOURBILLON.sub_assemblies
    arbors = tuple(replace(a, at=at) if a.name == "pallets" else a for a in carriage.arbors)
    return replace(TOURBILLON, sub_assemblies=(replace(carriage, arbors=arbors),))


@pytest.mark.parametrize(
    ("at", "words"),
    [
        (Place(3.3, 1.9), "the workpiece would tip"),  # at 2 h, outside the pads at 0, 4 and 8 h
        (Place(0.0, 4.4), "has room for a post of"),  # within the pad at 0 h
    ],
)
def test_a_jewel_that_pads_leave_no_good_place(at: Place, words: str) -> None:
    operation = pressed({"pallets": 12.0}, on=CARRIAGE, absent=(BALANCE,))
    with pytest.raises(BadInput, match=words):
        made(moved(at), "cradle", operation)


def test_pads_that_print_unevenly_leave_a_pin_less_sure() -> None:
    """A pin is set to a height above the bench, the workpiece lies on pads as they are printed."""
    operation = pressed({"winding wheel": 8.0}, on=AUTO)
    widths = []
    for scatter in (0.0, 0.02, 0.05):
        recipe = made(sheet("inv-32-k"), "cradle", operation, replace(CARD, scatter=scatter))
        parts = [(p.label(), p.as_kind("pin") if isinstance(p, StakePost) else p)
                 for p in recipe.parts]  # fmt: skip
        own = under(props(recipe.site(), parts), "winding wheel")
        assert own is not None
        widths.append(own.half_width)
    assert widths[1] - widths[0] == pytest.approx(0.02)
    assert widths[2] - widths[0] == pytest.approx(0.05)


def test_an_arbor_may_be_named_instead_of_an_operation() -> None:
    rule = families.family("pressing")
    wish = rule.Wish(arbor="third wheel", force=15.0)
    recipe = rule.recipe(without(TOURBILLON, BARE), None, wish, CARD)
    assert recipe.side_up is Side.BRIDGE
    assert recipe.operation.presses == (Press(arbor="third wheel", force=15.0),)
    assert lacks(recipe) == ()


def test_a_post_beside_a_keep_clear_takes_a_slimmer_insert() -> None:
    """What stands too near for the usual screw leaves room for a thinner one."""
    near = replace(TOURBILLON.keep_clear[0], name="spring", side=Side.DIAL, from_height=0.0,
                   to_height=2.0)  # fmt: skip
    wheel = TOURBILLON.arbor("third wheel")
    usual = made(TOURBILLON, "pressing", pressed({wheel.name: 25.0}, absent=BARE))
    disc = replace(near.zone, centre=Place(wheel.at.x, wheel.at.y + 2.35), diameter=2.0)  # type: ignore[call-arg]
    beside = replace(TOURBILLON, keep_clear=(replace(near, zone=disc),))
    slim = made(beside, "pressing", pressed({wheel.name: 25.0}), floor=3.2)
    inserts = [p.insert for r in (usual, slim) for p in r.parts
               if isinstance(p, StakePost) and p.under == wheel.name]  # fmt: skip
    assert 0.8 <= inserts[1] < inserts[0]
