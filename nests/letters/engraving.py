"""What is engraved for a name: letters every printer shows and every bench reads, none dropped.

The one place that says so. Whatever has a name and a mark (a sheet, an operation) is engraved with
its mark, else with its name where that can be engraved letter by letter. Two calibres must never
come to the same letters: see `clashes`.
"""

from __future__ import annotations

import string
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Protocol

from nests.units import BadInput

LETTERS = frozenset(string.ascii_uppercase + string.digits + " -./")
ALLOWED = "letters A to Z, digits, spaces, '-', '.' and '/'"
"""`LETTERS` in words."""


class Engraved(Protocol):
    """Something that says what is engraved for it."""

    @property
    def engraved(self) -> str:
        """The letters. Raises `BadInput`."""


class Named(Protocol):
    """Something with a name and perhaps a mark of its own."""

    @property
    def name(self) -> str:
        """What people call it."""

    @property
    def mark(self) -> str:
        """What is engraved for it; '' for its name."""


def require_mark(mark: str, of: str) -> None:
    """Raise `BadInput` for a mark that cannot be engraved; '' is none. `of` says whose it is."""
    if mark and (why := _why_not(capitals(mark))):
        raise BadInput(f"mark of {of} is '{mark}', {why}; allowed are {ALLOWED}.")


def engraved(thing: Named, what: str) -> str:
    """The letters that are engraved for something, capitals, one space between words.

    `what` says in the sentence what it is. Raises `BadInput` for a name that cannot be engraved
    letter by letter, where there is no mark.
    """
    text = capitals(thing.mark or thing.name)
    if why := _why_not(text):
        raise BadInput(
            f"name of the {what} is '{thing.name}', {why}; allowed are {ALLOWED}: give the {what} "
            "a mark."
        )
    return text


def require_engravable(things: Iterable[Engraved]) -> None:
    """Raise `BadInput` for the first of several whose name cannot be engraved letter by letter."""
    for each in things:
        each.engraved  # noqa: B018  asked for what it raises


def called(thing: Named) -> str:
    """The name, and what is engraved for it where that is not the name in capitals."""
    mark = capitals(thing.mark)
    return thing.name if mark in ("", capitals(thing.name)) else f"{thing.name} (engraved {mark})"


def capitals(text: str) -> str:
    """The text with a to z as capitals and one space between words; other letters stay."""
    large = "".join(c.upper() if c.isascii() else c for c in text)
    return " ".join(word for word in large.split(" ") if word)


def as_read(thing: Named) -> str:
    """What is read on a holder of something, also on one engraved when letters without a stroke
    were left out and accents dropped; '' if nothing is."""
    flat = unicodedata.normalize("NFKD", thing.mark or thing.name)
    return capitals("".join(c for c in flat if " " <= c <= "~"))


def require_strokes(text: str) -> None:
    """Raise `BadInput` for a text of a recipe of which a letter would be left out.

    A recipe, which may have been printed and kept, may hold every printable letter of ASCII.
    """
    strange = _once(c for c in text if not " " <= c <= "~")
    if strange or not text.strip():
        why = f"of which {strange} cannot be engraved" if strange else "which shows no letter"
        raise BadInput(f"text of a mark is '{text}', {why}; allowed are {ALLOWED}.")


def clashes(groups: Sequence[Sequence[Named]]) -> Iterable[tuple[Named, Named, str]]:
    """Pairs of different name that come to one mark, and the mark; none within a group."""
    for k, group in enumerate(groups):
        for each in group:
            mark = capitals(each.mark or each.name)
            for other in (other for later in groups[k + 1 :] for other in later):
                same = capitals(other.mark or other.name) == mark and not _why_not(mark)
                if same and other.name != each.name:
                    yield each, other, mark


def _why_not(text: str) -> str:
    """Why a text in capitals cannot be engraved, as a clause; '' if it can."""
    strange = _once(c for c in text if c not in LETTERS)
    if strange:
        return f"of which {strange} cannot be engraved"
    return "" if any(c.isalnum() for c in text) else "which has no letter or digit to be read by"


def _once(letters: Iterable[str]) -> str:
    return ", ".join(f"'{c}'" for c in dict.fromkeys(letters))
