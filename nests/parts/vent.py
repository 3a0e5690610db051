"""The vent: lets air and resin past a sealed pocket, at the end nearest the build plate."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from nests.parts.answers import Lie, Shape
from nests.parts.base import Part
from nests.parts.drawn import Channel, Drawn
from nests.parts.feature import Feature
from nests.parts.site import Site
from nests.solids.solid import OVER, along, gable
from nests.units import BadInput, Hour, Length, dial_hour, hour, mm, said


@dataclass(frozen=True, kw_only=True)
class Vent(Part):
    """Channel with a pointed roof from the pocket to the outer face.

    Flat on the plate a pocket is a cup whose ceiling is the plate or the floor: it must be open
    from its first layer.
    """

    tag: ClassVar[str] = "vent"
    shown_hidden: ClassVar[bool] = True
    lets_out: ClassVar[bool] = True
    widens: ClassVar[str] = "width"
    narrows: ClassVar[str] = "width"
    at: Hour = hour(meaning="hour it runs to")
    level: Literal["floor", "foot"] = said("on the floor of the pocket, or in the foot", "floor")
    width: Length = mm(2.0, low=0.6, high=8.0, meaning="width of the channel")

    inward: Length = mm(2.5, low=0.2, high=20.0, meaning="how far inside the edge it begins")

    def label(self) -> str:
        """Named after its hour."""
        return f"vent at {dial_hour(self.at)} h"

    def variants(self, site: Site) -> Iterator[Part]:
        """At hours beside, or narrower."""
        for step in (0.3, -0.3, 0.6, -0.6, 1.0, -1.0):
            yield self.moved_to(round((self.at + step) % 12.0, 3))
        if self.width > 1.2:
            yield replace(self, width=1.2)

    def moved_to(self, hour: Hour) -> Vent:
        """The same at another hour."""
        return replace(self, at=hour)

    def stands(self, site: Site) -> tuple[object, ...]:
        """One at an hour on each level."""
        return (*super().stands(site), self.level)

    def lies(self, site: Site) -> Lie:
        """At its hour."""
        return Lie(self.at, site.frame.angle(self.at))

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Its base."""
        return (Channel(self.lies(site), self.width),)

    def features(self, site: Site) -> tuple[Feature, ...]:
        """Nothing: it is seen whether it is open."""
        return ()

    def shape(self, site: Site) -> Shape:
        """A lying gable through the wall."""
        low = site.floor if self.level == "floor" else 0.0
        ridge = low + self.width / 2 * site.rise
        if ridge > site.seat - site.card.smallest_wall and self.level == "floor":
            raise BadInput(
                f"{self.label()} reaches {ridge:.2f} mm; the ledge at {site.seat:.2f} mm "
                "leaves too little above it: a narrower vent or more room under."
            )
        inner, outer = site.radius(self.at) - self.inward, site.outer(self.at) + OVER
        below = OVER if self.level == "foot" else 0.0
        cut = gable(inner, outer, self.width, low - below, below, site.rise)
        return Shape(cuts=along(cut, site.frame.angle(self.at)))
