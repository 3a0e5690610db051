"""Leaning undersides that end in a bridge: told by the width of the whole, not of its last layer.

An arch goes out a little in each layer, and its last layer bridges what is left. What it spans
is the clear width between its springings, not that last bit; and a flare does not become a bridge
because a slot in it is roofed over. So the steps of all its layers are laid together in plan, as
if they were one level underside, and how that is carried is asked again.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import shapely

from nests.layers.carriage import Carriage, carriage
from nests.layers.overhang import Overhang
from nests.units import Length

WELD: Length = 2e-6
"""mm by which steps are grown so that those of two layers join; less than `carriage.ON_EDGE`."""


def by_whole_width(group: tuple[Overhang, ...], reach: Length) -> tuple[tuple[Overhang, ...], ...]:
    """Overhangs of one place, by how all of them together are carried: one group, or two.

    Between two sides, the widest bridge is told with the span of the whole. At one side, the
    bridges are a group of their own, and what they hang out freely stays with the leaning face.
    `reach` in mm is how far a layer may stand out over the one below.
    """
    bridges = tuple(each for each in group if each.carried is Carriage.BRIDGE)
    if not bridges or len(bridges) == len(group):
        return (group,)
    steps, edges = zip(*(_step(each, reach) for each in group), strict=True)
    welded = shapely.union_all(shapely.buffer(steps, WELD, join_style="mitre"))
    free = shapely.union_all(edges)
    parts = (carriage(part, free, 0.0) for part in shapely.get_parts(welded))
    held = max(parts, key=lambda each: each.span)
    if held.carried is Carriage.CANTILEVER:
        leaning = (_free(each) if each in bridges else each for each in group)
        return (tuple(each for each in leaning if each.span > 0.0), bridges)
    widest = max(bridges, key=lambda each: each.span)
    if held.carried is Carriage.ISLAND or held.span <= widest.span:
        return (group,)
    told = replace(widest, span=held.span, free_end=held.free_end)
    return (tuple(told if each is widest else each for each in group),)


def _free(bridge: Overhang) -> Overhang:
    """The free end of a bridge."""
    return replace(bridge, carried=Carriage.CANTILEVER, span=bridge.free_end)


def _step(each: Overhang, reach: Length) -> tuple[Any, Any]:
    """All that a layer stands out at an overhang, and the edge of its solid there."""
    near = shapely.buffer(each.polygon, 1.5 * reach, quad_segs=4)
    # only what lies near is looked at; the cut edges stay outside
    window = shapely.bounds(near) + reach * np.array((-1.0, -1.0, 1.0, 1.0))
    solid, below = (
        shapely.union_all(shapely.make_valid(shapely.clip_by_rect(p, *window)))
        for p in (each.solid, each.below)
    )
    out = shapely.intersection(shapely.difference(solid, below), near)
    return out, shapely.intersection(shapely.boundary(solid), near)
