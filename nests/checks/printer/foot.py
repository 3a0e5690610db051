"""Foot: the first layers are overexposed and spread, so the edge at the plate is chamfered.

Only what lies on the plate has a foot; what stands on supports has none. The outermost edge is
looked at, in 72 directions: the first layer must lie inside the layer at the height of the foot.
Nothing that touches the workpiece may lie in the foot.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from nests.finding import Finding, Grade
from nests.study import Study

DIRECTIONS = 72


def check(study: Study) -> list[Finding]:
    """One finding for the chamfer, and one for each contact in the foot."""
    if study.pose.on_supports:
        return [
            Finding(
                check="foot",
                grade=Grade.CLEAR,
                says="nothing lies on the plate: the layers that spread are in the supports.",
            )
        ]
    return [_chamfer(study), *_contacts(study)]


def _chamfer(study: Study) -> Finding:
    card, stack = study.card, study.layers
    high = min(len(stack.heights) - 1, max(1, round(card.foot_height / stack.layer)))
    foot = stack.polygons(0)
    inset = reach(stack.polygons(high)) - reach(foot)
    worst = int(np.argmin(inset))
    value = float(inset[worst])
    x, y = farthest(foot, worst)
    fits = value >= card.foot_spread - 1e-3
    return Finding(
        check="foot",
        grade=Grade.CLEAR if fits else Grade.MEND,
        says=f"the first layer lies {value:.2f} mm inside the edge {card.foot_height:g} mm "
        f"above it; the foot spreads {card.foot_spread:g} mm.",
        value=value,
        limit=card.foot_spread,
        unit="mm",
        origin=card.origin("foot_spread"),
        place=study.in_use((x, y, 0.0)),
        parts=study.whole,
        remedy="" if fits else "a chamfer at the edge that lies on the plate",
    )


def _contacts(study: Study) -> list[Finding]:
    card, out = study.card, []
    for contact in study.holder.contacts if study.holder is not None else ():
        above = study.in_print(contact.place)[2]
        if above < card.foot_height:
            out.append(
                Finding(
                    check="foot",
                    grade=Grade.STOP,
                    parts=(contact.part,),
                    value=above,
                    limit=card.foot_height,
                    unit="mm",
                    origin=card.origin("foot_height"),
                    place=contact.place,
                    remedy="a thicker floor, or another pose",
                    says=f"{contact.part} touches {contact.touches} {above:.2f} mm above the "
                    "plate, in the layers that spread.",
                )
            )
    return out


def reach(polygons: object) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """How far regions reach from the axis in each direction (support function), in mm."""
    largest: np.ndarray[tuple[int], np.dtype[np.float64]] = _across(polygons)[0].max(axis=0)
    return largest


def farthest(polygons: object, direction: int) -> tuple[float, float]:
    """The corner (x, y) of regions that lies farthest in one of the directions, in mm."""
    across, points = _across(polygons)
    x, y = points[int(np.argmax(across[:, direction]))]
    return float(x), float(y)


def _across(polygons: object) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """How far corners lie out in each direction (n, DIRECTIONS), and the corners (n, 2)."""
    turn = 2 * np.pi * np.arange(DIRECTIONS) / DIRECTIONS
    points = shapely.get_coordinates(polygons)
    return points @ np.vstack((np.cos(turn), np.sin(turn))), points
