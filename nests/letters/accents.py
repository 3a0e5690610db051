"""Accents as strokes, for lettering and fonts that have the letter and not its accent."""

from __future__ import annotations

import math
import unicodedata
from functools import cache
from typing import TypeAlias

Stroke: TypeAlias = tuple[tuple[float, float], ...]

CEDILLA, OGONEK, SLASH = "\u0327", "\u0328", "\u0338"
_STROKED = {"Ø": "O", "ø": "o"}
"""Letters that Unicode does not part into a letter and a stroke through it."""


def _ring(radius: float, y: float, count: int = 10) -> Stroke:
    turn = [2 * math.pi * k / count for k in range(count + 1)]
    return tuple((radius * math.cos(t), y + radius * math.sin(t)) for t in turn)


ACCENTS: dict[str, tuple[Stroke, ...]] = {
    "\u0300": (((-0.12, 0.3), (0.06, 0.12)),),
    "\u0301": (((-0.06, 0.12), (0.12, 0.3)),),
    "\u0302": (((-0.16, 0.12), (0.0, 0.28), (0.16, 0.12)),),
    "\u0303": (((-0.18, 0.14), (-0.08, 0.24), (0.08, 0.14), (0.18, 0.24)),),
    "\u0304": (((-0.15, 0.18), (0.15, 0.18)),),
    "\u0306": (((-0.15, 0.28), (-0.07, 0.16), (0.07, 0.16), (0.15, 0.28)),),
    "\u0307": (((0.0, 0.16), (0.0, 0.22)),),
    "\u0308": (((-0.13, 0.16), (-0.13, 0.22)), ((0.13, 0.16), (0.13, 0.22))),
    "\u030a": (_ring(0.1, 0.2),),
    "\u030b": (((-0.14, 0.12), (-0.04, 0.3)), ((0.06, 0.12), (0.16, 0.3))),
    "\u030c": (((-0.16, 0.28), (0.0, 0.12), (0.16, 0.28)),),
    CEDILLA: (((0.0, -0.02), (0.06, -0.14), (-0.08, -0.24)),),
    OGONEK: (((0.12, 0.0), (0.04, -0.12), (0.14, -0.2)),),
    SLASH: (((-0.3, -0.08), (0.3, 1.08)),),
}
"""By their combining sign, in heights of a capital: x from the middle of the letter, y from its
top; of `FROM_FOOT` from its foot, where 1 of a slash is the letter's height."""
FROM_FOOT = frozenset((CEDILLA, OGONEK, SLASH))


@cache
def parted(letter: str) -> tuple[str, str] | None:
    """The plain letter of an accented one and its accents; None if it has none that is known."""
    if letter in _STROKED:
        return _STROKED[letter], SLASH
    apart = unicodedata.normalize("NFD", letter)
    base, marks = apart[:1], apart[1:]
    return (base, marks) if marks and all(mark in ACCENTS for mark in marks) else None


def placed(marks: str, middle: float, top: float) -> tuple[Stroke, ...]:
    """The strokes of accents over a letter of that middle and top, in heights of a capital."""
    out: list[Stroke] = []
    for mark in marks:
        up = 0.0 if mark in FROM_FOOT else top
        tall = top if mark == SLASH else 1.0
        out += [tuple((x + middle, y * tall + up) for x, y in line) for line in ACCENTS[mark]]
    return tuple(out)
