"""Labels beside a picture, led to their points, and one labelled view."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from nests.papers.picture.colours import INK, LIT, PAPER
from nests.papers.picture.painting import paint
from nests.papers.picture.rays import aim
from nests.papers.picture.stages import Label, Stage, set_stage, share_labels
from nests.papers.picture.values import FINE, Buffers, Camera, Floats, Marker, Shown, View
from nests.papers.picture.writing import LINE, SMALL, circle, strokes, text_width, wrap, write

if TYPE_CHECKING:
    from PIL.Image import Image

_MARGIN = 24  # pixels: round a panel
_AWAY = 24.0  # pixels: from a column of labels to the bodies
_GAP = 12.0  # pixels: between two labels


@dataclass(frozen=True)
class Panel:
    """A stage with its camera and labels, which stand in a column `column` pixels wide.

    The last `below` pixels are kept free of both.
    """

    stage: Stage
    camera: Camera
    labels: Sequence[Label]
    column: float
    on_left: bool
    below: float = 0.0


def arrange(
    stage: Stage, labels: Sequence[Label], size: tuple[int, int], below: float = 0.0
) -> Panel:
    """Fit the bodies beside the column of labels, which stands where most of their points are.

    `below` pixels at the bottom are kept free of bodies.
    """
    right = stage.view.axes()[0]
    middle = float(aim(stage.bodies, stage.view, size).origin @ right)
    on_left = math.fsum(math.copysign(1.0, label.point @ right - middle) for label in labels) < 0
    column = max([0.0, *(min(0.25 * size[0], text_width(label.text)) for label in labels)])
    taken = column + _AWAY if labels else 0.0
    box = (
        _MARGIN + (taken if on_left else 0.0),
        _MARGIN,
        size[0] - _MARGIN - (0.0 if on_left else taken),
        size[1] - _MARGIN - below,
    )
    return Panel(stage, aim(stage.bodies, stage.view, size, box), labels, column, on_left, below)


def least_size(panel: Panel, scale: float, below: float) -> tuple[int, int]:
    """Width and height in pixels that the bodies at `scale` and the labels of a panel need."""
    right, up, _ = panel.stage.view.axes()
    points = np.concatenate([body.vertices for body in panel.stage.bodies])
    wide, tall = (float(np.ptp(points @ axis)) * scale for axis in (right, up))
    lines = [len(wrap(label.text, panel.column + 1)) for label in panel.labels]
    beside = panel.column + _AWAY if panel.labels else 0.0
    column = math.fsum(LINE * count + _GAP for count in lines)
    return (
        math.ceil(2 * _MARGIN + wide + beside),
        math.ceil(2 * _MARGIN + max(tall, column) + below),
    )


def _spread(wanted: Floats, heights: Floats, low: float, high: float) -> Floats:
    """Tops near the wanted ones, in order, that do not overlap and stay within low and high."""
    tops = np.maximum(wanted, low)
    for k in range(1, len(tops)):
        tops[k] = max(tops[k], tops[k - 1] + heights[k - 1])
    limit = high
    for k in range(len(tops) - 1, -1, -1):
        tops[k] = min(tops[k], limit - heights[k])
        limit = tops[k]
    return tops


def uncross(
    points: Sequence[tuple[float, float]], heights: Sequence[float], x: float, height: int
) -> tuple[list[int], Floats]:
    """Order of labels down a column at pixel x, and their tops, to keep leaders from crossing.

    Neighbours whose leaders cross change places, at most n^2 times: between labels of one height
    each change shortens the leaders, so that it ends by itself. If the labels do not fit the
    column they close up.
    """
    order = sorted(range(len(points)), key=lambda k: (points[k][1], points[k][0]))
    close = min(1.0, (height - 16.0) / math.fsum(heights))

    def tops() -> Floats:
        tall = close * np.array([heights[k] for k in order])
        wanted = np.array([points[k][1] for k in order]) - 0.5 * tall
        return _spread(wanted, tall, 8.0, height - 8.0)

    for _ in range(len(order) ** 2):
        place = tops()
        ends = [(x, y + 0.5 * close * heights[k]) for k, y in zip(order, place, strict=True)]
        for n in range(len(order) - 1):
            if _cross(points[order[n]], ends[n], points[order[n + 1]], ends[n + 1]):
                order[n], order[n + 1] = order[n + 1], order[n]
                break
        else:
            break
    return order, tops()


def _cross(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> bool:
    """Whether segments ab and cd have an inner point in common."""

    def side(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def anchor_pixel(label: Label, panel: Panel, buffers: Buffers) -> tuple[float, float]:
    """Pixel a label points at: for a lit part, the cell of it nearest the middle of its cells."""
    if label.part is not None and label.seen and panel.stage.solid is not None:
        y, x = np.nonzero(panel.stage.solid.part[buffers.triangle] == label.part)
        if len(y):
            k = np.argmin((y - y.mean()) ** 2 + (x - x.mean()) ** 2)
            return (x[k] + 0.5) / FINE, (y[k] + 0.5) / FINE
    x, y = panel.camera.project(label.point)[0]
    return float(x), float(y)


def write_labels(image: Image, panel: Panel, buffers: Buffers) -> None:
    """Labels in their column, each led to its point: a full dot if seen, a ring if hidden.

    Labels of lit parts carry a bar in the tone of the part. A column holds about 25 lines
    before they begin to overlap.
    """
    line, left = LINE, panel.on_left
    points = [anchor_pixel(label, panel, buffers) for label in panel.labels]
    out = 1 if left else -1
    edge = _MARGIN + panel.column if left else panel.camera.size[0] - _MARGIN - panel.column
    every = [wrap(label.text, panel.column + 1) for label in panel.labels]
    heights = [line * len(block) + _GAP for block in every]
    high = panel.camera.size[1] - round(panel.below)
    order, tops = uncross(points, heights, edge + 18 * out, high)
    blocks = [every[k] for k in order]
    leads, dots, holes, bars = [], [], [], []
    for k, block, top in zip(order, blocks, tops, strict=True):
        middle = round(float(top)) + 6 + line * len(block) // 2 + 0.5  # the middle of a row
        leads.append([(edge + 7 * out, middle), (edge + 18 * out, middle), points[k]])
        dots.append(points[k])
        if not panel.labels[k].seen:
            holes.append(circle(*points[k], 2.0))
        if panel.labels[k].part is not None:
            half = 0.5 * line * len(block) - 1
            bars.append([(edge + 5 * out, middle - half), (edge + 5 * out, middle + half)])
        for n, row in enumerate(block):
            base = math.floor(middle) - line * len(block) // 2 + line * n + 14
            write(image, edge, base, row, SMALL, "rs" if left else "ls")
    strokes(image, leads, PAPER, 3.0)
    strokes(image, [circle(*dot, 4.6) for dot in dots], PAPER, 1.0)
    strokes(image, leads, INK, 1.0)
    strokes(image, [circle(*dot, 3.2) for dot in dots], INK, 1.0)
    strokes(image, holes, PAPER, 1.0)
    strokes(image, bars, LIT[1], 3.0)


def draw_panel(panel: Panel) -> Image:
    """The panel painted, with its labels."""
    image, buffers = paint(panel.stage.solid, panel.stage.ghost, panel.camera)
    if panel.labels:
        write_labels(image, panel, buffers)
    return image


def render(
    bodies: Sequence[Shown],
    *,
    view: View,
    size: tuple[int, int] = (1200, 900),
    lit: Mapping[int, str] | None = None,
    markers: Sequence[Marker] = (),
) -> Image:
    """One view of the bodies on paper.

    `lit` gives part labels a tone and a leader with the reason; `markers` are points (mm) with a
    text. Raises ValueError if there is nothing to draw.
    """
    stage = set_stage(bodies, view, lit or {})
    (labels,) = share_labels([stage], lit or {}, markers)
    return draw_panel(arrange(stage, labels, size))
