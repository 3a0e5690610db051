"""The page: bytes, scale bar, title, caption, headings and the small dial."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from picture_shapes import body, disc, likeness, page, pixels
from PIL import Image

from nests.papers.picture import View, holder_picture
from nests.papers.picture.colours import INK, PAPER
from nests.papers.picture.pages import foot_height, scale_bar, scale_length
from nests.papers.picture.writing import SMALL


@pytest.mark.slow
def test_same_input_same_bytes() -> None:
    """Twice here and once in a fresh process with another hash seed."""
    more = {"caption": ["Two lines", "of text"], "cut_hour": 7.0, "lit": {4: "thin: mend"}}
    first = page(**more)
    assert first == page(**more)
    tests = Path(__file__).parent
    code = (
        f"import sys; sys.path[:0] = [{str(tests)!r}, {str(tests.parents[2])!r}]\n"
        f"from picture_shapes import page\nsys.stdout.buffer.write(page(**{more!r}))"
    )
    environment = {**os.environ, "PYTHONHASHSEED": "5"}
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, env=environment)
    assert run.stdout == first, run.stderr.decode()


@pytest.mark.parametrize("radius", [4.0, 15.0, 60.0])
def test_scale_bar(radius: float) -> None:
    """A disc seen from above gives pixels per mm; the bar is 1, 2 or 5 x 10^k mm to a pixel."""
    png = holder_picture([body(disc(0.3 * radius, radius))], title="disc", size=(1200, 700))
    image = pixels(png)
    panel = image[60:600, 600:1170]
    seen = np.abs(panel - INK).sum(axis=2) < 60
    across = seen[:480].any(axis=0).nonzero()[0][[0, -1]]
    per_mm = (across[1] - across[0] + 1 - 1.0) / (2 * radius)  # the outline is 1 px outside
    # A circle that overflowed its panel would not be as high as it is wide.
    down = seen[:, 200:480].any(axis=1).nonzero()[0][[0, -1]]
    assert abs(int(np.diff(down)[0]) - int(np.diff(across)[0])) <= 1
    dark = (image[660:, 600:] == INK).all(axis=2)
    bar = max(dark.sum(axis=1))
    exponent = math.log10(bar / per_mm) % 1.0
    first = min((1, 2, 5, 10), key=lambda n: abs(math.log10(n) - exponent))
    length = first * 10.0 ** math.floor(math.log10(bar / per_mm))
    # 1 px from rounding the bar's ends; 1.5 px over the disc's width from measuring its outline.
    assert abs(bar - length * per_mm) <= 1.0 + 1.5 * length / (2 * radius)
    corner = Image.fromarray(image[600:, 900:].astype(np.uint8))
    assert likeness(corner, f"{length:g} mm", SMALL) > 0.97
    assert likeness(corner, f"{2 * length:g} mm", SMALL) < 0.93


def test_scale_bar_drawn_to_the_pixel() -> None:
    """The bar at 7.3 px per mm: 20 mm are 146 px."""
    canvas = Image.new("RGB", (300, 60), PAPER)
    scale_bar(canvas, 290.0, 40, 7.3)
    dark = (np.asarray(canvas) == INK).all(axis=2)[40]
    assert scale_length(7.3, 170.0) == 20.0
    assert abs(int(dark.sum()) - 146) <= 1
    assert dark.nonzero()[0].tolist() == list(range(144, 290))


@pytest.mark.parametrize(
    ("scale", "expected"), [(1.7, 100.0), (1.71, 50.0), (8.5, 20.0), (17.1, 5.0), (400.0, 0.2)]
)
def test_scale_length(scale: float, expected: float) -> None:
    """The longest of the 1-2-5 series that takes at most 170 pixels."""
    assert scale_length(scale, 170.0) == pytest.approx(expected)


def test_title_caption_and_headings_are_written() -> None:
    """Found by correlation with the embedded font."""
    image = Image.open(BytesIO(page(caption=["Seat clearance 0.05 mm"], cut_hour=3.0)))
    assert likeness(image.crop((0, 0, 600, 56)), "Ring seat, 11.5 ligne", 25) > 0.97
    assert likeness(image.crop((0, 630, 600, 700)), "Seat clearance 0.05 mm", SMALL) > 0.97
    heading = image.crop((600, 600, 1200, 640))
    assert likeness(heading, "cut from 9 h to 3 h, seen from 6 h", SMALL) > 0.97


@pytest.mark.parametrize("cut_hour", [None, 1.0, 8.0])
def test_dial_points_to_twelve(cut_hour: float | None) -> None:
    """The small dial's hand lies along the projection of +y in both views."""
    image = pixels(page(cut_hour=cut_hour))
    views = [View(), View(6.0, math.pi / 2) if cut_hour is None else View(cut_hour + 3, 0.4189)]
    for left, view in zip((30, 600), views, strict=True):
        right, up, _ = view.axes()
        ahead = np.array([right[1], -up[1]])
        foot = 700 - foot_height(())
        patch = 765 - image[foot - 86 : foot - 10, left + 6 : left + 82].sum(axis=2)
        y, x = np.indices(patch.shape) - 38.0 + 0.5
        # Undo the projection: on the dial the hand is the ink within 18 px of the middle.
        flat = np.linalg.solve(
            np.array([[right[0], right[1]], [-up[0], -up[1]]]), np.stack([x.ravel(), y.ravel()])
        )
        ink = np.where(np.hypot(*flat) < 18, (patch > 300).ravel(), 0)
        # The triangle before the middle outweighs the tail behind it.
        mean = (np.stack([x.ravel(), y.ravel()]) * ink).sum(axis=1)
        assert mean @ ahead / np.linalg.norm(mean) / np.linalg.norm(ahead) > math.cos(0.15)
