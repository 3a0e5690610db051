"""The mass, against the room the workpiece fills."""

from __future__ import annotations

import math
from collections.abc import Iterator

from nests.consistency._looked import MEMORY, Looked
from nests.finding import PRACTICE, Finding

HEAVIEST = 22.0
"""g/cm³ of the heaviest metals, platinum and iridium; from memory."""
LIGHTEST = 0.1
"""g/cm³ over all, air between the parts included; common practice, no source."""


def look(looked: Looked) -> Iterator[Finding]:
    """Density over the outline times the whole height, flange included."""
    sheet = looked.sheet
    if sheet.mass is None:
        return
    room = float(looked.within().area()) * looked.total / 1000.0
    out = math.fsum(lug.width * lug.reach for lug in sheet.lugs) * looked.total / 1000.0
    least, most = LIGHTEST * room, HEAVIEST * (room + out)
    if not least <= sheet.mass <= most:
        origin = MEMORY if sheet.mass > most else PRACTICE
        yield looked.stop(
            f"mass is {sheet.mass:g} g; the outline times the whole height is {room:.2f} cm³, "
            f"which weighs {least:.2g} to {most:.3g} g ({origin}).",
            "weigh again, in g", origin=origin, value=sheet.mass,
            limit=most if sheet.mass > most else least, unit="g",
        )  # fmt: skip
