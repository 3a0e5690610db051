"""Lettering by single strokes, so that text has one line width and looks the same everywhere.

Letters and figures are Hershey's (futura light), narrowed to about the proportions of ISO 3098
type B: line width a tenth of the height. Signs the font lacks are drawn here, accents are set
over their letters, fractions are raised and lowered; other letters are the outlines of the font of
paper and pictures. What that lacks, too, stands as its code point, while the text in the file stays
what it is.
"""

from __future__ import annotations

import math
import unicodedata
from functools import cache
from typing import TypeAlias

from nests.letters import accents
from nests.letters.code_points import code_point
from nests.letters.outlines import outline

Strokes: TypeAlias = tuple[tuple[tuple[float, float], ...], ...]

HEIGHTS = (2.5, 3.5, 5.0)
"""mm; nominal sizes of ISO 3098-1, from memory: each √2 times the one before."""
PLAIN, LARGE, TITLE = HEIGHTS
DESCENT = 0.34
"""How far letters reach below the base line, in their height."""
_NARROW = 0.75
_UNIT = 21.0  # height of a capital in the font's own unit
_SMALL = 0.55  # height of the figures of a fraction
_SPACES = frozenset("\xa0\u2002\u2003\u2009\u200a\u202f")
_DOT = ((0.0, 0.0), (0.0, 0.06))


def _circle(x: float, y: float, radius: float, count: int = 20) -> tuple[tuple[float, float], ...]:
    turn = [2 * math.pi * k / count for k in range(count + 1)]
    return tuple((x + radius * math.cos(t), y + radius * math.sin(t)) for t in turn)


def _shift(line: tuple[tuple[float, float], ...], x: float, y: float = 0.0) -> Strokes:
    return (tuple((a + x, b + y) for a, b in line),)


_PRIME: Strokes = (((0.16, 1.0), (0.09, 0.72)),)
_COMMA = ((0.03, 0.06), (0.03, 0.0), (-0.04, -0.14))
# advance and strokes, in heights of a capital
_DRAWN: dict[str, tuple[float, Strokes]] = {
    ".": (0.30, _shift(_DOT, 0.15)),
    ",": (0.32, _shift(_COMMA, 0.17)),
    ":": (0.32, _shift(_DOT, 0.16) + _shift(_DOT, 0.16, 0.5)),
    ";": (0.32, _shift(_COMMA, 0.17) + _shift(_DOT, 0.2, 0.5)),
    "·": (0.32, _shift(_DOT, 0.16, 0.4)),
    "'": (0.25, (((0.12, 1.0), (0.12, 0.75)),)),
    "’": (0.25, (((0.14, 1.0), (0.10, 0.75)),)),
    "′": (0.25, _PRIME),
    "″": (0.37, _PRIME + _shift(_PRIME[0], 0.12)),
    "‴": (0.49, _PRIME + _shift(_PRIME[0], 0.12) + _shift(_PRIME[0], 0.24)),
    "+": (0.70, (((0.1, 0.45), (0.6, 0.45)), ((0.35, 0.2), (0.35, 0.7)))),
    "±": (0.70, (((0.1, 0.55), (0.6, 0.55)), ((0.35, 0.3), (0.35, 0.8)), ((0.1, 0.0), (0.6, 0.0)))),
    "-": (0.50, (((0.1, 0.42), (0.4, 0.42)),)),
    "−": (0.70, (((0.1, 0.45), (0.6, 0.45)),)),
    "–": (0.70, (((0.1, 0.42), (0.6, 0.42)),)),
    "—": (0.95, (((0.1, 0.42), (0.85, 0.42)),)),
    "=": (0.70, (((0.1, 0.35), (0.6, 0.35)), ((0.1, 0.6), (0.6, 0.6)))),
    "×": (0.70, (((0.13, 0.2), (0.57, 0.64)), ((0.13, 0.64), (0.57, 0.2)))),
    "°": (0.45, (_circle(0.22, 0.82, 0.15, 12),)),
    "⌀": (1.0, (_circle(0.48, 0.5, 0.36), ((0.2, 0.0), (0.76, 1.0)))),
    "≤": (0.70, (((0.58, 0.85), (0.12, 0.55), (0.58, 0.25)), ((0.12, 0.05), (0.58, 0.05)))),
    "≥": (0.70, (((0.12, 0.85), (0.58, 0.55), (0.12, 0.25)), ((0.12, 0.05), (0.58, 0.05)))),
    "→": (0.95, (((0.1, 0.42), (0.85, 0.42)), ((0.62, 0.6), (0.85, 0.42), (0.62, 0.24)))),
    "ß": (0.70, (((0.12, 0.0), (0.12, 0.8), (0.25, 1.0), (0.42, 1.0), (0.52, 0.85), (0.5, 0.68),
                  (0.3, 0.55), (0.52, 0.42), (0.58, 0.22), (0.48, 0.04), (0.28, 0.0)),)),
    "²": (0.45, (((0.1, 0.92), (0.2, 1.0), (0.32, 0.92), (0.3, 0.8), (0.1, 0.6), (0.34, 0.6)),)),
    "³": (0.45, (((0.1, 1.0), (0.32, 1.0), (0.2, 0.84), (0.32, 0.74), (0.26, 0.62), (0.1, 0.64)),)),
}  # fmt: skip
_LIKE = {"μ": "µ", "…": "...", "“": '"', "”": '"', "‘": "'"}


@cache
def _hershey() -> dict[str, tuple[float, Strokes]]:
    from HersheyFonts import HersheyFonts

    font = HersheyFonts()
    font.load_default_font("futural")
    out = {}
    for code in range(32, 127):
        glyph = next(iter(font.glyphs_for_text(chr(code))))
        lines = tuple(
            tuple(((x - glyph.left_offset) * _NARROW / _UNIT, (9.0 - y) / _UNIT) for x, y in stroke)
            for stroke in glyph.strokes
        )
        out[chr(code)] = (glyph.char_width * _NARROW / _UNIT, lines)
    return out


@cache
def glyph(sign: str) -> tuple[float, Strokes]:
    """Advance and strokes of a sign, in heights of a capital, from its left on the base line."""
    return _known(sign) or _row(code_point(sign))


def drawn(sign: str) -> bool:
    """Whether a sign is lettered as itself, and not as its code point."""
    return _known(sign) is not None


@cache
def _known(sign: str) -> tuple[float, Strokes] | None:
    """As `glyph`, None for a sign nobody drew."""
    sign = _LIKE.get(sign, sign)
    font = _hershey()
    if sign in _DRAWN:
        return _DRAWN[sign]
    if sign in font:
        return font[sign]
    if sign == "µ":
        advance, lines = font["u"]
        return advance, (*lines, ((lines[0][0][0], 0.3), (lines[0][0][0], -DESCENT)))
    if len(sign) > 1:
        return _row(sign)
    if sign in _SPACES:
        return font[" "]
    accented = accents.parted(sign)
    if accented is not None and accented[0] in font:
        return _accented(*accented)
    return _fraction(sign) or outline(sign)


def _row(words: str) -> tuple[float, Strokes]:
    parts = [glyph(each) for each in words]
    return math.fsum(advance for advance, _ in parts), _in_row(parts)


def _accented(base: str, marks: str) -> tuple[float, Strokes]:
    advance, lines = glyph(base)
    top = max((y for line in lines for _, y in line), default=0.7)
    if base in "ij":  # the dot gives way to the accent
        lines = tuple(line for line in lines if min(y for _, y in line) < 0.8)
        top = 0.7
    middle = (min(x for s in lines for x, _ in s) + max(x for s in lines for x, _ in s)) / 2
    return advance, (*lines, *accents.placed(marks, middle, top))


def _fraction(sign: str) -> tuple[float, Strokes] | None:
    """A fraction that Unicode has as one sign, such as ½; None for any other."""
    over, bar, under = unicodedata.normalize("NFKD", sign).partition("\u2044")
    if not bar or not (over + under).isascii():
        return None
    high, low = width(over) * _SMALL, width(under) * _SMALL
    slash = (((high, 0.0), (high + 0.3, 1.0)),)
    raised = _resized(over, 0.0, 1.0 - _SMALL)
    return high + 0.3 + low, (*raised, *slash, *_resized(under, high + 0.3, 0.0))


def _resized(words: str, x: float, y: float) -> Strokes:
    return tuple(
        tuple((a * _SMALL + x, b * _SMALL + y) for a, b in line) for line in written(words)
    )


def _in_row(parts: list[tuple[float, Strokes]]) -> Strokes:
    out: list[tuple[tuple[float, float], ...]] = []
    x = 0.0
    for advance, lines in parts:
        out += [tuple((a + x, b) for a, b in line) for line in lines]
        x += advance
    return tuple(out)


@cache
def width(words: str) -> float:
    """Width of a line of text in heights of a capital."""
    return math.fsum(glyph(sign)[0] for sign in words)


def written(words: str) -> Strokes:
    """Strokes of a line of text in heights of a capital, from its left on the base line."""
    return _in_row([glyph(sign) for sign in words])


def fitted(words: str, room: float, heights: tuple[float, ...]) -> float:
    """The largest of `heights` at which a text keeps within `room` mm, else the smallest."""
    return next((h for h in heights if width(words) * h <= room), heights[-1])


def shortened(words: str, room: float, height: float) -> str:
    """The text, cut with three dots where it would be wider than `room` mm."""
    if width(words) * height <= room:
        return words
    while words and width(words + "...") * height > room:
        words = words[:-1]
    return words.rstrip(" ,·") + "..."


def wrapped(words: str, room: float, height: float) -> list[str]:
    """The text broken at spaces into lines of at most `room` mm; a longer word stands alone."""
    rows: list[str] = []
    for word in words.split():
        if rows and width(f"{rows[-1]} {word}") * height <= room:
            rows[-1] += f" {word}"
        else:
            rows.append(word)
    return rows
