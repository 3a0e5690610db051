"""Voids that drain only through an opening narrower than resin passes.

A disc as wide as the drain is pushed through the void of the layers: in each layer its centre
stays half a width off the solid, from layer to layer it steps straight up or down. Where it can
get, resin drains. A room it fits into but cannot leave is a narrow-necked void, and the widest
disc that can leave it measures the neck.

Seen are necks in the plane of the layers: bores and slots upright or leaning, and lying bores by
their width at mid-height, where the planes may miss the middle by half a layer and then show a
chord of sqrt(D² - layer²). Not seen is the height of a lying slit, which a disc enters edge on,
nor an opening no mid-layer plane meets; the gap check measures those. Widths are good to `FINE`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from nests.layers.linked import components, links, reaches_out, where
from nests.layers.outlines import Flags, Floats, Ints, Outlines
from nests.layers.regions import Regions, regions
from nests.layers.slices import LayerStack
from nests.layers.sweep import Seal, Trapped
from nests.units import BadInput, Length

FINE = 0.02
"""Share by which a width may be off, and by which an opening may fall short of the drain."""
ARC = 32
"""Chords to the full circle when the solid is grown: r·(1 - cos(π/32)), 0.5 % of r."""
STRAIGHT = 1e-2
"""Share of the radius by which outlines may be simplified before they are grown."""


def narrow_drains(stack: LayerStack, drain: Length) -> tuple[Trapped, ...]:
    """Voids of the finished part whose widest way out is narrower than `drain` mm.

    The volume is that of the room the disc can reach inside, of diameter `drain`. Voids without
    any way out are not among them: see `nests.layers.sweep.sweep`. Raises `BadInput` unless
    `drain` is positive.
    """
    if not drain > 0.0:
        raise BadInput(f"the smallest drain is {drain:g} mm; more than 0 mm is needed.")
    rooms = _rooms(stack, drain * (1.0 - FINE))
    free, label = rooms.free, rooms.label
    found = list(components(label, ~free))
    if not found:
        return ()
    largest = np.array([each[np.argmax(rooms.voids.areas[each])] for each in found])
    spots = shapely.get_coordinates(shapely.point_on_surface(rooms.voids.polygons[largest]))
    section = rooms.voids.section[largest]
    leaves = _leaves(_rooms(stack, 0.0), section, spots)
    found = [each for each, ok in zip(found, leaves, strict=True) if ok]
    widths = _widths(stack, section[leaves], spots[leaves], drain)
    out = [
        _trapped(stack, rooms.voids, each, drain, width)
        for each, width in zip(found, widths.tolist(), strict=True)
    ]
    return tuple(sorted(out, key=lambda each: -each.volume))


@dataclass(frozen=True, eq=False)
class _Rooms:
    """Where the centre of a disc may be: regions, whether each leads out, and its component."""

    voids: Regions
    free: Flags
    label: Ints


def _rooms(stack: LayerStack, width: Length) -> _Rooms:
    voids = stack.voids if width == 0.0 else _shrunk(stack, width / 2.0)
    free, label = reaches_out(voids, *links(voids), on_plate=False)
    return _Rooms(voids, free, label)


def _shrunk(stack: LayerStack, radius: Length) -> Regions:
    """Regions of void at least `radius` off the solid."""
    solids = stack.solids
    plain = shapely.simplify(solids.polygons, STRAIGHT * radius, preserve_topology=False)
    parts, owner = shapely.get_parts(plain, return_index=True)
    there, first = np.unique(solids.section[owner], return_index=True)  # not the empty ones
    # each by itself, then as one: a layer of many at once takes ten times as long and a GB
    alone = shapely.buffer(parts, radius, quad_segs=ARC // 4)
    grown = [
        shapely.union_all(each) if len(each) > 1 else each[0]
        for each in np.split(alone, first[1:])
        if len(each)  # none at all
    ]
    parts, place = shapely.get_parts(grown, return_index=True)
    return regions(Outlines.around(parts, there[place]), solids.sections)[1]


def _leaves(rooms: _Rooms, section: Ints, spots: Floats) -> Flags:
    """(k,) whether the room around each spot (k, 2) of a section leads out."""
    out = np.zeros(len(spots), dtype=np.bool_)
    for index, (where_to, spot) in enumerate(zip(section.tolist(), spots, strict=True)):
        here = rooms.voids.at(where_to)
        inside = shapely.intersects_xy(rooms.voids.polygons[here], *spot)
        out[index] = bool(np.any(rooms.free[here] & inside))
    return out


def _widths(stack: LayerStack, section: Ints, spots: Floats, drain: Length) -> Floats:
    """(k,) width of the widest disc that gets out from each spot, by bisection to `FINE`."""
    known: dict[float, Flags] = {}
    passes, fails = np.zeros(len(spots)), np.full(len(spots), drain)
    while len(spots) and np.any(fails - passes > FINE * drain):
        for width in np.unique((passes + fails) / 2.0).tolist():
            if width not in known:
                known[width] = _leaves(_rooms(stack, width), section, spots)
            asked = (passes + fails) / 2.0 == width
            passes[asked & known[width]] = width
            fails[asked & ~known[width]] = width
    middle: Floats = (passes + fails) / 2.0
    return middle


def _trapped(
    stack: LayerStack, voids: Regions, room: Ints, drain: Length, width: Length
) -> Trapped:
    swept = shapely.buffer(voids.polygons[room], drain / 2.0 * (1.0 - FINE), quad_segs=16)
    section = voids.section[room]
    first, after = stack.first_layer[section], stack.first_layer[section + 1]
    volumes = shapely.area(swept) * (after - first) * stack.layer
    place = where(stack, swept, first, volumes, after - first)
    return Trapped(Seal.NARROW, float(volumes.sum()), width, place)
