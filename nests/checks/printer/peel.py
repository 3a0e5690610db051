"""Peel: the area torn off the film layer by layer, cups that face the film included."""

from __future__ import annotations

from nests.finding import Finding, Grade
from nests.study import Study


def check(study: Study) -> list[Finding]:
    """One finding with the largest area and the largest jump."""
    import numpy as np
    import shapely

    peel, layer = study.swept.peel, study.layers.layer
    top = int(np.argmax(peel.area))
    limit = study.card.largest_peel
    value = float(peel.area[top])
    fits = value <= limit
    inner = shapely.point_on_surface(shapely.multipolygons(study.layers.polygons(top)))
    x, y = shapely.get_coordinates(inner)[0]
    return [
        Finding(
            check="peel",
            grade=Grade.CLEAR if fits else Grade.MEND,
            says=f"at most {value:.0f} mm² are peeled off the film, {top * layer:.2f} mm above the "
            f"plate ({float(peel.sealed[top]):.0f} mm² of it sealed cups); the largest jump is "
            f"{peel.jump:+.0f} mm² at {peel.jump_layer * layer:.2f} mm.",
            value=value,
            limit=limit,
            unit="mm²",
            origin=study.card.origin("largest_peel"),
            place=study.in_use((float(x), float(y), float(study.layers.heights[top]))),
            remedy="" if fits else "vent cups, or turn the part so that layers are smaller",
        )
    ]
