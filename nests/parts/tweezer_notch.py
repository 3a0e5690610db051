"""The tweezer notch: room beside the rim and under it for the tips of tweezers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from nests.parts.answers import Lie, Shape
from nests.parts.base import Part
from nests.parts.drawn import Bottom, Drawn, Width
from nests.parts.feature import Feature, hyphened
from nests.parts.site import Site
from nests.solids.solid import OVER, Solid, block
from nests.units import BadInput, Hour, Length, dial_hour, hour, mm, printed


@dataclass(frozen=True, kw_only=True)
class TweezerNotch(Part):
    """Notch in the wall at one hour, from the top down to below the rim, open into the pocket.

    It goes through the ledge, so that a tip comes under the rim; the ledge carries nothing there.
    """

    tag: ClassVar[str] = "tweezer notch"
    spares: ClassVar[bool] = True
    telling: ClassVar[int] = 7
    comfort: ClassVar[str] = "tweezers"
    widens: ClassVar[str] = "width"
    narrows: ClassVar[str] = "width"
    at: Hour = hour(meaning="hour at its middle")
    width: Length = mm(2.5, low=0.8, high=8.0, meaning="width of the notch")
    out: Length = mm(2.0, low=0.5, high=15.0, meaning="from the workpiece's edge outward")
    under: Length = mm(0.8, low=0.2, high=5.0, meaning="room under the rim, down to the floor")
    inward: Length = mm(
        OVER, low=0.2, high=20.0, meaning="how far inside the edge it begins, in the pocket"
    )

    def label(self) -> str:
        """Named after its hour."""
        return f"tweezer notch at {dial_hour(self.at)} h"

    def moved_to(self, hour: Hour) -> TweezerNotch:
        """The same at another hour."""
        return replace(self, at=round(hour % 12.0, 3))

    def variants(self, site: Site) -> Iterator[Part]:
        """Narrower, or at an hour beside."""
        for share in (0.8, 0.65):
            yield replace(self, width=round(max(self.width * share, 0.8), 2))
        for step in (0.25, -0.25, 0.5, -0.5):
            yield self.moved_to(self.at + step)

    def lies(self, site: Site) -> Lie:
        """At its hour."""
        return Lie(self.at, site.frame.angle(self.at))

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Its width, and its bottom."""
        return (Width("", self.width, self.lies(site), outside=False), Bottom("bottom"))

    def features(self, site: Site) -> tuple[Feature, ...]:
        """That tweezers come in; common practice, no source."""
        return (
            Feature(
                hyphened(self.label()),
                self.label(),
                "tips of the tweezers, held empty into it",
                "trial",
                good="come in below the ledge, touch no wall",
            ),
        )

    def into(self, site: Site, pocket: Length) -> TweezerNotch:
        """Begun inside the pocket, over all its width: a ledge left before it made it a cup."""
        return replace(self, inward=site.runs_out(self.at, self.width, pocket))

    def bottom(self, site: Site) -> Length:
        """Holder z of its bottom, which is never below the floor of the pocket."""
        return max(site.seat - self.under, site.floor)

    def taken(self, site: Site, more: Length = 0.0) -> Solid:
        """What it cuts, grown by `more` mm to the sides, outward and down."""
        edge = site.radius(self.at)
        ends = edge - self.inward, edge + self.out + more
        low = self.bottom(site) - more
        return block(
            site.frame.angle(self.at), *ends, self.width + 2 * more, low, site.top + OVER
        )  # fmt: skip

    def shape(self, site: Site) -> Shape:
        """A radial cut open upward. Raises `BadInput` where it leaves no wall."""
        left = site.outer(self.at) - site.radius(self.at) - self.out
        if left < site.card.smallest_wall:
            raise BadInput(
                f"{self.label()} out is {self.out:g} mm; it leaves {printed(max(left, 0.0))} mm "
                f"of the wall, of which {printed(site.card.smallest_wall)} mm are needed."
            )
        return Shape(cuts=self.taken(site))
