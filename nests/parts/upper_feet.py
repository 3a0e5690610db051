"""The upper feet: posts on the upper face on which the holder lies turned over."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from nests.parts.answers import Lie, Shape
from nests.parts.base import Part
from nests.parts.drawn import Bottom, Drawn
from nests.parts.feature import Feature
from nests.parts.site import Site
from nests.places import Place, at_hour
from nests.solids.solid import turned, union
from nests.units import BadInput, Hour, Length, mm, said

ROOT: Length = 0.5
"""mm by which a foot begins below the upper face, so that the two are one piece."""
TIP: Length = 0.3
"""mm of chamfer at a tip; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class UpperFeet(Part):
    """Round feet that stand higher than all that lies in the holder.

    Turned over, the holder stands on them, and nothing of the workpiece meets the bench.
    """

    tag: ClassVar[str] = "upper feet"
    telling: ClassVar[int] = 7
    comfort: ClassVar[str] = "upper_feet"
    thickens: ClassVar[str] = "diameter"
    hours: tuple[float, ...] = said("hours of the feet", (0.0, 4.0, 8.0))
    out: Length = mm(2.5, low=0.3, high=30.0, meaning="from the workpiece's edge to their middle")
    diameter: Length = mm(2.6, low=1.0, high=10.0, meaning="⌀ of a foot")
    height: Length = mm(low=0.2, high=30.0, meaning="height above the upper face")

    def lies(self, site: Site) -> Lie | None:
        """At the hour of the first, where a drawing cuts through."""
        hours = self.hours[:1]
        return Lie(hours[0], site.frame.angle(hours[0] % 12.0)) if hours else None

    def stands(self, site: Site) -> tuple[object, ...]:
        """A holder has one set of them."""
        return (self.tag,)

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """The height of their tips."""
        return (Bottom("tips"),)

    def features(self, site: Site) -> tuple[Feature, ...]:
        """That the print stands on all of them; common practice, no source."""
        return (
            Feature(
                "upper-feet",
                "upper feet",
                "turned over on a surface plate, empty",
                "trial",
                good="stands on all, no rock",
            ),
        )

    def place(self, site: Site, hour: Hour) -> Place:
        """Middle of the foot at an hour, in the holder frame."""
        return site.frame.place(at_hour(hour, site.radius(hour % 12.0) + self.out))

    def shape(self, site: Site) -> Shape:
        """The feet."""
        if len(self.hours) < 3:
            raise BadInput(f"upper feet hours has {len(self.hours)}; three are needed to stand on.")
        low, high = site.top - ROOT, site.top + self.height
        across = site.card.outside(self.diameter)
        tip = min(TIP, self.height / 2, across / 4)
        profile = [(across, low), (across, high - tip), (across - 2 * tip, high)]
        return Shape(
            adds=union(
                turned(profile, site.chord, at=self.place(site, each)) for each in self.hours
            )
        )
