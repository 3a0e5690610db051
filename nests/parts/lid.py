"""The lid: a cover against dust that goes over the upper edge of the holder."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

from manifold3d import CrossSection

from nests.given.zones import Round
from nests.parts.answers import Shape
from nests.parts.base import Part
from nests.parts.body import Body
from nests.parts.drawn import Drawn
from nests.parts.feature import LOOSE, Feature, open_width
from nests.parts.site import Site
from nests.solids.loops import Loop
from nests.solids.solid import OVER, Solid, along, block, gable, loft, union
from nests.units import BadInput, Length, mm, printed, said

SHELF: Length = 1.0
"""mm by which the lid lies on the upper face inside its chamfer; from memory."""
MOUTH: Length = 0.3
"""mm of chamfer that lead the lid on; from memory."""


@dataclass(frozen=True, kw_only=True)
class Lid(Part):
    """Lid printed beside the holder, of its outline and with a stated play on it.

    It lies on the upper face; a skirt goes down round the outer wall. Two slots under its roof let
    resin and air out, and gaps leave a stem, or what a pusher is worked with, where it stands out.
    """

    tag: ClassVar[str] = "lid"
    comfort: ClassVar[str] = "lid"
    play: Length = mm(0.3, low=0.05, high=2.0, meaning="play on the outer wall, on the ⌀")
    inside: Length = mm(low=0.5, high=60.0, meaning="room inside, above the upper face")
    grip: Length = mm(2.0, low=0.8, high=20.0, meaning="how far the skirt goes down")
    wall: Length = mm(1.2, low=0.5, high=5.0, meaning="thickness of skirt and roof")
    gaps: tuple[float, ...] = said("hours at which something stands out of the wall", ())
    gap_width: Length = mm(7.0, low=1.0, high=30.0, meaning="width of these gaps")
    gap_height: Length = mm(
        0.5, low=0.0, high=30.0, meaning="how far above the upper face the gaps go"
    )
    vent: Length = mm(1.6, low=0.8, high=5.0, meaning="width of the slots under the roof")

    def lies(self, site: Site) -> None:
        """Round the axis."""

    def stands(self, site: Site) -> tuple[object, ...]:
        """A holder has one."""
        return (self.tag,)

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Nothing on the holder: it is drawn with the loose bodies."""
        return ()

    def features(self, site: Site) -> tuple[Feature, ...]:
        """Its bore where it is round, and that it goes on by its own weight."""
        if site.body.follow == "outline" and not isinstance(site.sheet.outline, Round):
            return (LOOSE,)
        how = "caliper jaws, inside, at three hours"
        return (open_width("lid-bore", "⌀ of the lid's skirt", how, self.bore(site), site), LOOSE)

    def bore(self, site: Site) -> Length:
        """⌀ of the skirt as it should come out: that of the wall as it comes out, and the play."""
        return site.card.stands_out(2 * self._reach(site)) + self.play

    def drawn_bore(self, site: Site) -> Length:
        """⌀ of the skirt to draw."""
        return site.card.inside(self.bore(site))

    def _reach(self, site: Site) -> Length:
        edge, wall = _edge(site)
        return float(math.sqrt(CrossSection([edge.bore(wall)]).area() / math.pi))

    def cover(self, site: Site) -> Solid:
        """The lid as it lies on the holder."""
        edge, wall = _edge(site)
        free = (self.drawn_bore(site) - 2 * self._reach(site)) / 2
        low, top = site.top - self.grip, site.top
        ceiling, roof = top + self.inside, top + self.inside + self.wall
        outer, shelf = wall + free + self.wall, site.body.edge_chamfer + SHELF
        foot = min(max(site.card.least_foot + 0.1, 0.4), self.wall / 2)
        shell = loft(
            [
                (edge.shaft(outer), low),
                (edge.shaft(outer), roof - foot * site.rise),
                (edge.shaft(outer - foot), roof),
            ]
        )
        mouth = min(MOUTH, self.wall / 2 - 0.1)
        skirt = loft(
            [
                (edge.bore(wall + free + mouth), low - OVER),
                (edge.bore(wall + free + mouth), low),
                (edge.bore(wall + free), low + mouth),
                (edge.bore(wall + free), top),
                (edge.bore(wall - shelf), top),
                (edge.bore(wall - shelf), ceiling),
            ]
        )
        far = 2 * (self._far(site) + outer)
        ways = [self._slot(site, turn, far, ceiling) for turn in (0.25, 1.25)]
        ways += [
            block(
                site.frame.angle(hour % 12.0), site.radius(hour % 12.0), far, self.gap_width,
                low - OVER, top + min(self.gap_height, self.inside),
            )
            for hour in self.gaps
        ]  # fmt: skip
        return shell - union([skirt, *ways])

    def _far(self, site: Site) -> Length:
        return max(site.outer(float(h)) for h in range(12))

    def _slot(self, site: Site, turn: float, far: Length, ceiling: Length) -> Solid:
        """A slot under the roof: its roof in print, which looks down in use, is pointed."""
        inner = min(site.radius(float(h)) for h in range(12))
        way = gable(inner, far, self.vent, 0.0, 0.3, site.rise)
        return along(way.mirror((0.0, 0.0, 1.0)).translate((0.0, 0.0, ceiling)), turn * math.pi)

    def shape(self, site: Site) -> Shape:
        """The lid beside the holder, its roof down."""
        if self.grip > site.top - 0.5:
            raise BadInput(
                f"lid grip is {self.grip:g} mm; the body is {printed(site.top)} mm high, and its "
                "foot must stay free."
            )
        high = self.vent / 2 * site.rise + 0.3
        if self.inside < high + 0.3:
            raise BadInput(
                f"lid inside is {self.inside:g} mm; the slots under its roof need "
                f"{printed(high + 0.3)} mm."
            )
        roof = site.top + self.inside + self.wall
        turned_over = self.cover(site).rotate((180.0, 0.0, 0.0)).translate((0.0, 0.0, roof))
        return Shape(beside=((self.label(), turned_over),))


def _edge(site: Site) -> tuple[Loop, Length]:
    """The edge the outer wall is parallel to, and how far out that stands."""
    assert isinstance(site.body, Body)
    return site.body.loop(site)
