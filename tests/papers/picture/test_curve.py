"""The peel curve: what is drawn is as high as its areas, to a pixel."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from nests.papers.picture.colours import HATCH, LIT, RESIN
from nests.papers.picture.curve import Curve, curve_picture

CONE = np.pi * (10.0 - np.arange(200) * 0.05 - 0.025) ** 2  # mid-layer areas of a cone r 10, h 10


def pixels(curve: Curve) -> np.ndarray:
    return np.asarray(Image.open(BytesIO(curve_picture(curve, "Peel"))).convert("RGB"), dtype=int)


def tall(column: np.ndarray, colour: tuple[int, int, int]) -> int:
    return int((np.abs(column - colour).max(axis=1) <= 12).sum())


def standing(column: np.ndarray, colour: tuple[int, int, int]) -> int:
    """Pixels of a colour from the foot up, without a gap: edges of letters do not count."""
    return int((~(np.abs(column[::-1] - colour).max(axis=1) <= 12)).argmax())


@pytest.mark.parametrize("limit", [400.0, 900.0])
def test_areas_of_a_cone_are_drawn_to_scale(limit: float) -> None:
    shown = pixels(Curve(0.05, CONE, np.zeros(200), limit))
    x = np.arange(100, 860, 20)
    heights = np.array([standing(shown[64:296, each], RESIN[1]) for each in x])
    per_mm = (900 - 78 - 30) / 10.0
    area = CONE[((x - 78) / per_mm / 0.05).astype(int)]
    per_area = (360 - 64 - 64) / (1.12 * max(CONE.max(), limit))
    assert np.abs(heights - area * per_area).max() <= 1.5
    dashes = np.flatnonzero((np.abs(shown[:, 80:860] - LIT[1]).max(axis=2) <= 12).sum(axis=1) > 300)
    assert dashes.mean() == pytest.approx(296 - limit * per_area - 0.5, abs=1.0)


def test_cups_stand_on_the_part() -> None:
    shown = pixels(Curve(0.05, np.full(100, 300.0), np.full(100, 150.0), 500.0))
    column = shown[64:296, 500]
    assert tall(column, HATCH) == pytest.approx(tall(column, RESIN[1]) / 2, abs=1.5)
    part = np.flatnonzero(np.abs(column - RESIN[1]).max(axis=1) <= 12)
    cups = np.flatnonzero(np.abs(column - HATCH).max(axis=1) <= 12)
    assert cups.max() < part.min()


def test_same_curve_same_bytes() -> None:
    curve = Curve(0.05, CONE, CONE / 3, 900.0)
    assert curve_picture(curve, "Peel") == curve_picture(curve, "Peel")
