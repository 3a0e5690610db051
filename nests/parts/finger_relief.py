"""The finger relief: a cut in the wall where fingers take the rim."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from nests.parts.answers import Lie, Shape
from nests.parts.base import LITTLE, Part
from nests.parts.drawn import Bottom, Drawn, Width
from nests.parts.feature import Feature
from nests.parts.site import Site
from nests.solids.solid import OVER, block
from nests.units import BadInput, Hour, Length, dial_hour, hour, mm


@dataclass(frozen=True, kw_only=True)
class FingerRelief(Part):
    """Cut through the wall at one hour, from the top down to just above the ledge."""

    tag: ClassVar[str] = "finger relief"
    telling: ClassVar[int] = LITTLE
    widens: ClassVar[str] = "width"
    narrows: ClassVar[str] = "width"
    at: Hour = hour(meaning="hour at its middle")
    width: Length = mm(9.0, low=3.0, high=30.0, meaning="width of the cut")
    above: Length = mm(0.3, low=0.0, high=5.0, meaning="how far above the ledge it ends")

    def label(self) -> str:
        """Named after its hour."""
        return f"finger relief at {dial_hour(self.at)} h"

    def variants(self, site: Site) -> Iterator[Part | None]:
        """Narrower, at an hour beside, or not at all: tweezers reach the rim from above, too."""
        for share in (0.75, 0.55):
            if self.width * share >= 3.0:
                yield replace(self, width=round(self.width * share, 2))
        for step in (0.25, -0.25, 0.5, -0.5):
            yield replace(self, at=round((self.at + step) % 12.0, 3))
        yield None

    def lies(self, site: Site) -> Lie:
        """At its hour."""
        return Lie(self.at, site.frame.angle(self.at))

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Its width, and its bottom."""
        return (Width("", self.width, self.lies(site)), Bottom("bottom"))

    def features(self, site: Site) -> tuple[Feature, ...]:
        """Nothing: no size of it decides."""
        return ()

    def shape(self, site: Site) -> Shape:
        """A radial cut open upward."""
        low = site.seat + self.above
        if low >= site.top:
            raise BadInput(
                f"{self.label()} above is {self.above:g} mm; less than the seat's depth, "
                f"{site.body.depth:g} mm, is needed."
            )
        outer = site.outer(self.at)
        half = math.degrees(math.atan2(self.width / 2, site.radius(self.at))) / 30.0
        hours = (self.at - half, self.at, self.at + half)
        inner = min(site.radius(h % 12.0) for h in hours) - 2 * OVER
        return Shape(
            cuts=block(
                site.frame.angle(self.at), inner, outer + OVER, self.width, low, site.top + OVER
            )
        )
