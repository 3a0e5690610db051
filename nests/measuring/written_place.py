"""How a place is written down at the bench: by x and y, by hour and radius, or by distances.

| written | is |
|---|---|
| `middle` | the middle of the outline |
| `7.6 h 8.0` | hour of the dial and radius |
| `x 3.2 y -1.1 bridge` | x to the right and y up, and the side that was looked at |
| `at balance` | on the axis of another thing |
| `5.40 from centre, 8.12 over third wheel, 2.30 between edge` | distances |

A distance is `from` middle to middle; `over` with the jaws outside both, so half of either ⌀ is
in it; `between` with the jaws inside, so half of either ⌀ is lacking. From the `edge` it is the
shortest way to it; from the `edge at 3 h` it is read along that hour, a jaw flat against the edge.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

from nests.lengths import read_length
from nests.places import Place, Side, at_hour, read_place
from nests.units import BadInput, Hour, Length

EDGE = "edge"
FORMS = (
    "hour and radius such as '7.6 h 8.0', 'x 3.2 y -1.1 bridge' with the side you looked at, "
    "'middle', 'at NAME', or two distances or more such as '5.40 from centre, 2.30 between edge'"
)
Jaws: TypeAlias = Literal["from", "over", "between"]

_NUMBER = r"[-+]?\d+(?:\.\d+)?"
_POLAR = re.compile(rf"({_NUMBER})\s*h[\s,]+(?:radius\s+)?(\S+(?:\s?mm)?)", re.I)
_CROSS = re.compile(rf"x\s*({_NUMBER})[\s,]+y\s*({_NUMBER})(?:[\s,]+(?:from\s+)?(\w+))?", re.I)
_SPAN = re.compile(r"(\S+(?:\s?mm)?)\s+(from|over|between)\s+(.+)", re.I)
_EDGE = re.compile(rf"edge(?:\s+at\s+({_NUMBER})\s*h)?", re.I)
_DECIMAL = re.compile(r"(?<=\d),(?=\d)")


@dataclass(frozen=True)
class Span:
    """One distance as read: mm, where the jaws stood, to what, and of the edge along which hour."""

    says: str
    reading: Length
    jaws: Jaws
    to: str
    along: Hour | None = None


@dataclass(frozen=True)
class Written:
    """A place as written: known at once (`at`), that of another thing (`like`), or by distances."""

    at: Place | None = None
    like: str = ""
    spans: tuple[Span, ...] = ()

    @property
    def needs(self) -> tuple[str, ...]:
        """Names of the things it is measured from."""
        named = [self.like] if self.like else []
        return tuple(dict.fromkeys([*named, *(s.to for s in self.spans if s.to != EDGE)]))

    @property
    def across(self) -> tuple[str, ...]:
        """Names of the things of which half the ⌀ is in a reading; '' is the thing itself."""
        jawed = [s for s in self.spans if s.jaws != "from"]
        own = [""] if jawed else []
        return tuple(dict.fromkeys([*own, *(s.to for s in jawed if s.to != EDGE)]))


def pointed(text: str) -> str:
    """The text with a decimal comma written as a point; a comma with a space after it parts two
    things and stays."""
    return _DECIMAL.sub(".", text)


def written_place(text: str, label: str) -> Written:
    """Read a place; `label` is the question for the sentence. Raises `BadInput`."""
    text = pointed(" ".join(text.split()))
    if text.casefold() == "middle":
        return Written(at=Place(0.0, 0.0))
    if text.casefold().startswith("at "):
        return Written(like=text[3:].strip())
    if match := _POLAR.fullmatch(text):
        hour, radius = float(match[1]), read_length(match[2], label).mm
        _within(label, "hour", hour, 0.0, 12.0, "h")
        _within(label, "radius", radius, 0.0, 100.0, "mm")
        return Written(at=at_hour(hour, radius))
    if match := _CROSS.fullmatch(text):
        return Written(at=_seen(float(match[1]), float(match[2]), match[3], label))
    spans = tuple(_span(each, label) for each in re.split(r"\s*;\s*|,\s+", text) if each)
    if not spans:
        raise BadInput(f"{label} is '{text}'; {FORMS} is needed.")
    if len(spans) == 1:
        raise BadInput(f"{label} is '{text}', one distance; a place needs two or more.")
    return Written(spans=spans)


def respanned(text: str, names: Mapping[str, str]) -> str:
    """A place as written, with other names for what it is measured from. Raises `BadInput`."""
    written = written_place(text, "place")
    if written.like:
        return f"at {names.get(written.like, written.like)}"
    if not written.spans:
        return text
    out = []
    for each in written.spans:
        head = each.says[: len(each.says) - len(each.to)]
        out.append(each.says if each.to == EDGE else f"{head}{names.get(each.to, each.to)}")
    return ", ".join(out)


def _seen(x: Length, y: Length, side: str | None, label: str) -> Place:
    """Mirrored once, by the side that was looked at."""
    if side is None and x:
        raise BadInput(
            f"{label} has x {x:g} mm and no side; say which side you looked at, 'dial' or "
            "'bridge', for seen from the other one x has the other sign."
        )
    word = (side or "dial").casefold()
    if word not in tuple(Side):
        raise BadInput(f"{label}: the side looked at is '{side}'; allowed is dial or bridge.")
    for name, value in (("x", x), ("y", y)):
        _within(label, name, value, -100.0, 100.0, "mm")
    return read_place(x, y, Side(word))


def _span(text: str, label: str) -> Span:
    match = _SPAN.fullmatch(text)
    if match is None:
        raise BadInput(f"{label} is '{text}'; {FORMS} is needed.")
    reading, jaws, to = read_length(match[1], label).mm, match[2].casefold(), match[3].strip()
    _within(label, "a distance", reading, 0.0, 100.0, "mm")
    edge = _EDGE.fullmatch(to)
    if edge is None:
        return Span(text, reading, jaws, to)  # type: ignore[arg-type]
    along = None if edge[1] is None else float(edge[1])
    _within(label, "hour", along or 0.0, 0.0, 12.0, "h")
    return Span(text, reading, jaws, EDGE, along)  # type: ignore[arg-type]


def _within(label: str, what: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        raise BadInput(
            f"{label}: {what} is {value:g} {unit}; allowed is {low:g} to {high:g} {unit}."
        )
