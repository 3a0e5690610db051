"""The stem slot: lets the stem turn and be drawn, and the workpiece be laid in with its stem."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from nests.parts.base import Part, Shape, Site
from nests.places import Side
from nests.solid import OVER, block
from nests.units import BadInput, Length, mm


@dataclass(frozen=True, kw_only=True)
class StemSlot(Part):
    """Slot at the stem's hour, open upward: narrow at the bore, wide enough for a crown outside."""

    tag: ClassVar[str] = "stem slot"
    room: Length = mm(0.4, low=0.1, high=3.0, meaning="room round the stem")
    neck: Length = mm(2.5, low=0.5, high=20.0, meaning="length of the narrow part")
    crown: Length = mm(6.0, low=0.0, high=15.0, meaning="width for crown and fingers")

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
        """Two radial cuts, both down to under the stem."""
        stem = site.sheet.stem
        if stem is None:
            raise BadInput(f"the sheet '{site.sheet.name}' has no stem; a stem slot needs one.")
        angle, z = site.frame.angle(stem.hour), site.frame.z(Side.DIAL, -stem.depth)
        bore, outer = site.radius(stem.hour), site.outer(stem.hour)
        narrow = stem.diameter + 2 * self.room
        low = z - stem.diameter / 2 - self.room
        if low >= site.top:
            raise BadInput(
                f"stem slot: the stem lies {low + self.room - site.top:.2f} mm above the body; no "
                "slot is needed."
            )
        cut = block(angle, bore - OVER, outer + OVER, narrow, low, site.top + OVER)
        wide_from = bore + self.neck
        if self.crown > narrow and wide_from < outer:
            depth = max(z - self.crown / 2, site.floor)
            cut += block(angle, wide_from, outer + OVER, self.crown, depth, site.top + OVER)
        return Shape(cuts=cut)
