"""What is typed at the bench: taken as it was read, refused in one sentence, undone, kept."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time

import pytest

from nests.kinds import read
from nests.kinds.measured import Measured
from nests.measuring.keeping import Kept
from nests.measuring.sheet_of import sheet_of
from nests.measuring.talk import asked, heard, put, summed, turned, whole
from nests.orders.examine import findings_of
from nests.places import Place, Side, at_hour
from nests.units import BadInput
from tests.measuring.benches import HANDS, ROUND, lines, measured, steps


def until(label: str) -> Measured:
    """The record of the hand-setting bench before a question."""
    before = Measured()
    for question, _, record in steps(HANDS):
        if question.label == label:
            return before
        before = record
    raise AssertionError(label)


WRONG = [
    ("kind", "watch", "kind is 'watch'; allowed is movement or sub-assembly"),
    ("kind", "case", "allowed is movement or sub-assembly"),
    ("name", "--", "no letter or digit"),
    ("diameter", "26 cm", "a length such as 26.0"),
    ("diameter", "260", "70 mm"),
    ("diameter", "11.5ligne", "a nominal size; measure it"),
    ("diameter", "20 x 14 x 3", "a ⌀ such as 26.0, or lengths"),
    ("rim", "none", "a measure is needed, or '?'"),
    ("rim", "0.1", "0.2 to 15 mm"),
    ("rim", "", "an answer is needed"),
    ("rim", "1.7 with ruler", "the tool is 'ruler'; known are caliper, micrometer"),
    ("rim", "1.7 ± 4", "doubt is 4 mm"),
    ("rim", "nan", "a length such as"),
    ("stem", "13", "0 to 12 h"),
    ("stem", "three", "a number in h"),
    ("mass", "heavy", "a number in g"),
    ("arbors", "centre, Centre", "twice; names are unique"),
    ("arbors", ",", "names with commas between them"),
    ("centre: place", "3.2", "hour and radius such as"),
    ("centre: place", "13 h 2", "hour is 13 h; allowed is 0 to 12 h"),
    ("centre: place", "x 3 y 4", "say which side you looked at"),
    ("centre: place", "x 3 y 4 front", "allowed is dial or bridge"),
    ("centre: place", "5.4 from barrel", "one distance; a place needs two or more"),
    ("centre: place", "5.4 from barrel, 2 from edge", "'barrel', which is no name"),
    ("pressed", "cannon", "there is no arbor 'cannon'; there is centre, third wheel"),
    ("centre: height", "1.3 on top", "a length such as"),
    ("centre: height", "90", "-5 to 8 mm"),
    ("centre: pivot", "-0.1", "0 to 2 mm"),
    ("rim", "colour = red", "is no question that can be asked by now"),
]


@pytest.mark.parametrize(("label", "text", "says"), WRONG)
def test_what_cannot_be_is_one_sentence_and_is_asked_again(label, text, says):
    record = until(label)
    turn = turned(record, text)
    assert turn.record == record
    (said,) = turn.says
    assert said.startswith("not taken: ")
    assert says in said, said
    assert "\n" not in said
    again = asked(turn.record)
    assert again is not None
    assert again.label == label


def test_an_answer_is_kept_as_it_was_read():
    turn = turned(until("diameter"), "26,02 ± 0,005 with micrometer", date="2031-05-17")
    (*_, last) = turn.record.answers
    assert (last.text, last.tool, last.doubt, last.unit) == ("26,02", "micrometer", 0.005, "mm")
    assert last.date == "2031-05-17"
    turn = turned(until("diameter"), "450um")
    assert turn.says[0].startswith("not taken: diameter is 0.45 mm")
    rim = turned(until("rim"), "1700um").record.answers[-1]
    assert (rim.text, rim.tool, rim.doubt) == ("1700um", "caliper", 0.02)


def test_undo_and_redo_go_all_the_way():
    record = measured(HANDS)
    back = record
    for _ in record.answers:
        back = turned(back, "undo").record
    assert back.answers == ()
    assert turned(back, "undo").says == ("not taken: there is no answer to undo.",)
    for _ in record.answers:
        back = turned(back, "redo").record
    assert back == record
    assert turned(back, "redo").says[0].startswith("not taken: nothing was undone")
    changed = turned(turned(record, "undo").record, "plate: height = 1.25").record
    assert changed.taken_back == ()


def test_any_answer_is_changed_by_its_label():
    record = turned(measured(HANDS), "mass = 9.1").record
    assert sheet_of(record).sheet.mass == 9.1
    assert record.answers[:-1] == measured(HANDS).answers
    (said,) = turned(record, "balance: place = middle").says
    assert "'arbor balance: place' or 'fragile balance: place'" in said
    moved = turned(record, "arbor balance: place = 7.5 h 7.4").record
    sheet = sheet_of(moved).sheet
    assert sheet.keep_clear[0].zone.centre == sheet.arbor("balance").at == at_hour(7.5, 7.4)


def test_a_jewel_typed_on_the_wrong_side_is_caught():
    before = measured(HANDS)
    wrong = turned(before, "centre: height = 1.3 on dial").record
    said = heard(before, wrong)
    assert any("cannot be" in each and "1.2 mm" in each for each in said), said
    with pytest.raises(BadInput, match="cannot be true"):
        whole(wrong)
    low = turned(before, "centre: height = 0.9 on dial").record
    assert any(
        "hand-setting lacks: 'centre' is pressed, and the sheet has no jewel for it on the bridge"
        in each for each in heard(before, low)
    )  # fmt: skip
    cured = turned(low, "undo").record
    assert "hand-setting: hand-setting holder can be made." in heard(low, cured)


def test_what_is_passed_over_stays_open_and_is_unknown():
    record = until("flange")
    record = turned(record, "?").record
    while (question := asked(record)) is not None:
        text = "none" if question.ask.may_lack else "?"
        record = turned(record, text).record
    made = sheet_of(record)
    assert "flange" in made.open
    assert "/casing_ledge" in made.sheet.assumed
    grades = {each.grade.value for each in findings_of(made.sheet)}
    assert "unknown" in grades
    assert any(each.startswith("passed over: flange") for each in summed(record))


def test_a_thing_that_lacks_something_keeps_the_sheet_from_being_written():
    record = turned(until("balance: to"), "?").record
    assert "balance: to" in sheet_of(record).lacks
    with pytest.raises(BadInput, match="it lacks balance: to"):
        whole(record)


def test_more_asks_what_is_taken_by_default():
    record = until("name")
    assert turned(record, "more").more
    named = turned(record, "INV 9").record
    assert asked(named).label == "diameter"
    assert asked(named, more=True).label == "mark"
    thick = turned(measured(HANDS), "stem diameter = 1.1").record
    assert sheet_of(thick).sheet.stem.diameter == 1.1
    assert not any("stem diameter" in each for each in sheet_of(thick).defaults)


def test_two_places_that_suit_are_both_said_and_which_is_asked():
    record = until("third wheel: place")
    at = Place(-4.3, 2.5)
    far = at.distance(Place(0.0, 0.0))
    record = turned(record, f"{far:.2f} from centre, {13 - 2.5:.2f} from edge at 12 h").record
    question = asked(record)
    assert question.label == "third wheel: near"
    assert "1.99 h, 4.97 mm or 10.01 h, 4.97 mm" in question.words
    assert "third wheel: near" in sheet_of(record).lacks
    record = turned(record, "10").record
    (_, third) = sheet_of(record).sheet.arbors
    assert third.at.distance(at) < 0.01
    doubts = sheet_of(record).sheet.uncertainties
    assert set(doubts) >= {"/arbors/1/at/x", "/arbors/1/at/y"}
    assert sheet_of(record).sheet.uncertainty == 0.02  # no tip stands there
    both = turned(measured(HANDS), "pressed = centre, third wheel").record
    both = turned(both, "third wheel: place = 4.97 from centre, 10.5 from edge at 12 h").record
    both = turned(both, "third wheel: near = 10").record
    assert 0.03 < sheet_of(both).sheet.uncertainty < 0.06


def test_a_doubt_that_is_typed_goes_to_the_sheet():
    record = measured(HANDS)
    third = turned(record, "third wheel: place = 8.6 h 5.0 ± 0.05").record
    assert sheet_of(third).sheet.uncertainty == 0.02  # no tip stands there
    assert sheet_of(third).sheet.uncertainties["/arbors/1/at/x"] == 0.05
    rest = turned(record, "train bridge: place = 10.9 h 7.5 with steel rule").record
    assert sheet_of(rest).sheet.uncertainty == 0.2
    assert sheet_of(rest).sheet.uncertainties["/rests/3/height"] == 0.02
    fine = turned(record, "diameter = 26.0 with micrometer").record
    assert sheet_of(fine).sheet.uncertainties["/outline/diameter"] == 0.005


def test_jaws_on_a_jewel_ask_for_its_width_at_once():
    record = until("third wheel: place")
    record = turned(record, "5.97 over centre, 8.2 between edge").record
    for name in ("centre", "third wheel"):
        assert asked(record).label == f"{name}: diameter"
        record = turned(record, "1.2").record
    assert asked(record).label == "fourth wheel: place"


def test_a_reading_that_does_not_fit_is_said():
    record = until("third wheel: place")
    text = "4.97 from centre, 10.5 from edge at 12 h, 17.7 from edge at 3 h"
    record = turned(record, text).record
    assert [e for e in heard(until("third wheel: place"), record) if "does not fit" in e]
    wrong = turned(measured(HANDS), f"third wheel: place = {text}").record
    with pytest.raises(BadInput, match="not written; of the place of 'third wheel'"):
        whole(wrong)


def test_a_place_seen_from_the_bridge_is_mirrored_once():
    record = turned(measured(HANDS), "third wheel: place = x 3.0 y 1.0 bridge").record
    assert sheet_of(record).sheet.arbor("third wheel").at == Place(-3.0, 1.0)
    assert sheet_of(record).sheet.arbor("centre").jewels[0].side is Side.BRIDGE


def test_every_question_says_what_with_what_and_how():
    for question, _, _ in steps(HANDS):
        words = put(question)
        assert words.count("?") >= 1
        assert words.endswith("]")
        assert "{" not in words


# --- kept -----------------------------------------------------------------------------------


def test_nobody_else_is_written_over(tmp_path):
    path = tmp_path / "record.json"
    one, two = Kept(path), Kept(path)
    one.keep(turned(one.record, "movement").record)
    with pytest.raises(BadInput, match="changed by another program"):
        two.keep(turned(two.record, "sub-assembly").record)
    assert read(path, Measured).text("whole", "", "kind") == "movement"
    again = Kept(path)
    again.keep(turned(again.record, "INV 1").record)
    assert read(path, Measured).text("whole", "", "name") == "INV 1"


def started(path) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "nests", "measure", "sheet", str(path), "--date", "2031-05-17"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip


def wait_for(path, count: int) -> None:
    """Until so many answers are on the disk."""
    ends = time.monotonic() + 30
    while time.monotonic() < ends:
        if path.exists() and len(read(path, Measured).answers) >= count:
            return
        time.sleep(0.01)
    raise AssertionError("the answers never came to the disk")


@pytest.mark.slow
@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGINT])
def test_killed_in_the_middle_nothing_that_was_answered_is_lost(tmp_path, how):
    path, answers = tmp_path / "record.json", lines(ROUND)
    run = started(path)
    for line in answers[:9]:
        run.stdin.write(f"{line}\n")
    run.stdin.flush()
    wait_for(path, 9)
    os.kill(run.pid, how)
    run.communicate(timeout=30)
    if how is signal.SIGINT:
        assert run.returncode in (0, 130)
    kept = read(path, Measured)
    assert [each.text for each in kept.answers] == answers[:9]
    rest = started(path)
    out, _ = rest.communicate("\n".join(answers[9:]) + "\n", timeout=60)
    assert rest.returncode == 0
    assert f"{len(answers)} answers are kept." in out
    assert read(path, Measured) == measured(ROUND)
