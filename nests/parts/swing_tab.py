"""The swing tab: a small plate on a screw that swings over the rim."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np
from manifold3d import Manifold

from nests.parts.answers import Contact, Fitting, Grip, Lie, Plate, Serves, Shape
from nests.parts.base import Part
from nests.parts.clip import Line
from nests.parts.drawn import Bottom, Drawn, Well
from nests.parts.feature import LOOSE, Feature
from nests.parts.metal import LENGTHS, Bought, longest_of, thread
from nests.parts.site import Site
from nests.places import Place
from nests.solids.loops import circle
from nests.solids.solid import OVER, Solid, along, block, gable, turned
from nests.units import BadInput, Hour, Length, dial_hour, hour, mm

END: Length = 0.5
"""mm of a bore that its screw leaves free, at least; from memory."""


@dataclass(frozen=True, kw_only=True)
class SwingTab(Part):
    """Bore for a screw beside the seat, and a tab that lies on the rim's upper face.

    The tab is printed beside the holder. The chamfered face lies on the plate and looks up in use;
    the groove across it vents the bore in print.
    """

    tag: ClassVar[str] = "swing tab"
    telling: ClassVar[int] = 6
    wall_taken: ClassVar[Length] = 7.0
    """mm of wall it takes; from trying."""
    at: Hour = hour(meaning="hour of the screw")
    core: Length = mm(1.25, low=0.5, high=3.0, meaning="⌀ bored for the screw's thread")
    screw: Length = mm(1.6, low=0.6, high=4.0, meaning="⌀ of the screw")
    out: Length = mm(3.0, low=1.5, high=20.0, meaning="from the rim's edge to the screw")
    over: Length = mm(0.8, low=0.2, high=3.0, meaning="how far the tab lies over the rim")
    width: Length = mm(4.5, low=2.0, high=12.0, meaning="width of the tab")
    thickness: Length = mm(1.5, low=0.6, high=8.0, meaning="thickness of the tab")
    depth: Length = mm(5.0, low=1.5, high=20.0, meaning="depth of the bore")

    def label(self) -> str:
        """Named after its hour."""
        return f"swing tab at {dial_hour(self.at)} h"

    def features(self, site: Site) -> tuple[Feature, ...]:
        """That what is printed beside the holder moves freely."""
        return (LOOSE,)

    def shape(self, site: Site) -> Shape:
        """A boss up to the rim's face with a blind bore that weeps outward; the tab beside."""
        thread(self.screw)  # one that is made
        rim = site.seat + site.sheet.rim
        if rim < site.top - 1e-9:
            raise BadInput(
                f"{self.label()} would lie {site.top - rim:.2f} mm below the body's top; "
                "the seat must be shallower than the rim."
            )
        edge = site.radius(self.at) + site.sheet.edge(site.side_up)[0]
        at = Place(edge + self.out, 0.0)
        boss = self.core + 2 * max(site.card.smallest_wall, 1.0)
        end = rim - self.depth
        if end < 0.5:
            raise BadInput(
                f"{self.label()}: the bore would end {end:.2f} mm above the bench; "
                "at least 0.5 mm is needed."
            )
        adds = turned([(boss, site.top - 0.5), (boss, rim)], site.chord, at=at)
        bore = site.card.inside(self.core)
        drill = turned([(bore, end), (bore, rim + OVER)], site.chord, bore=True, at=at)
        wide = max(site.card.smallest_hole, 0.6)
        weep = gable(at.x, site.outer(self.at) + OVER, wide, end, 0.3, site.rise)
        angle = site.frame.angle(self.at)
        return Shape(
            adds=along(adds - drill, angle),
            cuts=along(drill + weep, angle),
            beside=((f"{self.label()} plate", self._tab(site)),),
        )

    def _tab(self, site: Site) -> Solid:
        far = max(self.out + self.over - self.width / 2, 0.1)
        foot = min(site.card.least_foot, self.width / 4, self.thickness / 2 / site.rise)
        levels = ((self.width - 2 * foot, 0.0), (self.width, foot * site.rise))
        corners = [
            (x + shift, y, z)
            for across, z in (*levels, (self.width, self.thickness))
            for x, y in circle(across, site.chord).shaft(0.0)
            for shift in (0.0, far)
        ]
        hole = site.card.inside(self.screw + 0.2)
        bore = turned([(hole, -OVER), (hole, self.thickness + OVER)], site.chord, bore=True)
        wide = max(site.card.smallest_hole, 0.6)
        groove = gable(-self.width, 0.0, wide, -OVER, OVER, site.rise)
        return Manifold.hull_points(np.array(corners)) - bore - groove

    def contacts(self, site: Site) -> tuple[Contact, ...]:
        """The tab on the rim's upper face."""
        edge = site.radius(self.at) + site.sheet.edge(site.side_up)[0] - self.over / 2
        angle = site.frame.angle(self.at)
        at = (edge * math.cos(angle), edge * math.sin(angle), site.seat + site.sheet.rim)
        return (Contact(self.label(), "rim", at, self.over * self.width / 2, above=True),)

    @property
    def slit(self) -> Length:
        """Nothing beside it is free."""
        return 0.0

    @property
    def overlap(self) -> Length:
        """How far it lies over the rim."""
        return self.over

    def set_at(self, site: Site, at: Hour) -> SwingTab:
        """The same at another hour."""
        return replace(self, at=at)

    def line(self, site: Site) -> Line:
        """The radius it lies along."""
        return Line(site.frame.angle(self.at), site.radius(self.at), 0.0)

    def serves(self) -> Serves:
        """It holds."""
        return Serves(holds=True)

    def holding(self, site: Site) -> Grip:
        """As a plate under a screw."""
        made = Plate(
            self.over, self.out, self.width, self.thickness, self.screw, self.core, self.depth
        )
        return Grip(self.tag, self.at, self.width, self.contacts(site)[0].place, made)

    def bought(self, site: Site) -> tuple[Bought, ...]:
        """Its screw, as long as tab and bore take."""
        size = thread(self.screw)
        length = longest_of(LENGTHS, self.thickness + self.depth - END)
        if length is None:
            raise BadInput(
                f"{self.label()}: a tab {self.thickness:g} mm thick over a bore {self.depth:g} mm "
                f"deep takes no screw; the shortest is {LENGTHS[0]:g} mm."
            )
        what = f"cheese head screw ISO 1207, {size.name} × {length:g}"
        return (Bought(what, f"tap the bore {size.name}", self.label()),)

    def fittings(self, site: Site) -> tuple[Fitting, ...]:
        """The plate, printed apart, turned over the rim; square at both ends."""
        edge = site.radius(self.at) + site.sheet.edge(site.side_up)[0]
        low = site.seat + site.sheet.rim
        outer = edge + self.out + self.width / 2
        angle = site.frame.angle(self.at)
        plate = block(angle, edge - self.over, outer, self.width, low, low + self.thickness)
        return (Fitting(f"{self.label()} plate", plate, metal=False),)

    def lies(self, site: Site) -> Lie:
        """At its hour."""
        return Lie(self.at, site.frame.angle(self.at))

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Its boss and the bore for the screw."""
        out = site.radius(self.at) + site.sheet.edge(site.side_up)[0] + self.out
        angle = site.frame.angle(self.at)
        at = Place(out * math.cos(angle), out * math.sin(angle))
        return (Bottom("boss"), Well("bore", at, self.at, site.card.inside(self.core)))
