"""The clip: a springing finger that snaps over the rim."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from manifold3d import CrossSection

from nests.parts.base import Contact, Part, Shape, Site
from nests.solid import OVER, along, block
from nests.units import Hour, Length, hour, mm


@dataclass(frozen=True, kw_only=True)
class Clip(Part):
    """Finger standing on the floor, its hook over the upper edge of the rim.

    The hook's underside leans by the card's overhang angle, so it prints without support and
    lets go when pulled. A slot behind the finger gives it room to bend.
    """

    tag: ClassVar[str] = "clip"
    at: Hour = hour(meaning="hour of the finger")
    width: Length = mm(4.0, low=1.0, high=15.0, meaning="width of the finger")
    thickness: Length = mm(1.2, low=0.5, high=4.0, meaning="thickness of the finger")
    grip: Length = mm(0.4, low=0.1, high=2.0, meaning="how far the hook reaches over the rim")
    play: Length = mm(0.05, low=0.0, high=0.5, meaning="between finger and rim")
    slit: Length = mm(0.5, low=0.2, high=2.0, meaning="width of the slits beside the finger")

    def label(self) -> str:
        """Named after its hour."""
        return f"clip at {self.at:g} h"

    def _rim(self, site: Site) -> tuple[Length, Length]:
        """Radius and holder z of the upper edge of the rim at this hour."""
        flange, _ = site.sheet.edge(site.side_up)
        return site.radius(self.at) + flange, site.seat + site.sheet.rim

    def shape(self, site: Site) -> Shape:
        """Room for the finger through the wall, then the finger with its hook."""
        edge, rim = self._rim(site)
        face = edge + self.play
        back = face + self.thickness
        low = max(site.floor, 0.0)
        behind = back + self.grip + self.slit
        room = block(
            0.0, edge - 2 * OVER, behind, self.width + 2 * self.slit, low, max(site.top, rim) + 10.0
        )
        tip = edge - self.grip
        # the leaning underside starts level with the rim, so it clears the rim's edge by the play
        hook = rim + (face - tip) * site.rise
        top = hook + 0.4
        side = [
            (face, max(low - 0.3, 0.0)),
            (back, max(low - 0.3, 0.0)),
            (back, top + face - tip),
            (face, top + face - tip),
            (tip, top),
            (tip, hook),
            (face, rim),
        ]
        flat = CrossSection([side]).extrude(self.width)
        laid = flat.transform(np.array([[1, 0, 0, 0], [0, 0, -1, self.width / 2], [0, 1, 0, 0.0]]))
        angle = site.frame.angle(self.at)
        return Shape(cuts=along(room, angle), adds=along(laid, angle))

    def contacts(self, site: Site) -> tuple[Contact, ...]:
        """The line on the rim's upper edge."""
        edge, rim = self._rim(site)
        angle = site.frame.angle(self.at)
        at = (edge * float(np.cos(angle)), edge * float(np.sin(angle)), rim)
        return (Contact(self.label(), "rim", at, self.width * 0.1, self.play),)
