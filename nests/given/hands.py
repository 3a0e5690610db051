"""How hard a hand is pressed on where an operation does not say: by the kind of hand.

All figures are from memory, no published ones are known; each has the range that occurs. An
hour hand has the widest and longest pipe, a small hand a thin short one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from nests.finding import MEMORY
from nests.given.sheet import Arbor, Sheet


@dataclass(frozen=True)
class Usual:
    """What is usual for a kind of hand: a word for it, N, and the least and most that occur."""

    hand: str
    force: float
    least: float
    most: float

    @property
    def words(self) -> str:
        """The range and where it comes from, for a sentence."""
        return f"usual for {self.hand}, {self.least:g} to {self.most:g} N occur, {MEMORY}"


HOUR = Usual("an hour hand", 20.0, 10.0, 35.0)
"""Also for what carries no hand of a known kind: the hardest of all."""
MINUTE = Usual("a minute hand", 18.0, 9.0, 30.0)
CHRONOGRAPH = Usual("a chronograph seconds hand", 15.0, 8.0, 25.0)
"""It must not slip when it is thrown back to zero."""
SWEEP = Usual("a seconds hand in the middle", 10.0, 5.0, 18.0)
RECORDER = Usual("a recorder hand", 8.0, 4.0, 14.0)
SMALL = Usual("a small seconds hand", 6.0, 3.0, 10.0)
KINDS = {
    "hour hand": HOUR,
    "minute hand": MINUTE,
    "chronograph seconds hand": CHRONOGRAPH,
    "chronograph hand": CHRONOGRAPH,
    "sweep seconds hand": SWEEP,
    "centre seconds hand": SWEEP,
    "recorder hand": RECORDER,
    "minute recorder hand": RECORDER,
    "hour recorder hand": RECORDER,
    "small seconds hand": SMALL,
    "running seconds hand": SMALL,
}
"""The one table, by the names on a sheet; a plain 'seconds hand' goes by where its arbor stands."""
SECONDS = "seconds hand"


def usual(sheet: Sheet, arbor: Arbor) -> Usual:
    """What is usual for an arbor: the hardest of its hands, an hour hand's for none."""
    return max(_kinds(sheet, arbor), key=lambda each: each.force, default=HOUR)


def _kinds(sheet: Sheet, arbor: Arbor) -> Iterator[Usual]:
    for hand in arbor.carries:
        name = " ".join(hand.casefold().split())
        if name == SECONDS:
            yield SWEEP if _with_the_hours(sheet, arbor) else SMALL
        else:
            yield KINDS.get(name, HOUR)


def _with_the_hours(sheet: Sheet, arbor: Arbor) -> bool:
    """Whether an arbor stands on the axis of hour or minute hand, or a sheet shows none of them."""
    hands = [a for a in sheet.arbors if {"hour hand", "minute hand"} & set(a.carries)]
    return not hands or any(a in sheet.on_axis(arbor) for a in hands)
