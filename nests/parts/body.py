"""The body: what the holder is cut from, standing flat on the bench and on the build plate."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

import numpy as np

from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.parts.answers import Shape
from nests.parts.base import Part
from nests.parts.drawn import Drawn
from nests.parts.feature import Feature
from nests.parts.site import Site
from nests.places import Points, Side
from nests.solids.loops import Loop, circle
from nests.solids.solid import loft
from nests.units import Length, mm, said


@dataclass(frozen=True, kw_only=True)
class Body(Part):
    """Solid block round the workpiece; its lower face is the foot, both faces can carry a seat."""

    tag: ClassVar[str] = "body"
    goes_round: ClassVar[bool] = True
    thickens: ClassVar[str] = "wall"
    follow: Literal["circle", "outline"] = said("whether it is round or follows the edge", "circle")
    wall: Length = mm(8.0, low=2.0, high=40.0, meaning="from the workpiece to the outer face")
    floor: Length = mm(2.0, low=0.0, high=20.0, meaning="thickness of the floor, 0 for a ring")
    under: Length = mm(0.8, low=0.0, high=20.0, meaning="room under the lowest point")
    depth: Length = mm(1.2, low=0.2, high=15.0, meaning="how deep the rim sits in the body")
    height: Length | None = mm(
        None, low=1.0, high=60.0, meaning="height of the body, if it does not follow from the seat"
    )
    foot_chamfer: Length = mm(0.5, low=0.0, high=2.0, meaning="chamfer at the foot")
    edge_chamfer: Length = mm(0.4, low=0.0, high=2.0, meaning="chamfer at the upper edge")

    def loop(self, site: Site) -> tuple[Loop, Length]:
        """The edge the outer face is parallel to, and by how much it stands out."""
        if self.follow == "outline":
            return site.edge(), self.wall
        widest = site.sheet.outline
        if isinstance(widest, Round):
            diameter = widest.diameter
        else:
            corners = site.edge().bore(0.0)
            diameter = 2 * float(np.max(np.hypot(*corners.T)))
        return circle(diameter + 2 * self.wall, site.chord), 0.0

    def plan(self, site: Site) -> Points:
        """Outer face in plan."""
        edge, wall = self.loop(site)
        return edge.shaft(wall)

    def lies(self, site: Site) -> None:
        """Round the axis."""

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Nothing of its own: every drawing gives its size and its edges."""
        return ()

    def features(self, site: Site) -> tuple[Feature, ...]:
        """Nothing of its own: the foot of every print is looked at."""
        return ()

    def shape(self, site: Site) -> Shape:
        """The block with both edges chamfered."""
        edge, wall = self.loop(site)
        foot, top, rim = self.foot_chamfer, site.top, self.edge_chamfer
        rings = [(wall, foot * site.rise), (wall, top - rim)]
        if foot > 0.0:
            rings = [(wall - foot, 0.0), *rings]
        if rim > 0.0:
            rings = [*rings, (wall - rim, top)]
        return Shape(adds=loft([(edge.shaft(out), z) for out, z in rings]))


def bare_site(sheet: Sheet, side_up: Side, chord: Length) -> Site:
    """The ground under a workpiece for which nothing was chosen yet."""
    return Site(sheet, side_up, PrinterCard(), chord, Body())
