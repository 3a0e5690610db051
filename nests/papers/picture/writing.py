"""Writing in the font embedded in Pillow, and smooth-edged strokes."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable, Sequence
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from nests.letters.accents import parted, placed
from nests.letters.code_points import TOLD, lacking, told
from nests.papers.picture.colours import INK, Colour

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageFont import FreeTypeFont

SMALL = 15  # pixels: size of all small writing; 7.5 pt where a page of 1000 fills an A4 sheet
LINE = 19  # pixels: from one of its lines to the next

# The embedded font knows printable ASCII and these; accents are set over them by strokes, some
# signs are spelled out, and all else stands as its code point.
# Raised digits are drawn from ordinary ones.
_GLYPHS = frozenset(map(chr, range(32, 127))) | set("°±·´«»‘’“”…²³")
_RAISED = re.compile("([²³])")
SHRUNK, RISE = 0.65, 0.36
"""Size of a raised digit and how far it is raised, in sizes of the text: common practice."""
_SPELLED = {
    "⌀": "dia. ", "×": "x", "–": "-", "—": "-", "−": "-",
    "µ": "u", "μ": "u", "≤": "<=", "≥": ">=", "→": "->", "½": " 1/2", "¼": " 1/4", "¾": " 3/4",
    "′": "'", "″": "''", "‴": "'''", "ß": "ss", "æ": "ae", "œ": "oe", "Æ": "AE", "Œ": "OE",
    "\xa0": " ", "\u202f": " ", "\u2009": " ", "\n": " ", "\t": " ",
}  # fmt: skip
NOTE_FOOT = 13
"""Pixels from the top of a picture to the line that says what code points are."""


def spell(text: str) -> str:
    """The text in what `write` can set: glyphs of the embedded font, and accents over them.

    What it lacks is spelled out, else given as its code point.
    """
    return "".join(_SPELLED.get(letter, letter) for letter in told(text, has))


def has(letter: str) -> bool:
    """Whether a letter can be set, or is spelled out."""
    accented = parted(letter)
    known = accented is not None and accented[0] in _GLYPHS
    return known or letter in _GLYPHS or letter in _SPELLED


def explain(image: Image, texts: Iterable[str], left: float) -> None:
    """Say at the top of a picture what code points are, if one of its texts has any."""
    if lacking(texts, has):
        write(image, left, NOTE_FOOT, TOLD)


@cache
def font(size: float) -> FreeTypeFont:
    """The font embedded in Pillow; raises RuntimeError if Pillow was built without FreeType."""
    from PIL import ImageFont

    found = ImageFont.load_default(size)
    if not isinstance(found, ImageFont.FreeTypeFont):
        raise RuntimeError("Pillow was built without FreeType: no text can be drawn")
    return found


def write(
    image: Image,
    x: float,
    y: float,
    text: str,
    size: float = SMALL,
    anchor: str = "ls",
    colour: Colour = INK,
) -> None:
    """Text with its anchor (Pillow's two letters) at pixel x, y, set without hinting.

    Glyphs are drawn four times as large and averaged, so that spacing is even at small sizes.
    """
    if _RAISED.search(text):
        left = x - {"l": 0.0, "m": 0.5, "r": 1.0}[anchor[0]] * text_width(text, size)
        for piece, up in _pieces(text):
            small = size * SHRUNK if up else size
            write(image, left, y - size * RISE * up, piece, small, f"l{anchor[1]}", colour)
            left += text_width(piece, small)
        return
    from PIL import Image as Images
    from PIL import ImageDraw

    face, text = font(4 * size), spell(text)
    plain, accents = _bare(text), _accents(text, face)
    box = ImageDraw.Draw(image).textbbox((4 * x, 4 * y), plain, font=face, anchor=anchor)
    more = math.ceil(0.4 * size) if accents else 0
    left, top = math.floor(box[0] / 4) - 1 - more, math.floor(box[1] / 4) - 1 - more
    wide = math.ceil(box[2] / 4) + 1 + more - left
    tall = math.ceil(box[3] / 4) + 1 + more - top
    mask = Images.new("L", (4 * wide, 4 * tall), 0)
    at = (4 * (x - left), 4 * (y - top))
    draw = ImageDraw.Draw(mask)
    draw.text(at, plain, font=face, fill=255, anchor=anchor)
    start = at[0] - {"l": 0.0, "m": 0.5, "r": 1.0}[anchor[0]] * face.getlength(plain)
    ascent, descent = face.getmetrics()
    foot = at[1] + (0.5 * (ascent - descent) if anchor[1] == "m" else 0.0)
    pen = max(1, round(0.36 * size))
    for line in accents:
        path = [(start + a, foot - b) for a, b in line]
        draw.line(path, fill=255, width=pen, joint="curve")
        for a, b in (path[0], path[-1]):  # round ends, or a dot would be a hair
            draw.ellipse((a - pen / 2, b - pen / 2, a + pen / 2, b + pen / 2), fill=255)
    image.paste(colour, (left, top), mask.reduce(4))


def _bare(text: str) -> str:
    """A spelled text without its accents."""
    return "".join(each[0] if (each := parted(c)) else c for c in text)


def _accents(text: str, face: FreeTypeFont) -> list[list[tuple[float, float]]]:
    """Strokes of the accents of a spelled text, from its left and base line upward."""
    out: list[list[tuple[float, float]]] = []
    capital = -face.getbbox("H", anchor="ls")[1]
    for k, letter in enumerate(text):
        each = parted(letter)
        if each is None:
            continue
        base, marks = each
        before = face.getlength(_bare(text[:k]))
        left, top, right, _ = face.getbbox(base, anchor="ls")
        middle = (before + (left + right) / 2) / capital
        for line in placed(marks, middle, -top / capital):
            out.append([(a * capital, b * capital) for a, b in line])
    return out


def text_width(text: str, size: float = SMALL) -> float:
    """Width in pixels of a text as `write` sets it."""
    if _RAISED.search(text):
        pieces = _pieces(text)
        return sum(text_width(piece, size * SHRUNK if up else size) for piece, up in pieces)
    return font(4 * size).getlength(_bare(spell(text))) / 4


def _pieces(text: str) -> list[tuple[str, bool]]:
    """The text in pieces without raised digits and digits to be raised."""
    pieces = [(piece, k % 2 == 1) for k, piece in enumerate(_RAISED.split(text)) if piece]
    return [(unicodedata.normalize("NFKD", piece) if up else piece, up) for piece, up in pieces]


def wrap(text: str, width: float, size: float = SMALL) -> list[str]:
    """Lines no wider than `width` pixels, broken at blanks; a longer word stands alone, and is
    broken between its letters only where some of them are code points."""
    lines: list[str] = []
    # A number stays with what follows it, most often its unit.
    for word in re.split(r"(?<!\d) +", text.strip()):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size) <= width:
            lines[-1] = longer
        elif lacking([word], has):
            lines += _broken(word, width, size)
        else:
            lines.append(word)
    return lines or [""]


def _broken(word: str, width: float, size: float) -> list[str]:
    """A word in pieces no wider than `width` pixels, at least a letter each."""
    pieces = [""]
    for letter in word:
        if pieces[-1] and text_width(pieces[-1] + letter, size) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def strokes(
    image: Image, paths: Iterable[Sequence[tuple[float, float]]], colour: Colour, width: float
) -> None:
    """Smooth-edged lines on the image; a closed path of at least three points is filled."""
    from PIL import Image as Images
    from PIL import ImageDraw

    times, drawn = 4, [path for path in paths if path]
    if not drawn:
        return
    every = np.concatenate([np.asarray(path, np.float64) for path in drawn])
    left, top = (np.floor(every.min(axis=0) - width).astype(int) - 1).tolist()
    right, foot = (np.ceil(every.max(axis=0) + width).astype(int) + 1).tolist()
    left, top = max(left, 0), max(top, 0)
    right, foot = min(right, image.width), min(foot, image.height)
    if right <= left or foot <= top:
        return
    mask = Images.new("L", (times * (right - left), times * (foot - top)), 0)
    draw = ImageDraw.Draw(mask)
    for path in drawn:
        points = [(times * (x - left), times * (y - top)) for x, y in path]
        if len(points) > 3 and points[0] == points[-1]:
            draw.polygon(points, fill=255)
        else:
            draw.line(points, fill=255, width=max(1, round(times * width)), joint="curve")
    image.paste(colour, (left, top), mask.reduce(times))


def circle(x: float, y: float, radius: float) -> list[tuple[float, float]]:
    """A closed path of 32 chords round pixel x, y."""
    turn = np.append(np.linspace(0.0, 2.0 * math.pi, 32, endpoint=False), 0.0)
    return [(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turn]
