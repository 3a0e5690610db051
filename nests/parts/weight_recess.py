"""The weight recess: room in the foot for a round weight, so that the holder stands heavier."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from nests.given.printer_card import PrinterCard
from nests.parts.answers import Fitting, Shape
from nests.parts.base import Part
from nests.parts.drawn import Ceiling, Drawn, Well
from nests.parts.feature import Feature, open_width
from nests.parts.heights import level_within
from nests.parts.metal import Bought
from nests.parts.site import Site
from nests.places import Place
from nests.solids.solid import OVER, Solid, along, gable, turned
from nests.units import BadInput, Hour, Length, dial_hour, hour, mm, printed, said

INSIDE: Length = 0.3
"""mm by which the weight stays above the bench; from memory."""
OPENS: Length = 0.01
"""mm by which the opening runs out above the floor of the pocket."""
BRASS = 8.5
"""g/cm³ of free-cutting brass; from memory."""


@dataclass(frozen=True, kw_only=True)
class WeightRecess(Part):
    """Bore from below up to a short ledge, against which the weight is glued, and a groove in the
    foot, by which resin and air come out.

    The bore is open into the pocket above, over all but the ledge: a whole ceiling would hang.
    """

    tag: ClassVar[str] = "weight recess"
    comfort: ClassVar[str] = "weight"
    widens: ClassVar[str] = "groove"
    narrows: ClassVar[str] = "groove"
    hangs: ClassVar[str] = "ledge"
    diameter: Length = mm(low=3.0, high=100.0, meaning="⌀ of the weight")
    height: Length = mm(low=1.0, high=18.0, meaning="height of the weight")
    play: Length = mm(0.2, low=0.02, high=1.0, meaning="play of the weight, on the ⌀, for glue")
    ledge: Length = mm(0.45, low=0.2, high=3.0, meaning="width of the level ledge above it")
    at: Place = said("place of its middle", Place(0.0, 0.0))
    vent: Hour = hour(6.0, meaning="hour to which the groove in the foot runs")
    groove: Length = mm(2.0, low=0.5, high=6.0, meaning="width of the groove")

    @property
    def deep(self) -> Length:
        """Depth of the recess, mm."""
        return self.height + INSIDE

    @property
    def grams(self) -> float:
        """Mass of the weight in brass."""
        return BRASS * math.pi / 4 * self.diameter**2 * self.height / 1000.0

    def least_floor(self, card: PrinterCard) -> Length:
        """Thickness of a floor that leaves a ledge over it that stands."""
        return round(self.deep + max(1.0, card.smallest_wall + 0.2), 6)

    def drawn_across(self, site: Site) -> Length:
        """⌀ of the recess to draw."""
        return site.card.inside(self.diameter + self.play)

    def place(self, site: Site) -> Place:
        """Its middle in the holder frame."""
        return site.frame.place(self.at)

    def variants(self, site: Site) -> Iterator[Part]:
        """With its groove to another hour."""
        if self.at.radius < 1e-6:
            for turn in (3.0, 6.0, 9.0, 1.5):
                yield replace(self, vent=(self.vent + turn) % 12.0)

    def lies(self, site: Site) -> None:
        """At a place."""

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Its ⌀, the weight that goes in, and the height of the ledge over it."""
        asked = f"play {printed(self.play)}"
        across = self.drawn_across(site)
        well = Well("", self.place(site), self.vent, across, self.diameter, asked)
        return (well, Ceiling("ledge over the weight"))

    def features(self, site: Site) -> tuple[Feature, ...]:
        """Its ⌀ and its depth, and that the weight, once in, does not carry the holder."""
        return (
            open_width(
                "weight-recess",
                f"⌀ of the {self.label()}",
                "caliper jaws, from below, at three hours",
                self.diameter + self.play,
                site,
            ),
            Feature(
                "weight-recess-depth",
                f"depth of the {self.label()}",
                "depth gauge from the foot to the ledge",
                "outer",
                self.deep,
                level_within(site, self.deep),
            ),
        )

    def fittings(self, site: Site) -> tuple[Fitting, ...]:
        """The weight against its ledge."""
        profile = [(self.diameter, INSIDE), (self.diameter, self.deep)]
        return (Fitting("weight", turned(profile, site.chord, at=self.place(site))),)

    def bought(self, site: Site) -> tuple[Bought, ...]:
        """The weight, and how it is held."""
        return (
            Bought(
                f"round weight ⌀{printed(self.diameter, 1)} × {printed(self.height, 1)} mm",
                f"brass or steel, edges broken, glued in from below, {INSIDE:g} mm inside the foot",
                self.label(),
            ),
        )

    def way_out(self, site: Site) -> Solid:
        """The groove in the foot from the recess to the outer face, with a pointed roof."""
        angle, at = site.frame.angle(self.vent), self.place(site)
        begins = at.x * math.cos(angle) + at.y * math.sin(angle)
        ends = begins, site.outer(self.vent) + OVER, self.groove
        # begun below the plate's face, so that the two meet without a skin
        return along(gable(*ends, -OVER, OVER, site.rise), angle)

    def shape(self, site: Site) -> Shape:
        """Bore, opening and groove. Raises `BadInput` where there is no floor for them, or the
        groove does not lead out of the recess."""
        if site.floor < self.least_floor(site.card) - 1e-6:
            raise BadInput(
                f"{self.label()}: a weight {self.height:g} mm high needs a floor of "
                f"{printed(self.least_floor(site.card))} mm; floor is {site.floor:g} mm."
            )
        if self.ledge > site.card.longest_underside + 1e-9:
            raise BadInput(
                f"{self.label()} ledge is {self.ledge:g} mm; the printer card allows a level "
                f"underside of {site.card.longest_underside:g} mm."
            )
        across, at, angle = self.drawn_across(site), self.place(site), site.frame.angle(self.vent)
        aside = abs(at.y * math.cos(angle) - at.x * math.sin(angle))
        if aside > across / 2 - self.groove / 2:
            raise BadInput(
                f"{self.label()} vent is {dial_hour(self.vent)} h; its groove would pass "
                f"{printed(aside)} mm beside the middle of the recess."
            )
        foot, top = site.card.least_foot, site.floor + OPENS
        opening = across - 2 * self.ledge
        bore = turned(
            [
                (across + 2 * foot, -OVER),
                (across + 2 * foot, 0.0),
                (across, foot * site.rise),
                (across, self.deep),
                (opening, self.deep),
                (opening, top),
            ],
            site.chord,
            bore=True,
            at=at,
        )
        return Shape(cuts=bore + self.way_out(site))
