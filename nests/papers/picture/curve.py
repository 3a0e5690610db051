"""A quantity over the height of a print: filled steps, one for each layer, and a limit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from nests.papers.picture.colours import HATCH, INK, LIT, PAPER, RESIN, RULE
from nests.papers.picture.pages import EDGE, png_bytes, scale_length
from nests.papers.picture.values import Floats
from nests.papers.picture.writing import SMALL, explain, strokes, text_width, write

if TYPE_CHECKING:
    from PIL.Image import Image

WIDE, TALL = 900, 360  # pixels: the page
_HEAD, _FOOT, _LEFT = 64, 64, 78  # pixels: title, lower axis, left axis
_DASH, _SPACE = 9, 6  # pixels
_BODY, _CUP = RESIN[1], HATCH


@dataclass(frozen=True, eq=False)
class Curve:
    """Area in mm² of each of n layers, `layer` mm high: `solid` (n,) and on top `sealed` (n,).

    `limit` in mm² is drawn as a dashed line. The larger of limit and curve sets the scale.
    """

    layer: float
    solid: Floats
    sealed: Floats
    limit: float


@dataclass(frozen=True)
class _Plot:
    """Where the curve lies: pixels per mm and per mm², from the lower left corner."""

    across: float
    up: float

    def at(self, height: float, area: float) -> tuple[float, float]:
        return _LEFT + height * self.across, TALL - _FOOT - area * self.up


def curve_picture(curve: Curve, title: str) -> bytes:
    """The curve as PNG: the part in light, sealed cups in dark, their largest sum pointed at."""
    from PIL import Image as Images

    image = Images.new("RGB", (WIDE, TALL), PAPER)
    total = curve.solid + curve.sealed
    top = len(total) * curve.layer
    most = 1.12 * max(float(total.max()), curve.limit)
    plot = _Plot((WIDE - _LEFT - EDGE) / top, (TALL - _HEAD - _FOOT) / most)
    write(image, EDGE, 34, title, 19)
    explain(image, [title], EDGE)
    _axes(image, plot, top, most)
    _steps(image, plot, curve.layer, np.zeros_like(total), curve.solid, _BODY)
    if curve.sealed.any():
        _steps(image, plot, curve.layer, curve.solid, total, _CUP)
    _limit(image, plot, curve.limit, top)
    _legend(image, bool(curve.sealed.any()))
    return png_bytes(image)


def _steps(
    image: Image, plot: _Plot, layer: float, low: Floats, high: Floats, colour: tuple[int, int, int]
) -> None:
    """Fill between two step lines, one step for each layer."""
    sides = np.repeat(np.arange(len(low) + 1) * layer, 2)[1:-1].tolist()
    over = [plot.at(x, y) for x, y in zip(sides, np.repeat(high, 2).tolist(), strict=True)]
    under = [plot.at(x, y) for x, y in zip(sides, np.repeat(low, 2).tolist(), strict=True)]
    path = [*over, *reversed(under)]
    strokes(image, [[*path, path[0]]], colour, 1)


def _axes(image: Image, plot: _Plot, top: float, most: float) -> None:
    floor = plot.at(0, 0)[1]
    each = scale_length(plot.up, 70.0)
    for number in range(int(most / each) + 1):
        y = plot.at(0, number * each)[1]
        strokes(image, [[(_LEFT, y), (WIDE - EDGE, y)]], INK if not number else RULE, 1)
        write(image, _LEFT - 8, y + 5, f"{number * each:g}", SMALL, "rs")
    each = scale_length(plot.across, 110.0)
    for number in range(int(top / each + 1e-9) + 1):
        x = plot.at(number * each, 0)[0]
        strokes(image, [[(x, floor), (x, floor + 5)]], INK, 1)
        write(image, x, floor + 21, f"{number * each:g}", SMALL, "ms")
    write(image, WIDE - EDGE, floor + 46, "mm above the plate", SMALL, "rs")
    write(image, EDGE, _HEAD - 6, "mm²", SMALL)


def _limit(image: Image, plot: _Plot, limit: float, top: float) -> None:
    (left, y), right = plot.at(0, limit), plot.at(top, limit)[0]
    starts = np.arange(left, right, _DASH + _SPACE).tolist()
    strokes(image, [[(x, y), (min(x + _DASH, right), y)] for x in starts], LIT[1], 2)
    write(image, right, y - 7, f"limit of the printer card: {limit:g} mm²", SMALL, "rs")


def _legend(image: Image, cups: bool) -> None:
    x = float(_LEFT)
    for colour, words in ((_BODY, "the part"), (_CUP, "cups sealed by the film"))[: 1 + cups]:
        y = TALL - 18
        strokes(image, [[(x, y), (x + 14, y), (x + 14, y - 11), (x, y - 11), (x, y)]], colour, 1)
        write(image, x + 20, y, words, SMALL)
        x += 44 + text_width(words)
