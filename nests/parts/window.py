"""The window: a bore in the floor to look or light through from below."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np

from nests.parts.answers import Shape
from nests.parts.base import Part
from nests.parts.drawn import BelowOpening, Drawn, Well
from nests.parts.feature import Feature
from nests.parts.site import Site
from nests.places import Place
from nests.solids.solid import OVER, along, gable, turned
from nests.units import BadInput, Hour, Length, hour, mm, said


@dataclass(frozen=True, kw_only=True)
class Window(Part):
    """Round opening in the floor, vented by a groove in the foot."""

    tag: ClassVar[str] = "window"
    goes_round: ClassVar[bool] = True
    widens: ClassVar[str] = "groove"
    narrows: ClassVar[str] = "groove"
    diameter: Length = mm(10.0, low=1.0, high=60.0, meaning="⌀ of the opening")
    at: Place = said("place of its middle", Place(0.0, 0.0))
    vent: Hour = hour(6.0, meaning="hour to which the groove in the foot runs")
    groove: Length = mm(2.0, low=0.5, high=6.0, meaning="width of the groove")

    def variants(self, site: Site) -> Iterator[Part]:
        """Smaller."""
        for share in (0.9, 0.8, 0.65):
            yield replace(self, diameter=round(self.diameter * share, 2))

    def lies(self, site: Site) -> None:
        """At a place."""

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Its ⌀: below the section where it lies in the middle, else in the plan."""
        if self.at.radius < 1e-6:
            return (BelowOpening(),)
        at, across = site.frame.place(self.at), site.card.inside(self.diameter)
        return (Well("", at, round(self.at.hour, 2), across),)

    def turned_alone(self) -> None:
        """It is bored."""

    def features(self, site: Site) -> tuple[Feature, ...]:
        """Nothing: one looks through it."""
        return ()

    def shape(self, site: Site) -> Shape:
        """Bore through the floor and groove with a pointed roof to the outer face."""
        if site.floor <= 0.0:
            raise BadInput("a window needs a floor; the body has none.")
        ridge = self.groove / 2 * site.rise
        if ridge > site.floor - site.card.smallest_wall:
            raise BadInput(
                f"window groove is {self.groove:g} mm wide and {ridge:.2f} mm high; the "
                f"floor of {site.floor:g} mm leaves too little above it."
            )
        at = site.frame.place(self.at)
        across = site.card.inside(self.diameter)
        bore = turned([(across, -OVER), (across, site.floor + 0.01)], site.chord, bore=True, at=at)
        angle = site.frame.angle(self.vent)
        middle = at.x * np.cos(angle) + at.y * np.sin(angle)
        run = along(
            gable(float(middle), site.outer(self.vent) + OVER, self.groove, 0.0, 0.0, site.rise),
            angle,
        )
        # open it below the plate's face so that the two meet without a skin
        open_foot = along(
            gable(float(middle), site.outer(self.vent) + OVER, self.groove, -OVER, OVER, site.rise),
            angle,
        )
        return Shape(cuts=bore + run + open_foot, room=True)
