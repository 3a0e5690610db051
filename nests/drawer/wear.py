"""Wear: what gauging again shows, held against the first reading."""

from __future__ import annotations

import math

from nests.finding import MEMORY, Finding, Grade
from nests.holder.gauging import to_gauge
from nests.kinds.kept import KeptHolder
from nests.parts.feature import Feature
from nests.units import Length

SEAT_WEAR: Length = 0.05
"""mm on the ⌀; half the usual play of a rim in its bore."""
POST_WEAR: Length = 0.02
"""mm; a printed post this much short carries little of a press on a stiff plate."""


def worn(kept: KeptHolder) -> list[Finding]:
    """What is worn beyond its limit. What can be set again is set, and does not wear."""
    first = {name: (mean,) for name, mean in kept.when_new.items()}
    known, out = kept.now.readings.gauged, []
    for row in to_gauge(kept.recipe) if first else ():
        limit, new, now = _limit(row.feature), row.known(first), row.known(known)
        if limit is not None and new and now:
            change = math.fsum(now) / len(now) - math.fsum(new) / len(new)
            out.append(_wear(kept, row.feature.says, change, limit))
    return [f for f in out if f.grade is not Grade.CLEAR]


def _limit(feature: Feature) -> Length | None:
    if feature.sort == "bore" and feature.seat is not None:
        return SEAT_WEAR
    return POST_WEAR if feature.sort == "tip" and not feature.set_again else None


def _wear(kept: KeptHolder, what: str, change: Length, limit: Length) -> Finding:
    beyond = abs(change) > limit + 1e-9
    return Finding(
        check="wear",
        grade=Grade.MEND if beyond else Grade.CLEAR,
        says=f"{kept.id}: {what} has changed by {change:+.3f} mm since it was first gauged; "
        f"{limit:g} mm is the limit.",
        value=round(abs(change), 4),
        limit=limit,
        unit="mm",
        origin=MEMORY,
        remedy="gauge it again; if it stays so, retire the holder" if beyond else "",
    )
