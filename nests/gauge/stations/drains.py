"""Drains: closed rooms, each with one way out at its floor, narrowest first.

The way out lies nearest the build plate, so that no room is a cup while it is printed.
"""

from __future__ import annotations

import math

from manifold3d import CrossSection

from nests.gauge.specimen import Ground, Specimen, Station, box, tried
from nests.solids.solid import OVER, Solid, along, gable
from nests.units import Length

ACROSS: tuple[Length, ...] = (0.4, 0.6, 0.8, 1.0, 1.2, 1.6)
ROOM: Length = 2.0
"""mm; width and depth of a room at least."""
UPRIGHT: Length = 1.0
"""mm; height of its upright walls, under a roof that comes to a point."""
WALL: Length = 1.2


def stations(ground: Ground) -> tuple[Station, ...]:
    """A block with the rooms; their ways out look to the front."""
    card, foot, out = ground.card, ground.base, []
    wall, room = max(WALL, 1.5 * card.smallest_wall), max(ROOM, card.smallest_drain + 0.6)
    rise, pitch = ground.rise, wall + room
    deep = room + 2 * wall
    tall = max(UPRIGHT, ACROSS[-1] / 2) + rise * room / 2
    top = foot + ground.whole(tall + wall)
    for number, across in enumerate(ACROSS):
        left = number * pitch
        middle = left + wall + room / 2
        block = box(left, 0.0, left + pitch + wall, deep, foot - OVER / 2, top)
        inside = _way(middle, wall, wall + room, room, foot, max(UPRIGHT, ACROSS[-1] / 2), rise)
        drain = _way(middle, -OVER, wall + OVER, across, foot, across / 2, rise)
        around = (left + wall, 0.0, left + pitch, wall + room)
        name, fails = f"drain-{across:g}", across < card.smallest_drain
        rows = tried(name, "drain", across)
        out.append(Specimen(name, around, rows, block, inside + drain, "smallest_drain", fails))
    how = "washed, not cured: a tissue at its mouth stays dry, and a thin wire goes in"
    wide = len(ACROSS) * pitch + wall
    plan = CrossSection.square((wide, deep))
    return (Station("V", how, wide, deep, tuple(out), "hanging", plan),)


def _way(
    middle: Length, begin: Length, end: Length, wide: Length, low: Length, wall: Length,
    rise: float,
) -> Solid:  # fmt: skip
    """A channel along y with a pointed roof."""
    channel = along(gable(begin, end, wide, low, wall, rise), math.pi / 2)
    return channel.translate((middle, 0.0, 0.0))
