"""Foot: two bars whose sides begin higher and higher above the build plate, one along y to be read
in x, one along x to be read in y.

The first layers make wider what stands on the plate. A side that begins above them is as far out
below as above: where that begins is the height of the foot.
"""

from __future__ import annotations

from manifold3d import CrossSection

from nests.gauge.specimen import ROUND, Ground, Row, Specimen, Station, box
from nests.kinds.gauge_readings import Axis, GaugeRow
from nests.solids.solid import OVER, Solid, union
from nests.units import Length

BEGINS: tuple[Length, ...] = (0.1, 0.2, 0.3, 0.4, 0.6, 0.9)
"""mm above the build plate at which the sides begin, beside those that begin on it."""
WIDE: Length = 4.0
LONG: Length = 3.0
"""mm; length of each share of a bar, enough for the edges of jaws."""
TALL: Length = 4.0
"""mm; room for jaws above the foot."""
IN: Length = 0.2
"""mm by which a side is drawn in below where it begins, beyond what the foot spreads."""
JAWS: Length = 4.0
"""mm kept free behind the back row for jaws."""
NECK: Length = 13.0
"""mm from the front, and the height of a letter, up to where jaws pass the smallest ring."""
HOW = "jaws over the whole height of each share; 'above' near the top of any"


def stations(ground: Ground) -> tuple[Station, ...]:
    """The two bars: along the right edge, and behind the back row."""
    neck = NECK + ground.letter
    along_y = (_share(ground, k, h).translate((0.0, neck, 0.0)) for k, h in _heights(ground))
    in_x = [box(0.0, 0.0, WIDE, neck, 0.0, _top(ground)), *along_y]
    in_x.append(box(-OVER, 5.0 * ROUND, ROUND, 9.0 * ROUND, 0.0, _top(ground)))
    in_y = [box(0.0, -JAWS - ROUND / 2, WIDE, WIDE, 0.0, _top(ground))]
    for k, height in _heights(ground):
        turned = _share(ground, k, height).rotate((0.0, 0.0, -90.0))
        in_y.append(turned.translate((WIDE, WIDE, 0.0)))
    far = len(_heights(ground)) * LONG
    return (
        _station(ground, "x", in_x, (WIDE, neck + far), "right"),
        _station(ground, "y", in_y, (WIDE + far, WIDE), "behind"),
    )


def _heights(ground: Ground) -> tuple[tuple[int, Length], ...]:
    """What each share begins at, by its number: whole layers, each once."""
    heights = sorted({0.0, *map(ground.whole, BEGINS)})
    return tuple(enumerate(heights))


def _top(ground: Ground) -> Length:
    return ground.whole(max(TALL, 3 * ground.card.foot_height))


def _share(ground: Ground, number: int, begins: Length) -> Solid:
    """One share of a bar along y."""
    low, top = number * LONG, _top(ground)
    inset = IN + ground.card.foot_spread
    upper = box(0.0, low - OVER, WIDE, low + LONG, begins, top)
    if begins <= 0.0:
        return upper
    return upper + box(inset, low - OVER, WIDE - inset, low + LONG, 0.0, begins + OVER)


def _station(
    ground: Ground, axis: Axis, solids: list[Solid], size: tuple[Length, Length], row: Row
) -> Station:
    rows = [
        GaugeRow(name=f"foot-{axis}-{height:g}", sort="foot", axis=axis, drawn=WIDE, height=height)
        for _, height in _heights(ground)
    ]
    rows.append(GaugeRow(name=f"foot-{axis}-above", sort="above the foot", axis=axis, drawn=WIDE))
    around = (-OVER, -OVER, size[0] + OVER, size[1] + OVER)
    bar, name = union(solids), f"foot in {axis}"
    made = Specimen(name, around, tuple(rows), bar, None, "foot_spread", True)
    # it begins inside the base, and meets nothing but its upright side
    return Station(f"F{axis.upper()}", HOW, *size, (made,), row, CrossSection())
