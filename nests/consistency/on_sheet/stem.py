"""The stem: within the heights of the workpiece, drawn no farther than it is long."""

from __future__ import annotations

from collections.abc import Iterator

from nests.consistency._looked import HAIR, Looked
from nests.finding import Finding
from nests.units import dial_hour


def look(looked: Looked) -> Iterator[Finding]:
    """Depth, ⌀ and draw."""
    stem, sheet = looked.sheet.stem, looked.sheet
    if stem is None:
        return
    if stem.diameter > looked.total + HAIR:
        yield looked.stop(
            f"stem.diameter is {stem.diameter:g} mm; the workpiece is {looked.total:g} mm high in "
            "all.",
            value=stem.diameter, limit=looked.total,
        )  # fmt: skip
    else:
        half, spare = stem.diameter / 2, sheet.uncertainty
        low, high = half - sheet.dial_height, sheet.rim + sheet.bridge_height - half
        if not low - spare - HAIR <= stem.depth <= high + spare + HAIR:
            yield looked.stop(
                f"stem.depth is {stem.depth:g} mm; a stem with diameter {stem.diameter:g} mm lies "
                f"within the workpiece at {low:g} to {high:g} mm below the dial-side rim face.",
                value=stem.depth, limit=high if stem.depth > high else low,
            )  # fmt: skip
    edge = looked.site.radius(stem.hour)
    if stem.draw >= edge:
        yield looked.stop(
            f"stem.draw is {stem.draw:g} mm; from the axis to the edge there are {edge:.2f} mm at "
            f"{dial_hour(stem.hour)} h, and a stem drawn so far is out.",
            value=stem.draw, limit=edge,
        )  # fmt: skip
