"""Pages: two views at one scale under a title, with caption, dial and scale bar."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from io import BytesIO
from typing import TYPE_CHECKING

import numpy as np

from nests.papers.picture.colours import INK, PAPER, RULE
from nests.papers.picture.labels import Panel, arrange, draw_panel, least_size
from nests.papers.picture.meshes import cut
from nests.papers.picture.stages import Label, Stage, set_stage, share_labels
from nests.papers.picture.values import Camera, Marker, Shown, View
from nests.papers.picture.writing import LINE, SMALL, explain, strokes, text_width, wrap, write
from nests.units import dial_hour

if TYPE_CHECKING:
    from PIL.Image import Image

PAGE = (1000, 585)  # pixels, at most: no higher than a report prints it in full width
EDGE, _HEAD = 30, 58  # pixels: at the sides and top of a page
_NARROWEST = 340  # pixels: a panel, for its heading
_DIAL = 52.0  # pixels: above the foot of a panel, for the small dial


def scale_length(scale: float, most: float) -> float:
    """The longest of 1, 2, 5 x 10^k mm that takes at most `most` pixels at `scale` px per mm."""
    power = 10.0 ** math.floor(math.log10(most / scale))
    return next(n * power for n in (5.0, 2.0, 1.0) if n * power * scale <= most * (1 + 1e-9))


def hour_words(hour: float, mirrored: bool = False) -> str:
    """An hour of the holder as it is read on the dial: 12 - hour if mirrored, 12 rather than 0."""
    dial = -hour if mirrored else hour
    return f"{dial_hour((dial - 1e-9) % 12.0 + 1e-9)} h"


def scale_bar(image: Image, right: float, y: int, scale: float) -> None:
    """A bar, one half hollow, that ends at `right`, with its length in mm."""
    from PIL import ImageDraw

    length = scale_length(scale, 170.0)
    draw = ImageDraw.Draw(image)
    x1, x0 = round(right), round(right - length * scale)
    draw.rectangle((x0, y, x1 - 1, y + 5), fill=INK)
    draw.rectangle((round(0.5 * (x0 + x1)), y + 2, x1 - 3, y + 3), fill=PAPER)
    write(image, 0.5 * (x0 + x1), y - 6, f"{length:g} mm", SMALL, "ms")


def _dial(image: Image, camera: Camera, x: float, y: float) -> None:
    """A small dial lying on the bench at pixel x, y, its hand at 12 h (+y)."""
    flat = replace(camera, origin=np.zeros(3), centre=(x, y), scale=1.0)

    def at(hour: float, radius: float) -> tuple[float, float]:
        turn = math.radians(30.0 * hour)
        point = np.array([radius * math.sin(turn), radius * math.cos(turn), 0.0])
        px, py = flat.project(point)[0]
        return float(px), float(py)

    ring = [at(0.1 * k, 25.0) for k in range(121)]
    ticks = [[at(h, 25.0), at(h, 19.5 if h % 3 == 0 else 22.5)] for h in range(12)]
    strokes(image, [ring[:-1], ring[-2:], *ticks, [at(0, 2.0), at(6, 12.0)]], INK, 1.0)
    strokes(image, [[at(0, 22), at(9.3, 4.0), at(2.7, 4.0), at(0, 22)]], INK, 1.0)
    tip = np.array(at(0, 25.0))
    ahead = (tip - (x, y)) / np.linalg.norm(tip - (x, y))
    tx, ty = tip + ahead * (9.0 + 8.0 * abs(ahead[0]))
    write(image, float(tx), float(ty), "12 h", SMALL, "mm")


def lay_page(
    panels: Sequence[Panel], headings: Sequence[str], title: str, caption: Sequence[str],
    size: tuple[int, int], dial: bool = True,
) -> Image:  # fmt: skip
    """Panels side by side under the title, at one scale, with caption and scale bar below; with a
    small `dial` to each unless nothing in it has hours."""
    from PIL import Image as Images
    from PIL import ImageDraw

    scale = min(panel.camera.scale for panel in panels)
    page = Images.new("RGB", size, PAPER)
    width, height = size
    foot = height - foot_height(caption)
    x = EDGE
    for panel, heading in zip(panels, headings, strict=True):
        camera = replace(panel.camera, scale=scale)
        image = draw_panel(replace(panel, camera=camera))
        page.paste(image, (x, _HEAD))
        if dial:
            _dial(page, camera, x + 44, foot - 48)
        write(page, x + camera.size[0] / 2, foot - 12, heading, SMALL, "ms")
        x += camera.size[0]
    fit = (width - 2 * EDGE) / max(text_width(title, 25), 1)
    write(page, EDGE, 40, title, 25 * min(1.0, fit))
    named = [label.text for panel in panels for label in panel.labels]
    explain(page, [title, *caption, *named], EDGE)
    draw = ImageDraw.Draw(page)
    draw.line((EDGE, 54, width - EDGE, 54), fill=INK, width=1)
    draw.line((EDGE, foot, width - EDGE, foot), fill=RULE, width=1)
    for n, text in enumerate(caption):
        write(page, EDGE, foot + 24 + LINE * n, text)
    scale_bar(page, width - EDGE, foot + 34, scale)
    return page


def broken_caption(caption: Sequence[str], width: int) -> list[str]:
    """Caption lines broken to leave room for the scale bar on a page `width` pixels wide."""
    return [row for line in caption for row in wrap(line, width - 2 * EDGE - 200)]


def foot_height(caption: Sequence[str]) -> int:
    """Height of the foot of a page, pixels."""
    return max(62, 28 + LINE * len(caption))


def set_panels(
    stages: Sequence[Stage], labels: Sequence[Sequence[Label]], caption: Sequence[str],
    size: tuple[int, int], trim: bool,
) -> tuple[list[Panel], tuple[int, int]]:  # fmt: skip
    """The panels of a page and its size.

    With `trim` each view has the width it needs, and the page is no higher than they need.
    """
    taken = _HEAD + foot_height(caption) + 28
    wide = [round(size[0] / len(stages)) - EDGE] * len(stages)

    def at(high: int) -> list[Panel]:
        every = zip(stages, labels, wide, strict=True)
        return [arrange(stage, own, (across, high), _DIAL) for stage, own, across in every]

    panels = at(size[1] - taken)
    if trim:
        wide = shared_width(panels, sum(wide))
        panels = at(size[1] - taken)
        scale = min(panel.camera.scale for panel in panels)
        needed = max(least_size(panel, scale, _DIAL)[1] for panel in panels)
        if needed < size[1] - taken:
            panels, size = at(needed), (size[0], needed + taken)
    return panels, size


def shared_width(panels: Sequence[Panel], total: int) -> list[int]:
    """Widths of panels, `total` in all, that give each what its bodies need at one scale."""
    bare = np.array([least_size(panel, 0.0, 0.0)[0] for panel in panels], np.float64)
    span = np.array([least_size(panel, 1.0, 0.0)[0] for panel in panels]) - bare
    scale = max((total - bare.sum()) / span.sum(), 0.0)
    wide = np.maximum(bare + span * scale, _NARROWEST)
    ends = np.round(np.cumsum(wide) * total / wide.sum()).astype(int)
    return [int(w) for w in np.diff(ends, prepend=0)]


def png_bytes(image: Image) -> bytes:
    """The image as the bytes of a PNG file."""
    out = BytesIO()
    image.save(out, "PNG", compress_level=4)
    return out.getvalue()


def holder_picture(
    bodies: Sequence[Shown],
    *,
    title: str,
    beside: Sequence[Shown] = (),
    caption: Sequence[str] = (),
    cut_hour: float | None = None,
    markers: Sequence[Marker] = (),
    lit: Mapping[int, str] | None = None,
    size: tuple[int, int] = PAGE,
    mirrored: bool = False,
    trim: bool = False,
) -> bytes:
    """PNG of a holder: from outside, and cut through the axis along `cut_hour`.

    Bodies `beside` are shown in the first view only. `trim` lowers the page to what its views
    need. Without `cut_hour` the second view is from above. Both views have one scale, shown by the
    bar. A marker is led to its point in the first view that shows it; if none does, to a ring
    instead of a dot. Lit parts are labelled in every view that shows them.

    `cut_hour` is an hour of the holder, as in `View`. The headings say hours of the dial: with
    the bridge side up (`mirrored`) +x lies at 9 h, and they change while the geometry stays.
    Raises ValueError if there is nothing to draw or a mesh to be cut is not closed.
    """
    lit, caption = lit or {}, broken_caption(caption, size[0])
    outside = View()
    stages = [set_stage([*bodies, *beside], outside, lit)]
    headings = [f"outside, seen from {hour_words(outside.hour, mirrored)}"]
    if cut_hour is None:
        stages.append(set_stage(bodies, View(6.0, math.pi / 2), lit))
        headings.append("from above")
    else:
        stage, heading = _cut_stage(bodies, cut_hour, lit, mirrored)
        stages.append(stage)
        headings.append(heading)
    shared = share_labels(stages, lit, markers)
    panels, size = set_panels(stages, shared, caption, size, trim)
    return png_bytes(lay_page(panels, headings, title, caption, size))


def plate_picture(
    bodies: Sequence[Shown],
    *,
    title: str,
    caption: Sequence[str] = (),
    markers: Sequence[Marker] = (),
    size: tuple[int, int] = PAGE,
) -> bytes:
    """PNG of bodies on a build plate, z away from it: from the front and from above. A marker is
    led to its point. Raises ValueError if there is nothing to draw."""
    caption = broken_caption(caption, size[0])
    views = (View(5.4, math.radians(38.0)), View(6.0, math.pi / 2))
    stages = [set_stage(bodies, view) for view in views]
    shared = share_labels(stages, {}, markers)
    panels, size = set_panels(stages, shared, caption, size, trim=True)
    headings = ("from the front, y to the back", "from above, x to the right, y up")
    return png_bytes(lay_page(panels, headings, title, caption, size, dial=False))


def exploded_picture(
    apart: Sequence[Shown],
    laid: Sequence[Shown],
    *,
    title: str,
    cut_hour: float,
    caption: Sequence[str] = (),
    names: Sequence[Marker] = (),
    size: tuple[int, int] = PAGE,
    mirrored: bool = False,
    trim: bool = False,
) -> bytes:
    """PNG of bodies `apart`, from outside, and of bodies `laid` together, cut along `cut_hour`.

    `names` are written at their points of the first view. Hours, scale, `trim` and errors as in
    `holder_picture`.
    """
    caption = broken_caption(caption, size[0])
    outside = View(elevation=math.radians(20.0))
    stage, heading = _cut_stage(laid, cut_hour, {}, mirrored)
    stages = [set_stage(apart, outside), stage]
    headings = [f"apart, seen from {hour_words(outside.hour, mirrored)}", heading]
    labels = share_labels(stages[:1], {}, names)[0]
    panels, size = set_panels(stages, (labels, []), caption, size, trim)
    return png_bytes(lay_page(panels, headings, title, caption, size))


def _cut_stage(
    bodies: Sequence[Shown], cut_hour: float, lit: Mapping[int, str], mirrored: bool
) -> tuple[Stage, str]:
    """The far halves of the bodies, and a heading that says where they are cut."""
    eye = cut_hour + 3.0
    halves = [half for body in bodies if (half := cut(body, cut_hour)) is not None]
    left, right, near = (hour_words(h, mirrored) for h in (cut_hour + 6.0, cut_hour, eye))
    stage = set_stage(halves, View(eye, math.radians(24.0)), lit, front=1e-3)
    return stage, f"cut from {left} to {right}, seen from {near}"
