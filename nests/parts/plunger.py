"""The plunger: a guided pin that works a pusher's lever, with stop and spring pocket."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from nests.parts.base import Part, Shape, Site
from nests.parts.pusher_slot import lever_z
from nests.solid import OVER, Solid, along, lying_bore, turned
from nests.units import BadInput, Length, mm, said


@dataclass(frozen=True, kw_only=True)
class Plunger(Part):
    """Stepped bore through the wall; the plunger goes in from inside, its button on outside.

    The collar stops it outward; the button meets the body at full travel, so that the lever is
    never driven past its stop. A coil spring fits the pocket under the button.
    """

    tag: ClassVar[str] = "plunger"
    pusher: str = said("name of the pusher on the sheet")
    pin: Length = mm(1.8, low=0.8, high=5.0, meaning="⌀ of the plunger")
    collar: Length = mm(3.0, low=1.2, high=8.0, meaning="⌀ of its collar")
    collar_height: Length = mm(0.8, low=0.4, high=3.0, meaning="length of the collar")
    play: Length = mm(0.2, low=0.02, high=0.6, meaning="play in the guide, on the ⌀")
    pocket: Length = mm(3.2, low=1.2, high=8.0, meaning="⌀ of the spring pocket, from outside")
    pocket_depth: Length = mm(1.5, low=0.0, high=10.0, meaning="depth of the spring pocket")
    rest_gap: Length = mm(0.15, low=0.0, high=1.0, meaning="from tip to lever at rest")
    button: Length = mm(5.0, low=2.0, high=10.0, meaning="⌀ of the button")

    def label(self) -> str:
        """Named after its pusher."""
        return f"plunger {self.pusher}"

    def shape(self, site: Site) -> Shape:
        """Guide, collar pocket and spring pocket; plunger and button as bodies of their own."""
        pusher = site.sheet.pusher(self.pusher)
        z, angle = lever_z(site, pusher), site.frame.angle(pusher.hour)
        outer = site.outer(pusher.hour)
        travel = pusher.travel + self.rest_gap
        tip = pusher.lever_radius + self.rest_gap
        bore_wall = site.radius(pusher.hour)
        # the collar may reach the workpiece's edge only at full travel
        stop = max(tip, bore_wall + 0.2) + travel + self.collar_height
        guide_end = outer - self.pocket_depth
        if guide_end - stop < 2 * self.pin:
            raise BadInput(
                f"{self.label()} would have {guide_end - stop:.2f} mm of guide; twice its ⌀, "
                f"{2 * self.pin:g} mm, is needed against jamming (common practice): a thicker wall."
            )
        across = site.card.inside(self.pin + self.play)
        head = site.card.inside(self.collar + self.play)
        cut = lying_bore(stop - OVER, outer + OVER, across, z, site.rise, site.chord)
        cut += lying_bore(bore_wall - OVER, stop, head, z, site.rise, site.chord)
        if self.pocket_depth > 0.0:
            cut += lying_bore(guide_end, outer + OVER, self.pocket, z, site.rise, site.chord)
        return Shape(cuts=along(cut, angle), beside=self._bodies(site, tip, stop, outer, travel))

    def _bodies(
        self, site: Site, tip: Length, stop: Length, outer: Length, travel: Length
    ) -> tuple[tuple[str, Solid], ...]:
        shaft, collar = site.card.outside(self.pin), site.card.outside(self.collar)
        length = outer + travel - tip
        shoulder = stop - tip
        rod = turned(
            [
                (shaft, 0.0),
                (shaft, shoulder - self.collar_height),
                (collar, shoulder - self.collar_height),
                (collar, shoulder),
                (shaft, shoulder),
                (shaft, length + 1.2),
            ],
            site.chord,
        )
        cap = turned([(self.button, 0.0), (self.button, 2.0)], site.chord)
        hole = site.card.inside(self.pin)
        cap -= turned([(hole, -OVER), (hole, 2.0 + OVER)], site.chord, bore=True)
        # printed standing on its outer end, so that the collar rises from a cone
        lean = (collar - shaft) / 2 * site.rise
        rod += turned(
            [
                (shaft, shoulder - self.collar_height - lean),
                (collar, shoulder - self.collar_height),
            ],
            site.chord,
        )
        return ((f"{self.label()} rod", rod), (f"{self.label()} button", cap))
