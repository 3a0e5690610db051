"""One answer, as typed, to the value it means. Each reader raises `BadInput` with one sentence."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, fields
from typing import Any

from nests.given.zones import Corner, Outline, Path, Round
from nests.lengths import read_length
from nests.measuring.written_place import pointed
from nests.places import Place, Side
from nests.units import BadInput, Hour, Length, Quantity

NONE = ("none", "no", "nothing")
"""Words that say it was looked, and there is none."""
_SIDED = re.compile(r"(.+?)\s+on\s+(?:the\s+)?(dial|bridge)(?:[\s-]side)?", re.I)
_ACROSS = re.compile(r"\s*[x×]\s*")


@dataclass(frozen=True)
class Level:
    """A height, and the side it is read on; None for the usual one."""

    height: Length
    side: Side | None = None


def quantity_of(cls: type, name: str) -> Quantity:
    """What a field of a record class says of itself: its limits are asked for there."""
    found = next(each for each in fields(cls) if each.name == name)
    about: Quantity = found.metadata["quantity"]
    return about


def is_none(text: str) -> bool:
    """Whether an answer says that there is none."""
    return text.casefold() in NONE


def text_of(text: str, label: str) -> str:
    """A word or a name."""
    if not any(c.isalnum() for c in text):
        raise BadInput(f"{label} is '{text}', which has no letter or digit to be read by.")
    return text


def choice_of(text: str, label: str, among: tuple[str, ...]) -> str:
    """One of some words."""
    if text.casefold() not in among:
        raise BadInput(f"{label} is '{text}'; allowed is {' or '.join(among)}.")
    return text.casefold()


def length_of(text: str, label: str, about: Quantity) -> Length:
    """A length in mm within the limits of its field; one in lignes is no measurement."""
    written = read_length(pointed(text), label)
    if written.from_ligne:
        raise BadInput(
            f"{label} is '{text}', a nominal size; measure it and give it in mm "
            f"({written.mm:.2f} mm by that)."
        )
    about.check(label, written.mm)
    return written.mm


def number_of(text: str, label: str, about: Quantity) -> float:
    """A number in the unit of its field, which may be written behind it."""
    bare = pointed(text).removesuffix(about.unit).strip()
    try:
        value = float(bare)
    except ValueError:
        raise BadInput(
            f"{label} is '{text}'; a number in {about.unit} is needed, {about.span()}."
        ) from None
    if not math.isfinite(value):
        raise BadInput(f"{label} is '{text}'; a finite number in {about.unit} is needed.")
    about.check(label, value)
    return value


def level_of(text: str, label: str, about: Quantity) -> Level:
    """A height above the rim face of a side: `1.3`, or `0.4 on dial`."""
    match = _SIDED.fullmatch(text)
    height = length_of(match[1] if match else text, label, about)
    return Level(height, Side(match[2].casefold()) if match else None)


def hour_of(text: str, label: str) -> Hour:
    """An hour of the dial."""
    return number_of(text, label, Quantity("h", 0.0, 12.0, "hour"))


def names_of(text: str, label: str) -> tuple[str, ...]:
    """Names with commas between them; none for none."""
    if is_none(text):
        return ()
    out = tuple(" ".join(each.split()) for each in re.split("[,;]", text) if each.strip())
    for each in out:
        text_of(each, label)
    folded = [each.casefold() for each in out]
    for each in out:
        if folded.count(each.casefold()) > 1:
            raise BadInput(f"{label} holds '{each}' twice; names are unique.")
    if not out:
        raise BadInput(f"{label} is '{text}'; names with commas between them, or none.")
    return out


def outline_of(text: str, label: str) -> Outline:
    """`26.0` for a ⌀; `20 x 14` for an oblong, from 3 h to 9 h and from 12 h to 6 h."""
    parts = _ACROSS.split(text.strip())
    about = quantity_of(Round, "diameter")
    if len(parts) > 2:
        raise BadInput(f"{label} is '{text}'; a ⌀ such as 26.0, or lengths such as 20 x 14.")
    sizes = [length_of(each, label, about) for each in parts]
    if len(sizes) == 1:
        return Round(diameter=sizes[0])
    long, wide = (size / 2 for size in sizes)
    around = ((-long, wide), (long, wide), (long, -wide), (-long, -wide))
    return Path(corners=tuple(Corner(at=Place(x, y)) for x, y in around))


def halves_of(outline: Outline) -> tuple[Length, ...]:
    """Half the ⌀ of a round outline, or half its lengths along 3 h and along 12 h."""
    if isinstance(outline, Round):
        return (outline.diameter / 2,)
    corners: Any = getattr(outline, "corners", ())
    return max(c.at.x for c in corners), max(c.at.y for c in corners)
