"""Printers that are known, and what would be read on a gauge plate they printed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from nests.gauge.plate import GaugePlate
from nests.given.printer_card import PrinterCard
from nests.kinds.gauge_readings import GaugeReadings, GaugeRow


@cache
def blank() -> GaugeReadings:
    return GaugePlate.of(PrinterCard()).blank


@dataclass(frozen=True)
class Printer:
    """Offset and slope of what comes out beyond the drawing, by sort and axis; the standard
    deviation of a print, and of a reading; the finest and the largest that come out; how far the
    first layers spread on a side, in x and in y, and up to where."""

    bore_x: tuple[float, float] = (-0.060, 0.0010)
    bore_y: tuple[float, float] = (-0.060, 0.0010)
    pin: tuple[float, float] = (0.040, -0.0005)
    height: tuple[float, float] = (0.020, 0.0020)
    scatter: float = 0.012
    reading: float = 0.004
    finest: tuple[tuple[str, float], ...] = (
        ("wall", 0.4), ("gap", 0.2), ("fine bore", 0.5), ("fine pin", 0.5), ("line", 0.2),
        ("drain", 0.7),
    )  # fmt: skip
    largest: tuple[tuple[str, float], ...] = (
        ("overhang", 50.0), ("underside", 0.8), ("cup", 24.0), ("peel", 1e5),
    )  # fmt: skip
    foot: float = 0.09
    foot_y: float = 0.09
    foot_height: float = 0.32

    def off(self, row: GaugeRow) -> float:
        """What a row truly comes out beyond the drawing, but for scatter."""
        by = {"bore": {"x": self.bore_x, "y": self.bore_y}.get(row.axis, self.bore_x)}
        offset, slope = by.get(
            row.sort, {"pin": self.pin, "step": self.height}.get(row.sort, (0, 0))
        )
        return offset + slope * row.drawn

    def read(self, seed: int, times: int = 3) -> GaugeReadings:
        """The plate as it is read, to a micrometre."""
        rng = np.random.default_rng(seed)

        def read(row: GaugeRow) -> GaugeRow:
            if row.gauged:
                wider = 2 * (self.foot_y if row.axis == "y" else self.foot)
                in_foot = row.sort == "foot" and row.height < self.foot_height
                true = row.drawn + self.off(row) + (wider if in_foot else 0.0)
                true += rng.normal(0.0, self.scatter)
                many = true + rng.normal(0.0, self.reading, times)
                return replace(row, read=tuple(np.round(many, 3).tolist()))
            if row.sort in dict(self.largest):
                good = row.drawn <= dict(self.largest)[row.sort]
            else:
                good = row.drawn >= dict(self.finest)[row.sort]
            return replace(row, tried="good" if good else "bad")

        rows = tuple(map(read, blank().rows))
        return replace(blank(), rows=rows, date="2026-03-01", tool="caliper")
