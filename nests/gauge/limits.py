"""What still comes out: of rows that are good or bad, the finest good one before the first bad."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nests.given.printer_card import PrinterCard
from nests.kinds.gauge_readings import GaugeRow, Sort

FIGURES: dict[Sort, tuple[str, int]] = {
    "wall": ("smallest_wall", -1),
    "gap": ("smallest_gap", -1),
    "fine bore": ("smallest_hole", -1),
    "fine pin": ("smallest_pin", -1),
    "line": ("smallest_line", -1),
    "overhang": ("overhang", 1),
    "underside": ("longest_underside", 1),
    "drain": ("smallest_drain", -1),
    "cup": ("largest_cup", 1),
    "peel": ("largest_peel", 1),
}
"""The figure of the card each sort tells, and which way it becomes harder: down or up."""

BOUNDS = ("largest_peel",)
"""Figures of which a plate has one row only: that it came out shows no more than a lower bound."""


@dataclass(frozen=True)
class Limit:
    """A figure: the last that came out, the first that did not (None where all did), how many were
    tried, and rows that came out beyond one that did not."""

    figure: str
    value: float | None
    beyond: float | None
    tried: int
    odd: tuple[GaugeRow, ...] = ()

    @property
    def harder(self) -> int:
        """Which way it becomes harder: 1 up, -1 down."""
        return next(way for figure, way in FIGURES.values() if figure == self.figure)

    def only_a_bound(self, card: PrinterCard) -> bool:
        """Whether all it shows is that a figure which the card has as large is no less."""
        if self.value is None or self.beyond is not None or self.figure not in BOUNDS:
            return False
        return bool(self.value <= getattr(card, self.figure))

    def contradicts(self, card: PrinterCard) -> bool:
        """Whether something did not come out that should, by the card."""
        if self.beyond is None:
            return False
        return bool(self.harder * (getattr(card, self.figure) - self.beyond) >= 0.0)

    @property
    def doubt(self) -> float | None:
        """How much nearer to `beyond` it may truly lie; None where all came out."""
        if self.value is None or self.beyond is None:
            return None
        return abs(self.value - self.beyond)


def limit(sort: Sort, rows: Sequence[GaugeRow]) -> Limit | None:
    """What the rows of one sort tell; None where none was tried."""
    figure, way = FIGURES[sort]
    tried = sorted((r for r in rows if r.sort == sort and r.tried), key=lambda r: way * r.drawn)
    if not tried:
        return None
    bad = next((k for k, row in enumerate(tried) if row.tried == "bad"), len(tried))
    value = tried[bad - 1].drawn if bad else None
    beyond = tried[bad].drawn if bad < len(tried) else None
    odd = tuple(row for row in tried[bad:] if row.tried == "good")
    return Limit(figure, value, beyond, len(tried), odd)
