"""Island: a region of a layer with nothing under it in print order, and not on the plate.

It is printed on nothing, sticks to the film and is lost.
"""

from __future__ import annotations

import math

from nests.finding import Finding, Grade
from nests.layers.sweep import Island
from nests.study import Study

ORIGIN = "a layer printed on nothing is lost"


def check(study: Study) -> list[Finding]:
    """A `stop` for each island, `unknown` on supports; `clear` when the layers have none."""
    islands = study.swept.islands
    if islands and study.pose.on_supports:
        return [_supported(study, islands)]
    found = [
        Finding(
            check="island",
            grade=Grade.STOP,
            says=f"a region of {each.area:.2f} mm² begins {each.where.low:.2f} mm above the plate "
            "with nothing under it.",
            value=each.area,
            limit=0.0,
            unit="mm²",
            place=study.in_use(each.where.centroid),
            parts=study.parts_at(each.where.points),
            origin=ORIGIN,
            remedy="join it to the part below, or turn the part over",
        )
        for each in islands
    ]
    return found or [
        Finding(
            check="island",
            grade=Grade.CLEAR,
            says=f"no island in layers of {study.layers.layer:g} mm.",
            value=0.0,
            limit=0.0,
            unit="mm²",
        )
    ]


def _supported(study: Study, islands: tuple[Island, ...]) -> Finding:
    first = min(islands, key=lambda each: each.layer)
    return Finding(
        check="island",
        grade=Grade.UNKNOWN,
        says=f"{len(islands)} regions begin above the plate, the first at {first.where.low:.2f} "
        "mm; a support, which is not drawn, must stand under each.",
        value=math.fsum(each.area for each in islands),
        limit=0.0,
        unit="mm²",
        place=study.in_use(first.where.centroid),
        parts=study.parts_at(first.where.points),
        origin=ORIGIN,
        remedy="set supports under them in the program that makes the layers, and look at each",
    )
