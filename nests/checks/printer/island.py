"""Island: a region of a layer with nothing under it in print order, and not on the plate.

It is printed on nothing, sticks to the film and is lost.
"""

from __future__ import annotations

from nests.checks._study import Study
from nests.finding import Finding, Grade


def check(study: Study) -> list[Finding]:
    """A `stop` for each island; `clear` when the layers have none."""
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
            origin="a layer printed on nothing is lost",
            remedy="join it to the part below, or turn the part over",
        )
        for each in study.swept.islands
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
