"""Leaning undersides that end in a bridge: told by the width of the whole, not of its last layer.

An arch goes out a little in each layer, and its last layer bridges what is left. What it spans
is the clear width between its springings, not that last bit; and a flare does not become a bridge
because a slot in it is roofed over. So the steps of all its layers are laid together in plan, as
if they were one level underside, and how that is carried is asked again.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby
from typing import Any

import numpy as np
import shapely
from manifold3d import CrossSection, JoinType, OpType
from numpy.typing import NDArray

from nests.layers.carriage import Carriage, PartEdge, carriage
from nests.layers.grown import polygons, section
from nests.layers.overhang import Overhang
from nests.solids.solid import SPECK, offset
from nests.units import Length

WELD: Length = 2e-6
"""mm by which steps are grown so that those of two layers join; less than `carriage.ON_EDGE`."""
ROUGHLY = 0.1
"""Share of the reach by which the outline of what lies near may be off."""
ARC = 16
"""Chords to the full circle of what lies near an overhang."""


def by_whole_width(group: tuple[Overhang, ...], reach: Length) -> tuple[tuple[Overhang, ...], ...]:
    """Overhangs of one place, by how all of them together are carried: one group, or two.

    Between two sides, the widest bridge is told with the span of the whole. At one side, the
    bridges are a group of their own, and what they hang out freely stays with the leaning face.
    `reach` in mm is how far a layer may stand out over the one below.
    """
    bridges = tuple(each for each in group if each.carried is Carriage.BRIDGE)
    if not bridges or len(bridges) == len(group):
        return (group,)
    windows = [list(each) for _, each in groupby(group, key=lambda each: id(each.solid))]
    steps, edges = zip(*(_steps(each, reach) for each in windows), strict=True)
    welded = polygons(CrossSection.batch_boolean(list(steps), OpType.Add))
    free = PartEdge(np.concatenate(edges))
    parts = (carriage(part, free, 0.0) for part in welded)
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


def _steps(window: list[Overhang], reach: Length) -> tuple[CrossSection, NDArray[Any]]:
    """All that a layer stands out at the overhangs of one window, grown by `WELD`, and the lines
    in which the edge of its solid runs there."""
    own = np.array([each.polygon for each in window], dtype=object)
    # its arcs are far finer than what lies near has to be
    near = offset(section(shapely.simplify(own, ROUGHLY * reach)), 1.5 * reach, ARC)
    # only what lies near is looked at; the cut edges stay outside
    least, greatest = np.split(np.array(near.bounds()), 2)
    box = (*(least - reach), *(greatest + reach))
    solid, below = (
        shapely.get_parts(shapely.make_valid(shapely.clip_by_rect(each, *box)))
        for each in (window[0].solid, window[0].below)
    )
    out = (section(solid) - section(below)) ^ near
    edge = shapely.boundary(shapely.multipolygons(solid))
    lines = shapely.get_parts(shapely.intersection(edge, shapely.multipolygons(polygons(near))))
    kept: NDArray[Any] = lines[shapely.get_type_id(lines) == shapely.GeometryType.LINESTRING]
    # slivers off first, as in `offset`
    return out.simplify(SPECK).offset(WELD, JoinType.Miter), kept
