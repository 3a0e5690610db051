"""A field on a body: a value for each triangle, read off an even scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from nests.papers.picture.colours import (
    FIELD_STEPS,
    INK,
    TONE_FIELD,
    TONE_UNMEASURED,
    UNMEASURED,
    Colour,
    field_colours,
    mix,
)
from nests.papers.picture.ink import stripe
from nests.papers.picture.meshes import build_scene
from nests.papers.picture.pages import (
    EDGE,
    PAGE,
    foot_height,
    hour_words,
    lay_page,
    png_bytes,
    set_panels,
)
from nests.papers.picture.stages import Stage, share_labels
from nests.papers.picture.values import Bytes, Floats, Marker, Shown, View
from nests.papers.picture.writing import SMALL, strokes, write

if TYPE_CHECKING:
    from PIL.Image import Image


def _field_key(
    page: Image, y: int, unit: str, limits: tuple[float, float], beyond: tuple[bool, bool],
    unmeasured: bool,
) -> None:  # fmt: skip
    """The scale of a field with numbers and unit; pointed ends say that values go beyond."""
    from PIL import Image as Images
    from PIL import ImageDraw

    x0, wide, tall = EDGE + 14, 420, 13
    colours = field_colours((np.floor(np.arange(wide) * FIELD_STEPS / wide) + 0.5) / FIELD_STEPS)
    page.paste(Images.fromarray(np.broadcast_to(colours, (tall, wide, 3)).copy()), (x0, y))
    for end, edge, out in ((0, x0, -1), (1, x0 + wide, 1)):
        if beyond[end]:
            tip = [(edge, y), (edge + 11 * out, y + tall / 2), (edge, y + tall), (edge, y)]
            strokes(page, [tip], _rgb(colours[-end]), 1.0)
    draw = ImageDraw.Draw(page)
    ticks = np.linspace(limits[0], limits[1], 5)
    places = max(0, 2 - math.floor(math.log10(max(abs(limits[1] - limits[0]), 1e-12))))
    for k, tick in enumerate(ticks):
        x = x0 + round(k * (wide - 1) / 4)
        draw.line((x, y + tall, x, y + tall + 4), fill=INK)
        write(page, x, y + tall + 18, f"{tick:.{places}f}", SMALL, "ms")
    write(page, x0 + wide + 22, y + 11, unit)
    if unmeasured:
        x = x0 + wide + 80
        row, column = np.indices((tall, 22))
        swatch = np.tile(np.array(UNMEASURED[1], np.uint8), (tall * 22, 1))
        swatch = mix(swatch, INK, 0.45 * stripe((row + column).ravel())).reshape(tall, 22, 3)
        page.paste(Images.fromarray(swatch), (x, y))
        draw.rectangle((x, y, x + 21, y + tall - 1), outline=INK)
        write(page, x + 28, y + 11, "not measured", SMALL)


def _rgb(row: Bytes) -> Colour:
    return int(row[0]), int(row[1]), int(row[2])


def field_picture(
    body: Shown,
    value_per_triangle: Floats,
    unit: str,
    limits: tuple[float, float],
    title: str,
    markers: Sequence[Marker] | None = None,
    size: tuple[int, int] = PAGE,
    mirrored: bool = False,
    trim: bool = False,
) -> bytes:
    """PNG of a body from above and from below, painted with a value (T,) for each triangle.

    The scale runs evenly in lightness from the first to the second of `limits`; its ends are
    pointed where values go beyond. NaN is painted as not measured. `markers` are points with a
    text; without them the least and the greatest value are pointed at. `mirrored` and `trim` as in
    `holder_picture`. Raises ValueError for a wrong number of values or empty limits.
    """
    values = np.asarray(value_per_triangle, np.float64)
    low, high = limits
    if values.shape != (len(body.triangles),):
        raise ValueError(f"{values.shape} values for {len(body.triangles)} triangles")
    if not low < high:
        raise ValueError(f"limits {low} to {high} are empty")
    known = np.isfinite(values)
    step = np.floor((np.where(known, values, low) - low) / (high - low) * FIELD_STEPS)
    painted = TONE_FIELD + np.clip(step, 0, FIELD_STEPS - 1)
    tone = np.where(known, painted, TONE_UNMEASURED)
    scene = build_scene([body], tone.astype(np.int32))
    views = (View(), View(elevation=-View().elevation))
    stages = [Stage([body], view, scene, None) for view in views]
    if markers is None:
        markers = _extremes(body, values, unit) if known.any() else []
    shared = share_labels(stages, {}, markers)
    panels, size = set_panels(stages, shared, (), size, trim)
    eye = hour_words(views[0].hour, mirrored)
    page = lay_page(panels, [f"above, seen from {eye}", f"below, seen from {eye}"], title, (), size)
    beyond = (bool((values < low).any()), bool((values > high).any()))
    _field_key(page, size[1] - foot_height(()) + 16, unit, limits, beyond, not known.all())
    return png_bytes(page)


def _extremes(body: Shown, values: Floats, unit: str) -> list[Marker]:
    """The least and the greatest value (T,), each at the middle of its triangle."""
    out: list[Marker] = []
    for word, k in (("least", np.nanargmin(values)), ("greatest", np.nanargmax(values))):
        place = body.vertices[body.triangles[k]].mean(axis=0)
        out.append((place.tolist(), f"{word} {values[k]:.3g} {unit}"))
    return out
