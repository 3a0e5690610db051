"""The clip: a springing finger that snaps over the rim.

Drawn along +x and then laid down where it stands. On a rim that is not round the line from the axis
is not square to the edge, so a clip may have a direction of its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np
from manifold3d import CrossSection

from nests.given.zones import Round
from nests.mechanics import clip as mechanics
from nests.parts.answers import Contact, Finger, Grip, Lie, Serves, Shape
from nests.parts.base import Part
from nests.parts.drawn import Drawn, Hook, Width
from nests.parts.feature import Feature, spring
from nests.parts.site import Site
from nests.places import Side
from nests.solids.solid import OVER, Solid, along, block
from nests.units import Hour, Length, dial_hour, hour, mm, quantity

LAND: Length = 0.4
"""mm of upright face at the tip of the hook, so that it does not end in an edge."""
HEAD_ROOM: Length = 0.3
"""mm by which the head stands above the workpiece, to lie on when turned over."""


@dataclass(frozen=True)
class Line:
    """The line in plan along which a finger bends, in the holder frame.

    `angle` (rad) is where it runs outward to, `edge` how far along it from the foot of the
    perpendicular from the axis the outline is met, `aside` how far to the left of the axis it runs.
    """

    angle: float
    edge: Length
    aside: Length

    def lay(self, drawn: Solid) -> Solid:
        """What is drawn along +x, laid along this line."""
        return along(drawn.translate((0.0, self.aside, 0.0)) if self.aside else drawn, self.angle)

    def point(self, reach: Length) -> tuple[Length, Length]:
        """The place on this line `reach` mm along it."""
        cos, sin = float(np.cos(self.angle)), float(np.sin(self.angle))
        return reach * cos - self.aside * sin, reach * sin + self.aside * cos


@dataclass(frozen=True, kw_only=True)
class Clip(Part):
    """Finger standing on the floor, its hook over the upper edge of the rim.

    The hook's underside leans by the card's overhang angle, so it prints without support and
    lets go when pulled. A slot behind the finger gives it room to bend. The head stands above the
    workpiece, so that the holder can be laid down turned over.
    """

    tag: ClassVar[str] = "clip"
    telling: ClassVar[int] = 5
    wall_taken: ClassVar[Length] = 6.0
    """mm of wall it takes, with what is left beside its slits; from trying."""
    thickens: ClassVar[str] = "thickness"
    widens: ClassVar[str] = "slit"
    at: Hour = hour(meaning="hour of the finger")
    outward: Hour | None = hour(
        None, meaning="hour its back looks to, square to the rim; none for straight from the axis"
    )
    width: Length = mm(4.0, low=1.0, high=15.0, meaning="width of the finger")
    thickness: Length = mm(0.9, low=0.5, high=4.0, meaning="thickness of the finger")
    grip: Length = mm(0.35, low=0.1, high=2.0, meaning="how far the hook reaches over the rim")
    play: Length = mm(0.05, low=0.0, high=0.5, meaning="between finger and rim")
    slit: Length = mm(0.5, low=0.2, high=2.0, meaning="width of the slits beside the finger")
    lead: float = quantity(
        "degree", 30.0, 10.0, 80.0, "slope the rim meets going in, from upright", "common practice"
    )

    def label(self) -> str:
        """Named after its hour."""
        return f"clip at {dial_hour(self.at)} h"

    def variants(self, site: Site) -> Iterator[Part]:
        """A little aside, or narrower."""
        for step in (0.1, -0.1, 0.2, -0.2, 0.35, -0.35):
            yield replace(self, at=round((self.at + step) % 12.0, 3))
        if self.width > 3.0:
            yield replace(self, width=3.0)

    @property
    def overlap(self) -> Length:
        """How far it reaches over the rim."""
        return self.grip

    def set_at(self, site: Site, at: Hour) -> Clip:
        """The same at another hour, square to the edge."""
        if isinstance(site.sheet.outline, Round):
            return replace(self, at=at)
        return replace(self, at=at, outward=round(site.frame.hour(site.normal(at)), 3) % 12.0)

    def line(self, site: Site) -> Line:
        """Where it stands and which way it bends."""
        angle, radius = site.frame.angle(self.at), site.radius(self.at)
        if self.outward is None:
            return Line(angle, radius, 0.0)
        looks = site.frame.angle(self.outward)
        return Line(looks, radius * math.cos(angle - looks), radius * math.sin(angle - looks))

    def askew(self, site: Site) -> Length:
        """How much less one end of the hook reaches over the rim than its middle does, where the
        finger does not stand square to the rim."""
        turned = self.line(site).angle - site.normal(self.at)
        return self.width / 2 * abs(math.tan(math.remainder(turned, math.tau)))

    def _rim(self, site: Site) -> tuple[Length, Length]:
        """Distance along its line, and holder z, of the upper edge of the rim."""
        flange, _ = site.sheet.edge(site.side_up)
        return self.line(site).edge + flange, site.seat + site.sheet.rim

    def _widest(self, site: Site) -> Length:
        """Distance the finger must stand off: the rim's, or that of a flange on either side."""
        return self.line(site).edge + max(site.sheet.edge(side)[0] for side in Side)

    def _reach(self, site: Site) -> Length:
        """How far the tip of the hook stands out from the face of the finger."""
        return self._widest(site) - self._rim(site)[0] + self.play + self.grip

    def _heights(self, site: Site) -> tuple[Length, Length, Length]:
        """Holder z of the root, of the lower end of the hook's tip, and of the head."""
        _, rim = self._rim(site)
        reach = self._reach(site)
        hook = rim + reach * site.rise
        slope = reach / math.tan(math.radians(self.lead))
        above = rim + site.sheet.height(site.side_up) + HEAD_ROOM
        return max(site.floor, 0.0), hook, max(hook + LAND + slope, above)

    def bend(self, site: Site) -> Length:
        """How far the tip of the hook is bent aside by a workpiece in the middle of its seat."""
        return self._widest(site) - self._rim(site)[0] + self.grip

    def beam(self, site: Site) -> mechanics.Clip:
        """The finger on its floor, bent at the tip of its hook."""
        root, hook, _ = self._heights(site)
        return mechanics.Clip(
            reach=self._reach(site),
            floor=root,
            length=hook - root,
            thickness=self.thickness,
            width=self.width,
            modulus=site.card.modulus,
            poisson=site.card.poisson,
            friction=site.card.friction,
            lead_angle=math.radians(self.lead),
            return_angle=math.radians(site.card.overhang),
        )

    def shape(self, site: Site) -> Shape:
        """Room for the finger through the wall, then the finger with its hook."""
        edge, rim = self._rim(site)
        face = self._widest(site) + self.play
        back = face + self.thickness
        tip = edge - self.grip
        low, hook, head = self._heights(site)
        behind = back + self.grip + self.slit
        room = block(
            0.0, edge - 2 * OVER, behind, self.width + 2 * self.slit, low, max(site.top, rim) + 10.0
        )
        root = max(low - 0.3, 0.0)
        # the leaning underside starts level with the rim, so it clears the rim's edge by the play
        slope = (face - tip) / math.tan(math.radians(self.lead))
        side = [
            (face, root),
            (back, root),
            (back, head),
            (face, head),
            (face, hook + LAND + slope),
            (tip, hook + LAND),
            (tip, hook),
            (face, rim),
        ]
        if head - (hook + LAND + slope) < 1e-6:
            del side[4]  # the slope ends at the head
        flat = CrossSection([side]).extrude(self.width)
        laid = flat.transform(np.array([[1, 0, 0, 0], [0, 0, -1, self.width / 2], [0, 1, 0, 0.0]]))
        line = self.line(site)
        return Shape(cuts=line.lay(room), adds=line.lay(laid))

    def features(self, site: Site) -> tuple[Feature, ...]:
        """That it springs."""
        return (spring("clips", "each bent aside once, its root under the loupe"),)

    def contacts(self, site: Site) -> tuple[Contact, ...]:
        """The line on the rim's upper edge."""
        edge, rim = self._rim(site)
        at = (*self.line(site).point(edge), rim)
        return (
            Contact(
                self.label(),
                "rim",
                at,
                self.width * 0.1,
                self.play,
                above=True,
                gives=lambda: self.beam(site).rising_stiffness,
            ),
        )

    def serves(self) -> Serves:
        """It holds."""
        return Serves(holds=True)

    def holding(self, site: Site) -> Grip:
        """As a finger that bends."""
        made = Finger(self.beam(site), self.bend(site), self.grip, self.play)
        return Grip(
            self.tag,
            self.at,
            self.width,
            self.contacts(site)[0].place,
            made,
            self.askew(site),
            site.frame.hour(site.normal(self.at)),
        )

    def lies(self, site: Site) -> Lie:
        """Along the line it bends."""
        line = self.line(site)
        return Lie(self.at, line.angle, line.aside)

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """The width of the finger, and its hook larger."""
        lie = self.lies(site)
        return (Width("", self.width, lie, outside=False), Hook(lie))
