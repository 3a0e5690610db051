"""The trade's words for what is fitted to a movement and taken off it, and what goes with what.

A sheet calls its keep-clears, rests and arbors as the workshop does; by `what` it says which of
these words one of them is, so that an operation of any work plan is understood.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, TypeAlias, get_args

What: TypeAlias = Literal[
    "automatic works", "balance", "balance and hairspring", "barrel", "calendar ring",
    "calendar works", "cannon pinion", "cell", "chronograph wheels", "circuit", "coil",
    "column wheel and hammers", "dial", "escapement", "hairspring", "hands", "hour wheel",
    "keyless works", "motion works", "oscillating weight", "pushers", "rotor", "stem",
    "tourbillon carriage",
]  # fmt: skip
"""What of the trade's words, and of the work plans that come with the program, can be taken off a
movement."""

TRADE_WORDS: frozenset[str] = frozenset(get_args(What))
"""What a work plan for any movement may say is absent, though not every sheet has it."""

_BALANCE = ("balance", "balance and hairspring", "hairspring")
GOES_WITH: Mapping[str, tuple[str, ...]] = {
    "balance": _BALANCE,
    "balance and hairspring": _BALANCE,
    "rotor": ("rotor", "oscillating weight"),
    "oscillating weight": ("rotor", "oscillating weight"),
    "automatic works": ("automatic works", "rotor", "oscillating weight"),
    "calendar works": ("calendar works", "calendar ring"),
    "motion works": ("motion works", "hour wheel", "cannon pinion"),
    "tourbillon carriage": ("tourbillon carriage", "escapement", *_BALANCE),
    "dial": ("dial", "hands"),
}
"""What is not there either where a word is absent, itself included: it sits on it, or is another
word for it. Common practice, no source."""


def goes_with(word: str) -> tuple[str, ...]:
    """The kinds that are not there where a word of the trade is absent; none for any other word."""
    return GOES_WITH.get(word, (word,)) if word in TRADE_WORDS else ()
