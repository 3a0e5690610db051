"""Fan: blades that lean from upright farther and farther."""

from __future__ import annotations

import math

from nests.gauge.specimen import Ground, Specimen, Station, standing, tried
from nests.units import Length

LEANS: tuple[float, ...] = (30.0, 40.0, 45.0, 50.0, 60.0)
"""Degrees from upright."""
THICK: Length = 1.6
LONG: Length = 4.0
TALL: Length = 3.0
BETWEEN: Length = 2.0
SUNK: Length = 0.5


def stations(ground: Ground) -> tuple[Station, ...]:
    """The blades, the steepest first; each leans away from the one before it."""
    x, out, foot = 0.0, [], ground.base
    tall = ground.whole(TALL)
    thick = max(THICK, 1.5 * ground.card.smallest_wall)
    for lean in LEANS:
        across = thick / math.cos(math.radians(lean))
        run = math.tan(math.radians(lean))
        low, top = foot - SUNK, foot + tall
        begin, end = x - SUNK * run, x + tall * run
        profile = [(begin, low), (begin + across, low), (end + across, top), (end, top)]
        name, fails = f"overhang-{lean:g}", lean > ground.card.overhang
        rows = tried(name, "overhang", lean)
        solid = standing(profile, 0.0, LONG)
        around = (x, 0.0, end + across, LONG)
        out.append(Specimen(name, around, rows, solid, None, "overhang", fails))
        x = end + across + BETWEEN
    how = "by eye: the underside is smooth, its edge straight"
    return (Station("O", how, x - BETWEEN, LONG, tuple(out)),)
