"""The mould: a ring in which a flat soft pad is cast. Never for work on a movement."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from nests.parts.answers import Cast, Lie, Shape
from nests.parts.base import Part
from nests.parts.drawn import Drawn, Width
from nests.parts.feature import Feature
from nests.parts.site import Site
from nests.solids.solid import OVER, block, turned
from nests.units import BadInput, Hour, Length, hour, mm


@dataclass(frozen=True, kw_only=True)
class Mould(Part):
    """Through-bore of a body without floor, and a slit that lets the pad out.

    It stands on glass while the pad sets; tape closes the slit. The slit is also its vent.
    """

    tag: ClassVar[str] = "mould"
    casts: ClassVar[bool] = True
    takes_workpiece: ClassVar[bool] = True
    goes_round: ClassVar[bool] = True
    telling: ClassVar[int] = 7
    widens: ClassVar[str] = "slit"
    diameter: Length = mm(40.0, low=5.0, high=90.0, meaning="⌀ of the pad")
    slit: Length = mm(0.8, low=0.2, high=3.0, meaning="width of the slit")
    slit_hour: Hour = hour(6.0, meaning="hour of the slit")

    def stands(self, site: Site) -> tuple[object, ...]:
        """One seat takes the workpiece, whatever its sort."""
        return ("seat",)

    def shape(self, site: Site) -> Shape:
        """Bore and slit."""
        if site.floor > 0.0:
            raise BadInput(f"a mould needs a body without a floor; floor is {site.floor:g} mm.")
        bore = site.card.inside(self.diameter)
        hole = turned([(bore, -OVER), (bore, site.top + OVER)], site.chord, bore=True)
        outer = site.outer(self.slit_hour)
        if bore / 2 > outer - site.card.smallest_wall:
            raise BadInput(
                f"mould diameter is {self.diameter:g} mm; the body of {2 * outer:.2f} mm "
                "leaves no wall."
            )
        slit = block(
            site.frame.angle(self.slit_hour),
            bore / 2 - OVER,
            outer + OVER,
            self.slit,
            -OVER,
            site.top + OVER,
        )
        return Shape(cuts=hole + slit, room=True)

    def features(self, site: Site) -> tuple[Feature, ...]:
        """What shapes the pad, and the first one; common practice, no source."""
        inside, first = "inside of the ring", "first casting"
        take = "take the pad out when it has set"
        return (
            Feature("inside", inside, "loupe", "trial", good="no burr, no drop of resin"),
            Feature("first-casting", first, take, "trial", good="comes out whole, lies flat"),
        )

    def cast(self, site: Site) -> Cast:
        """The pad, level with the top."""
        pad = turned([(self.diameter, 0.0), (self.diameter, site.top)], site.chord)
        return Cast(self.diameter, pad)

    def lies(self, site: Site) -> Lie:
        """Along its slit."""
        return Lie(self.slit_hour, site.frame.angle(self.slit_hour))

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """The slit."""
        return (Width("slit", self.slit, self.lies(site)),)

    def bore_names(self, count: int) -> list[str]:
        """One bore."""
        return ["mould bore"] * count
