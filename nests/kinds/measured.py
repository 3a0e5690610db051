"""What was measured of one workpiece, answer by answer, as it was read.

It is the diary of the bench, from which a sheet is made as often as one likes. Nothing is reckoned
in it: a place that was taken by distances stands in it as those distances.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

from nests.units import BadInput, Length, Record, mm, require_date, said

Thing: TypeAlias = Literal["whole", "arbor", "fragile", "rest", "pusher"]
Key: TypeAlias = tuple[Thing, str, str]
"""Kind of thing, its name ('' for the whole), and what is asked of it."""
OPEN = "?"
"""Stands in the place of an answer for what was passed over: it is not measured."""


@dataclass(frozen=True, kw_only=True)
class Answer(Record):
    """One fact, as it was read."""

    thing: Thing = said("what kind of thing it is about", "whole")
    of: str = said("name of that thing; none for the whole", "")
    asks: str = said("what was asked of it, such as rim or place")
    text: str = said("the answer as it was read; '?' for what was passed over")
    unit: str = said("unit of its numbers where none is written", "")
    tool: str = said("what it was measured with", "")
    doubt: Length | None = mm(
        None, low=0.0, high=1.0, meaning="measuring uncertainty, ±; none for what is no length"
    )
    date: str = said("year-month-day, as the person gives it", "")

    def __post_init__(self) -> None:
        """Check the date, and that there is an answer; raises `BadInput`."""
        super().__post_init__()
        require_date(self.date)
        if not self.text.strip():
            raise BadInput(f"the answer to '{self.asks}' is empty; '{OPEN}' passes it over.")

    @property
    def key(self) -> Key:
        """What it is the answer to."""
        return self.thing, self.of, self.asks


@dataclass(frozen=True, kw_only=True)
class Measured(Record):
    """Everything that was read of one workpiece, in the order in which it was."""

    answers: tuple[Answer, ...] = said("the answers, oldest first; the last of one kind holds", ())
    taken_back: tuple[Answer, ...] = said("what was undone and may be done again, last first", ())

    @property
    def now(self) -> Mapping[Key, Answer]:
        """The answer that holds for each question."""
        return {each.key: each for each in self.answers}

    def text(self, thing: Thing, of: str, asks: str) -> str | None:
        """The answer as read; None where it was not asked yet, or passed over."""
        found = self.now.get((thing, of, asks))
        return None if found is None or found.text == OPEN else found.text
