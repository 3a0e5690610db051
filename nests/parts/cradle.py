"""The sub-assembly cradle: a pocket from the workpiece's own edge and heights."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from manifold3d import CrossSection, OpType

from nests.parts.base import Contact, Part, Shape, Site
from nests.places import Side
from nests.solid import OVER, area, loft, pillar, union
from nests.units import BadInput, Length, mm


@dataclass(frozen=True, kw_only=True)
class Cradle(Part):
    """Pocket with a pad under every rest; everything else of the underside stays free."""

    tag: ClassVar[str] = "cradle"
    clearance: Length = mm(0.15, low=0.02, high=2.0, meaning="between edge and pocket, all round")
    lead_in: Length = mm(0.4, low=0.0, high=2.0, meaning="chamfer at the mouth")
    inset: Length = mm(0.1, low=0.0, high=2.0, meaning="pad inside its rest, all round")
    smallest_pad: Length = mm(0.6, low=0.3, high=5.0, meaning="narrowest pad")

    def _out(self, site: Site) -> Length:
        """How far the pocket as drawn lies outside the outline."""
        flange = max(site.sheet.edge(side)[0] for side in Side)
        wanted = site.across + 2 * (flange + self.clearance)
        return (site.card.inside(wanted) - site.across) / 2

    def pads(self, site: Site) -> list[tuple[str, CrossSection, Length]]:
        """Rest, plan and holder z of every pad. Raises `BadInput` if no rest is wide enough."""
        out = []
        # a pad that nearly meets the pocket's wall would leave a gap that closes in printing
        margin = self._out(site) - site.card.smallest_gap - 2 * site.chord
        inside = CrossSection([site.edge().shaft(margin)])
        for rest in site.sheet.rests:
            if rest.side is not site.side_down:
                continue
            plan = area(rest.zone, site.frame, site.chord)
            pad = plan.offset(-self.inset, circular_segments=64) if self.inset > 0 else plan
            z = site.frame.z(rest.side, rest.height)
            pad = (pad ^ inside) - self._spared(site, z)
            if pad.offset(-self.smallest_pad / 2, circular_segments=64).is_empty():
                continue
            out.append((rest.name, pad, z))
        if not out:
            raise BadInput(
                f"the sheet '{site.sheet.name}' has no rest on its "
                f"{site.side_down.value} side wide enough for a pad of "
                f"{self.smallest_pad:g} mm; a cradle needs one."
            )
        return out

    def _spared(self, site: Site, z: Length) -> CrossSection:
        """Keep-clears that reach down to a pad's height, grown as far as it stays in its rest."""
        off, frame = self.inset + 0.05, site.frame
        low = (
            each
            for each in site.sheet.keep_clear
            if min(frame.z(each.side, h) for h in (each.from_height, each.to_height)) < z + off
        )
        plans = [area(each.zone, frame, site.chord) for each in low]
        grown = [each.offset(off + site.chord, circular_segments=64) for each in plans]
        return CrossSection.batch_boolean(grown, OpType.Add)

    def shape(self, site: Site) -> Shape:
        """Pocket down to the floor, pads up to the rests."""
        if site.body.depth <= self.lead_in + 0.1:
            raise BadInput(
                f"cradle lead_in is {self.lead_in:g} mm; it must leave 0.1 mm of the "
                f"pocket's depth, {site.body.depth:g} mm."
            )
        edge, top, out = site.edge(), site.top, self._out(site)
        low = site.floor if site.floor > 0.0 else -OVER
        wide = out + self.lead_in
        cut = loft(
            [
                (edge.bore(out), low),
                (edge.bore(out), top - self.lead_in),
                (edge.bore(wide), top),
                (edge.bore(wide), top + OVER),
            ]
        )
        pads = []
        for name, plan, z in self.pads(site):
            if z - site.floor < 0.2:
                raise BadInput(
                    f"the pad under '{name}' would be {z - site.floor:.2f} mm high; "
                    "at least 0.2 mm is needed: give more room under."
                )
            pads.append(pillar(plan, max(site.floor - 0.3, 0.0), z))
        return Shape(cuts=cut, adds=union(pads), room=True)

    def contacts(self, site: Site) -> tuple[Contact, ...]:
        """One contact at the middle of each pad."""
        out = []
        for name, plan, z in self.pads(site):
            x0, y0, x1, y1 = plan.bounds()
            at = ((x0 + x1) / 2, (y0 + y1) / 2, z)
            out.append(Contact(self.tag, name, at, plan.area()))
        return tuple(out)
