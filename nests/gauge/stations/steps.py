"""Steps: heights above the build plate, from the first layers up; offset and scale in z."""

from __future__ import annotations

from nests.gauge.specimen import Ground, Specimen, Station, box
from nests.kinds.gauge_readings import GaugeRow
from nests.solids.solid import OVER
from nests.units import Length

HEIGHTS: tuple[Length, ...] = (0.6, 0.8, 1.0, 1.2, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0)
"""mm; the first is no thinner than a wall above the drawn-in edge at the plate, and what would be
lower is left out."""
MOST = 10
"""Steps beside the first: more would take more of the build plate than common ones have."""
WIDE: Length = 4.5
DEEP: Length = 5.0
"""mm; room for the tip of an indicator."""


def stations(ground: Ground) -> tuple[Station, ...]:
    """One flight, open to the front, so that the low ones are no cups."""
    least = ground.card.smallest_wall + ground.drawn_in + ground.card.layer
    first = ground.whole(least + ground.card.layer / 2 - 1e-6)
    rest = [h for h in map(ground.whole, HEIGHTS) if h > first][-MOST:]
    heights = sorted({first, *rest})
    steps = tuple(_step(ground, k, height) for k, height in enumerate(heights))
    how = "indicator or jaws from the face that lay on the build plate, in the middle of each step"
    return (Station("T", how, WIDE * len(heights), DEEP, steps, "front"),)


def _step(ground: Ground, number: int, height: Length) -> Specimen:
    left, right = number * WIDE, (number + 1) * WIDE
    row = GaugeRow(name=f"step-{height:g}", sort="step", axis="z", drawn=height)
    base, adds, cuts = ground.base, None, None
    if height > base:
        adds = box(left, 0.0, right, DEEP, base - OVER / 2, height)
    elif height < base:
        cuts = box(left, -OVER, right, DEEP, height, base + OVER)
    return Specimen(f"step {height:g}", (left, 0.0, right, DEEP), (row,), adds, cuts)
