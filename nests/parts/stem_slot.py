"""The stem slot: lets the stem turn and be drawn, and the workpiece be laid in with its stem."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from manifold3d import CrossSection

from nests.given.sheet import Stem
from nests.parts.answers import Access, Lie, Now, Serves, Shape, StemWay
from nests.parts.base import Part
from nests.parts.drawn import Bottom, Drawn, Width
from nests.parts.feature import Feature
from nests.parts.pusher_slot import PusherSlot
from nests.parts.site import Site
from nests.places import Side, hours_between
from nests.solids.solid import OVER, Solid, block, pillar
from nests.units import BadInput, Length, mm, said


@dataclass(frozen=True, kw_only=True)
class StemSlot(Part):
    """Slot at the stem's hour, open upward: narrow at the bore, wide enough for a crown outside.

    Where the sheet gives the crown, its room begins at the edge itself, with the crown's whole ⌀
    and room round it: pushed home it meets nothing.

    A pusher that lies beside the stem, or is pushed through the crown, is worked through the same
    slot: two cuts so near to each other would leave a blade between them.
    """

    tag: ClassVar[str] = "stem slot"
    telling: ClassVar[int] = 1
    widens: ClassVar[str] = "room"
    room: Length = mm(0.4, low=0.1, high=3.0, meaning="room round the stem")
    neck: Length = mm(2.5, low=0.5, high=20.0, meaning="length of the narrow part")
    crown: Length = mm(6.0, low=0.0, high=15.0, meaning="width for crown and fingers")
    crown_room: Length = mm(
        0.4, low=0.05, high=3.0, meaning="room round a crown that the sheet gives"
    )
    pushers: tuple[str, ...] = said("names of pushers that are worked through it, too", ())
    peg_way: Length = mm(
        PusherSlot.width, low=1.0, high=15.0, meaning="width of the way to such a pusher's lever"
    )
    below: Length = mm(
        PusherSlot.below, low=0.0, high=5.0, meaning="room below the middle of such a lever"
    )
    inward: Length = mm(OVER, low=0.2, high=20.0, meaning="how far inside the edge it begins")

    def serves(self) -> Serves:
        """The stem goes through it, and it leads to the pushers beside the stem."""
        return Serves(pushers=self.pushers, stem=True)

    def access(self, site: Site, pusher: str) -> Access:
        """By an open way."""
        about = site.sheet.pusher(pusher)
        z = site.lever(about)
        return Access(about.hour, site.radius(about.hour), z, self.peg_way, self.below)

    def wide(self, stem: Stem) -> Length:
        """Width of the room for crown and fingers."""
        if stem.crown is None:
            return self.crown
        return max(self.crown, stem.crown.diameter + 2 * self.crown_room)

    def starts(self, stem: Stem) -> Length:
        """How far outside the edge that room begins."""
        return self.neck if stem.crown is None else 0.0

    def deepest(self, site: Site) -> Length:
        """Holder z of the lowest point of stem and crown, with their room; of a crown that is not
        known, of what is left for one."""
        stem = self._stem(site)
        z = site.frame.z(Side.DIAL, -stem.depth)
        crown = self.crown / 2
        if stem.crown is not None:
            crown = stem.crown.diameter / 2 + self.crown_room
        return z - max(stem.diameter / 2 + self.room, crown)

    def stem_way(self, site: Site) -> StemWay | None:
        """The narrow part, down to under the stem, and the room for a crown."""
        stem = site.sheet.stem
        if stem is None:
            return None
        half = stem.diameter / 2 + self.room
        floor = site.frame.z(Side.DIAL, -stem.depth) - half
        edge = site.radius(stem.hour)
        return StemWay(
            stem.hour,
            half,
            edge + self.neck,
            floor,
            crown_half=self.wide(stem) / 2,
            crown_from=edge + self.starts(stem),
            crown_floor=self._crown_floor(site, stem),
        )

    def lies(self, site: Site) -> Lie:
        """At the stem's hour."""
        hour = self._stem(site).hour
        return Lie(hour, site.frame.angle(hour))

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Width of the crown's room and of the neck, and the bottom.

        A neck that is widened to a pusher at another hour has no two walls that face each other.
        """
        stem, lie = self._stem(site), self.lies(site)
        ways = [site.sheet.pusher(name).hour for name in self.pushers]
        narrow = stem.diameter + 2 * self.room
        if ways:
            narrow = max(narrow, self.peg_way)
        wide = self.wide(stem)
        for_crown = wide > stem.diameter + 2 * self.room and (
            site.radius(stem.hour) + self.starts(stem) < site.outer(stem.hour)
        )
        widths = [Width("", wide, lie)] if for_crown else []
        if stem.crown is not None and wide >= narrow - 1e-9:  # no neck is left
            return (*widths, Bottom("bottom"))
        if all(hours_between(hour, stem.hour) < 1e-9 for hour in ways) and (
            not for_crown or narrow < wide - 1e-9
        ):
            widths.append(Width("neck" if for_crown else "", narrow, lie, outside=not for_crown))
        return (*widths, Bottom("bottom"))

    def features(self, site: Site) -> tuple[Feature, ...]:
        """Nothing: stem and crown are tried in it, and no size of it decides."""
        return ()

    def reread(self, now: Now) -> StemSlot | None:
        """For the stem there is now, and the pushers beside it."""
        return None if now.sheet.stem is None else replace(self, pushers=now.near(self.pushers))

    def into(self, site: Site, pocket: Length) -> Part:
        """Begun inside the pocket, over its whole width there."""
        stem = self._stem(site)
        across = stem.diameter + 2 * self.room
        ways = [(stem.hour, across if stem.crown is None else max(across, self.wide(stem)))]
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
        if self.deepest(site) >= site.top:
            raise BadInput(
                f"stem slot: the stem lies {low + self.room - site.top:.2f} mm above the body; no "
                "slot is needed."
            )
        if low >= site.top and not self.pushers:  # the crown alone comes down into the wall
            return Shape(cuts=self._crown_way(site, stem))
        cut = block(angle, bore - self.inward, outer + OVER, narrow, low, site.top + OVER)
        if self.pushers:
            cut = self._widened(site, cut, low)
        if stem.crown is not None or (self.crown > narrow and bore + self.neck < outer):
            cut += self._crown_way(site, stem)
        return Shape(cuts=cut)

    def _crown_floor(self, site: Site, stem: Stem) -> Length:
        z = site.frame.z(Side.DIAL, -stem.depth)
        if stem.crown is None:
            return max(z - self.crown / 2, site.floor)
        return z - stem.crown.diameter / 2 - self.crown_room

    def _crown_way(self, site: Site, stem: Stem) -> Solid:
        """The room for the crown: from the pocket outward where the sheet gives it, else from the
        end of the neck."""
        edge, outer = site.radius(stem.hour), site.outer(stem.hour) + OVER
        inner = edge + self.neck if stem.crown is None else edge - self.inward
        low, angle = self._crown_floor(site, stem), site.frame.angle(stem.hour)
        return block(angle, inner, outer, self.wide(stem), low, site.top + OVER)

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
            low = min(low, site.lever(pusher) - self.below)
        return pillar(CrossSection.batch_hull(plans), low, site.top + OVER)

    def _stem(self, site: Site) -> Stem:
        if site.sheet.stem is None:
            raise BadInput(f"the sheet '{site.sheet.name}' has no stem; a stem slot needs one.")
        return site.sheet.stem
