"""The gauge plate: stations laid out on a base, one solid that lies flat on the build plate.

It is drawn as it is, uncorrected: what it comes out at is what is to be known.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from manifold3d import CrossSection, OpType

from nests.gauge.specimen import (
    ROUND,
    Ground,
    Row,
    Specimen,
    Station,
    engraving,
    lettered,
    tried,
)
from nests.gauge.stations import all_stations
from nests.given.printer_card import PrinterCard
from nests.kinds.gauge_readings import GaugeReadings, GaugeRow
from nests.solids.solid import Solid, offset, pillar, triangles, union
from nests.units import BadInput, Length

BESIDE: Length = 1.9
"""mm kept between stations: more than any gap that closes, and so little that their bases join."""
BAR: Length = 4.0
"""mm; width of a bar that joins a ring to a row."""
NEAR: Length = 0.3
"""mm between a letter and a row that goes on beside it."""
CLEAR: Length = 4.0
"""mm kept free for jaws beside a bar at the right or behind."""
WIDEST_FOOT: Length = 0.6
"""mm by which edges may be drawn in at the plate: of the wall of a ring, 2 mm, 0.8 are left."""
NAME = "gauge plate"
PEEL = "every layer came off whole, and nothing came loose from the build plate"
"""How the largest peel is told: from below only, by what came off well."""


@dataclass(frozen=True)
class Placed:
    """A station where it lies on the plate: the lower left corner of its field; and its letters
    with the place they begin at."""

    station: Station
    x: Length
    y: Length
    letters: tuple[str, Length, Length]

    @property
    def specimens(self) -> tuple[Specimen, ...]:
        """Its specimens where they lie."""
        return tuple(each.moved(self.x, self.y) for each in self.station.specimens)


@dataclass(frozen=True)
class GaugePlate:
    """The plate drawn for a card, and what stands on it where.

    In front stand the steps, behind them the rings in a row, at the back what is tried. The base is
    no more than they need, for the film's sake, and a tree: rows that were joined twice would shut
    in a cup between them.
    """

    ground: Ground
    placed: tuple[Placed, ...]
    joints: tuple[CrossSection, ...]

    @staticmethod
    def of(card: PrinterCard) -> GaugePlate:
        """Lay the stations out. Raises `BadInput` where the build plate is too small for them."""
        if card.least_foot > WIDEST_FOOT:
            raise BadInput(
                f"{card.name}: foot_spread and a layer are {card.least_foot:g} mm together, by "
                f"which edges are drawn in at the build plate; a gauge plate stands with "
                f"{WIDEST_FOOT:g} mm or less."
            )
        made = _laid_out(Ground(card))
        size = np.ptp(triangles(made.solid).vertices, axis=0)[:2]
        if sorted(size)[0] > min(card.build_x, card.build_y) or max(size) > max(
            card.build_x, card.build_y
        ):
            raise BadInput(
                f"{card.name}: build_x and build_y are {card.build_x:g} and {card.build_y:g} mm; "
                f"the gauge plate needs {size[0]:.1f} by {size[1]:.1f} mm."
            )
        return made

    @property
    def card(self) -> PrinterCard:
        """The card it was drawn for."""
        return self.ground.card

    @cached_property
    def specimens(self) -> tuple[Specimen, ...]:
        """Everything that is read, where it lies."""
        return tuple(each for at in self.placed for each in at.specimens)

    @cached_property
    def solid(self) -> Solid:
        """The plate as it is printed, its lower face at z = 0."""
        return self.without(())

    def without(self, left_out: Collection[str]) -> Solid:
        """The plate without the specimens of some names."""
        used = [each for each in self.specimens if each.name not in left_out]
        adds = [each.adds for each in used if each.adds is not None]
        cuts = [each.cuts for each in used if each.cuts is not None]
        return union([self._base, *adds]) - union([*cuts, *self._letters()])

    @cached_property
    def base_plan(self) -> CrossSection:
        """The base in plan."""
        plans = [at.station.base.translate((at.x, at.y)) for at in self.placed]
        whole = CrossSection.batch_boolean([*plans, *self.joints], OpType.Add)
        holes = [at.station.hole.translate((at.x, at.y)) for at in self.placed if at.station.hole]
        return whole - CrossSection.batch_boolean(holes, OpType.Add)

    @cached_property
    def _base(self) -> Solid:
        """The base, its edges at the plate drawn in, layer by layer, as far as the foot spreads."""
        return footed(self.base_plan, self.ground)

    def _letters(self) -> Iterator[Solid]:
        """The names of the stations."""
        for each in self.placed:
            text, x, y = each.letters
            if text:
                plan = lettered(text, self.ground.letter, self.ground.line, x, y)
                yield engraving(plan, self.ground)

    @cached_property
    def peel(self) -> float:
        """mm² of the largest layer, all of which is peeled off the film at once."""
        layer = self.card.layer
        count = math.ceil(triangles(self.solid).vertices[:, 2].max() / layer)
        return max(float(self.solid.slice((k + 0.5) * layer).area()) for k in range(count))

    @cached_property
    def stations(self) -> tuple[Station, ...]:
        """Every station, and last the plate as a whole."""
        area = float(math.floor(self.peel))
        rows = tried(f"peel-{area:g}", "peel", area)
        whole = Specimen("whole plate", (0.0, 0.0, 0.0, 0.0), rows)
        return (*(at.station for at in self.placed), Station("all", PEEL, 0.0, 0.0, (whole,)))

    @cached_property
    def rows(self) -> tuple[GaugeRow, ...]:
        """Every row, in the order of the plate, nothing read yet."""
        return tuple(row for at in self.stations for each in at.specimens for row in each.rows)

    @property
    def blank(self) -> GaugeReadings:
        """The readings document before anything is read."""
        return GaugeReadings(printer=self.card.name, layer=self.card.layer, rows=self.rows)

    def nearest(self, point: Sequence[float]) -> Specimen | None:
        """The specimen in whose field a point lies, as near as the foot spreads; None for what is
        of the base."""
        spare = 0.6
        found = [
            each
            for each in self.specimens
            if each.box[0] - spare <= point[0] <= each.box[2] + spare
            and each.box[1] - spare <= point[1] <= each.box[3] + spare
        ]
        return min(found, key=lambda each: _off(each, point), default=None)


def _off(each: Specimen, point: Sequence[float]) -> float:
    left, low, right, high = each.box
    return float(np.hypot(point[0] - (left + right) / 2, point[1] - (low + high) / 2))


def footed(plan: CrossSection, ground: Ground) -> Solid:
    """A base of a plan, its edges at the build plate drawn in as far as the first layers spread."""
    layer, foot = ground.card.layer, ground.card.least_foot
    count = round(ground.drawn_in / layer)
    steps = [
        pillar(offset(plan, -foot * (1.0 - k / count), 64), k * layer, (k + 1) * layer)
        for k in range(count)
    ]
    return union([*steps, pillar(plan, count * layer, ground.base)])


def _laid_out(ground: Ground) -> GaugePlate:
    """Where each station lies, and what joins them."""
    stations = all_stations(ground)

    def of(row: Row) -> list[Station]:
        # the widest first, so that a row is deepest where the one before it is
        return sorted((s for s in stations if s.row == row), key=lambda s: (-s.wide, s.letters))

    free = ground.card.smallest_wall + ground.line / 2 + 0.05  # a wall beside a letter
    band = ground.letter + free + NEAR
    deep = max(each.deep for each in of("front"))
    front = tuple(  # what is less deep stands at their back, where the rings are joined to it
        replace(at, y=deep - at.station.deep)
        for at in _in_row(of("front"), 0.0, ROUND, ground.letter + ROUND / 2)
    )
    rings = _in_row(of("rings"), deep + band + ROUND, deep + NEAR)
    behind = max(at.y + at.station.deep for at in rings) + ROUND
    back = _in_row(of("back"), behind + band, behind + free)
    wide = max(_end(front), _end(rings)) + ROUND
    # bars meet the rings squarely: an edge along a ring would leave a crevice
    before = [_bar(at, deep + band - ROUND / 2) for at in rings]
    joints = (
        CrossSection.square((wide, band)).translate((0.0, deep)),
        *(_before(at, ground.letter + ROUND / 2) for at in front),
        CrossSection.square((_end(back) + ROUND, band)).translate((0.0, behind)),
        *before,
        _bar(rings[0], behind - 1.5 * ROUND),
    )
    beside = tuple(Placed(each, wide, ROUND, ("", 0.0, 0.0)) for each in of("right"))
    hanging = _hanging(of("hanging"), wide - CLEAR, behind, band, free)
    joints += tuple(_joined(at, behind + ROUND, 0.8 * ground.letter + 2 * free) for at in hanging)
    over = _in_row(of("behind"), _behind(back), 0.0)
    over = tuple(replace(at, letters=("", 0.0, 0.0)) for at in over)
    return GaugePlate(ground, (*front, *rings, *back, *hanging, *beside, *over), joints)


def _hanging(
    stations: Sequence[Station],
    right: Length,
    behind: Length,
    band: Length,
    free: Length,
) -> tuple[Placed, ...]:
    """Stations side by side before the back row, up to `right`, their letters behind each."""
    x = right - math.fsum(each.wide for each in stations) - BESIDE * (len(stations) - 1)
    out = []
    for each in stations:
        y = behind - band - each.deep
        out.append(Placed(each, x, y, (each.letters, x + free, behind - band + free / 2)))
        x += each.wide + BESIDE
    return tuple(out)


def _before(at: Placed, letters: Length) -> CrossSection:
    """The base under the letters beside a station of the front, as deep as the station."""
    plan = CrossSection.square((letters + 2 * ROUND, at.station.deep + 2 * ROUND))
    return plan.translate((at.x - letters - ROUND, at.y - ROUND))


def _joined(at: Placed, upto: Length, wide: Length) -> CrossSection:
    """What joins a hanging station to the back row: a bar with its letters on it."""
    begin = at.y + at.station.deep - ROUND
    plan = CrossSection.square((wide, upto - begin))
    return plan.translate((at.x, begin))


def _behind(back: Sequence[Placed]) -> Length:
    """Where the field of what stands behind the back row begins: it has room for jaws before it."""
    return back[0].y + back[0].station.deep + ROUND + CLEAR


def _in_row(
    stations: Sequence[Station], y: Length, letters_at: Length, behind: Length = 0.0
) -> tuple[Placed, ...]:
    """Stations side by side at y, each with its letters at the height of `letters_at`, beginning
    with the station, or so far before it."""
    out, x = [], ROUND
    for each in stations:
        out.append(Placed(each, x + behind, y, (each.letters, x, letters_at)))
        x += behind + each.wide + BESIDE
    return tuple(out)


def _bar(at: Placed, y: Length) -> CrossSection:
    """A bar from y to the wall of a ring, or from its wall on."""
    wide = min(BAR, at.station.wide / 3)
    left = at.x + (at.station.wide - wide) / 2
    return CrossSection.square((wide, 2.5 * ROUND)).translate((left, y))


def _end(row: Sequence[Placed]) -> Length:
    return max(at.x + at.station.wide for at in row)
