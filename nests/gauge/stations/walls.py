"""Walls: upright, from some that will not stand to some that will."""

from __future__ import annotations

from nests.gauge.specimen import Ground, Specimen, Station, box, tried
from nests.solids.solid import OVER
from nests.units import Length

THICK: tuple[Length, ...] = (0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0)
BETWEEN: Length = 2.0
LONG: Length = 8.0
TALL: Length = 5.0


def stations(ground: Ground) -> tuple[Station, ...]:
    """The row of walls, thinnest first."""
    x, out, foot = 0.0, [], ground.base
    for thick in THICK:
        solid = box(x, 0.0, x + thick, LONG, foot - OVER / 2, foot + ground.whole(TALL))
        name, fails = f"wall-{thick:g}", thick < ground.card.smallest_wall
        rows = tried(name, "wall", thick)
        around = (x, 0.0, x + thick, LONG)
        out.append(Specimen(name, around, rows, solid, None, "smallest_wall", fails))
        x += thick + BETWEEN
    how = "by eye: stands upright, whole, straight"
    return (Station("W", how, x - BETWEEN, LONG, tuple(out)),)
