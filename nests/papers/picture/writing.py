"""Writing in our font, and smooth-edged strokes."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from nests.letters import fonts
from nests.letters.code_points import TOLD, lacking, told
from nests.papers.picture.colours import INK, Colour

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageFont import FreeTypeFont

SMALL = 16  # pixels: size of all small writing; 8 pt where a page of 1000 fills an A4 sheet
LINE = 20  # pixels: from one of its lines to the next

# What our font lacks of the usual signs is spelled out, and all else stands as its code point, if
# no font that the user names has it. Raised digits are drawn from ordinary ones.
_RAISED = re.compile("([²³])")
SHRUNK, RISE = 0.65, 0.36
"""Size of a raised digit and how far it is raised, in sizes of the text: common practice."""
_SPELLED = {
    "⌀": "dia. ", "‴": "'''", "\xa0": " ", "\u202f": " ", "\u2009": " ", "\n": " ", "\t": " ",
}  # fmt: skip
NOTE_FOOT = 13
"""Pixels from the top of a picture to the line that says what code points are."""


def spell(text: str) -> str:
    """The text in what `write` can set; what no font has is spelled out, else its code point."""
    return "".join(_SPELLED.get(letter, letter) for letter in told(text, has))


def has(letter: str) -> bool:
    """Whether a letter can be set, or is spelled out."""
    return letter in _SPELLED or fonts.has(letter)


def explain(image: Image, texts: Iterable[str], left: float) -> None:
    """Say at the top of a picture what code points are, if one of its texts has any."""
    if lacking(texts, has):
        write(image, left, NOTE_FOOT, TOLD)


@cache
def font(size: float, path: Path | None = None) -> FreeTypeFont:
    """A face of our font, or of a font file, at a size in pixels; raises RuntimeError if Pillow was
    built without FreeType."""
    from PIL import ImageFont, features

    if not features.check("freetype2"):
        raise RuntimeError("Pillow was built without FreeType: no text can be drawn")
    # the layout that every build of Pillow has, so that spacing is the same everywhere
    basic = ImageFont.Layout.BASIC
    return ImageFont.truetype(str(path or fonts.regular()), size, layout_engine=basic)


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
    from PIL import Image as Images
    from PIL import ImageDraw

    left = x - {"l": 0.0, "m": 0.5, "r": 1.0}[anchor[0]] * text_width(text, size)
    for piece, up, path in _pieces(text):
        small = size * SHRUNK if up else size
        face, foot = font(4 * small, path), y - size * RISE * up
        at = (4 * left, 4 * foot)
        box = ImageDraw.Draw(image).textbbox(at, piece, font=face, anchor=f"l{anchor[1]}")
        low_x, low_y = math.floor(box[0] / 4) - 1, math.floor(box[1] / 4) - 1
        wide, tall = math.ceil(box[2] / 4) + 1 - low_x, math.ceil(box[3] / 4) + 1 - low_y
        mask = Images.new("L", (4 * wide, 4 * tall), 0)
        place = (at[0] - 4 * low_x, at[1] - 4 * low_y)
        ImageDraw.Draw(mask).text(place, piece, font=face, fill=255, anchor=f"l{anchor[1]}")
        image.paste(colour, (low_x, low_y), mask.reduce(4))
        left += _width(piece, small, path)


def text_width(text: str, size: float = SMALL) -> float:
    """Width in pixels of a text as `write` sets it."""
    return math.fsum(
        _width(piece, size * SHRUNK if up else size, path) for piece, up, path in _pieces(text)
    )


def _width(piece: str, size: float, path: Path | None) -> float:
    return font(4 * size, path).getlength(piece) / 4


def _pieces(text: str) -> list[tuple[str, bool, Path | None]]:
    """The text as spelled, in pieces of one font: whether its digits are raised, and the font file
    of letters that ours lacks."""
    out: list[tuple[str, bool, Path | None]] = []
    for k, piece in enumerate(_RAISED.split(spell(text))):
        up = k % 2 == 1
        for letter in unicodedata.normalize("NFKD", piece) if up else piece:
            path = fonts.other(letter)
            if out and out[-1][1:] == (up, path):
                out[-1] = (out[-1][0] + letter, up, path)
            else:
                out.append((letter, up, path))
    return out


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
