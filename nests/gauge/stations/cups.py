"""Cups: round wells open away from the build plate, each of which seals against the film."""

from __future__ import annotations

import math

from manifold3d import CrossSection

from nests.gauge.specimen import CHORD, Ground, Specimen, Station, box, tried
from nests.places import Place
from nests.solids.solid import OVER, turned
from nests.units import Length

VOLUMES: tuple[float, ...] = (4.0, 8.0, 16.0, 32.0, 64.0)
"""mm³."""
SLIM = 1.5
"""Depth over ⌀."""
BETWEEN: Length = 1.2
SPOKEN_OF = 0.25
"""Share of the largest cup from which the checks speak of one."""


def stations(ground: Ground) -> tuple[Station, ...]:
    """A block with the wells, the smallest first; each as deep as makes whole layers."""
    between = max(BETWEEN, 1.5 * ground.card.smallest_wall)
    x, out, foot = between, [], ground.base
    deepest = max(_size(ground, volume)[1] for volume in VOLUMES)
    widest = max(_size(ground, volume)[0] for volume in VOLUMES) + 2 * between
    for volume in VOLUMES:
        across, deep = _size(ground, volume)
        at, top = Place(x + across / 2, widest / 2), foot + deepest
        block = box(x - between, 0.0, x + across + between, widest, foot - OVER / 2, top)
        ends = [(across, top - deep), (across, top + OVER)]
        well = turned(ends, CHORD, at=at, bore=True)
        # drawn round about its circle it holds a little more
        fails = volume > 0.99 * SPOKEN_OF * ground.card.largest_cup
        around = (x, at.y - across / 2, x + across, at.y + across / 2)
        rows = tried(f"cup-{volume:g}", "cup", volume)
        out.append(
            Specimen(f"cup-{volume:g}", around, rows, block, well, "largest_cup", fails, SPOKEN_OF)
        )
        x += across + between
    how = "by eye: floor flat, rim and walls whole, neither torn nor bulged"
    plan = CrossSection.square((x, widest))
    return (Station("S", how, x, widest, tuple(out), "hanging", plan),)


def _size(ground: Ground, volume: float) -> tuple[Length, Length]:
    """⌀ and depth of a well."""
    deep = ground.whole(SLIM * (4 * volume / (math.pi * SLIM)) ** (1 / 3))
    return math.sqrt(4 * volume / (math.pi * deep)), deep
