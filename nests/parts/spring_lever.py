"""The spring lever: an arm of the wall itself that works a pusher's lever and springs back."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np
from manifold3d import CrossSection

from nests.given.zones import Round
from nests.parts.answers import Access, Arm, Lie, Now, Serves, Shape
from nests.parts.base import Part
from nests.parts.drawn import Drawn, FreeArm, Width
from nests.parts.feature import Feature, spring
from nests.parts.site import Site
from nests.places import Points, Side
from nests.solids.loops import segments
from nests.solids.solid import OVER, Solid, along, block, pillar, turned
from nests.units import BadInput, Length, mm, said


@dataclass(frozen=True, kw_only=True)
class SpringLever(Part):
    """Arm along the outer face, cut free through the whole height, with a nose at the lever.

    Standing on the build plate over its whole length, the arm needs no support. Root strain of
    a cantilever bent by y at length L: 3·t·y / (2·L²).
    """

    tag: ClassVar[str] = "spring lever"
    telling: ClassVar[int] = 3
    thickens: ClassVar[str] = "arm"
    widens: ClassVar[str] = "slit"
    pusher: str = said("name of the pusher on the sheet")
    arm: Length = mm(1.4, low=0.6, high=4.0, meaning="thickness of the arm")
    length: Length = mm(16.0, low=6.0, high=60.0, meaning="length of the arm")
    anticlockwise: bool = said(
        "whether the root lies anticlockwise of the pusher, seen from the dial side", True
    )
    nose: Length = mm(1.8, low=0.6, high=6.0, meaning="width of the nose")
    rest_gap: Length = mm(0.15, low=0.0, high=1.0, meaning="from nose to lever at rest")
    past: Length = mm(0.3, low=0.0, high=1.0, meaning="how far beyond the working travel it goes")
    slit: Length = mm(0.5, low=0.2, high=2.0, meaning="least width of the slits")
    inward: Length = mm(OVER, low=0.2, high=20.0, meaning="how far inside the edge it begins")

    def label(self) -> str:
        """Named after its pusher."""
        return f"spring lever {self.pusher}"

    def serves(self) -> Serves:
        """It works its pusher."""
        return Serves(pushers=(self.pusher,))

    def access(self, site: Site, pusher: str) -> Access:
        """By an arm that springs."""
        about = site.sheet.pusher(pusher)
        return Access(
            about.hour,
            site.radius(about.hour),
            site.lever(about),
            rest_gap=self.rest_gap,
            stroke=self.stroke(site),
            moves=Arm(self.arm, self.length, self.strain(site)),
        )

    def lies(self, site: Site) -> Lie:
        """Along its nose."""
        hour = site.sheet.pusher(self.pusher).hour
        return Lie(hour, site.frame.angle(hour))

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Its nose, and its arm."""
        lie = self.lies(site)
        return (Width("nose", self.nose, lie, outside=False), FreeArm(lie))

    def reread(self, now: Now) -> SpringLever | None:
        """For the pusher that lies there now."""
        near = now.near((self.pusher,))
        return replace(self, pusher=near[0]) if near else None

    def into(self, site: Site, pocket: Length) -> Part:
        """With the channel of its nose begun inside the pocket."""
        hour, width = site.sheet.pusher(self.pusher).hour, self.nose + 2 * self.slit
        return replace(self, inward=site.begins(hour, width, pocket))

    def stroke(self, site: Site) -> Length:
        """From rest until the arm meets the wall behind it."""
        free = site.sheet.pusher(self.pusher).travel + self.rest_gap + self.past
        return max(free, self.slit)

    def strain(self, site: Site) -> float:
        """Root strain at full stroke."""
        return 1.5 * self.arm * self.stroke(site) / self.length**2

    def features(self, site: Site) -> tuple[Feature, ...]:
        """That it springs."""
        how = "each pushed as far as it goes, its root under the loupe"
        return (spring("spring-levers", how),)

    def require_named(self, site: Site) -> None:
        """Raise `BadInput` if the sheet has no such pusher."""
        site.sheet.pusher(self.pusher)

    def stands(self, site: Site) -> tuple[object, ...]:
        """One part works a pusher, whatever its sort."""
        return ("pusher", self.pusher)

    def shape(self, site: Site) -> Shape:
        """Slits through the whole height, then the nose."""
        if site.body.follow != "circle" or not isinstance(site.sheet.outline, Round):
            raise BadInput("a spring lever needs a round body and a round outline.")
        pusher = site.sheet.pusher(self.pusher)
        outer, bore = site.outer(pusher.hour), site.radius(pusher.hour)
        behind = outer - self.arm
        turn = 1.0 if self.anticlockwise is (site.side_up is Side.DIAL) else -1.0
        root = turn * self.length / behind
        end = -turn * (self.nose / 2 + self.slit) / behind
        low, high = -OVER, site.top + OVER
        clear = self.stroke(site)
        if behind - clear - bore < site.card.smallest_wall:
            raise BadInput(
                f"{self.label()} leaves {behind - clear - bore:.2f} mm of wall; "
                f"{site.card.smallest_wall:g} mm is needed: a thicker wall."
            )
        slits = pillar(_arc(behind - clear, behind, root, end, site.chord), low, high)
        # the arm's free end is cut square, so that no thin edge is left beside the slit behind it
        free = block(0.0, behind - clear, outer + OVER, self.slit, low, high)
        slits += free.translate((0.0, -turn * (self.nose + self.slit) / 2, 0.0))
        middle = behind - clear / 2
        channel = block(0.0, bore - self.inward, middle, self.nose + 2 * self.slit, low, high)
        room = slits + channel
        angle = site.frame.angle(pusher.hour)
        return Shape(cuts=along(room, angle), adds=along(self._nose(site, behind), angle))

    def _nose(self, site: Site, behind: Length) -> Solid:
        pusher = site.sheet.pusher(self.pusher)
        tip = pusher.lever_radius + self.rest_gap
        foot = site.radius(pusher.hour) + 0.3
        z = site.lever(pusher)
        half = min(0.6, site.top - z)
        lower = z - half - max(foot - tip, 0.0) * site.rise
        side = [
            (behind + self.arm / 2, 0.0),
            (behind + self.arm / 2, z + half),
            (tip, z + half),
            (tip, z - half),
            (foot, max(lower, 0.0)),
            (foot, 0.0),
        ]
        flat = CrossSection([side]).extrude(self.nose)
        # drawn in (radius, z), raised along y
        laid = flat.transform(np.array([[1, 0, 0, 0], [0, 0, -1, self.nose / 2], [0, 1, 0, 0.0]]))
        shell = turned(
            [(2 * (behind + self.arm / 2), -OVER), (2 * (behind + self.arm / 2), site.top + OVER)],
            site.chord,
        )
        return laid ^ shell


def _arc(inner: Length, outer: Length, first: float, last: float, chord: Length) -> CrossSection:
    low, high = min(first, last), max(first, last)
    count = max(2, math.ceil(segments(outer, chord) * (high - low) / (2 * math.pi)) + 1)
    turn = np.linspace(low, high, count)
    unit: Points = np.column_stack((np.cos(turn), np.sin(turn)))
    return CrossSection([np.vstack((unit * outer, unit[::-1] * inner))])
