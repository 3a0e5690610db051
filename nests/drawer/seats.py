"""What of a holder that exists takes a workpiece: its seats and its posts, as gauged or as drawn.

All of it in the holder frame; a seat in the foot is given with the holder laid on its upper face.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from manifold3d import CrossSection

from nests.given.printer_card import PrinterCard
from nests.given.zones import Round
from nests.holder.gauging import Row, to_gauge
from nests.kinds.kept import KeptHolder, Readings
from nests.parts.base import Site
from nests.parts.cradle import Cradle
from nests.parts.ring_seat import RingSeat
from nests.parts.seat_below import SeatBelow
from nests.parts.stake_post import StakePost
from nests.places import Place, Points
from nests.units import Length

GAUGED: Length = 0.01
"""mm, ±, of a height or ⌀ that was gauged; from memory."""

Tip = Literal["printed", "pin", "screw", "soft", "pad"]


@dataclass(frozen=True)
class Support:
    """The tip of a post, or the pad of a cradle. `part` counts the parts of the recipe.

    `gauged` says that its height over what carries the rim is known from gauging. `radius` of the
    tip; `spared` and `spared_depth` are the radius and depth of the room it leaves
    for a pivot.
    """

    part: int
    under: str
    tip: Tip
    at: Place
    z: Length
    gauged: bool
    radius: Length
    spared: Length = 0.0
    spared_depth: Length = 0.0

    def doubt(self, scatter: Length) -> Length:
        """How far its height may be off, ± mm, with the `scatter` of the printer."""
        return GAUGED if self.gauged else scatter


@dataclass(frozen=True)
class Seat:
    """A bore that can centre a rim. `part` counts the parts of the recipe.

    `bore` is the ⌀ as gauged, else as it should come out of the printer; `spread` is how much its
    readings differ, ± mm; `takes` is the ⌀ it was drawn for. For an edge that is not round both are
    those of the circle of the same area, and `edge` is the bore as drawn. `ledge` is the height of
    the face under the rim, None where pads carry instead, and `opening` the ⌀ inside it. Between
    `ledge` and `mouth` the bore is straight;
    `top` is the height of the wall round it, `floor` that of the face below.
    """

    part: int
    bore: Length
    gauged: bool
    takes: Length
    ledge: Length | None
    opening: Length
    mouth: Length
    top: Length
    floor: Length
    edge: Points | None = None
    in_foot: bool = False
    spread: Length = 0.0

    @property
    def widest(self) -> Length:
        """⌀ of the circle of the same area as the bore: nothing larger goes in."""
        return self.bore if self.edge is None else equal_area(self.edge)

    @property
    def level(self) -> Length:
        """Height below which nothing of the seat carries."""
        return self.floor if self.ledge is None else self.ledge


def seats(kept: KeptHolder) -> tuple[Seat, ...]:
    """Every seat of a holder, the one it was made for first; none for a mould."""
    site, out = kept.recipe.site(), []
    for number, part in enumerate(kept.recipe.parts):
        if isinstance(part, RingSeat):
            out += _steps(number, part, site)
        elif isinstance(part, Cradle):
            out.append(_pocket(number, part, site))
        elif isinstance(part, SeatBelow):
            out.append(_below(number, part, site))
    if not kept.now.readings.gauged:
        return tuple(out)
    rows = to_gauge(kept.recipe)
    return tuple(
        _as_gauged(seat, [row for row in rows if row.seat == index], kept.now.readings)
        for index, seat in enumerate(out)
    )


def _as_gauged(seat: Seat, rows: list[Row], readings: Readings) -> Seat:
    """A seat with what was gauged of it; a bore counts once all its widths are."""
    known = readings.gauged
    for row in rows:
        if row.feature.sort == "level" and row.name in known:
            seat = replace(seat, ledge=readings.mean(row.name))
    bores = [row for row in rows if row.feature.sort == "bore"]
    if not bores or any(row.name not in known for row in bores):
        return seat
    off = [each - row.feature.nominal for row in bores for each in known[row.name]]
    mean = readings.mean(bores[0].name) if seat.edge is None else None
    bore = seat.bore + sum(off) / len(off) if mean is None else mean
    return replace(
        seat,
        bore=bore,
        gauged=True,
        takes=seat.takes + bore - seat.bore,
        spread=(max(off) - min(off)) / 2,
    )


def supports(kept: KeptHolder) -> tuple[Support, ...]:
    """Every post and pad of a holder."""
    site, heights, out = kept.recipe.site(), _tips(kept), []
    zero = kept.now.readings.mean("ledge") is not None
    for number, part in enumerate(kept.recipe.parts):
        if isinstance(part, StakePost):
            (contact,) = part.contacts(site)
            hold = part.foothold(site)
            wide = part.tip if part.kind in ("printed", "soft") else part.insert
            spared = hold.protrusion > 0.0
            gauged = (number, part.under) in heights
            out.append(
                Support(
                    part=number,
                    under=part.under,
                    tip=part.kind,
                    at=hold.at,
                    z=heights.get((number, part.under), contact.place[2]),
                    gauged=zero and gauged,
                    radius=wide / 2,
                    spared=hold.pivot / 2 + part.relief if spared else 0.0,
                    spared_depth=hold.protrusion + part.relief if spared else 0.0,
                )
            )
        elif isinstance(part, Cradle):
            for contact in part.contacts(site):
                at, key = Place(*contact.place[:2]), (number, contact.touches)
                z = heights.get(key, contact.place[2])
                out.append(Support(number, contact.touches, "pad", at, z, key in heights, 0.0))
    return tuple(out)


def _tips(kept: KeptHolder) -> dict[tuple[int, str], Length]:
    """Gauged heights of tips and pads, by their part and what they stand under."""
    readings = kept.now.readings
    if not readings.gauged:
        return {}
    return {
        (row.part, row.feature.under): height
        for row in to_gauge(kept.recipe)
        if row.part is not None
        and row.feature.sort == "tip"
        and (height := readings.mean(row.name)) is not None
    }


def equal_area(points: Points) -> Length:
    """⌀ of the circle of the same area as a closed polygon."""
    return 2.0 * math.sqrt(CrossSection([points]).area() / math.pi)


def _printed(drawn: Length, card: PrinterCard) -> Length:
    """⌀ at which a bore comes out; `PrinterCard.inside` is the inverse."""
    return drawn * (1.0 + card.inside_bias_slope) + card.inside_bias


def _steps(number: int, part: RingSeat, site: Site) -> list[Seat]:
    round_edge = isinstance(site.sheet.outline, Round)
    opening = site.across + 2 * part.opening(site)
    levels = part.seats(site)
    inner = [site.across + 2 * out for out, _ in levels[1:]] + [opening]
    out = []
    for index, ((offset, ledge), inside) in enumerate(zip(levels, inner, strict=True)):
        first = index == 0
        printed = _printed(site.across + 2 * offset, site.card)
        top = site.top if first else levels[index - 1][1]
        out.append(
            Seat(
                part=number,
                bore=printed,
                gauged=False,
                takes=printed - part.aim(site),
                ledge=ledge,
                opening=_printed(inside, site.card),
                mouth=top - part.lead_in if first else top,
                top=top,
                floor=site.floor,
                edge=None if round_edge else site.edge().bore(offset),
            )
        )
    return out


def _pocket(number: int, part: Cradle, site: Site) -> Seat:
    round_edge = isinstance(site.sheet.outline, Round)
    flange = max(site.sheet.edge(side)[0] for side in (site.side_up, site.side_down))
    wanted = site.across + 2 * (flange + part.clearance)
    offset = (site.card.inside(wanted) - site.across) / 2
    return Seat(
        part=number,
        bore=wanted,
        gauged=False,
        takes=wanted - 2 * part.clearance,
        ledge=None,
        opening=0.0,
        mouth=site.top - part.lead_in,
        top=site.top,
        floor=site.floor,
        edge=None if round_edge else site.edge().bore(offset),
    )


def _below(number: int, part: SeatBelow, site: Site) -> Seat:
    bore = part.diameter + part.play
    return Seat(
        part=number,
        bore=bore,
        gauged=False,
        takes=part.diameter,
        ledge=site.top - part.depth,
        opening=bore - 2 * part.ledge,
        mouth=site.top - part.lead_in * site.rise,
        top=site.top,
        floor=0.0,
        in_foot=True,
    )
