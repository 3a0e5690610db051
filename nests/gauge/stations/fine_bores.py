"""Fine bores: upright, so shallow that none is a cup worth a word, finest first."""

from __future__ import annotations

from manifold3d import CrossSection

from nests.gauge.specimen import CHORD, ROUND, Ground, Specimen, Station, box, tried
from nests.places import Place
from nests.solids.solid import OVER, turned
from nests.units import Length

ACROSS: tuple[Length, ...] = (0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0)
BETWEEN: Length = 1.6
TALL: Length = 0.8
DEEP: Length = 5.0


def stations(ground: Ground) -> tuple[Station, ...]:
    """A low block with the bores."""
    x, out, foot = BETWEEN, [], ground.base
    top = foot + ground.whole(TALL)
    for across in ACROSS:
        middle = Place(x + across / 2, DEEP / 2)
        solid = box(x - BETWEEN, 0.0, x + across + BETWEEN, DEEP, foot - OVER / 2, top)
        bore = turned([(across, foot), (across, top + OVER)], CHORD, at=middle, bore=True)
        name, fails = f"fine-bore-{across:g}", across < ground.card.smallest_hole
        around = (x, middle.y - across / 2, x + across, middle.y + across / 2)
        rows = tried(name, "fine bore", across)
        out.append(Specimen(name, around, rows, solid, bore, "smallest_hole", fails))
        x += across + BETWEEN
    how = "a wire of that ⌀, or a needle, goes down to the base"
    plan = CrossSection.square((x + 2 * ROUND, DEEP)).translate((-ROUND, 0.0))
    return (Station("B", how, x, DEEP, tuple(out), plan=plan),)
