"""What is engraved in the wall: the notch, kind and side, calibre, operation."""

from __future__ import annotations

import math
from dataclasses import replace

from nests.families._rim import RimPlan
from nests.given.operation import Operation
from nests.given.sheet import Sheet
from nests.holder.recipe import HolderKind
from nests.parts.base import Part
from nests.parts.mark import NOTCH, Mark
from nests.parts.site import Site
from nests.places import Side
from nests.units import BadInput

ENGRAVED: dict[HolderKind, str] = {
    "movement holder": "movement",
    "sub-assembly cradle": "cradle",
    "case holder": "case",
}
"""What is engraved of each kind."""
NO_PRESS = "NO PRESS"
"""What is engraved where no arbor of the workpiece is known."""


def marks(
    plan: RimPlan, site: Site, kind: str, sheet: Sheet, side_up: Side, operation: Operation
) -> list[Part]:
    """Notch at 12 h unless a way through stands there, then kind and side, calibre, and operation
    in letters that fit, and that nothing may be pressed where no arbor is known; kind and side in
    two where one line finds no room.

    Raises `BadInput` where a name cannot be engraved letter by letter, or there is no room.
    """
    side, rest = f"{side_up.value} UP".upper(), (sheet.engraved, operation.engraved)
    named = ((rest[0], 10.5), (rest[1], 1.5), *(() if sheet.arbors_known else ((NO_PRESS, 4.5),)))
    together = ((f"{kind} {side}".upper(), 6.0), *named)
    parted = ((kind.upper(), 6.5), (side, 5.5), *named)
    outer = min(site.outer(h) for h in range(12))
    for texts in (together, parted):
        for height in (2.0, 1.6, 1.3, 1.0):
            for spread in (1.0, 0.0):
                attempt = plan.on(outer - 1.2 - height)
                out: list[Part] = [Mark(text=NOTCH, at=0.0)] if plan.notch else []
                for text, near in texts:
                    mark = Mark(text=text, at=near, height=height, line=site.card.smallest_line)
                    long = mark.span(attempt.radius) * math.tau / 12 * attempt.radius + 1.0
                    at = attempt.free(near * spread, long)
                    if at is not None:
                        out.append(replace(mark, at=at))
                if len(out) == plan.notch + len(texts):
                    return out
    raise BadInput(
        f"the wall has no room left to engrave {' / '.join(text for text, _ in together)}; a "
        "thicker wall is needed, or a shorter name."
    )
