"""The vice flats: two parallel flats on the outer wall, to be held by."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np
from manifold3d import CrossSection

from nests.parts.answers import Lie, Shape
from nests.parts.base import Part
from nests.parts.drawn import Drawn, Width
from nests.parts.feature import Feature, solid_width
from nests.parts.site import Site
from nests.places import Points
from nests.solids.solid import OVER, Solid, along, union
from nests.units import BadInput, Hour, Length, dial_hour, hour, mm, printed

PAST: Length = 0.05
"""mm by which the cut runs out past the wall: its shoulder climbs on there, and a finger relief
above it runs out, too."""


@dataclass(frozen=True, kw_only=True)
class ViceFlats(Part):
    """Two flats opposite each other, from the foot up to a sloping shoulder under the upper edge.

    The jaws of a vice or the cheeks of a base take them; the shoulder lies on the jaws, and the
    upper face keeps its width for letters.
    """

    tag: ClassVar[str] = "vice flats"
    shown_hidden: ClassVar[bool] = True
    comfort: ClassVar[str] = "vice_flats"
    at: Hour = hour(meaning="hour that one of them looks to")
    across: Length = mm(low=8.0, high=150.0, meaning="width across the flats, as printed")
    height: Length = mm(3.0, low=1.0, high=40.0, meaning="from the foot to the shoulder")
    chamfer: Length = mm(0.5, low=0.0, high=2.0, meaning="chamfer at the foot")

    def label(self) -> str:
        """Named after its hours."""
        first, second = sorted((self.at % 12.0, (self.at + 6.0) % 12.0))
        return f"vice flats at {dial_hour(first)} and {dial_hour(second)} h"

    def moved_to(self, hour: Hour) -> ViceFlats:
        """The same at other hours."""
        return replace(self, at=round(hour % 12.0, 3))

    def variants(self, site: Site) -> Iterator[Part]:
        """At hours beside."""
        for step in (0.25, -0.25, 0.5, -0.5, 1.0, -1.0):
            yield self.moved_to(self.at + step)

    def lies(self, site: Site) -> Lie:
        """At the hour of the first."""
        return Lie(self.at, site.frame.angle(self.at))

    def drawn_across(self, site: Site) -> Length:
        """Width to draw so that it comes out as wanted."""
        return site.card.outside(self.across)

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """The width across; its two walls run square to where they look."""
        turned = (self.at + 3.0) % 12.0
        lie = Lie(self.at, site.frame.angle(turned))
        return (Width("", self.drawn_across(site), lie),)

    def features(self, site: Site) -> tuple[Feature, ...]:
        """The width across."""
        return (
            solid_width(
                "vice-flats",
                f"width across the {self.label()}",
                "caliper jaws, between foot and shoulder",
                self.across,
                site,
            ),
        )

    def sides(self, site: Site) -> tuple[tuple[float, Length], ...]:
        """Of each flat its holder angle, and how far the body reaches there."""
        plan: Points = site.body.plan(site)
        angles = (site.frame.angle(self.at), site.frame.angle((self.at + 6.0) % 12.0))
        return tuple(
            (turn, float(np.max(plan @ (math.cos(turn), math.sin(turn))))) for turn in angles
        )

    def width(self, site: Site) -> Length:
        """How long the shorter of the two flats is along the wall."""
        plan, half = site.body.plan(site), self.drawn_across(site) / 2
        out = []
        for turn, _ in self.sides(site):
            ahead = CrossSection([plan]).rotate(-math.degrees(turn))
            slab = CrossSection.square((400.0, 400.0)).translate((half, -200.0))
            ends = (ahead ^ slab).bounds()
            out.append(float(ends[3] - ends[1]))
        return min(out)

    def taken(self, site: Site, more: Length = 0.0) -> Solid:
        """What the flats take from the wall, grown by `more` mm into the wall."""
        return union(self._one(site, turn, far, more) for turn, far in self.sides(site))

    def _one(self, site: Site, turn: float, far: Length, more: Length) -> Solid:
        half, foot = self.drawn_across(site) / 2 - more, self.chamfer
        # so much higher that the shoulder, too, is moved by `more` square to itself
        high = self.height + more * (math.hypot(1.0, site.rise) - site.rise)
        if far - half < 0.1:
            raise BadInput(
                f"{self.label()} across is {self.across:g} mm; the body reaches "
                f"{printed(far)} mm there, so less than {printed(2 * far - 0.2)} mm is needed."
            )
        ends, wide = far + PAST, 2 * far + 2 * OVER
        shoulder = high + (ends - half) * site.rise
        corners = [(half - foot, -OVER), (ends, -OVER), (ends, shoulder), (half, high)]
        if foot > 0.0:
            corners += [(half, foot * site.rise), (half - foot, 0.0)]
        # drawn in (outward, up) and laid along the wall: (x, y, z) -> (x, z, y), turned over
        standing = CrossSection([corners]).extrude(wide)
        lying = standing.transform(np.array([[1, 0, 0, 0.0], [0, 0, -1, wide / 2], [0, 1, 0, 0.0]]))
        return along(lying, turn)

    def shape(self, site: Site) -> Shape:
        """Both cuts. Raises `BadInput` where they leave no wall, or no shoulder below the top."""
        deepest = max(far for _, far in self.sides(site)) - self.drawn_across(site) / 2
        least = site.body.wall - 2 * site.card.smallest_wall
        if deepest > least:
            raise BadInput(
                f"{self.label()} across is {self.across:g} mm, which goes {printed(deepest)} mm "
                f"into a wall of {site.body.wall:g} mm; at most {printed(least)} mm may go."
            )
        if self.height + deepest * site.rise > site.top - site.body.edge_chamfer:
            raise BadInput(
                f"{self.label()} height is {self.height:g} mm; its shoulder would end above the "
                f"body's upper edge at {printed(site.top)} mm."
            )
        return Shape(cuts=self.taken(site))
