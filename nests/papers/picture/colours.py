"""Colours, the ramps from shade to light, and the even scale of a field."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from nests.papers.picture.values import Bytes, Floats

Colour: TypeAlias = tuple[int, int, int]

PAPER: Colour = (239, 235, 227)
INK: Colour = (36, 41, 49)
GHOST: Colour = (62, 96, 122)
HATCH: Colour = (66, 82, 104)
RULE: Colour = (190, 185, 176)
# A ramp runs from unlit to fully lit. The tones differ in greyscale as well as in hue.
RESIN = ((52, 55, 63), (140, 139, 135), (224, 217, 204))
LIT = ((46, 12, 8), (142, 42, 24), (200, 88, 54))
CUT_FACE = ((252, 243, 219),) * 3
UNMEASURED = ((110, 108, 112), (196, 194, 198), (246, 244, 246))
TONE_LIT, TONE_CUT, TONE_UNMEASURED, TONE_FIELD = 1, 2, 3, 4

# Every 15th colour of cividis, rounded to 8 bits: J. R. Nunez, C. R. Anderton, R. S. Renslow,
# "Optimizing colormaps with consideration for color vision deficiency to enable accurate
# interpretation of scientific data", PLoS ONE 13(7), 2018; 256-row table published by matplotlib.
CIVIDIS: Bytes = np.array(
    [
        (0, 34, 78), (0, 45, 104), (22, 55, 112), (46, 65, 109), (63, 76, 108), (78, 86, 108),
        (92, 97, 110), (105, 107, 113), (118, 118, 118), (131, 129, 121), (146, 140, 120),
        (160, 152, 117), (175, 164, 113), (191, 176, 107), (207, 189, 98), (223, 202, 87),
        (240, 216, 70), (254, 232, 56),
    ],
    np.uint8,
)  # fmt: skip

FIELD_STEPS = 64  # shades of a field: finer than the eye tells apart on a shaded body


def _ramp(stops: Sequence[Colour]) -> Bytes:
    """A (256, 3) ramp through evenly spaced stops."""
    at = np.linspace(0, 255, len(stops))
    rows = [np.interp(np.arange(256), at, [stop[k] for stop in stops]) for k in range(3)]
    return np.stack(rows, axis=1).round().astype(np.uint8)


def field_colours(fraction: Floats) -> Bytes:
    """Colours (n, 3) of the even scale at fractions 0 to 1; lightness rises all along it."""
    at = np.linspace(0.0, 1.0, len(CIVIDIS))
    channels = [np.interp(fraction, at, CIVIDIS[:, k]) for k in range(3)]
    return np.stack(channels, axis=-1).round().astype(np.uint8)


@cache
def palette() -> Bytes:
    """All ramps (tones, 256, 3): resin, lit, section, unmeasured, then the steps of a field."""
    field = field_colours((np.arange(FIELD_STEPS) + 0.5) / FIELD_STEPS)
    # A field must be readable off the scale, so light only tints it.
    shade = np.interp(np.arange(256), (0, 90, 190, 255), (0.62, 0.86, 1.0, 1.0))
    steps = (field[:, None, :] * shade[:, None]).round().astype(np.uint8)
    return np.concatenate([[_ramp(t) for t in (RESIN, LIT, CUT_FACE, UNMEASURED)], steps])


def mix(below: Bytes, above: Colour, cover: NDArray[Any]) -> Bytes:
    """`above` laid over `below` (n, 3) with cover (n,) 0 to 1."""
    share = cover.astype(np.float32)[:, None]
    return np.asarray(below * (1 - share) + np.array(above, np.float32) * share, np.uint8)
