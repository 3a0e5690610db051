"""One bias from the rows of one sort: printed minus drawn, as a straight line over the size drawn.

Repeated readings of one row tell how well it was read; what the printer does differs from row to
row. So a row is one point, the mean of its readings: three readings of one bore are not three
bores. x and y have a line each only where Fisher's F says that one line does not do for both.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from nests.kinds.gauge_readings import GaugeRow
from nests.statistics.line import Line, coverage_factor, f_exceeded, straight_line
from nests.units import Length

APART = 0.01
"""Chance at which scatter alone would tell x and y apart that are one; common practice, no
source."""
FEWEST = 3
"""Rows from which a line has an uncertainty."""

Field = Literal["inside_bias", "outside_bias", "height_bias"]


@dataclass(frozen=True)
class Bias:
    """A bias as offset and slope over the size drawn, with the covariance of both.

    `field` is that of the card. Where x and y are told `apart`, `offset` and `slope` are the mean
    of both, and `offset_apart`, `slope_apart` what x has more than y. `chance` is that of telling
    them apart by scatter alone, None where there was nothing to tell.
    """

    field: Field
    rows: tuple[GaugeRow, ...]
    lines: tuple[tuple[str, Line], ...]
    offset: Length
    slope: float
    covariance: tuple[tuple[float, float], tuple[float, float]]
    spread: Length
    freedom: int
    chance: float | None = None
    offset_apart: Length = 0.0
    slope_apart: float = 0.0

    @property
    def apart(self) -> bool:
        """Whether x and y have a line each."""
        return len(self.lines) > 1

    @property
    def factor(self) -> float:
        """Student's t for what is left free."""
        return coverage_factor(self.freedom)

    @property
    def offset_doubt(self) -> Length:
        """± of the offset that holds 95 %."""
        return self.factor * math.sqrt(self.covariance[0][0])

    @property
    def slope_doubt(self) -> float:
        """± of the slope that holds 95 %."""
        return self.factor * math.sqrt(self.covariance[1][1])

    @property
    def correlation(self) -> float:
        """Correlation of offset and slope."""
        both = math.sqrt(self.covariance[0][0] * self.covariance[1][1])
        return self.covariance[0][1] / both if both else 0.0

    def at(self, drawn: Length) -> Length:
        """The bias at a size drawn."""
        return self.offset + self.slope * drawn

    def doubt(self, drawn: Length) -> Length:
        """± of that which holds 95 %."""
        row = np.array((1.0, drawn))
        return self.factor * math.sqrt(max(float(row @ np.array(self.covariance) @ row), 0.0))

    @property
    def readings(self) -> int:
        """How many readings it was taken from."""
        return sum(len(row.read) for row in self.rows)

    def odd(self) -> tuple[tuple[GaugeRow, Length], ...]:
        """Rows that do not go with the others, and how far they lie off their line."""
        out = []
        for axis, line in self.lines:
            own = [row for row in self.rows if not axis or row.axis == axis]
            out += [(own[k], float(line.residuals[k])) for k in line.outliers()]
        return tuple(out)


def bias(field: Field, rows: Sequence[GaugeRow]) -> Bias | None:
    """The bias that rows show; None where too few were read, or all at one size."""
    read = tuple(row for row in rows if row.read)
    if len(read) < FEWEST or len({row.drawn for row in read}) < 2:
        return None
    whole = _line(read)
    one = Bias(
        field, read, (("", whole),), whole.intercept, whole.slope, _pairs(whole.covariance),
        whole.residual_sd, whole.freedom,
    )  # fmt: skip
    ways = {axis: tuple(row for row in read if row.axis == axis) for axis in ("x", "y")}
    if any(len(own) < FEWEST or len({r.drawn for r in own}) < 2 for own in ways.values()):
        return one
    x, y = (_line(own) for own in ways.values())
    freedom = x.freedom + y.freedom
    squares = math.fsum(each.residual_sd**2 * each.freedom for each in (x, y))
    joint = whole.residual_sd**2 * whole.freedom
    variance = squares / freedom
    gain = max(joint - squares, 0.0) / (whole.freedom - freedom)
    ratio = gain / variance if variance > 0.0 else (math.inf if gain > 0.0 else 0.0)
    chance = f_exceeded(ratio, whole.freedom - freedom, freedom) if math.isfinite(ratio) else 0.0
    if chance > APART:
        return Bias(**{**vars(one), "chance": chance})
    # one scatter for both: what each has by itself is known to fewer degrees of freedom
    shares = [each.covariance * (variance / each.residual_sd**2) if each.residual_sd else
              each.covariance for each in (x, y)]  # fmt: skip
    return Bias(
        field,
        read,
        (("x", x), ("y", y)),
        (x.intercept + y.intercept) / 2,
        (x.slope + y.slope) / 2,
        _pairs((shares[0] + shares[1]) / 4),
        math.sqrt(variance),
        freedom,
        chance,
        x.intercept - y.intercept,
        x.slope - y.slope,
    )


def _line(rows: Sequence[GaugeRow]) -> Line:
    return straight_line([row.drawn for row in rows], [row.mean - row.drawn for row in rows])


def _pairs(matrix: np.ndarray) -> tuple[tuple[float, float], tuple[float, float]]:
    (a, b), (c, d) = matrix.tolist()
    return (a, b), (c, d)
