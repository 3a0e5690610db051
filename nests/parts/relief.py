"""The relief: keeps the holder out of one keep-clear volume."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from nests.parts.base import Part, Shape, Site
from nests.solid import OVER, area, block, pillar
from nests.units import BadInput, Length, mm, said


@dataclass(frozen=True, kw_only=True)
class Relief(Part):
    """Cut round a keep-clear volume or a lug, grown by a clearance and open upward."""

    tag: ClassVar[str] = "relief"
    of: str = said("name of the keep-clear volume, or 'lug N' counted from 1")
    clearance: Length = mm(0.3, low=0.05, high=5.0, meaning="room all round")

    def label(self) -> str:
        """Named after what it spares."""
        return f"relief of {self.of}"

    def shape(self, site: Site) -> Shape:
        """The volume in plan, grown, from its lowest point upward."""
        if self.of.startswith("lug "):
            return self._lug(site)
        keep = next((k for k in site.sheet.keep_clear if k.name == self.of), None)
        if keep is None:
            raise BadInput(f"the sheet '{site.sheet.name}' has no keep-clear named '{self.of}'.")
        plan = area(keep.zone, site.frame, site.chord).offset(self.clearance, circular_segments=64)
        ends = (site.frame.z(keep.side, keep.from_height), site.frame.z(keep.side, keep.to_height))
        low = max(min(ends) - self.clearance, site.floor)
        if low >= site.top:
            raise BadInput(
                f"{self.label()}: it lies {low - site.top:.2f} mm above the body; no "
                "relief is needed."
            )
        return Shape(cuts=pillar(plan, low, site.top + OVER), room=True)

    def _lug(self, site: Site) -> Shape:
        number = self.of.removeprefix("lug ")
        if not number.isdigit() or not 1 <= int(number) <= len(site.sheet.lugs):
            raise BadInput(f"relief of '{self.of}': the sheet has {len(site.sheet.lugs)} lugs.")
        lug = site.sheet.lugs[int(number) - 1]
        edge = site.radius(lug.hour)
        cut = block(
            site.frame.angle(lug.hour),
            edge - 3 * OVER,
            edge + lug.reach + self.clearance,
            lug.width + 2 * self.clearance,
            site.seat - self.clearance,
            site.top + OVER,
        )
        return Shape(cuts=cut, room=True)
