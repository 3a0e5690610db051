"""The sub-assembly cradle: a pocket from the workpiece's own edge and heights."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np
from manifold3d import CrossSection, OpType
from numpy.typing import NDArray

from nests.given.zones import Round
from nests.parts.answers import (
    MOST_PLAY_IN_A_POCKET,
    Contact,
    Now,
    Seat,
    Serves,
    Shape,
    first_of_each,
    own_edge,
)
from nests.parts.base import Part
from nests.parts.drawn import Drawn
from nests.parts.feature import BENCH, Feature, bores, hyphened
from nests.parts.heights import level_within
from nests.parts.site import Site
from nests.places import Side
from nests.solids.solid import OVER, area, loft, offset, pillar, union
from nests.units import BadInput, Length, mm, printed, said

ROUND_ABOUT = 12
"""Places at which a pad is taken to touch that goes round something."""
DRAIN: Length = 2.6
"""mm left open across a closed pad, more than a vent is wide; less on a small pad."""


@dataclass(frozen=True, kw_only=True)
class Cradle(Part):
    """Pocket with a pad under every rest; everything else of the underside stays free.

    A pad that goes round a hole would be a cup: it is left open at the hours of `drains`.
    """

    tag: ClassVar[str] = "cradle"
    takes_workpiece: ClassVar[bool] = True
    goes_round: ClassVar[bool] = True
    clearance: Length = mm(0.15, low=0.02, high=2.0, meaning="between edge and pocket, all round")
    lead_in: Length = mm(0.4, low=0.0, high=2.0, meaning="chamfer at the mouth")
    inset: Length = mm(0.1, low=0.0, high=2.0, meaning="pad inside its rest, all round")
    smallest_pad: Length = mm(0.6, low=0.3, high=5.0, meaning="narrowest pad")
    drains: tuple[float, ...] = said("hours at which a ring-shaped pad is left open", (1.5, 7.5))

    def _out(self, site: Site) -> Length:
        """How far the pocket as drawn lies outside the outline."""
        flange = max(site.sheet.edge(side)[0] for side in Side)
        wanted = site.across + 2 * (flange + self.clearance)
        return (site.card.inside(wanted) - site.across) / 2

    def seats(self, site: Site) -> tuple[Seat, ...]:
        """The pocket; its pads carry."""
        sheet = site.sheet
        flange = max(sheet.edge(side)[0] for side in Side)
        wanted, own = site.across + 2 * (flange + self.clearance), own_edge(sheet, flange)
        return (
            Seat(
                name="pocket",
                holds=own.holds,
                size=own.size,
                out=flange,
                measured=own.measured,
                low=site.seat,
                high=min(site.top, site.seat + sheet.rim),
                bore=wanted,
                takes=wanted - 2 * self.clearance,
                ledge=None,
                opening=0.0,
                mouth=site.top - self.lead_in,
                top=site.top,
                floor=site.floor,
                most=MOST_PLAY_IN_A_POCKET,
                wanted=f"play {printed(2 * self.clearance)}",
                edge=None
                if isinstance(sheet.outline, Round)
                else site.edge().bore(self._out(site)),
            ),
        )

    def serves(self) -> Serves:
        """The workpiece lies in it."""
        return Serves(carries=True)

    def lies(self, site: Site) -> None:
        """Round the axis."""

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Nothing of its own: a drawing gives the pocket, and has a table of pads."""
        return ()

    def bore_names(self, count: int) -> list[str]:
        """Pads inside, and the pocket."""
        return [""] * (count - 1) + ["pocket"]

    def reread(self, now: Now) -> Cradle:
        """With the play there is now."""
        return replace(self, clearance=min(max(now.play / 2, 0.02), 2.0))

    def beside_wall(self, site: Site) -> Length:
        """How far inside the edge a pad ends, so that a gap to the pocket's wall stays open."""
        return site.card.smallest_gap + 2 * site.chord - self._out(site)

    def pads(self, site: Site) -> list[tuple[str, CrossSection, Length]]:
        """Rest, plan and holder z of every pad. Raises `BadInput` if no rest is wide enough."""
        out: list[tuple[str, CrossSection, Length]] = []
        narrow: list[tuple[Length, Length, str]] = []
        # a pad that nearly meets the pocket's wall would leave a gap that closes in printing
        inside = CrossSection([site.edge().shaft(-self.beside_wall(site))])
        for rest in site.sheet.rests:
            if rest.side is not site.side_down:
                continue
            plan = area(rest.zone, site.frame, site.chord)
            pad = offset(plan, -self.inset, 64) if self.inset > 0 else plan
            z = site.frame.z(rest.side, rest.height)
            pad = (pad ^ inside) - self._spared(site, z)
            if offset(pad, -self.smallest_pad / 2, 64).is_empty():
                narrow.append((_across(pad), _across(plan), rest.name))
                continue
            out.append((rest.name, self._drained(site, pad), z))
        if not out:
            raise BadInput(self._no_pad(site, narrow))
        return out

    def _no_pad(self, site: Site, narrow: list[tuple[Length, Length, str]]) -> str:
        """Why there is no pad: of the rest that leaves most, what it has and what is left of it."""
        says = f"the sheet '{site.sheet.name}' has no rest on its {site.side_down.value} side"
        if not narrow:
            return f"{says}; a cradle needs one."
        left, across, name = max(narrow)
        least = math.ceil(100.0 * (self.smallest_pad + 2 * self.inset) - 1e-6) / 100.0
        return (
            f"{says} with room for a pad {self.smallest_pad:g} mm wide: '{name}' is {across:.2f} "
            f"mm wide, and {left:.2f} mm of it are left. A pad stays {self.inset:.2f} mm inside "
            f"its rest all round, so {least:.2f} mm or more is needed, away from the pocket's wall "
            "and from what must be spared."
        )

    def _drained(self, site: Site, pad: CrossSection) -> CrossSection:
        """The pad, left open where it would close round a hole."""
        if pad.num_contour() == len(pad.decompose()):
            return pad
        x0, y0, x1, y1 = pad.bounds()
        wide = max(min(DRAIN, (x1 - x0) / 4), site.card.smallest_gap)
        way = CrossSection.square((x1 - x0 + y1 - y0, wide)).translate((0.0, -wide / 2))
        for hour in self.drains:
            turned = way.rotate(math.degrees(site.frame.angle(hour)))
            pad -= turned.translate(((x0 + x1) / 2, (y0 + y1) / 2))
        return pad

    def _spared(self, site: Site, z: Length) -> CrossSection:
        """Keep-clears that reach down to a pad's height, grown as far as it stays in its rest."""
        off, frame = self.inset + 0.05, site.frame
        low = (
            each
            for each in site.sheet.keep_clear
            if min(frame.z(each.side, h) for h in (each.from_height, each.to_height)) < z + off
        )
        plans = [area(each.zone, frame, site.chord) for each in low]
        grown = [offset(each, off + site.chord, 64) for each in plans]
        return CrossSection.batch_boolean(grown, OpType.Add)

    def stands(self, site: Site) -> tuple[object, ...]:
        """One seat takes the workpiece, whatever its sort."""
        return ("seat",)

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

    def features(self, site: Site) -> tuple[Feature, ...]:
        """The pocket's bore, or its widths, and the height of every pad."""
        flange = max(site.sheet.edge(side)[0] for side in Side)
        pads = (
            Feature(
                hyphened(f"under {contact.touches}"),
                f"height of the pad under {contact.touches}",
                BENCH,
                "tip",
                contact.place[2],
                level_within(site, contact.place[2]),
                place=contact.place,
                under=contact.touches,
            )
            for contact in first_of_each(self.contacts(site))
        )
        return (*bores("seat", "the pocket", 2 * (flange + self.clearance), site), *pads)

    def contacts(self, site: Site) -> tuple[Contact, ...]:
        """One contact at the middle of each pad; round a pad that has its middle outside itself."""
        out = []
        for name, plan, z in self.pads(site):
            places = list(_places(plan))
            area = plan.area() / len(places)
            out += [Contact(self.tag, name, (x, y, z), area, above=False) for x, y in places]
        return tuple(out)


def _places(plan: CrossSection) -> Iterator[tuple[Length, Length]]:
    """The middle of a plan's bounds; where that lies beside it, the middles of what rays meet."""
    x0, y0, x1, y1 = plan.bounds()
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    rings = [np.asarray(ring, dtype=np.float64) - (x, y) for ring in plan.to_polygons()]
    turns = [index * math.tau / ROUND_ABOUT for index in range(ROUND_ABOUT)]
    met = [(turn, _crossings(rings, turn)) for turn in turns]
    if all(far.size % 2 for _, far in met) or not any(far.size for _, far in met):
        yield x, y
        return
    for turn, far in met:
        if far.size:
            # where the middle lies on the edge, the run that begins there may lack its beginning
            runs = np.concatenate(([0.0] * (far.size % 2), far)).reshape(-1, 2)
            along = float(runs[int(np.argmax(runs[:, 1] - runs[:, 0]))].mean())
            yield x + along * math.cos(turn), y + along * math.sin(turn)


def _crossings(rings: list[NDArray[np.float64]], turn: float) -> NDArray[np.float64]:
    """Distances at which a ray from the origin crosses closed rings, from the nearest: an odd
    number of them if the origin lies inside."""
    ahead, left = np.array((math.cos(turn), math.sin(turn))), (-math.sin(turn), math.cos(turn))
    out = []
    for ring in rings:
        side, forth = ring @ left, ring @ ahead
        next_side, next_forth = np.roll(side, -1), np.roll(forth, -1)
        cross = (side < 0.0) != (next_side < 0.0)
        share = side[cross] / (side[cross] - next_side[cross])
        out.append(forth[cross] + share * (next_forth[cross] - forth[cross]))
    far = np.sort(np.concatenate(out))
    return np.asarray(far[far > 0.0])


def _across(plan: CrossSection) -> Length:
    """⌀ of the largest disc inside a plan, by shrinking it until it is gone; down to 0.01 mm."""
    low, high = 0.0, max(plan.bounds()[2] - plan.bounds()[0], 0.0) if not plan.is_empty() else 0.0
    while high - low > 0.005:
        middle = (low + high) / 2
        low, high = (low, middle) if offset(plan, -middle / 2, 64).is_empty() else (middle, high)
    return high
