"""The relief: keeps the holder out of one keep-clear volume."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import ClassVar, TypeVar

import numpy as np
from manifold3d import CrossSection

from nests.given.sheet import Lug, Sheet
from nests.given.zones import Disc, Zone
from nests.parts.answers import Lie, Now, Shape
from nests.parts.base import Part
from nests.parts.drawn import Drawn, Width
from nests.parts.feature import Feature
from nests.parts.site import RUN_IN, Site
from nests.places import Side
from nests.solids.solid import OVER, area, offset, pillar
from nests.units import BadInput, Length, mm, said

T = TypeVar("T")


@dataclass(frozen=True, kw_only=True)
class Relief(Part):
    """Cut round a keep-clear, a dial foot or a lug, grown by a clearance and open upward."""

    tag: ClassVar[str] = "relief"
    spares: ClassVar[bool] = True
    of: str = said("name of the keep-clear volume, or 'lug N' or 'dial foot N' counted from 1")
    clearance: Length = mm(0.3, low=0.05, high=5.0, meaning="room all round")
    below: Length = mm(0.0, high=15.0, meaning="more room below a lug whose droop is not known")
    inward: Length = mm(
        3 * OVER, low=0.2, high=40.0, meaning="how far inside the edge the room for a lug begins"
    )

    def label(self) -> str:
        """Named after what it spares."""
        return f"relief of {self.of}"

    def require_named(self, site: Site) -> None:
        """Raise `BadInput` if the sheet has nothing of that name or number."""
        if self.of.startswith("lug "):
            self._counted("lug", site.sheet.lugs)
        else:
            self._spared(site)

    def lies(self, site: Site) -> Lie | None:
        """At the hour of its lug; else at a place."""
        lug = self.lug(site.sheet)
        if lug is None:
            return None
        root, angle = site.lug_lie(lug)
        aside = root.y * math.cos(angle) - root.x * math.sin(angle)
        return Lie(lug.hour, angle, aside if abs(aside) > 1e-9 else 0.0)

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """The room for a lug; what spares something else follows it and has no width of its own."""
        lug, lie = self.lug(site.sheet), self.lies(site)
        if lug is None or lie is None:
            return ()
        return (Width("", lug.width + 2 * self.clearance, lie, outside=False),)

    def features(self, site: Site) -> tuple[Feature, ...]:
        """Nothing: what is spared is looked at with the workpiece laid in."""
        return ()

    def reread(self, now: Now) -> None:
        """It spares what another workpiece does not have."""

    def stands(self, site: Site) -> tuple[object, ...]:
        """One makes room for one thing."""
        return (self.tag, self.of)

    def shape(self, site: Site) -> Shape:
        """The volume in plan, grown, from its lowest point upward."""
        lug = self.lug(site.sheet)
        if lug is not None:
            return self._round_lug(lug, site)
        zone, ends = self._spared(site)
        plan = offset(area(zone, site.frame, site.chord), self.clearance, 64)
        low = max(min(ends) - self.clearance, site.floor)
        if low >= site.top:
            raise BadInput(
                f"{self.label()}: it lies {low - site.top:.2f} mm above the body; no "
                "relief is needed."
            )
        return Shape(cuts=pillar(plan, low, site.top + OVER), room=True)

    def _spared(self, site: Site) -> tuple[Zone, tuple[Length, Length]]:
        """Plan of a keep-clear or dial foot, and the holder heights of its ends."""
        sheet, z = site.sheet, site.frame.z
        foot = self._counted("dial foot", sheet.dial_feet)
        if foot is not None:
            disc = Disc(centre=foot.at, diameter=foot.diameter)
            return disc, (z(Side.DIAL, 0.0), z(Side.DIAL, -foot.length))
        keep = next((k for k in sheet.keep_clear if k.name == self.of), None)
        if keep is None:
            raise BadInput(f"the sheet '{sheet.name}' has no keep-clear named '{self.of}'.")
        return keep.zone, (z(keep.side, keep.from_height), z(keep.side, keep.to_height))

    def lug(self, sheet: Sheet) -> Lug | None:
        """The lug it spares, if it spares one. Raises `BadInput` if the sheet has fewer."""
        return self._counted("lug", sheet.lugs)

    def _counted(self, word: str, items: tuple[T, ...]) -> T | None:
        """What is named by word and number; None for another name, such as 'lug spring'."""
        number = self.of.removeprefix(f"{word} ")
        if number == self.of or not (number.isascii() and number.isdigit()):
            return None
        if not 1 <= int(number) <= len(items):
            raise BadInput(f"relief of '{self.of}': the sheet has {len(items)} of these.")
        return items[int(number) - 1]

    def into(self, site: Site, pocket: Length) -> Part:
        """The room for a lug begun inside the pocket, over its whole width there."""
        lug = self.lug(site.sheet)
        if lug is None:
            return self
        inside = CrossSection([site.edge().bore(-pocket)])
        left = site.lug_beyond(lug, inside, self.clearance)
        if left.is_empty():
            return self
        root, angle = site.lug_lie(lug)
        along = np.vstack(left.to_polygons()) - (root.x, root.y)
        begins = -float((along @ (math.cos(angle), math.sin(angle))).min())
        return replace(self, inward=round(max(begins + RUN_IN, self.inward), 3))

    def _round_lug(self, lug: Lug, site: Site) -> Shape:
        plan = site.lug_plan(lug, more=self.clearance, back=self.inward)
        low = site.lug_ends(lug)[0] - self.clearance - self.below
        if low >= site.top:
            raise BadInput(
                f"{self.label()}: it lies {low - site.top:.2f} mm above the body; no relief is "
                "needed."
            )
        return Shape(cuts=pillar(plan, low, site.top + OVER), room=True)
