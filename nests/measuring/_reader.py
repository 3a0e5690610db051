"""The answers of a record, read one by one: what they mean, how well they are known, what lacks."""

from __future__ import annotations

from nests.given.sheet import Sheet
from nests.kinds.measured import Measured, Thing
from nests.measuring.asking import pressed_of
from nests.measuring.bench import BY
from nests.measuring.located import Located
from nests.measuring.placing import doubt_of, placed
from nests.measuring.reading import Level, hour_of, is_none, length_of, level_of, number_of
from nests.places import Place
from nests.units import Length


class Reader:
    """One record being read; what it meets on the way is gathered in it."""

    def __init__(self, record: Measured) -> None:
        """Nothing is read yet."""
        self.record = record
        self.places = placed(record)
        self.lacks: list[str] = []
        self.defaults: list[str] = []
        self.doubts: dict[str, Length] = {}
        self.worst: Length = Sheet.uncertainty

    def took(self, what: str, value: str) -> str:
        """What was taken by default."""
        self.defaults.append(f"{what}: {value}")
        return value

    def length(self, asks: str, thing: Thing = "whole", of: str = "") -> Length | None:
        """A length in mm; None where it is not measured, or there is none."""
        text = self.record.text(thing, of, asks)
        if text is None or is_none(text):
            return None
        return length_of(text, _label(of, asks), BY[thing, asks].about)

    def level(self, thing: Thing, of: str, asks: str) -> Level | None:
        """A height and its side."""
        text = self.record.text(thing, of, asks)
        return None if text is None else level_of(text, _label(of, asks), BY[thing, asks].about)

    def number(self, thing: Thing, of: str, asks: str) -> float | None:
        """A number in the unit of its question."""
        text = self.record.text(thing, of, asks)
        return None if text is None else number_of(text, _label(of, asks), BY[thing, asks].about)

    def hour(self, asks: str, thing: Thing = "whole", of: str = "") -> float | None:
        """An hour of the dial; None as `length`."""
        text = self.record.text(thing, of, asks)
        return None if text is None or is_none(text) else hour_of(text, _label(of, asks))

    def place(self, thing: Thing, name: str, pointer: str) -> Place | None:
        """Where a thing lies; None where that is open, which is said."""
        found: Located | None = self.places.at.get((thing, name))
        if found is None:
            self.lacks.append(f"{name}: place")
            return None
        if found.others and self.record.text(thing, name, "near") is None:
            self.lacks.append(f"{name}: near")
            return None
        stated = found.doubt if found.left else found.along[0]
        if found.left or stated > Sheet.uncertainty:
            if thing == "rest" or name in pressed_of(self.record):
                self.worst = max(self.worst, stated)
            for axis, doubt in zip("xy", found.along, strict=True):
                self.doubts[f"{pointer}/{axis}"] = round(doubt, 4)
        return found.place

    def doubt(self, thing: Thing, of: str, pointer: str, **fields: str) -> None:
        """The ± of answers about a thing, by the fields of the sheet that they become."""
        for asks, name in fields.items():
            self.doubts[f"{pointer}/{name}"] = doubt_of(self.record, thing, of, asks)

    def half(self, thing: Thing, name: str) -> None:
        """A tip must stay inside a ⌀: half of its ± counts like that of a place."""
        self.worst = max(self.worst, doubt_of(self.record, thing, name, "diameter") / 2)

    def lack(self, name: str, **asked: object) -> None:
        """Of what was asked of a thing, that which is None keeps it off the sheet."""
        self.lacks += [f"{name}: {asks}" for asks, value in asked.items() if value is None]


def _label(of: str, asks: str) -> str:
    return f"{of}: {asks}" if of else asks
