"""The hour marks: short strokes in the upper face at the hours of the dial."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from nests.parts.answers import Shape
from nests.parts.base import Part
from nests.parts.drawn import Drawn
from nests.parts.feature import Feature
from nests.parts.site import Site
from nests.solids.solid import OVER, Solid, block, union
from nests.units import BadInput, Hour, Length, mm, said

QUARTERS: tuple[Hour, ...] = (0.0, 3.0, 6.0, 9.0)
"""Hours whose stroke is the longer one, as on a dial; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class HourMarks(Part):
    """Strokes engraved along the hours, between the seat and the letters.

    They are hours of the dial: with the bridge side up they run the other way round.
    """

    tag: ClassVar[str] = "hour marks"
    strokes: ClassVar[bool] = True
    comfort: ClassVar[str] = "hour_marks"
    hours: tuple[float, ...] = said("hours that have a stroke", QUARTERS)
    out: Length = mm(1.3, low=0.3, high=30.0, meaning="from the workpiece's edge to the stroke")
    length: Length = mm(1.0, low=0.4, high=8.0, meaning="length of a stroke")
    quarter: Length = mm(1.8, low=0.4, high=8.0, meaning="length at 12, 3, 6 and 9 h")
    depth: Length = mm(0.4, low=0.1, high=1.5, meaning="depth of the strokes")
    line: Length = mm(0.4, low=0.1, high=1.0, meaning="width of a stroke")

    def lies(self, site: Site) -> None:
        """Round the axis."""

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Nothing: they are read in the plan, as letters are."""
        return ()

    def features(self, site: Site) -> tuple[Feature, ...]:
        """Nothing: they are read."""
        return ()

    def stands(self, site: Site) -> tuple[object, ...]:
        """A holder has one set of them."""
        return (self.tag,)

    def variants(self, site: Site) -> Iterator[Part]:
        """Shorter ones."""
        for share in (0.75, 0.5):
            length = round(max(self.length * share, 0.4), 2)
            yield replace(self, length=length, quarter=round(max(self.quarter * share, 0.4), 2))

    def stroke(self, site: Site, hour: Hour) -> Solid:
        """The stroke at an hour."""
        at = hour % 12.0
        inner = site.radius(at) + self.out
        long = self.quarter if at in QUARTERS else self.length
        wide = max(self.line, site.card.smallest_line)
        ends = site.top - self.depth, site.top + OVER
        return block(site.frame.angle(at), inner, inner + long, wide, *ends)

    def shape(self, site: Site) -> Shape:
        """All strokes."""
        if not self.hours:
            raise BadInput("hour marks hours is empty; at least one hour is needed.")
        wrong = [each for each in self.hours if not 0.0 <= each <= 12.0]
        if wrong:
            raise BadInput(f"hour marks hours has {wrong[0]:g}; allowed is 0 to 12 h.")
        return Shape(cuts=union(self.stroke(site, each) for each in self.hours))
