"""The labels round the plan: the letter of every length given there, and its leader."""

from __future__ import annotations

import math

import numpy as np

from nests.papers.drawing.dimensions import ABOVE, led_out
from nests.papers.drawing.lettering import PLAIN
from nests.papers.drawing.noted import Noted
from nests.papers.drawing.values import Dimension, Item, Point, Text

ROW = PLAIN + ABOVE + 2.6
"""mm from one label to the next."""
OFF = 3.0
"""mm from the outer face to the dimension lines of the cuts."""
BESIDE = 9.0
"""mm from the outer face to the labels."""
KEEP = 1.0
"""mm between labels and what they keep clear of."""
RASTER = 0.5
"""mm; steps in which places for labels are tried."""


def letter(number: int) -> str:
    """Letter of a cut: a to z, then aa, ab …"""
    return ("" if number < 26 else chr(96 + number // 26)) + chr(97 + number % 26)


def laid_out(
    notes: list[Noted], blocked: list[tuple[Point, Point]], reach: float, scale: float
) -> list[Item]:
    """The labels, each a dimension with its letter, in a column on either side.

    `blocked` are lines on paper, such as the arrows of cutting planes, that labels keep clear of.
    """
    far = reach * scale
    middles = [
        (scale * (n.first[0] + n.second[0]) / 2, scale * (n.first[1] + n.second[1]) / 2 * 1.08)
        for n in notes
    ]
    sides: dict[float, list[int]] = {-1.0: [], 1.0: []}
    for k, (x, _) in enumerate(middles):
        if abs(x) > 0.12 * far:
            sides[math.copysign(1.0, x)].append(k)
    for k in sorted({*range(len(notes))} - {*sides[-1.0], *sides[1.0]}):
        min(sides.values(), key=len).append(k)
    out: list[Item] = []
    for sign, mine in sides.items():
        mine.sort(key=lambda k: -middles[k][1])
        taken = [
            (min(a[1], b[1]) - PLAIN - ABOVE - KEEP, max(a[1], b[1]) + KEEP)
            for a, b in blocked
            if max(sign * a[0], sign * b[0]) > far + BESIDE - KEEP
        ]
        heights = spread([middles[k][1] for k in mine], taken, far)
        for k, y in zip(mine, heights, strict=True):
            out += _label(notes[k], letter(k), (sign * (far + BESIDE), y), scale)
    return out


def spread(wanted: list[float], taken: list[tuple[float, float]], half: float) -> list[float]:
    """Heights for labels, falling, `ROW` apart, clear of intervals, as near the wanted as can be.

    They lie within ±`half`, or beyond where that has no room for them. The least sum of distances
    is found by dynamic programming over heights `RASTER` apart.
    """
    if not wanted:
        return []
    while True:
        raster = np.arange(half, -half - RASTER, -RASTER)
        free = raster[[not any(low < y < high for low, high in taken) for y in raster]]
        cost = np.abs(free[None, :] - np.array(wanted)[:, None])
        above = np.searchsorted(-free, -(free + ROW), side="right") - 1
        last = np.empty(cost.shape, dtype=np.int64)
        for k in range(1, len(wanted)):
            best = np.minimum.accumulate(cost[k - 1])
            first = np.maximum.accumulate(np.where(cost[k - 1] <= best, np.arange(len(free)), 0))
            last[k] = first[above]
            cost[k] += np.where(above >= 0, best[above], np.inf)
        if np.isfinite(cost[-1]).any():
            break
        half += ROW
    at = [int(np.argmin(cost[-1]))]
    for k in range(len(wanted) - 1, 0, -1):
        at.append(int(last[k, at[-1]]))
    return [float(free[k]) for k in reversed(at)]


def _label(each: Noted, sign: str, landing: Point, scale: float) -> list[Item]:
    first = (each.first[0] * scale, each.first[1] * scale)
    second = (each.second[0] * scale, each.second[1] * scale)
    middle = ((first[0] + second[0]) / 2, (first[1] + second[1]) / 2)
    away = math.hypot(*middle)
    shift = (OFF * middle[0] / away, OFF * middle[1] / away) if each.outside else (0.0, 0.0)
    made: Dimension = led_out(each.what, first, second, shift, landing, scale)
    right = landing[0] >= 0.0
    box = made.text.box()
    beyond = box[2] + 1.5 if right else box[0] - 1.5
    return [made, Text((beyond, landing[1] + ABOVE), sign, PLAIN, 0.0 if right else 1.0)]
