"""Places of a sheet that is there, read by distances: they come out as `measure sheet` has them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nests.given.sheet import Sheet
from nests.kinds.measured import Measured
from nests.measuring.on_sheet import (
    balanced,
    base_of,
    followed,
    let_go,
    read_at,
    read_of,
    record_of,
    spots,
)
from nests.measuring.placing import placed
from nests.measuring.sheet_of import sheet_of
from nests.measuring.talk import turned
from nests.places import Place
from nests.units import BadInput
from tests.measuring.benches import HANDS, measured

THIRD = "4.98 from centre, 10.52 from edge at 12 h, 17.31 from edge at 3 h"
"""Of an arbor at x -4.3, y 2.5 on a movement of ⌀ 26, each up to two hundredths off."""


def by_record(*lines: str) -> Sheet:
    """What the answers make of it."""
    record = measured(HANDS)
    for line in lines:
        turn = turned(record, line)
        assert turn.record != record, turn.says
        record = turn.record
    return sheet_of(record).sheet


def pointer_of(sheet: Sheet, name: str) -> str:
    return next(each.pointer for each in spots(sheet) if each.own[1] == name)


def placed_on(sheet: Sheet, places) -> Sheet:
    """Arbors and rests of a sheet at other places, by pointer."""
    arbors = [replace(a, at=places.get(f"/arbors/{n}/at", a.at))
              for n, a in enumerate(sheet.arbors)]  # fmt: skip
    return replace(sheet, arbors=tuple(arbors))


def test_three_distances_place_an_arbor_as_its_record_does():
    plain, told = by_record(), by_record(f"third wheel: place = {THIRD}")
    pointer = pointer_of(plain, "third wheel")
    read, at = read_at(plain, Measured(), pointer, THIRD)
    found = balanced(plain, read)
    assert found.places[pointer].distance(told.arbor("third wheel").at) < 1e-9
    assert found.places[pointer].distance(Place(-4.3, 2.5)) < 0.03
    for axis in "xy":
        key = f"{pointer}/{axis}"
        assert found.doubts[key] == told.uncertainties[key]
    assert (found.general, found.misfits) == (told.uncertainty, ())
    assert [each.says for each in at.left] == THIRD.split(", ")
    assert max(abs(each.residual) for each in at.left) > 0.002
    answer, same = read_of(plain, read, pointer)
    assert (answer.text, answer.tool, answer.doubt) == (THIRD, "caliper", 0.02)
    assert same.left == at.left


def test_places_measured_from_each_other_are_balanced_at_once():
    """What one is measured from moves with it, as in a record."""
    fourth = "4.0 from third wheel, 5.31 from centre, 9.6 from edge at 12 h"
    plain = by_record("third wheel: place = x -4.3 y 2.5 dial", "fourth wheel: place = 11.2 h 5.3")
    told = by_record("third wheel: place = x -4.3 y 2.5 dial", f"fourth wheel: place = {fourth}")
    pointer = pointer_of(plain, "fourth wheel")
    read, _ = read_at(plain, Measured(), pointer, fourth)
    found = balanced(plain, read)
    for name in ("third wheel", "fourth wheel", "centre"):
        at = found.places.get(pointer_of(plain, name), plain.arbor(name).at)
        assert at.distance(told.arbor(name).at) < 1e-9, name
    # once more from where it stands now: nothing is counted twice
    moved = placed_on(plain, found.places)
    after, gone = followed(moved, moved, read)
    assert gone == ()
    assert balanced(moved, after).places == {}


def test_under_a_tip_the_place_counts_for_all_lengths_and_no_longer_than_it_is_read():
    text = "4.97 from centre, 10.5 from edge at 12 h"
    bridge = "7.42 from centre, 7.5 from edge at 12 h, 8.0 from edge at 3 h"
    plain, told = by_record(), by_record(f"barrel bridge: place = {bridge}")
    pointer = pointer_of(plain, "barrel bridge")
    read, _ = read_at(plain, Measured(), pointer, bridge)
    found = balanced(plain, read)
    assert found.general == told.uncertainty > 0.02
    assert base_of(plain, read) == 0.02
    assert let_go(plain, read, pointer) == Measured()
    with pytest.raises(BadInput, match=r"1\.99 h, 4\.97 mm or 10\.01 h, 4\.97 mm: say near"):
        read_at(plain, Measured(), pointer_of(plain, "third wheel"), text)
    read, at = read_at(plain, Measured(), pointer_of(plain, "third wheel"), text, "10")
    assert at.place.distance(Place(-4.3, 2.5)) < 0.01
    assert balanced(plain, read).general == 0.02  # no tip comes to stand there


def test_a_reading_that_does_not_fit_is_pointed_out():
    plain = by_record()
    text = "4.97 from centre, 10.5 from edge at 12 h, 17.7 from edge at 3 h"
    read, at = read_at(plain, Measured(), pointer_of(plain, "third wheel"), text)
    (says,) = balanced(plain, read).misfits
    assert says == at.misfit
    assert "does not fit" in says


@pytest.mark.parametrize(("text", "says"), [
    ("3.2", "hour and radius such as"),
    ("5.4 from centre", "one distance; a place needs two or more"),
    ("5.4 from rotor, 2 from edge", "'rotor', which is no name"),
    ("5.4 from third wheel, 2 from edge", "'third wheel', which is no name"),
    ("1 from centre, 2 from edge at 3 h", "do not meet"),
    ("5.4 over fourth wheel, 2 from edge", "its diameter is not known"),
    ("x 3 y 4", "say which side you looked at"),
])  # fmt: skip
def test_what_fixes_no_place_is_one_sentence(text, says):
    plain = by_record()
    with pytest.raises(BadInput, match=says) as bad:
        read_at(plain, Measured(), pointer_of(plain, "third wheel"), text)
    assert len(bad.value.faults) == 1


def test_a_place_that_needs_nothing_else_is_no_reading():
    plain = by_record()
    pointer = pointer_of(plain, "third wheel")
    read, at = read_at(plain, Measured(), pointer, "8,6 h 5.1 ± 0.05")
    assert read == Measured()
    assert (round(at.place.hour, 6), round(at.place.radius, 6)) == (8.6, 5.1)
    assert at.along == (0.05, 0.05)


def test_names_are_followed_and_what_is_gone_leaves_the_place_where_it_is():
    plain = by_record()
    pointer = pointer_of(plain, "third wheel")
    read, _ = read_at(plain, Measured(), pointer, THIRD)
    arbors = [replace(a, name="cannon" if a.name == "centre" else a.name) for a in plain.arbors]
    called = replace(plain, arbors=tuple(arbors))
    after, gone = followed(plain, called, read)
    assert gone == ()
    answer, at = read_of(called, after, pointer)
    assert answer.text == THIRD.replace("centre", "cannon")
    assert at.place.distance(balanced(plain, read).places[pointer]) < 1e-9
    less = replace(plain, arbors=plain.arbors[1:])
    after, gone = followed(plain, less, read)
    assert (after, gone) == (Measured(), ("third wheel",))


def test_a_place_moved_by_hand_lets_its_readings_go():
    plain = by_record()
    third, fourth = (pointer_of(plain, f"{name} wheel") for name in ("third", "fourth"))
    read, _ = read_at(plain, Measured(), third, THIRD)
    moved = placed_on(plain, {third: Place(1.0, 2.0)})
    assert followed(plain, moved, read)[0] == Measured()
    # what another is measured from is where it was put, and the other goes with it
    beside = "3.0 from third wheel, 10.5 from edge at 12 h"
    read, _ = read_at(plain, read, fourth, beside, "11")
    after, gone = followed(plain, moved, read)
    assert gone == ()
    assert set(after.now) == {("arbor", "fourth wheel", "place"), ("arbor", "fourth wheel", "near"),
                              ("arbor", "third wheel", "place"), ("whole", "", "±")}  # fmt: skip
    assert placed(record_of(moved, after)).at["arbor", "third wheel"].place == Place(1.0, 2.0)


def test_an_edge_that_is_neither_round_nor_an_oblong_is_refused():
    from nests.given.zones import Corner, Path

    corners = tuple(Corner(at=Place(*each)) for each in ((13, 0), (0, 13), (-13, 0), (0, -12)))
    odd = replace(by_record(), outline=Path(corners=corners))
    with pytest.raises(BadInput, match="round or an oblong"):
        read_at(odd, Measured(), pointer_of(odd, "third wheel"), THIRD)
