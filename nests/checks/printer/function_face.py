"""Function faces: what touches the workpiece is printed in layers.

A level face comes out at a whole number of layers. A leaning face comes out in steps as high as
layer·cos(lean), where the lean is its angle to the plate. A face that looks down hangs on supports.
"""

from __future__ import annotations

import math

from nests.checks._study import Study
from nests.finding import Finding, Grade


def check(study: Study) -> list[Finding]:
    """`clear` with the height error of level contacts, `mend` where it exceeds half a layer."""
    if study.holder is None:
        return []
    layer = study.layers.layer
    worst: tuple[float, str, tuple[float, float, float]] | None = None
    for contact in study.holder.contacts:
        error = rounding(contact.place[2] - study.lift, layer)
        if worst is None or abs(error) > abs(worst[0]) + 1e-9:
            worst = (error, contact.part, contact.place)
    if worst is None:  # a mould touches no workpiece
        return []
    error, part, place = worst
    return [
        Finding(
            check="function face",
            grade=Grade.CLEAR,
            says=f"level contacts come out within {abs(error) * 1000:.0f} µm of their height, the "
            f"worst is {part} ({error * 1000:+.0f} µm), in layers of {layer * 1000:g} µm.",
            value=abs(error),
            limit=layer / 2,
            unit="mm",
            origin="half a layer, by rounding to whole layers",
            parts=(part,),
            place=place,
        )
    ]


def rounding(height: float, layer: float) -> float:
    """Printed minus drawn height of a level face, in mm: layers are cut at mid-height.

    A layer is printed when the solid reaches its middle, so the face comes out at the nearest
    whole number of layers, a tie going down.
    """
    return math.ceil(height / layer - 0.5 - 1e-9) * layer - height
