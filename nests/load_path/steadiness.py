"""How firmly a workpiece stands on what carries it: the force at its rim that tips it.

A finger or a tool that is laid on the rim of a movement presses with about 0.5 N, the weight of
50 g (from memory). What tips under less rocks at every touch. What tips under less than half its
own weight stands on feet that reach less than a third of the way to its rim, F = W a/(R - a), and
nothing can be done in it at all.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from nests.holder.workpiece import rim_plan
from nests.mechanics.rests import support_polygon, tipping_force
from nests.parts.site import Site

TOUCH = 0.5
"""N, a finger or a tool laid on the rim; from memory."""
SHARE = 0.5
"""Of its own weight, a body that stands bears at its rim; from memory."""
ORIGIN = (
    f"{TOUCH:g} N, a finger laid on the rim; to stand at all {SHARE:g} of its weight; from memory"
)
SIDES = 24
"""Corners of a tip's edge."""


def least(weight: float) -> float:
    """N at its rim under which a body of `weight` N must not tip, whatever it is."""
    return min(TOUCH, SHARE * weight)


def tips_at_rim(site: Site, weight: float, feet: Sequence[tuple[float, float, float]]) -> float:
    """Least force in N at the rim that tips a workpiece of `weight` N which stands on feet alone.

    `feet` are x, y and ⌀ of tips. 0 if they span no area, inf if nothing tips it.
    """
    turn = np.arange(SIDES) * (2.0 * math.pi / SIDES)
    ring = np.column_stack((np.cos(turn), np.sin(turn)))
    points: ArrayLike = np.vstack([np.array((x, y)) + d / 2.0 * ring for x, y, d in feet])
    try:
        polygon = support_polygon(points)
    except ValueError:
        return 0.0
    edge = np.vstack(rim_plan(site, site.side_up).to_polygons())
    return tipping_force(polygon, weight, (0.0, 0.0), edge)
