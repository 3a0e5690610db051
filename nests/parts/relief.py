"""The relief: keeps the holder out of one keep-clear volume."""

from __future__ import annotations

import math
from collections.abc import Iterator
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
from nests.units import BadInput, Hour, Length, mm, said

T = TypeVar("T")
ROUND = 128
"""Chords of a full turn where an outline is drawn in."""
WIDER: tuple[Length, ...] = (0.3, 0.6, 1.0)
"""mm of more room beside a lug or keep-clear that are tried; from memory."""
FAR: Length = 1000.0
"""mm, farther than any holder reaches."""


@dataclass(frozen=True, kw_only=True)
class Relief(Part):
    """Cut round a keep-clear, a dial foot or a lug, grown by a clearance and open upward."""

    tag: ClassVar[str] = "relief"
    spares: ClassVar[bool] = True
    of: str = said("name of the keep-clear volume, or 'lug N' or 'dial foot N' counted from 1")
    clearance: Length = mm(0.3, low=0.05, high=5.0, meaning="room all round")
    beside: Length = mm(0.0, high=5.0, meaning="more room beside it, where a blade would be left")
    below: Length = mm(0.0, high=15.0, meaning="more room below a lug")
    run_in: Length = mm(
        0.0, high=40.0, meaning="how far the room for a keep-clear is run on towards the axis"
    )
    inward: Length = mm(
        OVER, low=0.2, high=40.0, meaning="how far inside the edge the room for a lug begins"
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
        across = lug.width + 2 * (self.clearance + self.beside)
        return (Width("", across, lie, outside=False),)

    def features(self, site: Site) -> tuple[Feature, ...]:
        """Nothing: what is spared is looked at with the workpiece laid in."""
        return ()

    def reread(self, now: Now) -> None:
        """It spares what another workpiece does not have."""

    def stands(self, site: Site) -> tuple[object, ...]:
        """One makes room for one thing."""
        return (self.tag, self.of)

    def variants(self, site: Site) -> Iterator[Part]:
        """With more room beside it."""
        for more in WIDER:
            if more > self.beside:
                yield replace(self, beside=more)

    def shape(self, site: Site) -> Shape:
        """The volume in plan, grown, from its lowest point upward."""
        lug = self.lug(site.sheet)
        if lug is not None:
            return self._round_lug(lug, site)
        zone, ends = self._spared(site)
        plan = self._grown(zone, site)
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
        """The room for a lug begun inside the pocket: with a ledge before it, it were a cup."""
        lug = self.lug(site.sheet)
        if lug is None:
            return self._run_into(site, CrossSection([site.edge().bore(-pocket)]))
        return replace(self, inward=round(max(self.inward, pocket + RUN_IN), 3))

    def _grown(self, zone: Zone, site: Site) -> CrossSection:
        """Plan of the room for a keep-clear."""
        plan = offset(area(zone, site.frame, site.chord), self.clearance + self.beside, 64)
        if self.run_in <= 0.0:
            return plan
        towards = -np.array(_middle(plan))
        step = towards * self.run_in / max(float(np.hypot(*towards)), self.run_in)
        return CrossSection.batch_hull([plan, plan.translate((float(step[0]), float(step[1])))])

    def _run_into(self, site: Site, inside: CrossSection) -> Part:
        """The room for what lies at the wall run on into the pocket, where it would leave a blade
        before it."""
        zone, _ = self._spared(site)
        plan = self._grown(zone, site)
        beyond = plan - inside
        near = offset(plan, site.card.smallest_wall, 64) ^ CrossSection([site.edge().bore(0.0)])
        if beyond.is_empty() or near.is_empty():
            return self
        x, y = _middle(plan)
        angle = math.atan2(y, x)
        forth = np.array((math.cos(angle), math.sin(angle)))
        ends = np.vstack(beyond.to_polygons())
        aside = np.abs(ends @ (-forth[1], forth[0])).max()
        ring = np.vstack(inside.to_polygons())
        past = ring[(np.abs(ring @ (-forth[1], forth[0])) <= aside) & (ring @ forth > 0.0)]
        if not len(past):
            return self
        back = float((np.vstack(plan.to_polygons()) @ forth).max() - (past @ forth).min())
        return replace(self, run_in=round(max(back, 0.0) + RUN_IN, 3))

    def leaves_out(self, site: Site) -> tuple[tuple[Hour, Length], ...]:
        """The ledge at its lug, where the room for that reaches down to it."""
        lug = self.lug(site.sheet)
        if lug is None or self._low(lug, site) >= site.seat:
            return ()
        first, last = _turns(self._strip(lug, site)[2])
        half = min((last - first) / 2, math.pi / 2)
        width = 2 * site.radius(lug.hour) * math.sin(half)
        return ((site.frame.hour((first + last) / 2), width),)

    def _strip(self, lug: Lug, site: Site) -> tuple[CrossSection, CrossSection, CrossSection]:
        """Plans of the room for a lug outside the outline, of the ledge with its groove, and of
        what the lug takes of that at its root."""
        outline = CrossSection([site.edge().bore(0.0)])
        inside = offset(outline, -self.clearance, ROUND)
        beside = offset(outline, self.clearance, ROUND)
        strip = site.lug_beyond(lug, inside, self.clearance + self.beside)
        return strip, beside - offset(outline, -self.inward, ROUND), strip ^ beside

    def _low(self, lug: Lug, site: Site) -> Length:
        return site.lug_ends(lug)[0] - self.clearance - self.below

    def _round_lug(self, lug: Lug, site: Site) -> Shape:
        strip, ring, root = self._strip(lug, site)
        plan = strip + _between(ring, root)  # ledge and groove end square, in no blade
        low = self._low(lug, site)
        if low >= site.top:
            raise BadInput(
                f"{self.label()}: it lies {low - site.top:.2f} mm above the body; no relief is "
                "needed."
            )
        return Shape(cuts=pillar(plan, low, site.top + OVER), room=True)


def _between(ring: CrossSection, part: CrossSection) -> CrossSection:
    """What of a ring about the axis lies between the two directions in which a part of it ends."""
    if part.is_empty():
        return part
    first, last = _turns(part)
    corners = [(0.0, 0.0)]
    for turn in (first, (first + last) / 2, last):
        corners.append((FAR * math.cos(turn), FAR * math.sin(turn)))
    return ring ^ CrossSection([corners])


def _turns(plan: CrossSection) -> tuple[float, float]:
    """Angles (rad) about the axis between which a plan lies that does not go round it."""
    x, y = _middle(plan)
    middle, points = math.atan2(y, x), np.vstack(plan.to_polygons())
    turns = [math.remainder(math.atan2(b, a) - middle, math.tau) for a, b in points]
    return middle + min(turns), middle + max(turns)


def _middle(plan: CrossSection) -> tuple[float, float]:
    """Middle of the box round a plan."""
    x0, y0, x1, y1 = plan.bounds()
    return (x0 + x1) / 2, (y0 + y1) / 2
