"""Rings: a bore and a pin in one, both read in x and in y.

The bore goes through to the build plate, and a slit at 45° over its whole height lets resin and air
out of it, so that it is no cup; neither x nor y meets it.
"""

from __future__ import annotations

from manifold3d import CrossSection

from nests.gauge.specimen import CHORD, Ground, Specimen, Station, box
from nests.kinds.gauge_readings import Axis, GaugeRow, Sort
from nests.places import Place
from nests.solids.loops import circle
from nests.solids.solid import OVER, turned
from nests.units import Length

SIZES: dict[str, tuple[Length, Length]] = {
    "A": (26.0, 30.0), "C": (18.0, 22.0), "D": (12.0, 16.0), "E": (8.0, 12.0), "H": (5.0, 9.0),
    "K": (3.0, 6.0),
}  # fmt: skip
"""mm; ⌀ inside and outside, by the letter that stands before it. A line through sizes up to the
largest that goes on one plate tells seats beyond it, with the uncertainty that goes with them."""
TALL: Length = 5.0
"""mm above the base: enough for the jaws of a caliper."""
UNDER: Length = 0.02
"""mm the base may leave the circles, which are not gauged there."""
WAYS: tuple[Axis, Axis] = ("x", "y")


def stations(ground: Ground) -> tuple[Station, ...]:
    """A station for each ring."""
    return tuple(_station(ground, letter, *size) for letter, size in SIZES.items())


def _station(ground: Ground, letter: str, inside: Length, outside: Length) -> Station:
    middle, foot, top = outside / 2, ground.base, ground.base + ground.whole(TALL)
    at = Place(middle, middle)
    body = turned([(outside, foot - OVER / 2), (outside, top)], CHORD, at=at)
    bore = turned([(inside, -OVER), (inside, top + OVER)], CHORD, at=at, bore=True)
    wide = 1.2 * max(ground.card.smallest_drain, ground.card.smallest_gap)
    far = middle + 1.0
    slit = box(0.0, -wide / 2, far, wide / 2, -OVER, top + OVER).rotate((0.0, 0.0, 45.0))
    out = CrossSection.square((far, wide)).translate((0.0, -wide / 2)).rotate(45.0)
    plan = CrossSection([circle(outside, UNDER, at=at).shaft(0.0)])
    hole = CrossSection([circle(inside, UNDER, at=at).bore(0.0)])
    hole += out.translate((middle, middle))
    rows = [
        GaugeRow(name=f"{sort}-{size:g}-{way}", sort=sort, axis=way, drawn=size)
        for sort, size in _both(inside, outside)
        for way in WAYS
    ]
    ring = Specimen(
        f"ring {inside:g}/{outside:g}",
        (0.0, 0.0, outside, outside),
        tuple(rows),
        body,
        bore + slit.translate((middle, middle, 0.0)),
    )
    how = "bores with jaws or pin gauges, pins with jaws, in x and in y, above the foot"
    return Station(letter, how, outside, outside, (ring,), "rings", plan, hole)


def _both(inside: Length, outside: Length) -> tuple[tuple[Sort, Length], tuple[Sort, Length]]:
    return ("bore", inside), ("pin", outside)
