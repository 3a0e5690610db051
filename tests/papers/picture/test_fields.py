"""The scale of a field: evenness, and values read back from the pixels."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from numpy.typing import NDArray
from picture_shapes import likeness, plates
from PIL import Image

from nests.papers.picture import View, field_picture
from nests.papers.picture.colours import TONE_FIELD, field_colours
from nests.papers.picture.meshes import build_scene
from nests.papers.picture.painting import paint
from nests.papers.picture.rays import aim
from nests.papers.picture.writing import SMALL


def lightness(colour: NDArray[np.float64]) -> NDArray[np.float64]:
    """CIE 1976 L* of 8-bit sRGB: IEC 61966-2-1 decoding, then CIE 15 (formulas from memory)."""
    value = colour / 255.0
    linear = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    y = linear @ np.array([0.2126, 0.7152, 0.0722])
    return np.asarray(np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, 24389 / 27 * y))


def test_scale_of_a_field_is_even_in_lightness() -> None:
    """L* rises all along, and nowhere strays from a straight line by more than 3 of 100."""
    level = lightness(field_colours(np.linspace(0, 1, 101)).astype(np.float64))
    assert (np.diff(level) > 0).all()
    assert np.abs(level - np.linspace(level[0], level[-1], 101)).max() < 3.0
    assert level[-1] - level[0] > 70


def test_field_values_read_back_from_the_pixels() -> None:
    """The colour nearest on the scale gives the value to a step of 1/64 and the light's tint."""
    row = plates()
    tone = TONE_FIELD + np.array([6, 25, 44, 60])[row.part]
    scene = build_scene([row], tone.astype(np.int32))
    camera = aim([row], View(6.0, 1.1), (600, 300))
    image = np.asarray(paint(scene, None, camera)[0]).astype(float)
    scale = np.linspace(0, 1, 513)
    for k, step in enumerate((6, 25, 44, 60)):
        x, y = camera.project(np.array([[9.0 * k - 13.5, 0, 2]]))[0].astype(int)
        off = np.abs(field_colours(scale).astype(float) - image[y, x]).sum(axis=1)
        assert scale[off.argmin()] == pytest.approx((step + 0.5) / 64, abs=0.04)


@pytest.mark.slow
def test_field_page() -> None:
    """Numbers, unit, least and greatest are written; NaN is said to be not measured."""
    row = plates()
    value = np.array([0.35, 0.8, np.nan, 1.62])[row.part]
    png = field_picture(row, value, "mm", (0.4, 1.2), "Wall thickness", size=(1200, 700))
    assert png == field_picture(row, value, "mm", (0.4, 1.2), "Wall thickness", size=(1200, 700))
    image = Image.open(BytesIO(png)).convert("RGB")
    foot = image.crop((0, 630, 900, 700))
    for text in ("0.400", "0.800", "1.200", "not measured"):
        assert likeness(foot, text, SMALL) > 0.97
    left = image.crop((0, 60, 600, 600))
    for fraction in (0.5 / 64, 32.5 / 64, 63.5 / 64):  # below the limits, the middle, above them
        colour = field_colours(np.array([fraction])).astype(int)[0]
        near = np.abs(np.asarray(left).astype(int) - colour).sum(axis=2) < 24
        assert near.sum() > 400
    assert likeness(left, "least 0.35 mm", SMALL) > 0.97
    assert likeness(left, "greatest 1.62 mm", SMALL) > 0.97
    known = field_picture(
        row, np.nan_to_num(value), "mm", (0.4, 1.2), "Wall thickness", size=(1200, 700)
    )
    foot = Image.open(BytesIO(known)).crop((0, 630, 900, 700))
    assert likeness(foot, "not measured", SMALL) < 0.8


@pytest.mark.slow
def test_hours_of_a_mirrored_field_are_the_dial_s() -> None:
    """With the bridge side up the eye at the holder's 5 h stands at 7 h of the dial."""
    row = plates()
    value = np.linspace(0.5, 1.0, 4)[row.part]
    for mirrored, hour in ((False, 5), (True, 7)):
        png = field_picture(
            row, value, "mm", (0.4, 1.2), "Walls", size=(1200, 700), mirrored=mirrored
        )
        band = Image.open(BytesIO(png)).convert("RGB").crop((0, 600, 1200, 640))
        for heading in (f"above, seen from {hour} h", f"below, seen from {hour} h"):
            assert likeness(band, heading, SMALL) > 0.97
        assert likeness(band, f"above, seen from {12 - hour} h", SMALL) < 0.97
