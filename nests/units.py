"""Quantities: fields that know their unit and their limits, and how people write a length.

Inside the program every length is a plain `float` in millimetres, every force newtons, every
stress megapascals and every hour an hour of the dial. Units exist only at the border: in the
documents, on the command line and in sentences.
"""

from __future__ import annotations

import dataclasses
import datetime
import math
import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields
from functools import cache
from types import UnionType
from typing import (
    Any,
    ClassVar,
    Literal,
    TypeAlias,
    Union,
    get_args,
    get_origin,
    get_type_hints,
)

Length: TypeAlias = float
"""Millimetres."""
Hour: TypeAlias = float
"""Hour of the dial, 0 to 12, clockwise seen from the dial side; 12 and 0 are the same."""

LIGNE = 1000.0 / 443.296
"""One ligne in mm: 12 lignes = 1 pouce, and the metre of 1799 was fixed at 443.296 lignes."""
GRAVITY = 9.80665e-3
"""N on a gram: standard acceleration of free fall, 9.80665 m/s² (ISO 80000-3)."""


MOST_LETTERS = 1200
"""Letters of a sentence that are told; of a longer one the beginning and the end."""
MOST_FAULTS = 20
"""Faults of one document that are told at once; of more it is said how many are left."""


class BadInput(Exception):
    """Input that cannot be used; `str()` is one sentence for the person who typed it, or one for
    each fault of a document."""

    def __init__(self, *faults: str) -> None:
        """`faults` are the sentences, the gravest first; the same one is told once."""
        told = tuple(dict.fromkeys(_cut(each) for each in faults))
        left = len(told) - MOST_FAULTS
        self.faults = (*told[:MOST_FAULTS], f"There are {left} more.") if left > 0 else told
        super().__init__(" ".join(self.faults))


def _cut(sentence: str) -> str:
    """A sentence that does not fill the screen, whatever names it was given."""
    half = MOST_LETTERS // 2
    long = len(sentence) > MOST_LETTERS
    return f"{sentence[:half]} ... {sentence[-half:]}" if long else sentence


def require_all(requirements: Iterable[Callable[[], object]]) -> None:
    """Raise `BadInput` with the faults of all requirements that raise it, not of the first only."""
    faults: list[str] = []
    for require in requirements:
        try:
            require()
        except BadInput as bad:
            faults += bad.faults
    if faults:
        raise BadInput(*faults)


_SIGNED_ZERO = re.compile(r"(?<![\w.])-(0(?:\.0+)?)(?!\d|\.\d|e)")


def unsigned_zeros(text: str) -> str:
    """A text without -0.00: a zero that came of rounding has no sign."""
    return _SIGNED_ZERO.sub(r"\1", text)


@dataclass(frozen=True)
class Quantity:
    """What a field means: unit, allowed range (both ends included), words, origin."""

    unit: str
    low: float | None
    high: float | None
    meaning: str
    origin: str = ""
    lines: bool = False
    """Whether a text may have several lines: a remark may, a name must not."""

    def check(self, name: str, value: object) -> None:
        """Raise `BadInput` naming field, value, unit and allowed range if `value` is outside."""
        if not isinstance(value, int | float) or isinstance(value, bool):
            return
        if not math.isfinite(value):
            raise BadInput(f"{name} is {value!r}; a finite number{self._in_unit()} is needed.")
        if (self.low is not None and value < self.low) or (
            self.high is not None and value > self.high
        ):
            raise BadInput(f"{name} is {value:g}{self._unit()}; allowed is {self.span()}.")

    def span(self) -> str:
        """The allowed range in words, with its unit."""
        if self.low is not None and self.high is not None:
            return f"{self.low:g} to {self.high:g}{self._unit()}"
        if self.low is not None:
            return f"{self.low:g}{self._unit()} or more"
        if self.high is not None:
            return f"{self.high:g}{self._unit()} or less"
        return f"any number{self._in_unit()}"

    def _unit(self) -> str:
        return f" {self.unit}" if self.unit else ""

    def _in_unit(self) -> str:
        return f" in {self.unit}" if self.unit else ""


def quantity(
    unit: str,
    default: Any = dataclasses.MISSING,
    low: float | None = None,
    high: float | None = None,
    meaning: str = "",
    origin: str = "",
) -> Any:
    """Dataclass field carrying a `Quantity`; without `default` the field is required."""
    about = Quantity(unit=unit, low=low, high=high, meaning=meaning, origin=origin)
    if default is dataclasses.MISSING:
        return field(metadata={"quantity": about})
    return field(default=default, metadata={"quantity": about})


def mm(
    default: Any = dataclasses.MISSING,
    low: float = 0.0,
    high: float = 200.0,
    meaning: str = "",
    origin: str = "",
) -> Any:
    """Length field in millimetres."""
    return quantity("mm", default, low, high, meaning, origin)


def hour(default: Any = dataclasses.MISSING, meaning: str = "") -> Any:
    """Field holding an hour of the dial."""
    return quantity("h", default, 0.0, 12.0, meaning)


def said(meaning: str, default: Any = dataclasses.MISSING) -> Any:
    """Field without a unit: a word, a choice, a list."""
    return quantity("", default, None, None, meaning)


def prose(meaning: str, default: Any = dataclasses.MISSING) -> Any:
    """Field for what a person writes in sentences, which may have several lines."""
    about = Quantity(unit="", low=None, high=None, meaning=meaning, lines=True)
    if default is dataclasses.MISSING:
        return field(metadata={"quantity": about})
    return field(default=default, metadata={"quantity": about})


def printed(value: float, places: int = 2) -> str:
    """A figure as it is printed: the noise of arithmetic, below a millionth, is taken off first.

    So one size is one figure wherever it stands, also where it lies half-way between two.
    """
    return f"{round(value, 6) + 0.0:.{places}f}"


def dial_hour(value: Hour) -> str:
    """An hour of the dial as it stands in a sentence: two decimals at most, which are 0.1 mm at the
    edge of a large movement. Without its unit."""
    return f"{round(value, 2) + 0.0:g}"


def described(meaning: str, *, lines: bool = False) -> dict[str, Quantity]:
    """Metadata for a field that needs a `default_factory`."""
    return {"quantity": Quantity(unit="", low=None, high=None, meaning=meaning, lines=lines)}


@dataclass(frozen=True, kw_only=True)
class Record:
    """Base of every value that can stand in a document: frozen, its fields inside their limits."""

    tag: ClassVar[str] = ""
    """The word that tells this variant from its siblings in a document."""
    says_side: ClassVar[str | None] = None
    """When a place by x and y in it, in a document, must say the side it was read from: always for
    '', or where a field is the bridge side: its own, 'side', or that of any of a list,
    'jewels.side'. Never for None: all of it is plainly seen from the dial side."""

    def __post_init__(self) -> None:
        """Check every field, its type and its limits; raises `BadInput`."""
        for name, about, takes, wanted, worded in _fields_of(type(self)):  # type: ignore[arg-type]
            value = getattr(self, name)
            if not takes(value):
                raise BadInput(f"{f'{self.tag} {name}'.strip()} is {value!r}; {wanted} is needed.")
            for text in _texts_in(value) if worded else ():
                lines = about is not None and about.lines
                require_legible(text, f"{self.tag} {name}".strip(), lines)
            if about is not None:
                about.check(f"{self.tag} {name}".strip(), value)


def _texts_in(value: object) -> Iterator[str]:
    """The texts a field holds itself: alone, in a tuple, as names or values of a mapping."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        yield from (each for each in value if isinstance(each, str))
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield from _texts_in(key)
            yield from _texts_in(inner)


_TURNS_ROUND = frozenset(
    chr(code) for code in (0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A))
)
"""Characters with the property Bidi_Control (Unicode Standard Annex 9): what follows one may be
shown in another order than it is written in."""


def require_legible(text: str, name: str, lines: bool = False) -> None:
    """Raise `BadInput` if a name has a character that no drawing, page or mesh file can hold.

    Those are controls, ends of lines and paragraphs, halves of characters, those that turn the
    direction of writing round, and code points that are no characters (Unicode Standard 23.1 and
    23.7; XML 1.0, 2.2 leaves out nearly the same). With `lines`, for what is written in sentences,
    only halves of characters, which no file can hold.
    """
    if text.isprintable():
        return
    for letter in text:
        kind = unicodedata.category(letter)
        half = kind == "Cs"
        what = ""
        if half:
            what = "half a character"
        elif lines:
            continue
        elif letter in "\n\r\v\f\x85" or kind in ("Zl", "Zp"):
            what = "a line break"
        elif kind == "Cc":
            what = "a control character"
        elif letter in _TURNS_ROUND:
            what = "a character that turns the direction of writing round"
        elif ord(letter) & 0xFFFE == 0xFFFE or 0xFDD0 <= ord(letter) <= 0xFDEF:
            what = "a code point that is no character"
        if what:
            shown = text if len(text) <= 60 else f"{text[:57]}..."
            raise BadInput(f"{name} is {shown!r}; {what} (U+{ord(letter):04X}) cannot stand in it.")


@cache
def hints(cls: Any) -> dict[str, Any]:
    """The resolved type of every field of a record class."""
    return get_type_hints(cls)


Takes: TypeAlias = Callable[[object], bool]


@cache
def _fields_of(cls: type) -> tuple[tuple[str, Quantity | None, Takes, str, bool], ...]:
    """Of every field of a record class: name, quantity, whether a value is of its type, what is
    needed in words, and whether it may hold texts itself."""
    out = []
    for each in fields(cls):
        about, hint = each.metadata.get("quantity"), hints(cls)[each.name]
        worded = str in (hint, *get_args(hint))
        out.append((each.name, about, _takes(hint), _wanted(hint, about), worded))
    return tuple(out)


def _takes(hint: Any) -> Takes:
    """Whether a value is of a type: deep enough that text is not taken for a number, nor a number
    for what has fields of its own."""
    origin, args = get_origin(hint), get_args(hint)
    if origin in (Union, UnionType):
        some = tuple(_takes(each) for each in args)
        return lambda value: any(each(value) for each in some)
    if origin is Literal:
        return lambda value: value in args
    if origin is tuple:
        inner = _takes(args[0])
        return lambda value: isinstance(value, tuple) and all(inner(each) for each in value)
    if origin is not None:
        return lambda value: isinstance(value, origin)
    if hint is float:
        return lambda value: isinstance(value, int | float) and not isinstance(value, bool)
    if hint is int:
        return lambda value: isinstance(value, int) and not isinstance(value, bool)
    if isinstance(hint, type):
        return lambda value: isinstance(value, hint)
    return lambda _: True


def _wanted(hint: Any, about: Quantity | None) -> str:
    """What a field needs, in words."""
    args = [each for each in get_args(hint) if each is not type(None)]
    if float in (hint, *args) or int in (hint, *args):
        number = "a number" if float in (hint, *args) else "a whole number"
        return f"{number}{f' in {about.unit}' if about is not None and about.unit else ''}"
    if get_origin(hint) is Literal:
        return " or ".join(map(repr, args))
    if get_origin(hint) is tuple:
        return f"a tuple of {_word(args[0])}"
    return " or ".join(map(_word, args or [hint]))


def _word(hint: Any) -> str:
    words = {str: "text", bool: "true or false", float: "numbers"}
    return words.get(hint) or str(getattr(hint, "__name__", hint))


def require_date(text: str) -> None:
    """Raise `BadInput` unless `text` is empty or a date, year-month-day."""
    try:
        if text:
            datetime.date.fromisoformat(text)
    except ValueError:
        raise BadInput(f"date is '{text}'; year-month-day is needed, such as 2031-05-17.") from None
