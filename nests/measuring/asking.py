"""What is to be asked next: a function of what was answered, and of nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from nests.kinds.measured import OPEN, Answer, Key, Measured, Thing
from nests.measuring.bench import (
    ACROSS,
    ARBORS,
    EACH_FRAGILE,
    EACH_REST,
    FRAGILE,
    MASS,
    PRESSED,
    PUSHER,
    REMARKS,
    RESTS,
    STOCK,
    WHOLE,
    Ask,
    place_of,
)
from nests.measuring.placing import listed, placed, things, written_of
from nests.measuring.reading import is_none, length_of
from nests.units import BadInput

MOVEMENT = "movement"
OF_MOVEMENTS = ("flange", "stem", "dial", "pushers")
"""Asked of movements only."""
AFTER = {
    "flange height": "flange",
    "stem depth": "stem",
    "stem diameter": "stem",
    "stem draw": "stem",
    "dial underside": "dial",
    "dial thickness": "dial",
    "hands height": "dial",
}
"""Asked only where the other was answered, and not with none."""


@dataclass(frozen=True)
class Question:
    """One question about one thing."""

    ask: Ask
    of: str = ""
    more: str = ""
    """Words that only this thing has, such as the places that suit its readings."""

    @property
    def key(self) -> Key:
        """What it asks."""
        return self.ask.thing, self.of, self.ask.asks

    @property
    def label(self) -> str:
        """A few words by which it is named."""
        return f"{self.of}: {self.ask.asks}" if self.of else self.ask.asks

    @property
    def words(self) -> str:
        """The whole question."""
        return f"{self.ask.says.format(self.of)}{self.more}"


def questions(record: Measured) -> tuple[Question, ...]:
    """All that can be asked by now, answered or not, in the order of the bench."""
    return tuple(_questions(record))


def waiting(record: Measured, *, more: bool = False) -> tuple[Question, ...]:
    """What was not asked yet; with `more` also what is not usually asked."""
    known = record.now
    return tuple(
        each for each in questions(record) if each.key not in known and (more or each.ask.usual)
    )


def passed_over(record: Measured) -> tuple[Question, ...]:
    """What was asked and is not measured."""
    known = record.now
    return tuple(e for e in questions(record) if e.key in known and known[e.key].text == OPEN)


def by_label(record: Measured, text: str) -> Question:
    """The question of a label, such as 'mass' or 'centre: height'; where two things have one name,
    such as 'fragile balance: place'. Raises `BadInput`."""
    wanted = _folded(text)
    known = questions(record)
    found = [each for each in known if _folded(each.label) == wanted]
    found += [each for each in known if _folded(f"{each.ask.thing} {each.label}") == wanted]
    if not found:
        raise BadInput(f"'{text.strip()}' is no question that can be asked by now.")
    if len(found) > 1:
        ways = " or ".join(f"'{each.ask.thing} {each.label}'" for each in found)
        raise BadInput(f"'{text.strip()}' may mean two things; write {ways}.")
    return found[0]


def holding(record: Measured) -> tuple[Answer, ...]:
    """The answers that hold, in the order of the bench; those about what is no longer there are
    left out."""
    known = record.now
    return tuple(known[each.key] for each in questions(record) if each.key in known)


def _folded(text: str) -> str:
    return " ".join(text.casefold().replace(":", " ").replace("⌀", "diameter").split())


def _questions(record: Measured) -> Iterator[Question]:
    kind = (record.text("whole", "", "kind") or MOVEMENT).casefold()
    for ask in WHOLE:
        if kind != MOVEMENT and (ask.asks in OF_MOVEMENTS or AFTER.get(ask.asks) in OF_MOVEMENTS):
            continue
        if _holds(record, AFTER.get(ask.asks)):
            yield Question(ask)
    for name in listed(record, "pushers") or () if kind == MOVEMENT else ():
        yield from (Question(ask, name) for ask in PUSHER)
    arbors = listed(record, "arbors") or ()
    yield Question(ARBORS[0])
    jawed = frozenset(_jawed(record))
    for name in arbors:
        yield from _place(record, "arbor", name)
        if name in jawed:
            yield Question(ACROSS, name)
        elif name not in pressed_of(record):
            yield Question(replace(ACROSS, usual=False), name)
    if arbors:
        yield Question(ARBORS[1])
    pressed = pressed_of(record)
    for name in pressed:
        for ask in PRESSED:
            if ask.asks == "height" and name not in jawed:
                yield Question(ACROSS, name)
            if ask.asks != "pivot diameter" or _stands_out(record, name):
                yield Question(ask, name)
    if pressed:
        yield from map(Question, STOCK)
    yield Question(MASS)
    yield Question(FRAGILE)
    for name in listed(record, "fragile") or ():
        yield from _place(record, "fragile", name)
        yield from (Question(ask, name) for ask in EACH_FRAGILE)
    yield Question(RESTS)
    for name in listed(record, "rests") or ():
        yield from _place(record, "rest", name)
        yield from (Question(ask, name) for ask in EACH_REST)
    yield Question(REMARKS)


def pressed_of(record: Measured) -> tuple[str, ...]:
    """The arbors on which something is pressed, as they are called in their list."""
    arbors = listed(record, "arbors") or ()
    wanted = {each.casefold() for each in listed(record, "pressed") or ()}
    return tuple(each for each in arbors if each.casefold() in wanted)


def _place(record: Measured, thing: Thing, name: str) -> Iterator[Question]:
    """Where it lies; and of two places that suit its distances which one."""
    where, near = place_of(thing)
    yield Question(where, name)
    found = placed(record).at.get((thing, name))
    if found is not None and found.others:
        both = sorted((found.place, *found.others), key=lambda p: p.hour)
        words = " or ".join(f"{p.hour:.2f} h, {p.radius:.2f} mm" for p in both)
        yield Question(near, name, f" These suit the readings: {words}.")


def _holds(record: Measured, other: str | None) -> bool:
    if other is None:
        return True
    text = record.text("whole", "", other)
    return text is not None and not is_none(text)


def _stands_out(record: Measured, name: str) -> bool:
    text = record.text("arbor", name, "pivot")
    about = next(each for each in PRESSED if each.asks == "pivot").about
    return text is not None and not is_none(text) and length_of(text, "pivot", about) > 0.0


def _jawed(record: Measured) -> Iterator[str]:
    """Arbors on which jaws lay while a place was measured: their ⌀ counts."""
    for own in things(record):
        text = record.text(*own, "place")
        if text is None:
            continue
        try:
            written = written_of(record, own, text)
        except BadInput:
            continue
        for key in written.across:
            thing, name = own if not key else ("arbor", key)
            if thing == "arbor":
                yield name
