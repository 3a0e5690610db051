"""The pusher slot: open way through the wall for a finger or a peg."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from nests.parts.answers import Access, Lie, Now, Serves, Shape
from nests.parts.base import Part
from nests.parts.drawn import Bottom, Drawn, Width
from nests.parts.feature import Feature
from nests.parts.site import Site
from nests.solids.solid import OVER, block
from nests.units import BadInput, Hour, Length, mm, quantity, said

NARROWER: tuple[Length, ...] = (2.8, 2.2)
"""mm of narrower slots that still let a peg in; from memory."""


@dataclass(frozen=True, kw_only=True)
class PusherSlot(Part):
    """Slot open upward and outward at the hour of a pusher, down to under its lever."""

    tag: ClassVar[str] = "pusher slot"
    telling: ClassVar[int] = 4
    widens: ClassVar[str] = "width"
    narrows: ClassVar[str] = "width"
    pusher: str = said("name of the pusher on the sheet")
    width: Length = mm(3.5, low=1.0, high=15.0, meaning="width of the slot")
    below: Length = mm(0.8, low=0.0, high=5.0, meaning="room below the middle of the lever")
    at: Hour | None = quantity("h", None, 0.0, 12.0, "hour of the slot, if not the pusher's")
    inward: Length = mm(OVER, low=0.2, high=20.0, meaning="how far inside the edge it begins")

    def label(self) -> str:
        """Named after its pusher."""
        return f"pusher slot {self.pusher}"

    def require_named(self, site: Site) -> None:
        """Raise `BadInput` if the sheet has no such pusher."""
        site.sheet.pusher(self.pusher)

    def stands(self, site: Site) -> tuple[object, ...]:
        """One part works a pusher, whatever its sort."""
        return ("pusher", self.pusher)

    def hour(self, site: Site) -> Hour:
        """Hour of the slot."""
        return site.sheet.pusher(self.pusher).hour if self.at is None else self.at

    def serves(self) -> Serves:
        """It leads to its pusher."""
        return Serves(pushers=(self.pusher,))

    def access(self, site: Site, pusher: str) -> Access:
        """By an open way."""
        hour, z = self.hour(site), site.lever(site.sheet.pusher(pusher))
        return Access(hour, site.radius(hour), z, self.width, self.below)

    def lies(self, site: Site) -> Lie:
        """At its hour."""
        hour = self.hour(site)
        return Lie(hour, site.frame.angle(hour))

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Its width, and its bottom."""
        return (Width("", self.width, self.lies(site)), Bottom("bottom"))

    def features(self, site: Site) -> tuple[Feature, ...]:
        """Nothing: a peg is tried in it, and no size of it decides."""
        return ()

    def reread(self, now: Now) -> PusherSlot | None:
        """To the pusher that lies there now."""
        near = now.near((self.pusher,))
        return replace(self, pusher=near[0]) if near else None

    def variants(self, site: Site) -> Iterator[Part]:
        """Narrower, where what stands beside it would be too thin; never than a button."""
        button = site.sheet.pusher(self.pusher).button
        least = 0.0 if button is None else button.diameter
        for width in NARROWER:
            if least < width < self.width:
                yield replace(self, width=width)

    def moved_to(self, hour: Hour) -> Part:
        """Beside its pusher."""
        return replace(self, at=hour)

    def into(self, site: Site, pocket: Length) -> Part:
        """Begun inside the pocket."""
        return replace(self, inward=site.begins(self.hour(site), self.width, pocket))

    def shape(self, site: Site) -> Shape:
        """A radial cut from inside the bore to outside the body.

        Raises `BadInput` where the body ends below the lever.
        """
        hour = self.hour(site)
        low = site.lever(site.sheet.pusher(self.pusher)) - self.below
        if low >= site.top:
            raise BadInput(
                f"{self.label()}: the lever of '{self.pusher}' lies "
                f"{low + self.below - site.top:.2f} mm above the body; no slot is needed."
            )
        inner = site.radius(hour) - self.inward
        outer = site.outer(hour) + OVER
        angle = site.frame.angle(hour)
        return Shape(cuts=block(angle, inner, outer, self.width, low, site.top + OVER))
