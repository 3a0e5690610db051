"""Foot: an ear with a sharp edge at the build plate, where the first layers make it wider."""

from __future__ import annotations

from manifold3d import CrossSection

from nests.gauge.specimen import Ground, Specimen, Station, box
from nests.kinds.gauge_readings import GaugeRow
from nests.solids.solid import OVER
from nests.units import Length

WIDE: Length = 10.0
OUT: Length = 7.0
TALL: Length = 4.0
"""mm; room for jaws at the plate and above the foot."""


def stations(ground: Ground) -> tuple[Station, ...]:
    """The ear, at the right edge."""
    top = ground.whole(max(TALL, 3 * ground.card.foot_height))
    # it begins inside the base, and meets nothing but its upright side
    ear = box(-OVER, 0.0, OUT, WIDE, 0.0, top)
    rows = (
        GaugeRow(name="foot-at-plate", sort="foot", axis="y", drawn=WIDE),
        GaugeRow(name="foot-above", sort="above the foot", axis="y", drawn=WIDE),
    )
    how = "jaws across it in y: right at the face that lay on the build plate, and near its top"
    made = Specimen("foot", (-OVER, -OVER, OUT, WIDE + OVER), rows, ear, None, "foot_spread", True)
    return (Station("F", how, OUT, WIDE, (made,), "right", CrossSection()),)
