"""What was read at four benches of the invented workshop, by the labels of the questions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nests.kinds.measured import Measured
from nests.measuring.answers import answered
from nests.measuring.asking import Question, waiting

ROUND = {
    "kind": "movement", "name": "INV 24-R", "diameter": "24.0", "rim": "1.6",
    "dial height": "1.0", "bridge height": "1.8", "flange": "none", "rim level": "1.1",
    "stem": "none", "pushers": "none", "arbors": "none", "mass": "7.4", "fragile": "none",
    "rests": "none",
}  # fmt: skip
HANDS = {
    "kind": "movement", "name": "INV 27-M", "diameter": "26.0", "rim": "1.7",
    "dial height": "1.2", "bridge height": "1.9", "flange": "none", "rim level": "1.2",
    "stem": "3", "stem depth": "0.85", "pushers": "none",
    "arbors": "centre, third wheel, fourth wheel, escape wheel, pallet, balance",
    "centre: place": "middle", "third wheel: place": "8.6 h 5.0", "fourth wheel: place": "10 h 4.0",
    "escape wheel: place": "5.8 h 6", "pallet: place": "6.4 h 8",
    "arbor balance: place": "7.6 h 7.4",
    "pressed": "centre", "centre: hands": "hour hand, minute hand", "centre: diameter": "1.6",
    "centre: height": "1.3", "centre: pivot": "0.1", "centre: pivot diameter": "0.28",
    "plate": "1.7", "bridges": "1.2", "mass": "8.9",
    "fragile": "balance", "fragile balance: place": "at balance",
    "fragile balance: diameter": "8.4", "balance: from": "-1", "balance: to": "1.7",
    "rests": "barrel bridge, barrel edge, train bridge, plate",
    "barrel bridge: place": "1.4 h 7.4", "barrel bridge: diameter": "2.4",
    "barrel bridge: height": "1.2", "barrel edge: place": "2.8 h 8",
    "barrel edge: diameter": "2.4", "barrel edge: height": "1.2",
    "train bridge: place": "10.9 h 7.5", "train bridge: diameter": "2.4",
    "train bridge: height": "1.2", "plate: place": "4.5 h 8.4", "plate: diameter": "2.4",
    "plate: height": "1.2",
}  # fmt: skip
"""Six arbors, four rests, balance, stem; one jewel is pressed on."""
MORE_HANDS = HANDS | {
    "pressed": "centre, fourth wheel", "fourth wheel: hands": "small seconds hand",
    "fourth wheel: diameter": "1.4", "fourth wheel: height": "1.3", "fourth wheel: pivot": "0.08",
    "fourth wheel: pivot diameter": "0.2",
}  # fmt: skip
CHRONOGRAPH = HANDS | {
    "name": "INV 30-P", "diameter": "30.0", "rim": "2.4", "pushers": "start, reset",
    "start: hour": "2", "start: depth": "1.2", "start: lever": "14.2", "start: travel": "0.5",
    "reset: hour": "4", "reset: depth": "1.2", "reset: lever": "14.2", "reset: travel": "0.5",
    "plate": "2.0",
}  # fmt: skip
CRADLE = {
    "kind": "sub-assembly", "name": "INV 18-W", "diameter": "18.4", "rim": "0.9",
    "dial height": "0.9", "bridge height": "0.6", "rim level": "1.2", "arbors": "none",
    "mass": "2.1", "fragile": "reverser", "reverser: place": "11 h 4.6",
    "reverser: diameter": "4.2", "reverser: from": "0.0 on dial", "reverser: to": "0.9 on dial",
    "rests": "none",
}  # fmt: skip
"""Automatic works."""


def reading(question: Question, answers: Mapping[str, str]) -> str | None:
    """The answer to a question; of two things of one name the kind stands before the label."""
    whole = f"{question.ask.thing} {question.label}"
    return answers.get(whole, answers.get(question.label))


def steps(answers: Mapping[str, str]) -> Iterator[tuple[Question, str, Measured]]:
    """Every question as it is asked, its answer, and the record with it."""
    record = Measured()
    while wait := waiting(record):
        text = reading(wait[0], answers)
        if text is None:
            return
        record = answered(record, wait[0], text, date="2031-05-17")
        yield wait[0], text, record


def measured(answers: Mapping[str, str]) -> Measured:
    """The whole record."""
    *_, (_, _, record) = steps(answers)
    return record


def lines(answers: Mapping[str, str]) -> list[str]:
    """What is typed, in the order in which it is asked."""
    return [text for _, text, _ in steps(answers)]
