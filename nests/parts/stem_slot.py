"""The stem slot: lets the stem turn and be drawn, and the workpiece be laid in with its stem."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from manifold3d import CrossSection

from nests.given.sheet import Stem
from nests.parts.base import Part, Shape, Site
from nests.parts.pusher_slot import PusherSlot, lever_z
from nests.places import Side, hours_between
from nests.solids.solid import OVER, Solid, block, pillar
from nests.units import BadInput, Length, mm, said


@dataclass(frozen=True, kw_only=True)
class StemSlot(Part):
    """Slot at the stem's hour, open upward: narrow at the bore, wide enough for a crown outside.

    A pusher that lies beside the stem, or is pushed through the crown, is worked through the same
    slot: two cuts so near to each other would leave a blade between them.
    """

    tag: ClassVar[str] = "stem slot"
    room: Length = mm(0.4, low=0.1, high=3.0, meaning="room round the stem")
    neck: Length = mm(2.5, low=0.5, high=20.0, meaning="length of the narrow part")
    crown: Length = mm(6.0, low=0.0, high=15.0, meaning="width for crown and fingers")
    pushers: tuple[str, ...] = said("names of pushers that are worked through it, too", ())
    peg_way: Length = mm(
        PusherSlot.width, low=1.0, high=15.0, meaning="width of the way to such a pusher's lever"
    )
    below: Length = mm(
        PusherSlot.below, low=0.0, high=5.0, meaning="room below the middle of such a lever"
    )
    inward: Length = mm(OVER, low=0.2, high=20.0, meaning="how far inside the edge it begins")

    def works(self) -> tuple[str, ...]:
        """The pushers beside the stem."""
        return self.pushers

    def into(self, site: Site, pocket: Length) -> Part:
        """Begun inside the pocket, over its whole width there."""
        stem = self._stem(site)
        ways = [(stem.hour, stem.diameter + 2 * self.room)]
        ways += [(site.sheet.pusher(name).hour, self.peg_way) for name in self.pushers]
        return replace(self, inward=max(site.begins(*way, pocket) for way in ways))

    def variants(self, site: Site) -> Iterator[Part]:
        """With less room for crown and fingers."""
        for crown in (5.0, 4.0, 3.0):
            if crown < self.crown:
                yield replace(self, crown=crown)

    def require_named(self, site: Site) -> None:
        """Raise `BadInput` if the sheet has no stem."""
        if site.sheet.stem is None:
            raise BadInput(f"the sheet '{site.sheet.name}' has no stem; a stem slot needs one.")

    def shape(self, site: Site) -> Shape:
        """Two radial cuts, both down to under the stem; the narrow one widened to the pushers."""
        stem = self._stem(site)
        angle, z = site.frame.angle(stem.hour), site.frame.z(Side.DIAL, -stem.depth)
        bore, outer = site.radius(stem.hour), site.outer(stem.hour)
        narrow = stem.diameter + 2 * self.room
        low = z - stem.diameter / 2 - self.room
        if low >= site.top:
            raise BadInput(
                f"stem slot: the stem lies {low + self.room - site.top:.2f} mm above the body; no "
                "slot is needed."
            )
        cut = block(angle, bore - self.inward, outer + OVER, narrow, low, site.top + OVER)
        if self.pushers:
            cut = self._widened(site, cut, low)
        wide_from = bore + self.neck
        if self.crown > narrow and wide_from < outer:
            depth = max(z - self.crown / 2, site.floor)
            cut += block(angle, wide_from, outer + OVER, self.crown, depth, site.top + OVER)
        return Shape(cuts=cut)

    def _widened(self, site: Site, cut: Solid, low: Length) -> Solid:
        """The narrow cut, as wide and as deep as the pushers beside the stem need it."""
        plans = [cut.project()]
        for name in self.pushers:
            pusher = site.sheet.pusher(name)
            angle, bore = site.frame.angle(pusher.hour), site.radius(pusher.hour)
            # between two ways the hull ends on a chord, which must lie outside the body
            apart = hours_between(self._stem(site).hour, pusher.hour) * math.pi / 6
            far = (site.outer(pusher.hour) + OVER) / math.cos(min(apart, math.pi / 3) / 2)
            way = block(angle, bore - self.inward, far, self.peg_way, 0.0, 1.0)
            plans.append(way.project())
            low = min(low, lever_z(site, pusher) - self.below)
        return pillar(CrossSection.batch_hull(plans), low, site.top + OVER)

    def _stem(self, site: Site) -> Stem:
        if site.sheet.stem is None:
            raise BadInput(f"the sheet '{site.sheet.name}' has no stem; a stem slot needs one.")
        return site.sheet.stem
