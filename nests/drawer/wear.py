"""Wear: what gauging again shows, held against the first reading."""

from __future__ import annotations

from nests.finding import Finding, Grade
from nests.kept import KeptHolder
from nests.units import Length

SEAT_WEAR: Length = 0.05
"""mm on the ⌀; half the usual play of a rim in its bore."""
POST_WEAR: Length = 0.02
"""mm; a printed post this much short carries little of a press on a stiff plate."""
MEMORY = "from memory; no published figure known"


def worn(kept: KeptHolder) -> list[Finding]:
    """What is worn beyond its limit, and what was never gauged."""
    now, out = kept.now.readings, []
    if now.seat_mean is None or kept.seat_when_new is None:
        out.append(_not_gauged(kept))
    else:
        out.append(_wear(kept, "the ⌀ of the seat", now.seat_mean - kept.seat_when_new, SEAT_WEAR))
    for name, first in kept.posts_when_new.items():
        loss = first - now.posts[name]
        out.append(_wear(kept, f"the height of the post under '{name}'", loss, POST_WEAR))
    return [f for f in out if f.grade is not Grade.CLEAR]


def _not_gauged(kept: KeptHolder) -> Finding:
    return Finding(
        check="wear",
        grade=Grade.UNKNOWN,
        says=f"{kept.id}: the seat was not gauged after printing; its ⌀ is as drawn.",
        remedy="gauge the ⌀ of the seat at three hours and give it: nests drawer measure "
        f"{kept.id} --seat ...",
    )


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
