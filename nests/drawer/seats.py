"""What of a holder that exists takes a workpiece: its seats and its posts, as gauged or as drawn.

All of it in the holder frame; a seat in the foot is given with the holder laid on its upper face.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from manifold3d import CrossSection

from nests.holder.gauging import Row, to_gauge
from nests.kinds.kept import KeptHolder, Readings
from nests.parts import answers
from nests.places import Place, Points
from nests.units import Length

GAUGED: Length = 0.01
"""mm, ±, of a height or ⌀ that was gauged; from memory."""

Tip = Literal["printed", "pin", "screw", "soft", "pad"]


@dataclass(frozen=True)
class Support:
    """The tip of a post, or the pad of a cradle. `part` counts the parts of the recipe.

    `gauged` says that its height over what carries the rim is known from gauging, `within` what the
    list of acceptance lets it be off, ± mm. `radius` of the tip; `spared` and `spared_depth` are
    the radius and depth of the room it leaves for a pivot.
    """

    part: int
    under: str
    tip: Tip
    at: Place
    z: Length
    gauged: bool
    radius: Length
    within: Length
    spared: Length = 0.0
    spared_depth: Length = 0.0

    @property
    def doubt(self) -> Length:
        """How far its height may be off, ± mm: as gauged, else as the list lets pass."""
        return GAUGED if self.gauged else self.within


@dataclass(frozen=True)
class Seat:
    """A bore that can centre a rim. `part` counts the parts of the recipe.

    `bore` is the ⌀ as gauged, else as it should come out of the printer; `spread` is how much its
    readings differ, ± mm; `takes` is the ⌀ it was drawn for. For an edge that is not round both are
    those of the circle of the same area, and `edge` is the bore as drawn. `ledge` is the height of
    the face under the rim, None where pads carry instead, and `opening` the ⌀ inside it. Between
    `ledge` and `mouth` the bore is straight;
    `top` is the height of the wall round it, `floor` that of the face below; `most` the most play
    on the ⌀ that is of use.
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
    most: Length = answers.MOST_PLAY
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
    site = kept.recipe.site()
    out = [
        _drawn(number, each)
        for number, part in enumerate(kept.recipe.parts)
        for each in part.seats(site)
    ]
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
    bore = seat.bore + math.fsum(off) / len(off) if mean is None else mean
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
    within = {
        (row.part, row.feature.under): row.feature.within
        for row in to_gauge(kept.recipe)
        if row.feature.sort == "tip"
    }
    for number, part in enumerate(kept.recipe.parts):
        post = part.post()
        if post is not None:
            (contact,) = post.contacts(site)
            hold = post.foothold(site)
            spared = hold.protrusion > 0.0
            gauged = (number, post.under) in heights
            out.append(
                Support(
                    part=number,
                    under=post.under,
                    tip=post.kind,
                    at=hold.at,
                    z=heights.get((number, post.under), contact.place[2]),
                    gauged=gauged,
                    radius=post.wide / 2,
                    within=within[number, post.under],
                    spared=hold.pivot / 2 + post.relief if spared else 0.0,
                    spared_depth=hold.protrusion + post.relief if spared else 0.0,
                )
            )
        elif not part.shelf(site):
            for contact in (each for each in part.contacts(site) if not each.above):
                at, key = Place(*contact.place[:2]), (number, contact.touches)
                z = heights.get(key, contact.place[2])
                known = key in heights
                out.append(Support(number, contact.touches, "pad", at, z, known, 0.0, within[key]))
    return tuple(out)


def _tips(kept: KeptHolder) -> dict[tuple[int, str], Length]:
    """Heights of tips and pads above the bench as gauged, by their part and what is over them."""
    known, ledge = kept.now.readings.gauged, kept.now.readings.mean("ledge")
    if not known:
        return {}
    return {
        (row.part, row.feature.under): row.feature.height(math.fsum(each) / len(each), ledge)
        for row in to_gauge(kept.recipe)
        if row.part is not None and row.feature.sort == "tip" and (each := row.known(known))
    }


def equal_area(points: Points) -> Length:
    """⌀ of the circle of the same area as a closed polygon."""
    return 2.0 * math.sqrt(CrossSection([points]).area() / math.pi)


def _drawn(number: int, seat: answers.Seat) -> Seat:
    """A seat of a part as it should come out of the printer."""
    return Seat(
        part=number,
        bore=seat.bore,
        gauged=False,
        takes=seat.takes,
        ledge=seat.ledge,
        opening=seat.opening,
        mouth=seat.mouth,
        top=seat.top,
        floor=seat.floor,
        edge=seat.edge,
        in_foot=seat.in_foot,
        most=seat.most,
    )
