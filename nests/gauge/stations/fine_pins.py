"""Fine pins: upright, finest first."""

from __future__ import annotations

from nests.gauge.specimen import CHORD, Ground, Specimen, Station, tried
from nests.places import Place
from nests.solids.solid import OVER, turned
from nests.units import Length

ACROSS: tuple[Length, ...] = (0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0)
BETWEEN: Length = 2.0
TALL: Length = 2.5


def stations(ground: Ground) -> tuple[Station, ...]:
    """The row of pins."""
    x, out, foot, middle = 0.0, [], ground.base, ACROSS[-1] / 2
    for across in ACROSS:
        at = Place(x + across / 2, middle)
        ends = [(across, foot - OVER / 2), (across, foot + ground.whole(TALL))]
        name, fails = f"fine-pin-{across:g}", across < ground.card.smallest_pin
        around = (x, middle - across / 2, x + across, middle + across / 2)
        rows, pin = tried(name, "fine pin", across), turned(ends, CHORD / 4, at=at)
        out.append(Specimen(name, around, rows, pin, None, "smallest_pin", fails))
        x += across + BETWEEN
    how = "by eye: stands upright, its end round"
    return (Station("P", how, x - BETWEEN, 2 * middle, tuple(out)),)
