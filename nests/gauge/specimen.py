"""What a gauge plate is made of: specimens, those of one kind together in a station."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from manifold3d import CrossSection, FillRule

from nests.given.printer_card import PrinterCard
from nests.kinds.gauge_readings import GaugeRow
from nests.parts.mark import strokes
from nests.solids.solid import Solid, pillar
from nests.units import Length

CHORD: Length = 0.001
"""mm a drawn circle may leave its true one: a tenth of what is to be told of a printer."""
ROUND: Length = 1.0
"""mm of base left round what stands on it."""
STEEPER = 1.1
"""How much steeper than the card allows the base climbs from its drawn-in edge: round a corner a
step reaches a little farther."""
Row: TypeAlias = Literal["front", "rings", "back", "right", "hanging", "behind"]
"""In front, behind it, at the back; standing out at the right end of the front; before the back, at
its right end, where the rings are small; or behind the back."""
DEEPEST: Length = 0.4
"""mm; depth of what is engraved, at most."""


@dataclass(frozen=True)
class Ground:
    """The card a plate is drawn for. Its base is `base` mm thick, and every height on it comes out
    whole layers, so that what is read of it is the printer's doing."""

    card: PrinterCard

    @property
    def base(self) -> Length:
        """Thickness of the base: what carries itself, and an engraving in it."""
        wall = self.card.smallest_wall
        return self.whole(max(1.5, 2 * wall, wall + 2 * DEEPEST, self.drawn_in + 2 * DEEPEST))

    @property
    def drawn_in(self) -> Length:
        """Height over which the edge of the base is drawn in at the build plate."""
        return math.ceil(self.card.least_foot * self.rise / self.card.layer) * self.card.layer

    @property
    def rise(self) -> float:
        """mm that an underside climbs per mm of run."""
        return STEEPER / math.tan(math.radians(self.card.overhang))

    @property
    def line(self) -> Length:
        """Width of the strokes that name a station."""
        return max(0.3, self.card.smallest_line)

    @property
    def letter(self) -> Length:
        """Height of these letters: even an 8 leaves as much between its strokes."""
        return 9 * self.line

    def whole(self, height: Length) -> Length:
        """The height that is nearest to it and comes out whole layers, one at least."""
        layer = self.card.layer
        return round(max(1, round(height / layer)) * layer, 6)


@dataclass(frozen=True)
class Specimen:
    """One thing that is read: what it adds to the base and cuts from it, where it lies in plan
    (left, lower, right, upper), its rows, and whether the card says it will fail, by which of its
    figures, and from which `share` of that on."""

    name: str
    box: tuple[Length, Length, Length, Length]
    rows: tuple[GaugeRow, ...]
    adds: Solid | None = None
    cuts: Solid | None = None
    figure: str = ""
    fails: bool = False
    share: float = 1.0

    def moved(self, x: Length, y: Length) -> Specimen:
        """The same elsewhere in plan."""
        left, low, right, high = self.box
        by = (x, y, 0.0)
        return Specimen(
            self.name,
            (left + x, low + y, right + x, high + y),
            self.rows,
            None if self.adds is None else self.adds.translate(by),
            None if self.cuts is None else self.cuts.translate(by),
            self.figure,
            self.fails,
            self.share,
        )


@dataclass(frozen=True)
class Station:
    """Specimens of one kind in a field `wide` by `deep` mm from its lower left corner, the letters
    that stand before it, and how they are read. `plan` is the base it needs, the field and `ROUND`
    mm beside where none is given, `hole` what is left open of
    it down to the build plate; `row` is where on the plate it stands."""

    letters: str
    how: str
    wide: Length
    deep: Length
    specimens: tuple[Specimen, ...]
    row: Row = "back"
    plan: CrossSection | None = None
    hole: CrossSection | None = None

    @property
    def base(self) -> CrossSection:
        """The base it needs."""
        if self.plan is not None:
            return self.plan
        size = (self.wide + 2 * ROUND, self.deep + 2 * ROUND)
        return CrossSection.square(size).translate((-ROUND, -ROUND))


def box(left: Length, low: Length, right: Length, high: Length, z: Length, top: Length) -> Solid:
    """A block between two corners in plan, from z up to `top`."""
    return Solid.cube((right - left, high - low, top - z)).translate((left, low, z))


def standing(profile: list[tuple[Length, Length]], low: Length, high: Length) -> Solid:
    """A profile (x, z), counterclockwise, drawn out along y from `low` to `high`."""
    flat = CrossSection([profile]).extrude(high - low)
    return flat.rotate((90.0, 0.0, 0.0)).translate((0.0, high, 0.0))


def lettered(text: str, height: Length, line: Length, x: Length, y: Length) -> CrossSection:
    """Letters in strokes `line` mm wide, from x on a base line at y."""
    import shapely

    lines = [shapely.LineString(np.array(each) * height + (x, y)) for each in strokes(text)]
    plan = shapely.buffer(shapely.MultiLineString(lines), line / 2, quad_segs=4)
    rings = []
    for each in shapely.get_parts(plan):
        rings.append(np.asarray(each.exterior.coords)[:-1])
        rings += [np.asarray(hole.coords)[:-1] for hole in each.interiors]
    return CrossSection(rings, FillRule.EvenOdd).simplify(0.002)


def engraving(plan: CrossSection, ground: Ground) -> Solid:
    """A plan sunk into the base, less than the thinnest wall: deeper letters would be walls."""
    deep = min(DEEPEST, 0.8 * ground.card.smallest_wall)
    return pillar(plan, ground.base - deep, ground.base + 1.0)


def tried(name: str, sort: str, drawn: float) -> tuple[GaugeRow, ...]:
    """The row of a specimen that is good or bad."""
    return (GaugeRow(name=name, sort=sort, drawn=drawn),)  # type: ignore[arg-type]
