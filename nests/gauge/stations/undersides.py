"""Undersides: level tongues that stand out of a post, shortest first."""

from __future__ import annotations

from nests.gauge.specimen import Ground, Specimen, Station, box, tried
from nests.solids.solid import OVER
from nests.units import Length

LONG: tuple[Length, ...] = (0.3, 0.5, 0.8, 1.2, 2.0)
WIDE: Length = 2.0
STEP: Length = 4.0
POST: Length = 2.0
UNDER: Length = 2.0
THICK: Length = 1.2


def stations(ground: Ground) -> tuple[Station, ...]:
    """A bar with the tongues at its back."""
    out, foot = [], ground.base
    under = foot + ground.whole(UNDER)
    top = under + ground.whole(max(THICK, 2 * ground.card.smallest_wall))
    for number, long in enumerate(LONG):
        x = number * STEP
        bar = box(x, 0.0, x + STEP + 0.01, POST, foot - OVER / 2, top)
        tongue = box(x + 1.0, POST - 0.5, x + 1.0 + WIDE, POST + long, under, top)
        name, fails = f"underside-{long:g}", long > ground.card.longest_underside
        around = (x + 1.0, POST, x + 1.0 + WIDE, POST + long)
        rows = tried(name, "underside", long)
        out.append(Specimen(name, around, rows, bar + tongue, None, "longest_underside", fails))
    how = "by eye, from the side: the underside is level, nothing hangs from it"
    return (Station("U", how, STEP * len(LONG), POST + LONG[-1], tuple(out), "front"),)
