"""The seat below: a second seat in the lower face of a ring, for another diameter."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from nests.parts.answers import MOST_PLAY, Seat, Shape
from nests.parts.base import Part
from nests.parts.drawn import BelowOpening, Drawn
from nests.parts.feature import Feature, round_bore
from nests.parts.site import Site
from nests.solids.solid import OVER, turned
from nests.units import BadInput, Length, mm, printed


@dataclass(frozen=True, kw_only=True)
class SeatBelow(Part):
    """Bore and short ledge in the underside of a body without a floor.

    Printed over nothing, the ledge is level only as far as the card's longest level underside
    allows; from there it climbs as steeply as the card asks.
    """

    tag: ClassVar[str] = "seat below"
    goes_round: ClassVar[bool] = True
    hangs: ClassVar[str] = "ledge"
    diameter: Length = mm(low=5.0, high=70.0, meaning="⌀ of the workpiece held below")
    play: Length = mm(0.10, low=0.0, high=1.0, meaning="play of the rim in the bore, on the ⌀")
    depth: Length = mm(1.2, low=0.2, high=6.0, meaning="depth of the seat")
    ledge: Length = mm(0.5, low=0.2, high=3.0, meaning="width of the level ledge")
    lead_in: Length = mm(0.4, low=0.0, high=2.0, meaning="chamfer at the mouth of the bore")

    def features(self, site: Site) -> tuple[Feature, ...]:
        """The bore."""
        return (round_bore("seat-below", "the seat below", self.diameter + self.play, site),)

    def seats(self, site: Site) -> tuple[Seat, ...]:
        """The seat in the foot, with the holder laid on its upper face."""
        bore = self.diameter + self.play
        return (
            Seat(
                name="seat below",
                holds="the workpiece below",
                size=self.diameter,
                out=0.0,
                measured=(),
                low=0.0,
                high=self.depth,
                bore=bore,
                takes=self.diameter,
                ledge=site.top - self.depth,
                opening=bore - 2 * self.ledge,
                mouth=site.top - self.lead_in * site.rise,
                top=site.top,
                floor=0.0,
                most=MOST_PLAY,
                wanted=f"play {printed(self.play)}",
                in_foot=True,
            ),
        )

    def lies(self, site: Site) -> None:
        """Round the axis."""

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Its ⌀."""
        return (BelowOpening(),)

    def shape(self, site: Site) -> Shape:
        """The cut from below, up to the bore of the seat above."""
        if site.floor > 0.0:
            raise BadInput(
                f"a seat below needs a body without a floor; floor is {site.floor:g} mm."
            )
        if self.ledge > site.card.longest_underside + 1e-9:
            raise BadInput(
                f"seat below ledge is {self.ledge:g} mm; the printer card allows a level "
                f"underside of {site.card.longest_underside:g} mm."
            )
        bore = site.card.inside(self.diameter + self.play)
        edge = bore - 2 * self.ledge
        climb = site.seat - OVER - self.depth
        if climb <= 0.0:
            raise BadInput(
                f"seat below depth is {self.depth:g} mm; the seat above leaves "
                f"{site.seat - OVER:g} mm."
            )
        narrow = max(0.2, edge - 2 * climb / site.rise)
        cut = turned(
            [
                (bore + 2 * self.lead_in, -OVER),
                (bore + 2 * self.lead_in, 0.0),
                (bore, self.lead_in * site.rise),
                (bore, self.depth),
                (edge, self.depth),
                (narrow, self.depth + climb),
            ],
            site.chord,
            bore=True,
        )
        return Shape(cuts=cut, room=True)
