"""A sheet with what several looks at it need: its edge, its heights, areas of its zones."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from manifold3d import CrossSection

from nests.finding import Finding, Grade
from nests.given.sheet import Sheet
from nests.given.zones import Disc, Round, Zone
from nests.parts.body import bare_site
from nests.parts.site import Site
from nests.places import Place, Side
from nests.solids.solid import area, offset
from nests.units import Length

CHECK = "consistency"
LOGIC = "follows from the document itself"
MEMORY = "from memory"
UNLOOKED = "no check looks at this field"
ASSUMED = "assumed or never looked at, as the sheet says"
CHORD: Length = 0.01
"""mm a chord of a zone may leave its arc."""
SPECK = 1e-3
"""mm² below which an area is not one."""
HAIR: Length = 1e-9
"""mm that sums of floats may be off."""
SEGMENTS = 128
"""Segments of a grown edge."""


@dataclass(frozen=True)
class Looked:
    """A sheet, dial side up; what is measured on shapes needs an outline that holds."""

    sheet: Sheet

    @cached_property
    def site(self) -> Site:
        """The ground for its edge and frame; nothing of a holder counts here."""
        return bare_site(self.sheet, Side.DIAL, CHORD)

    @cached_property
    def plan(self) -> CrossSection:
        """The outline, a chord error wider than it is."""
        return CrossSection([self.site.edge().bore(0.02)])

    def within(self, side: Side | None = None, spare: Length = 0.01) -> CrossSection:
        """The outline with the flange of a side (of both for None), grown by `spare` mm."""
        sides = tuple(Side) if side is None else (side,)
        grown = max(self.sheet.edge(each)[0] for each in sides) + spare
        if grown not in self._grown:
            self._grown[grown] = offset(self.plan, grown, SEGMENTS)
        return self._grown[grown]

    def area(self, zone: Zone) -> CrossSection:
        """A zone in plan."""
        if zone not in self._areas:
            self._areas[zone] = area(zone, self.site.frame, CHORD)
        return self._areas[zone]

    @cached_property
    def _grown(self) -> dict[Length, CrossSection]:
        return {}

    @cached_property
    def _areas(self) -> dict[Zone, CrossSection]:
        return {}

    def disc(self, at: Place, diameter: Length) -> CrossSection:
        """A disc in plan."""
        return self.area(Disc(centre=at, diameter=max(diameter, 0.05)))

    @property
    def longest(self) -> Length:
        """The outline's longest measure along x or y."""
        if isinstance(self.sheet.outline, Round):
            return self.sheet.outline.diameter
        return float(np.ptp(self.site.edge().shaft(0.0), axis=0).max())

    @property
    def total(self) -> Length:
        """From the highest point of the dial side to that of the bridge side."""
        return self.sheet.rim + self.sheet.dial_height + self.sheet.bridge_height

    def deepest(self, side: Side) -> Length:
        """Where a reading from the rim face of a side leaves the workpiece at the other side."""
        return -(self.sheet.rim + self.sheet.bare_height(side.other))

    def span(self, side: Side) -> str:
        """Readings that a face looking to a side may have, in words."""
        return (
            f"the workpiece reaches from {self.deepest(side):g} to "
            f"{self.sheet.bare_height(side):g} mm there, read from the {side.value}-side rim face"
        )

    def stop(
        self, says: str, remedy: str = "measure again", *, origin: str = LOGIC,
        value: float | None = None, limit: float | None = None, unit: str = "mm",
    ) -> Finding:  # fmt: skip
        """A contradiction."""
        return self._finding(Grade.STOP, says, remedy, origin, value, limit, unit)

    def mend(
        self, says: str, remedy: str, *, origin: str = LOGIC,
        value: float | None = None, limit: float | None = None, unit: str = "mm",
    ) -> Finding:  # fmt: skip
        """What is hardly meant."""
        return self._finding(Grade.MEND, says, remedy, origin, value, limit, unit)

    def unknown(self, says: str, remedy: str, lacks: str) -> Finding:
        """What lacks, and the pointer it has on the sheet."""
        made = self._finding(Grade.UNKNOWN, f"not assessed: {says}", remedy, "", None, None, "")
        return replace(made, lacks=(lacks,))

    def unlooked(self, says: str, remedy: str) -> Finding:
        """What is given, and no family and no check looks at."""
        says = f"not assessed: {says}"
        return self._finding(Grade.UNKNOWN, says, remedy, UNLOOKED, None, None, "")

    def assumed(self, says: str, remedy: str, lacks: str) -> Finding:
        """What was not measured, and stands there all the same, at a pointer."""
        says = f"not assessed: {says}"
        made = self._finding(Grade.UNKNOWN, says, remedy, ASSUMED, None, None, "")
        return replace(made, lacks=(lacks,))

    def _finding(
        self, grade: Grade, says: str, remedy: str, origin: str, value: float | None,
        limit: float | None, unit: str,
    ) -> Finding:  # fmt: skip
        return Finding(
            check=CHECK, grade=grade, says=f"{self.sheet.name}: {says}", remedy=remedy,
            origin=origin, value=value, limit=limit, unit=unit if value is not None else "",
        )  # fmt: skip


def beyond(inner: CrossSection, outer: CrossSection) -> float:
    """mm² of a plan that lie outside another."""
    return float((inner - outer).area())


def shared(first: CrossSection, second: CrossSection) -> float:
    """mm² that two plans have in common; boxes that stand apart cost less than areas."""
    a, b = first.bounds(), second.bounds()
    if any(a[k] > b[k + 2] or b[k] > a[k + 2] for k in range(2)):
        return 0.0
    return float((first ^ second).area())
