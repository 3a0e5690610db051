"""Metal that can be bought: pins, set screws, screws, and what is done to them.

Sizes are those of the standards named beside them, all from memory; the standard itself counts.
Set screws have a flat point: a cone point (ISO 4027) would mark what it meets.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from nests.units import BadInput, Length, printed

LENGTHS: tuple[Length, ...] = (2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0)
"""mm; nominal lengths of screws (ISO 888, short ones)."""
PARALLEL_PINS: dict[Length, tuple[Length, Length]] = {
    0.6: (2.0, 6.0), 0.8: (2.0, 8.0), 1.0: (4.0, 10.0), 1.2: (4.0, 12.0), 1.5: (4.0, 16.0),
    2.0: (6.0, 20.0), 2.5: (6.0, 24.0), 3.0: (8.0, 30.0), 4.0: (8.0, 40.0), 5.0: (10.0, 50.0),
}  # fmt: skip
"""mm ⌀ of parallel pins, with the shortest and the longest (ISO 2338:1997, table 1)."""
DOWEL_PINS: dict[Length, tuple[Length, Length]] = {
    1.0: (3.0, 10.0), 1.5: (4.0, 16.0), 2.0: (5.0, 20.0), 2.5: (6.0, 24.0), 3.0: (8.0, 30.0),
    4.0: (10.0, 40.0), 5.0: (12.0, 50.0),
}  # fmt: skip
"""The same, hardened (ISO 8734:1997, table 1)."""
PIN_LENGTHS: tuple[Length, ...] = (
    2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 24.0, 26.0, 28.0, 30.0,
)  # fmt: skip
"""mm; nominal lengths of pins (ISO 2338:1997 and ISO 8734:1997, table 1)."""
RODS: tuple[Length, ...] = (
    *(round(0.1 * tenths, 1) for tenths in range(5, 21)), 2.5, 3.0, 3.5, 4.0, 5.0,
)  # fmt: skip
"""mm ⌀ of drawn rod and wire of brass or steel; common practice, no source."""
PITCHES: dict[Length, Length] = {
    1.0: 0.25, 1.2: 0.25, 1.4: 0.3, 1.6: 0.35, 2.0: 0.4, 2.5: 0.45, 3.0: 0.5, 4.0: 0.7,
}  # fmt: skip
"""mm ⌀ of coarse threads with their pitch (ISO 261:1998, of the choice of ISO 262)."""


@dataclass(frozen=True)
class Thread:
    """A metric thread: its ⌀ and pitch, mm."""

    across: Length
    pitch: Length

    @property
    def name(self) -> str:
        """Its designation (ISO 261)."""
        return f"M{self.across:g}"

    @property
    def core(self) -> Length:
        """⌀ that is bored to tap it: less the pitch, usual in engineering."""
        return round(self.across - self.pitch, 3)


@dataclass(frozen=True)
class SetScrew(Thread):
    """A set screw with a hexagon socket and a flat point: widest and narrowest ⌀ of that, width of
    the key and its width across corners, the shortest and the longest, mm."""

    flat: Length
    least_flat: Length
    key: Length
    corners: Length
    shortest: Length
    longest: Length

    def lengths(self) -> tuple[Length, ...]:
        """Lengths it is made in."""
        return tuple(each for each in LENGTHS if self.shortest <= each <= self.longest)


SET_SCREWS: tuple[SetScrew, ...] = (
    SetScrew(1.6, 0.35, 0.8, 0.55, 0.7, 0.82, 2.0, 8.0),
    SetScrew(2.0, 0.4, 1.0, 0.75, 0.9, 1.04, 2.0, 10.0),
    SetScrew(2.5, 0.45, 1.5, 1.25, 1.3, 1.5, 2.5, 12.0),
    SetScrew(3.0, 0.5, 2.0, 1.75, 1.5, 1.74, 3.0, 16.0),
    SetScrew(4.0, 0.7, 2.5, 2.25, 2.0, 2.32, 4.0, 20.0),
)
"""ISO 4026:2003, table 1; the corners are those of the key."""


@dataclass(frozen=True)
class Bought:
    """One thing to buy, cut or drill: its designation, how many, what is done to it, and for what
    in the holder."""

    what: str
    work: str
    place: str
    count: int = 1


def thread(across: Length) -> Thread:
    """The coarse thread of that ⌀. Raises `BadInput` for one that is not made."""
    if across not in PITCHES:
        made = ", ".join(f"{each:g}" for each in PITCHES)
        raise BadInput(f"a screw of ⌀ {across:g} mm is not made; there are {made} mm (ISO 262).")
    return Thread(across, PITCHES[across])


def set_screw(across: Length) -> SetScrew | None:
    """The set screw of that ⌀; None if there is none."""
    return next((each for each in SET_SCREWS if each.across == across), None)


def set_screw_under(pin: Length, room: Length) -> SetScrew | None:
    """The slimmest set screw in whose bore a pin goes free by `room` mm; None if there is none."""
    return next((each for each in SET_SCREWS if each.core >= pin + room), None)


def is_pin(across: Length) -> bool:
    """Whether pins or rod of that ⌀ are made."""
    return across in RODS or across in PARALLEL_PINS


def widest_pin(most: Length) -> Length | None:
    """⌀ of the widest pin or rod that is no wider than `most` mm; None where that is too slim."""
    return max((each for each in RODS if each <= most + 1e-9), default=None)


def widest_set_screw(most: Length) -> SetScrew | None:
    """The widest set screw no wider than `most` mm; None if there is none."""
    return max((s for s in SET_SCREWS if s.across <= most + 1e-9), key=_across, default=None)


def _across(screw: SetScrew) -> Length:
    return screw.across


def longest_of(lengths: Sequence[Length], most: Length) -> Length | None:
    """The longest that is no longer than `most` mm, if there is one."""
    return max((each for each in lengths if each <= most + 1e-9), default=None)


def shortest_of(lengths: Sequence[Length], least: Length) -> Length | None:
    """The shortest that is no shorter than `least` mm, if there is one."""
    return min((each for each in lengths if each >= least - 1e-9), default=None)


def pin_words(across: Length, length: Length) -> tuple[str, str]:
    """How a pin is asked for, and what is left to do to it."""
    size = f"{printed(across, 1)} × {length:g} mm"
    for standard, sizes in (("ISO 2338", PARALLEL_PINS), ("ISO 8734", DOWEL_PINS)):
        shortest, longest = sizes.get(across, (math.inf, 0.0))
        if shortest <= length <= longest and length in PIN_LENGTHS:
            return f"parallel pin {standard}, {size}", "faced square"
    return f"rod ⌀{printed(across, 1)} mm", f"cut to {length:g} mm, faced square"
