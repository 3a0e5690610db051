"""How hard a hand is pressed on where nothing says so: by its kind, and stated forces hold."""

from __future__ import annotations

from pathlib import Path

import pytest

from nests.given.at_work import pressed, pressed_words
from nests.given.hands import KINDS
from nests.given.operation import EVERY, USUAL, Operation, Press
from nests.given.sheet import Arbor, Sheet
from nests.given.zones import Round
from nests.kinds import read
from nests.orders.order import order
from nests.places import Place, Side

SHEETS = Path("gallery/sheets")


def sheet(*arbors: Arbor) -> Sheet:
    return Sheet(name="disc", outline=Round(diameter=26.0), rim=2.0, arbors=arbors)


def arbor(name: str, x: float, *carries: str) -> Arbor:
    return Arbor(name=name, at=Place(x, 0.0), carries=carries)


def forces(work: Sheet, *presses: Press) -> dict[str, float]:
    return pressed(work, Operation(name="hands", side_up=Side.DIAL, presses=presses))


def test_usual_forces_go_by_what_the_arbor_carries() -> None:
    work = read(SHEETS / "inv-30-c.json", Sheet)
    assert pressed(work, USUAL.operation("chronograph-hands")) == {
        "centre": 20.0, "small seconds": 6.0, "minute recorder": 8.0,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("hands", "force"),
    [
        (("hour hand", "minute hand", "seconds hand"), 20.0),
        (("Minute  Hand",), 18.0),
        (("minute hand", "chronograph seconds hand"), 18.0),
        (("chronograph seconds hand",), 15.0),
        (("sweep seconds hand",), 10.0),
        (("hour recorder hand",), 8.0),
        (("running seconds hand", "recorder hand"), 8.0),
        (("moon phase",), 20.0),
        ((), 20.0),
    ],
)
def test_an_arbor_is_pressed_with_the_hardest_of_its_hands(
    hands: tuple[str, ...], force: float
) -> None:
    assert forces(sheet(arbor("one", 4.0, *hands)), Press(arbor="one")) == {"one": force}


@pytest.mark.parametrize(("x", "force"), [(0.0, 10.0), (0.04, 10.0), (5.0, 6.0)])
def test_a_seconds_hand_goes_by_where_its_arbor_stands(x: float, force: float) -> None:
    """On the axis of the hour hand it is a sweep hand, though the arbor is one of its own."""
    work = sheet(arbor("centre", 0.0, "hour hand"), arbor("fourth", x, "seconds hand"))
    assert forces(work, Press(arbor=EVERY))["fourth"] == force


@pytest.mark.parametrize(
    ("said", "force"),
    [
        ({"force": 3.0}, 3.0),
        ({"force": 3.0, "most": 5.0}, 5.0),
        ({"most": 5.0}, 5.0),
        ({"least": 5.0}, 6.0),
        ({"least": 9.0}, 9.0),
    ],
)
def test_what_is_stated_holds(said: dict[str, float], force: float) -> None:
    """A small seconds hand, 6 N by itself; a least above that lifts it."""
    work = sheet(arbor("seconds", 4.0, "small seconds hand"))
    assert forces(work, Press(arbor="seconds", **said)) == {"seconds": force}


def test_every_usual_force_lies_in_its_range() -> None:
    for each in KINDS.values():
        assert each.least < each.force < each.most


def test_range_and_origin_are_said() -> None:
    work = sheet(arbor("seconds", 4.0, "small seconds hand"))

    def words(press: Press) -> str:
        (out,) = pressed_words(work, Operation(name="hands", side_up=Side.DIAL, presses=(press,)))
        return out

    usual = words(Press(arbor="seconds"))
    assert usual.startswith("seconds with up to 6 N (usual for a small seconds hand, 3 to 10 N")
    assert "from memory" in usual
    stated = words(Press(arbor="seconds", force=4.0, least=2.0, most=7.0, origin="my scale"))
    assert stated == "seconds with up to 7 N (from 2 N, mostly 4 N, my scale)"


def test_a_light_hand_gets_a_lighter_post_than_twenty_newtons() -> None:
    """The family is asked with the usual force, and says it among its reasons."""
    made = order("hand-setting", {}, sheet=SHEETS / "inv-30-c.json", operation="hand-setting")
    assert any(each.startswith("small seconds: 6 N") for each in made.recipe.reasons)
