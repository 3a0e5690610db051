"""Lengths as they are typed: in mm, µm or lignes, with a decimal comma or a fraction."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from nests.units import LIGNE, BadInput

_UNITS = r"mm|µm|um|lignes?|'{3}|′{3}|‴"
_LENGTH = re.compile(
    rf"\s*(?P<whole>[-+]?\d+(?:[.,]\d+)?)?\s*(?P<part>[½¼¾⅓⅔⅛⅜⅝⅞]|(?<!\d)\d+/\d+)?"
    rf"\s*(?P<unit>{_UNITS})?\s*"
)
_FACTOR = {"mm": 1.0, "µm": 1e-3, "um": 1e-3}


@dataclass(frozen=True)
class WrittenLength:
    """A length as typed: its value in mm, and whether it was typed in lignes."""

    mm: float
    from_ligne: bool


def read_length(text: str, name: str) -> WrittenLength:
    """Read `26`, `26.0mm`, `450um`, `11.5ligne`, `11 1/2 ligne` or `11½'''`; `name` is the field
    for the sentence.

    A decimal comma is understood. Raises `BadInput` for anything else, and for a fraction without
    a unit, which may be meant in lignes.
    """
    match = _LENGTH.fullmatch(text)
    value = None if match is None else _value(match["whole"], match["part"])
    if match is None or value is None:
        raise BadInput(
            f"{name} is '{text}'; a length such as 26.0, 26.0mm, 450um, 11.5ligne or 11 1/2 ligne "
            "is needed."
        )
    if match["part"] and not match["unit"]:
        said = text.strip()
        raise BadInput(f"{name} is '{text}', without a unit: write {said} ligne or {said} mm.")
    factor = _FACTOR.get(match["unit"] or "mm", LIGNE)
    return WrittenLength(mm=value * factor, from_ligne=factor == LIGNE)


def _value(whole: str | None, part: str | None) -> float | None:
    """A number as written, with the fraction after it; None for what is no number."""
    if part is None:
        return None if whole is None else float(whole.replace(",", "."))
    above, _, below = part.partition("/")
    if not below:
        more = unicodedata.numeric(above)
    elif not int(below):
        return None
    else:
        more = int(above) / int(below)
    if whole is None:
        return more
    if more >= 1.0 or not whole.isdigit():
        return None
    return int(whole) + more
