"""Flank: does the wall hold a case where its flank is upright, and from all sides?

Where a flank leans, a wall touches it on a line or not at all, and the case tilts or climbs. What
the wall holds is measured on the solid: from the ledge to the chamfer at the mouth of the bore, and
round the edge, where lugs, crown and buttons leave the wall open.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from nests.finding import MEMORY, Finding, Grade
from nests.holder.compose import Holder
from nests.holder.workpiece import rim_plan, uncertainty
from nests.parts.site import Site
from nests.solids.volumes import Floats, plan_distances
from nests.study import Study
from nests.study.fitted import Fitted
from nests.units import Length

HELD: Length = 0.3
"""mm of an upright flank that still centre a case; from memory."""
BESIDE: Length = 0.1
"""mm into the wall, past the bore, at which it is looked for."""
PLACES = 720
"""Places round the edge at which the wall is looked for."""
OPEN = 150.0
"""Degrees of the edge that may lie open in one stretch: from 180 a case slips out sideways (plane
geometry); the spare is from memory."""


def check(study: Study) -> list[Finding]:
    """Findings for a case in its seat; none for what is no case."""
    holder = study.holder
    if holder is None or not study.fitted:
        return []
    site = holder.recipe.site()
    if site.sheet.kind != "case":
        return []
    seat = study.fitted[0]
    return [*_upright(site, seat), *_all_round(holder, site, seat)]


def _upright(site: Site, seat: Fitted) -> Iterator[Finding]:
    ends = site.upright()
    if ends is None:
        yield Finding(
            check="flank",
            grade=Grade.UNKNOWN,
            says="not assessed: whether the wall holds the flank where it is upright; the sheet "
            f"of '{site.sheet.name}' does not say where that is.",
            parts=(seat.label,),
            remedy="measure from which to which depth below the dial-side rim face the flank is "
            "upright, and enter it as 'flank'",
            lacks=("/flank",),
        )
        return
    spare = uncertainty(site.sheet, "/flank") + site.card.scatter
    low, high = max(seat.bore.low, ends[0]), min(seat.bore.mouth, ends[1])
    held = high - low - spare
    grade = Grade.CLEAR if held >= HELD else Grade.MEND if held > 0.0 else Grade.STOP
    yield Finding(
        check="flank",
        grade=grade,
        says=f"the wall holds the flank over {max(high - low, 0.0):.2f} mm where it is upright"
        f"{'' if grade is Grade.CLEAR else ', which is too little'}; measuring and print may take "
        f"{spare:.2f} mm.",
        parts=(seat.label,),
        value=round(held, 4),
        limit=HELD,
        unit="mm",
        origin=f"measured on the solid; the limit is {MEMORY}",
        remedy="" if grade is Grade.CLEAR else "a deeper seat, or the other side up",
    )


def _all_round(holder: Holder, site: Site, seat: Fitted) -> Iterator[Finding]:
    """The widest stretch of the edge beside which no wall stands."""
    low, high = seat.bore.low, seat.bore.mouth
    ends = site.upright()
    if ends is not None and min(high, ends[1]) > max(low, ends[0]):
        low, high = max(low, ends[0]), min(high, ends[1])
    z = (low + high) / 2
    ring = shapely.LinearRing(rim_plan(site).to_polygons()[0])
    out = seat.drawn / 2 + BESIDE
    around = shapely.LinearRing(shapely.Polygon(ring).buffer(out).exterior)
    shares = (np.arange(PLACES) + 0.5) / PLACES
    places: Floats = shapely.get_coordinates(
        shapely.line_interpolate_point(around, shares, normalized=True)
    )
    wall = holder.solid.slice(z)
    there = np.zeros(PLACES, dtype=np.bool_)
    if not wall.is_empty():
        there = plan_distances(wall, places) == 0.0
    widest, at = _widest(np.degrees(np.arctan2(places[:, 1], places[:, 0])), there)
    grade = Grade.CLEAR if widest <= OPEN else Grade.MEND if widest < 180.0 else Grade.STOP
    turn = math.radians(at)
    yield Finding(
        check="flank",
        grade=grade,
        says=f"the wall stands at {100 * there.mean():.0f} % of the edge; the widest stretch "
        f"without it is {widest:.0f}° long, at {site.frame.hour(turn):.1f} h"
        f"{'' if grade is Grade.CLEAR else ': the case may slip out there'}.",
        parts=(seat.label,),
        value=round(widest, 2),
        limit=OPEN,
        unit="°",
        origin=f"plane geometry, from 180°; the spare is {MEMORY}",
        remedy="" if grade is Grade.CLEAR else "narrower reliefs, or another hour for one of them",
    )


def _widest(turns: Floats, there: NDArray[np.bool_]) -> tuple[float, float]:
    """Degrees of the widest gap between directions in which a wall stands, and its middle."""
    held = np.sort(turns[there])
    if not len(held):
        return 360.0, 0.0
    gaps = np.diff(np.append(held, held[0] + 360.0))
    widest = int(np.argmax(gaps))
    step = 360.0 / PLACES
    return max(float(gaps[widest]) - step, 0.0), float(held[widest] + gaps[widest] / 2)
