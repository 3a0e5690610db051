"""What was read on a printed gauge plate, row by row, as it was read.

Every row says itself what was drawn, so that the readings can be used when the plate is drawn
otherwise one day.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import Literal, TypeAlias

from nests.kinds.kept import SIZE
from nests.units import BadInput, Length, Record, mm, prose, quantity, require_date, said

Sort: TypeAlias = Literal[
    "bore", "pin", "step", "foot", "above the foot", "wall", "gap", "fine bore", "fine pin",
    "line", "overhang", "underside", "drain", "cup", "peel",
]  # fmt: skip
"""What a row is of. The first five are gauged in mm, the others tried: good or bad."""
GAUGED: tuple[Sort, ...] = ("bore", "pin", "step", "foot", "above the foot")
Axis: TypeAlias = Literal["", "x", "y", "z"]


@dataclass(frozen=True, kw_only=True)
class GaugeRow(Record):
    """One row: what was drawn, and what was read of it."""

    name: str = said("name of the row, such as bore-12-x")
    sort: Sort = said("what it is of")
    axis: Axis = said("direction it is read in; none where there is none", "")
    drawn: float = quantity(
        "", low=0.0, high=1e5, meaning="as drawn: mm; degree of a lean, mm³ of a cup, mm² of a peel"
    )
    height: Length = mm(
        0.0, low=0.0, high=200.0, meaning="of a foot: height above the plate at which it begins"
    )
    read: tuple[float, ...] = said("readings in mm, one or several", ())
    tried: Literal["", "good", "bad"] = said("good or bad, of what is tried", "")

    def __post_init__(self) -> None:
        """Check that it is gauged or tried as its sort asks; raises `BadInput`."""
        super().__post_init__()
        for each in self.read:
            SIZE.check(self.name, each)
        if self.gauged and self.tried:
            raise BadInput(f"{self.name} is gauged in mm, not good or bad.")
        if self.read and not self.gauged:
            raise BadInput(f"{self.name} is good or bad, not gauged in mm.")

    @property
    def gauged(self) -> bool:
        """Whether it is gauged in mm, and not tried."""
        return self.sort in GAUGED

    @property
    def open(self) -> bool:
        """Whether nothing was read."""
        return not self.read and not self.tried

    @property
    def mean(self) -> Length:
        """Mean of its readings, mm."""
        return math.fsum(self.read) / len(self.read)


@dataclass(frozen=True, kw_only=True)
class GaugeReadings(Record):
    """The rows of one printed gauge plate."""

    printer: str = said("name of the printer card it was drawn for")
    layer: Length = mm(low=0.005, high=0.3, meaning="height of a layer it was printed in")
    tool: str = said("what it was gauged with", "")
    date: str = said("year-month-day, as the person gives it", "")
    note: str = prose("anything the person adds", "")
    rows: tuple[GaugeRow, ...] = said("the rows, in the order of the plate", ())

    def __post_init__(self) -> None:
        """Check date and names; raises `BadInput`."""
        super().__post_init__()
        require_date(self.date)
        for name, count in Counter(each.name for each in self.rows).items():
            if count > 1:
                raise BadInput(f"the row '{name}' stands {count} times; once is needed.")
