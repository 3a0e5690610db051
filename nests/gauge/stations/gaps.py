"""Gaps: slots open above and at both ends, from some that will close to some that will not."""

from __future__ import annotations

from manifold3d import CrossSection

from nests.gauge.specimen import ROUND, Ground, Specimen, Station, box, tried
from nests.solids.solid import OVER
from nests.units import Length

WIDE: tuple[Length, ...] = (0.1, 0.15, 0.2, 0.3, 0.4, 0.5)
BETWEEN: Length = 1.5
LONG: Length = 5.0
TALL: Length = 3.0


def stations(ground: Ground) -> tuple[Station, ...]:
    """A block with the slots, narrowest first."""
    x, out, foot = BETWEEN, [], ground.base
    top = foot + ground.whole(TALL)
    for wide in WIDE:
        # each brings its own share of the block
        solid = box(x - BETWEEN, 0.0, x + wide + BETWEEN, LONG, foot - OVER / 2, top)
        slot = box(x, -OVER, x + wide, LONG + OVER, foot, top + OVER)
        name, fails = f"gap-{wide:g}", wide < ground.card.smallest_gap
        rows = tried(name, "gap", wide)
        around = (x, 0.0, x + wide, LONG)
        out.append(Specimen(name, around, rows, solid, slot, "smallest_gap", fails))
        x += wide + BETWEEN
    how = "a feeler or foil goes through from end to end, down to the base"
    plan = CrossSection.square((x + 2 * ROUND, LONG)).translate((-ROUND, 0.0))
    return (Station("G", how, x, LONG, tuple(out), plan=plan),)
