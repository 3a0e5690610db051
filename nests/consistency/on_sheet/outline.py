"""The edge, and the flange on it: closed, round the axis, of a size there is."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from nests.consistency._looked import Looked
from nests.finding import PRACTICE, Finding
from nests.given.zones import Path, Round
from nests.units import BadInput, Length

SMALLEST: Length = 3.0
LARGEST: Length = 70.0
"""mm across that any outline may be: the limits of a round one."""
FLANGE: Length = 3.0
"""mm a flange stands out at most; common practice, no source."""


def look(looked: Looked) -> Iterator[Finding]:
    """Outline and casing ledge."""
    ledge, outline, rim = looked.sheet.casing_ledge, looked.sheet.outline, looked.sheet.rim
    if isinstance(outline, Path):
        found = list(_corners(looked, outline))
        yield from found or _course(looked)
    if ledge is not None and isinstance(outline, Round):
        if ledge.diameter < outline.diameter:
            yield looked.stop(
                f"casing_ledge.diameter is {ledge.diameter:g} mm; it must be at least the "
                f"outline's {outline.diameter:g} mm.",
                value=ledge.diameter, limit=outline.diameter,
            )  # fmt: skip
        elif ledge.diameter > outline.diameter + 2 * FLANGE:
            yield looked.stop(
                f"casing_ledge.diameter is {ledge.diameter:g} mm; a flange stands out at most "
                f"{FLANGE:g} mm from the outline, so {outline.diameter + 2 * FLANGE:g} mm or less "
                f"is allowed ({PRACTICE}).",
                origin=PRACTICE, value=ledge.diameter, limit=outline.diameter + 2 * FLANGE,
            )  # fmt: skip
    if ledge is not None and ledge.height >= rim:
        yield looked.stop(
            f"casing_ledge.height is {ledge.height:g} mm; it must be less than the "
            f"rim's {rim:g} mm.",
            value=ledge.height, limit=rim,
        )  # fmt: skip


def _corners(looked: Looked, path: Path) -> Iterator[Finding]:
    if len(path.corners) < 2:
        yield looked.stop(
            f"outline.corners has {len(path.corners)} corners; at least 2 are needed."
        )
        return
    for index, corner in enumerate(path.corners):
        following = path.corners[(index + 1) % len(path.corners)]
        span = corner.at.distance(following.at)
        if span < 1e-3:
            yield looked.stop(
                f"outline.corners[{index}] and the next lie on one place, {corner.at.words()}; "
                "each corner needs its own."
            )
        if corner.radius is not None and 2 * corner.radius < span:
            yield looked.stop(
                f"outline.corners[{index}].radius is {corner.radius:g} mm; to reach the "
                f"next corner {span / 2:.3f} mm or more are needed.",
                value=corner.radius, limit=span / 2,
            )  # fmt: skip
    if len(path.corners) == 2 and not all(c.radius for c in path.corners):
        yield looked.stop("outline.corners has 2 corners joined by lines; they enclose nothing.")


def _course(looked: Looked) -> Iterator[Finding]:
    """A path must not meet itself, and every hour is read from an axis inside it."""
    import shapely

    try:
        edge = looked.site.edge().bore(0.0)
    except BadInput as bad:
        yield looked.stop(str(bad))
        return
    across = np.ptp(edge, axis=0)
    if not shapely.LinearRing(edge).is_simple:
        yield looked.stop("outline.corners make an edge that crosses or touches itself.")
    elif not shapely.Polygon(edge).contains(shapely.Point(0.0, 0.0)):
        yield looked.stop(
            "outline.corners do not go round the axis, x 0, y 0; places are read from it.",
            "measure from the middle of the outline",
        )
    elif across.min() < SMALLEST or across.max() > LARGEST:
        yield looked.stop(
            f"outline.corners make an edge {across[0]:.2f} mm by {across[1]:.2f} mm; allowed is "
            f"{SMALLEST:g} to {LARGEST:g} mm across.",
        )
