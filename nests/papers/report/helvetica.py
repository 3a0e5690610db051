"""Helvetica and Helvetica-Bold, which every PDF reader has: widths of their letters, and lines.

Widths in thousandths of the size, in the order of WinAnsi (Windows code page 1252) from 32 to 255:
Adobe Font Metrics of the 14 core fonts, Adobe Systems, 1997. Codes without a letter are as wide as
a bullet. The oblique face is as wide as the upright one.
"""

from __future__ import annotations

import re
from functools import cache

from nests.letters.code_points import told

PT = 25.4 / 72.0
"""mm in a point."""

PLAIN = (
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722,
    722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722,
    667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278, 556,
    556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500,
    500, 334, 260, 334, 584, 350, 556, 350, 222, 556, 333, 1000, 556, 556, 333, 1000, 667, 333,
    1000, 350, 611, 350, 350, 222, 222, 333, 333, 350, 556, 1000, 333, 1000, 500, 333, 944, 350,
    500, 667, 278, 333, 556, 556, 556, 556, 260, 556, 333, 737, 370, 556, 584, 333, 737, 333,
    400, 584, 333, 333, 333, 556, 537, 278, 333, 333, 365, 556, 834, 834, 834, 611, 667, 667,
    667, 667, 667, 667, 1000, 722, 667, 667, 667, 667, 278, 278, 278, 278, 722, 722, 778, 778,
    778, 778, 778, 584, 778, 722, 722, 722, 722, 667, 667, 611, 556, 556, 556, 556, 556, 556,
    889, 500, 556, 556, 556, 556, 278, 278, 278, 278, 556, 556, 556, 556, 556, 556, 556, 584,
    611, 556, 556, 556, 556, 500, 556, 500,
)  # fmt: skip
BOLD = (
    278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722,
    722, 667, 611, 778, 722, 278, 556, 722, 611, 833, 722, 778, 667, 778, 722, 667, 611, 722,
    667, 944, 667, 667, 611, 333, 278, 333, 584, 556, 333, 556, 611, 556, 611, 556, 333, 611,
    611, 278, 278, 556, 278, 889, 611, 611, 611, 611, 389, 556, 333, 611, 556, 778, 556, 556,
    500, 389, 280, 389, 584, 350, 556, 350, 278, 556, 500, 1000, 556, 556, 333, 1000, 667, 333,
    1000, 350, 611, 350, 350, 278, 278, 500, 500, 350, 556, 1000, 333, 1000, 556, 333, 944, 350,
    500, 667, 278, 333, 556, 556, 556, 556, 280, 556, 333, 737, 370, 556, 584, 333, 737, 333,
    400, 584, 333, 333, 333, 611, 556, 278, 333, 333, 365, 556, 834, 834, 834, 611, 722, 722,
    722, 722, 722, 722, 1000, 722, 667, 667, 667, 667, 278, 278, 278, 278, 722, 722, 778, 778,
    778, 778, 778, 584, 778, 722, 722, 722, 722, 667, 667, 611, 556, 556, 556, 556, 556, 556,
    889, 556, 556, 556, 556, 556, 278, 278, 278, 278, 611, 611, 611, 611, 611, 611, 611, 584,
    611, 611, 611, 611, 611, 556, 611, 556,
)  # fmt: skip

_SAID = {
    "⌀": "Ø", "−": "–", "→": "->", "≤": "at most ", "≥": "at least ", "≈": "about ",
    "√": "root ", "∞": "inf", "μ": "µ", "σ": "sigma", "α": "alpha", "ε": "epsilon", "′": "'",
    "″": '"', "‴": "'''",
}  # fmt: skip
"""What lies outside the letters of the font is said in them."""
_STRANGE = re.compile(r"[^\x20-\x7e\xa0-\xff‚ƒ„…†‡ˆ‰Š‹Œ‘’“”•–—˜™š›œžŸŽ€]")


def winansi(text: str) -> str:
    """The text in the letters of the font, on one line; what cannot be said in them as code
    points."""
    said = "".join(_SAID.get(c, c) for c in re.sub(r"\s", " ", text))
    return told(said, has)


def has(letter: str) -> bool:
    """Whether the font has a letter, or it is said in letters it has."""
    return letter in _SAID or letter.isspace() or not _STRANGE.match(letter)


@cache
def _millimetres(size: float, bold: bool) -> tuple[float, ...]:
    """Width in mm of each code from 0, at `size` pt."""
    return (*[0.0] * 32, *(w * size * PT / 1000.0 for w in (BOLD if bold else PLAIN)))


def width(text: str, size: float, bold: bool = False) -> float:
    """Width in mm of a text of `winansi` letters at `size` pt."""
    return sum(map(_millimetres(size, bold).__getitem__, text.encode("cp1252")))


def lines(text: str, room: float, size: float, bold: bool = False) -> list[str]:
    """The text in lines no wider than `room` mm, broken at blanks, and within a longer word.

    A number stays with what follows it, most often its unit, and ± with its number.
    """
    out: list[str] = []
    line, used, blank = "", 0.0, width(" ", size, bold)
    for word in re.split(r"(?<![\d±]) +", winansi(text).strip()):
        long = width(word, size, bold)
        if line and used + blank + long <= room:
            line, used = f"{line} {word}", used + blank + long
            continue
        if line:
            out.append(line)
        *whole, line = _pieces(word, room, size, bold) if long > room else [word]
        out += whole
        used = width(line, size, bold)
    return [*out, line]


def _pieces(word: str, room: float, size: float, bold: bool) -> list[str]:
    """A word too long for a line in pieces that fit, at least a letter each."""
    out, piece, used = [], "", 0.0
    for letter in word:
        wide = width(letter, size, bold)
        if piece and used + wide > room:
            out.append(piece)
            piece, used = "", 0.0
        piece, used = piece + letter, used + wide
    return [*out, piece]
