"""One answer taken into a record, undone, and done again. Pure: a record in, a record out."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import get_args

from nests.given.trade import What
from nests.kinds.measured import OPEN, Answer, Measured
from nests.lengths import read_length
from nests.measuring.asking import Question
from nests.measuring.placing import listed, written_of
from nests.measuring.reading import (
    choice_of,
    hour_of,
    is_none,
    length_of,
    level_of,
    names_of,
    number_of,
    outline_of,
    text_of,
)
from nests.measuring.tools import TOOLS
from nests.measuring.written_place import pointed
from nests.units import BadInput, Length

KINDS = ("movement", "sub-assembly")
LENGTHS = ("length", "level", "outline", "place")
_WITH = re.compile(r"(.+?)\s+with\s+(?:the\s+|a\s+)?(.+)", re.I)
_DOUBT = re.compile(r"(.+?)\s*(?:±|\+-|\+/-)\s*(\S+(?:\s?mm)?)", re.I)


def answered(record: Measured, question: Question, typed: str, *, date: str = "") -> Measured:
    """The record with one more answer, kept as it was typed.

    Behind a length may stand `± 0.01` and `with micrometer`. '?' passes the question over. Raises
    `BadInput` with one sentence for an answer that cannot be.
    """
    text, tool, doubt = _parted(" ".join(typed.split()), question)
    if not text:
        raise BadInput(f"{question.label}: an answer is needed; '{OPEN}' passes it over.")
    if text != OPEN:
        require(record, question, text)
    made = Answer(
        thing=question.ask.thing, of=question.of, asks=question.ask.asks, text=text,
        unit=question.ask.unit if text != OPEN else "", tool=tool if text != OPEN else "",
        doubt=doubt if text != OPEN else None, date=date,
    )  # fmt: skip
    return replace(record, answers=(*record.answers, made), taken_back=())


def undone(record: Measured) -> Measured:
    """The record without its last answer, which can be done again. Raises `BadInput`."""
    if not record.answers:
        raise BadInput("there is no answer to undo.")
    *kept, last = record.answers
    return Measured(answers=tuple(kept), taken_back=(last, *record.taken_back))


def redone(record: Measured) -> Measured:
    """The record with what was undone last. Raises `BadInput`."""
    if not record.taken_back:
        raise BadInput("nothing was undone since the last answer.")
    first, *left = record.taken_back
    return Measured(answers=(*record.answers, first), taken_back=tuple(left))


def require(record: Measured, question: Question, text: str) -> None:
    """Raise `BadInput` unless a text can be the answer to a question."""
    ask, label = question.ask, question.label
    if is_none(text) and ask.form not in ("names", "some", "text"):
        if not ask.may_lack:
            raise BadInput(
                f"{label} is '{text}'; a measure is needed, or '{OPEN}' to pass it over."
            )
        return
    if ask.form == "kind":
        choice_of(text, label, KINDS)
    elif ask.form == "what":
        choice_of(text, label, get_args(What))
    elif ask.form == "text":
        text_of(text, label)
    elif ask.form == "outline":
        outline_of(text, label)
    elif ask.form == "length":
        length_of(text, label, ask.about)
    elif ask.form == "level":
        level_of(text, label, ask.about)
    elif ask.form == "number":
        number_of(text, label, ask.about)
    elif ask.form == "hour":
        hour_of(text, label)
    elif ask.form == "place":
        written_of(record, (ask.thing, question.of), text)
    else:
        _require_names(record, question, names_of(text, label))


def _require_names(record: Measured, question: Question, names: tuple[str, ...]) -> None:
    if question.ask.form != "some":
        return
    known = [each.casefold() for each in listed(record, "arbors") or ()]
    for each in names:
        if each.casefold() not in known:
            raise BadInput(
                f"{question.label}: there is no arbor '{each}'; there is "
                f"{', '.join(listed(record, 'arbors') or ()) or 'none'}."
            )


def _parted(text: str, question: Question) -> tuple[str, str, Length | None]:
    """The bare answer, the tool and its ±; those of the question where none is said."""
    tool = question.ask.tool
    measured = question.ask.form in (*LENGTHS, "number", "hour")
    if measured and (match := _WITH.fullmatch(text)):
        if match[2].casefold() in TOOLS:
            text, tool = match[1], match[2].casefold()
        elif question.ask.form != "place":  # a name in a place may hold the word
            raise BadInput(
                f"{question.label}: the tool is '{match[2]}'; known are {', '.join(TOOLS)}."
            )
    if question.ask.form not in LENGTHS:
        return text, tool, None
    doubt = TOOLS[tool]
    if match := _DOUBT.fullmatch(text):
        text, doubt = match[1], read_length(pointed(match[2]), f"{question.label} ±").mm
    return text, tool, doubt
