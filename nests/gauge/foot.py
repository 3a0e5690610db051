"""The foot from its bars: how far the first layers spread, and up to which height.

A share of a bar begins at some height; what its sides stand farther out there than above is the
foot, twice. In x and y apart, as bias is: where both agree their mean counts, where they do not the
larger, since what is drawn in at the plate goes all round.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from nests.kinds.gauge_readings import Axis, GaugeRow
from nests.statistics.line import coverage_factor, t_quantile
from nests.units import Length

APART = 0.01
"""Chance at which scatter alone would tell x and y apart that are one; common practice, no
source."""
SURE = 5.0
"""Standard deviations beyond which a share is wider than above; once in a million by the normal
law."""


@dataclass(frozen=True)
class Share:
    """What a share that begins at a height stands out on one side, mm, in one direction."""

    axis: Axis
    height: Length
    out: Length
    row: GaugeRow


@dataclass(frozen=True)
class Foot:
    """The foot: `spread` with its ± `doubt`, of `readings`; `axis` is the direction it is of, ''
    for both. It ends at `height`, and not yet at `still`, both None where that cannot be told, and
    `why` says why. `sure` is by how much a share must stand out to be of the foot."""

    shares: tuple[Share, ...]
    spread: Length
    doubt: Length | None
    axis: str
    by_axis: tuple[tuple[str, Length], ...]
    height: Length | None
    still: Length | None
    why: str
    sure: Length | None
    readings: int
    odd: tuple[GaugeRow, ...] = ()


def foot(rows: Sequence[GaugeRow], row_sd: Length, reading_sd: Length, freedom: int) -> Foot | None:
    """The foot that rows show; None where neither x nor y was read at the plate and above.

    `row_sd` is the standard deviation of a printed length, or 0 where `reading_sd`, that of one
    reading, is all that is known, to `freedom` degrees; 0 freedom says that neither is known.
    """
    above = {r.axis: r for r in rows if r.sort == "above the foot" and r.read}
    feet = [r for r in rows if r.sort == "foot" and r.read and r.axis in above]
    shares = tuple(
        Share(r.axis, r.height, (r.mean - above[r.axis].mean) / 2, r)
        for r in sorted(feet, key=lambda r: (r.height, r.axis))
    )
    at_plate = [each for each in shares if each.height <= 0.0]
    if not at_plate:
        return None

    def sd(each: Share) -> Length:
        rows = each.row, above[each.axis]
        own = math.fsum(row_sd**2 + reading_sd**2 / len(row.read) for row in rows)
        return math.sqrt(own) / 2

    by_axis = tuple((each.axis, each.out) for each in at_plate)
    used = at_plate
    if len(at_plate) > 1 and freedom:
        x, y = at_plate
        limit = t_quantile(1.0 - APART / 2, freedom) * math.hypot(sd(x), sd(y))
        if abs(x.out - y.out) > limit:
            used = [max(at_plate, key=lambda each: each.out)]
    spread = math.fsum(each.out for each in used) / len(used)
    known = math.sqrt(math.fsum(sd(each) ** 2 for each in used)) / len(used)
    doubt = coverage_factor(freedom) * known if freedom else None
    axis = used[0].axis if len(used) < len(at_plate) else ""
    # where it ends is one height in x and y: both tell it
    both = math.sqrt(math.fsum(sd(each) ** 2 for each in at_plate)) / len(at_plate)
    sure = SURE * both if freedom else None
    height, still, why, odd = _ends(shares, at_plate, sure)
    count = sum(len(each.row.read) for each in at_plate)
    count += sum(len(above[each.axis].read) for each in at_plate)
    return Foot(shares, spread, doubt, axis, by_axis, height, still, why, sure, count, odd)


def _ends(
    shares: Sequence[Share], at_plate: Sequence[Share], sure: Length | None
) -> tuple[Length | None, Length | None, str, tuple[GaugeRow, ...]]:
    """Where the foot ends, where it does not yet, why that cannot be told, and shares that stand
    out less than one above them."""
    if all(each.height <= 0.0 for each in shares):
        return None, None, "no share that begins above the plate was read", ()
    if sure is None:
        return None, None, "nothing tells how well was read", ()
    spread = math.fsum(each.out for each in at_plate) / len(at_plate)
    if spread < 2 * sure:
        return None, None, (
            f"it spreads {1000 * spread:.0f} µm, of which {1000 * sure:.0f} µm may be scatter"
        ), ()  # fmt: skip
    axes = {each.axis for each in at_plate}
    by: dict[Length, list[Share]] = {}
    for each in shares:
        if each.axis in axes:
            by.setdefault(each.height, []).append(each)
    whole = {h: own for h, own in by.items() if len(own) == len(axes)}
    wide = {h: math.fsum(s.out for s in own) / len(own) > sure for h, own in whole.items()}
    still = max(h for h, is_wide in wide.items() if is_wide)
    ended = min((h for h in wide if h > still), default=None)
    if ended is None:
        return None, None, f"it reaches up to {still:g} mm, above which nothing was read", ()
    odd = tuple(s.row for h, own in whole.items() if h < still and not wide[h] for s in own)
    return ended, still, "", odd
