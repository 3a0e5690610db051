"""What is not fitted, understood by name first and then by what the sheet says that it is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nests.documents.files import data_folder
from nests.given.at_work import at_work, by_kind_words, fitted, not_fitted, pressed
from nests.given.dial import Dial
from nests.given.operation import Operation, Press
from nests.given.sheet import Sheet
from nests.given.trade import GOES_WITH, TRADE_WORDS
from nests.given.zones import Round
from nests.kinds import read
from nests.orders.order import order
from nests.places import Side
from nests.planning.demand import demand_of
from nests.units import BadInput

GALLERY = data_folder("gallery") / "sheets"
DIAL = Dial(outline=Round(diameter=28.0), underside=0.55, hands_height=1.5)


def sheet(what: str | None = "balance", *, staff: bool = False) -> Sheet:
    """INV 26-A, whose balance is called 'Unruh', with its staff or without, and a dial."""
    plain = read(GALLERY / "inv-26-a.json", Sheet)
    keep = replace(plain.keep_clear[0], name="Unruh", what=what)  # type: ignore[arg-type]
    arbors = plain.arbors if staff else plain.arbors[:2]
    return replace(plain, keep_clear=(keep, *plain.keep_clear[1:]), arbors=arbors, dial=DIAL)


def without(*absent: str) -> Operation:
    return Operation(name="some work", side_up=Side.BRIDGE, absent=absent)


def left(work: Sheet) -> set[str]:
    return {each.name for each in (*work.keep_clear, *work.arbors)}


@pytest.mark.parametrize("word", ["balance", "balance and hairspring"])
@pytest.mark.parametrize("what", ["balance", "balance and hairspring", "hairspring"])
def test_a_part_called_otherwise_is_taken_off_by_what_it_is(word: str, what: str) -> None:
    assert "Unruh" not in left(at_work(sheet(what), without(word)))


def test_what_says_nothing_stays() -> None:
    assert "Unruh" in left(at_work(sheet(None), without("balance")))
    assert "Unruh" in left(at_work(sheet("balance"), without("hairspring")))


def test_a_name_on_the_sheet_goes_first() -> None:
    """The arbor is called 'balance', so that is meant, and it stays so if it is asked again."""
    whole, does = sheet(staff=True), without("balance")
    work = at_work(whole, does)
    assert "balance" not in left(work)
    assert "Unruh" in left(work)
    assert fitted(work, does) == work
    assert by_kind_words(whole, does.absent) == ()


def test_it_is_said_what_was_understood_by_kind() -> None:
    (says,) = by_kind_words(sheet(), ("balance", "motion works"))
    assert "'balance'" in says
    assert "'Unruh'" in says
    made = order("round", {}, sheet=sheet(), operation=without("balance", "dial"), search=False)
    assert [note.says for note in made.notes] == [says]


def test_hands_go_with_their_dial_and_alone() -> None:
    whole = sheet()
    assert not_fitted(whole, ("dial",)) == ("dial", "hands")
    off, bare = at_work(whole, without("dial")), at_work(whole, without("hands"))
    assert off.dial is None
    assert bare.dial == replace(DIAL, hands_height=0.0)
    assert whole.height(Side.DIAL) == pytest.approx(0.55 + 0.4 + 1.5)
    assert bare.height(Side.DIAL) == off.height(Side.DIAL) == whole.dial_height


def test_a_demand_names_what_is_meant() -> None:
    assert demand_of(sheet(), without("balance", "dial", "rotor")).gone == {
        "Unruh",
        "dial",
        "hands",
    }


def test_what_is_taken_off_by_kind_is_not_pressed() -> None:
    whole = sheet(None)
    arbors = (replace(whole.arbors[0], what="cannon pinion"), *whole.arbors[1:])
    does = replace(without("motion works"), presses=(Press(arbor="centre", force=5.0),))
    with pytest.raises(BadInput, match="'centre'"):
        pressed(replace(whole, arbors=arbors), does)


def test_words_that_go_together_are_of_the_trade() -> None:
    for word, kinds in GOES_WITH.items():
        assert word in kinds
        assert TRADE_WORDS.issuperset(kinds)
