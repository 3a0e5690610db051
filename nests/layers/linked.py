"""How the regions of a layer stack hang together from layer to layer, and where they are.

Regions of neighbouring sections are linked where they overlap. That is as fine as the layers, no
finer: an opening that no mid-layer plane meets is not seen, and one between two layers is seen
once it exceeds `PASSAGE`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from nests.layers.outlines import Flags, Floats, Ints
from nests.layers.regions import Regions, boxes_meeting
from nests.layers.slices import LayerStack
from nests.solids.graphs import connected
from nests.units import Length

Point: TypeAlias = tuple[float, float, float]

PASSAGE = 1e-6
"""Area in mm² (1 µm squared) above which two regions overlap; below it they only touch."""
SAMPLES = 24
"""Most points on its boundary that a result carries."""


@dataclass(frozen=True, eq=False)
class Where:
    """Where something was found in the pose of printing.

    It reaches from `low` to `high` (z, mm) around `centroid`; `points` (k, 3) are some points
    of the solid's surface that bound it, each at the mid-height of its layer.
    """

    low: Length
    high: Length
    centroid: Point
    points: Floats


def links(regions: Regions) -> tuple[Ints, Ints]:
    """Pairs (below, above) of regions of neighbouring sections that overlap, outer with outer."""
    before, after = neighbours(regions)
    meet = overlap(regions, before, after)
    outer = np.flatnonzero(regions.outer)  # one per section, in order
    return (np.concatenate((before[meet], outer[:-1])), np.concatenate((after[meet], outer[1:])))


def neighbours(regions: Regions) -> tuple[Ints, Ints]:
    """Pairs (below, above) of regions of neighbouring sections whose bounding boxes meet.

    Pairs of outer void, which always overlap, are left out.
    """
    after, before = boxes_meeting(
        regions.polygons, regions.section, regions.polygons, regions.section + 1
    )
    both_outer = regions.outer[after] & regions.outer[before]
    return before[~both_outer], after[~both_outer]


def overlap(regions: Regions, one: Ints, two: Ints) -> Flags:
    """(k,) whether regions one[k] and two[k] share more than `PASSAGE`.

    Most pairs are settled by an inner point of the smaller that lies inside the larger; only
    where that fails is it asked whether they meet at all, and then how much they share.
    """
    swap = regions.areas[one] < regions.areas[two]
    small, large = np.where(swap, one, two), np.where(swap, two, one)
    asked, place = np.unique(small, return_inverse=True)
    spots = shapely.point_on_surface(regions.polygons[asked])[place]
    larger = regions.polygons[large]
    shapely.prepare(larger)
    meet: Flags = shapely.contains_properly(larger, spots)
    rest = np.flatnonzero(~meet)
    rest = rest[shapely.intersects(larger[rest], regions.polygons[small[rest]])]
    if len(rest):
        shared = shapely.intersection(_valid(larger[rest]), _valid(regions.polygons[small[rest]]))
        meet[rest] = shapely.area(shared) > PASSAGE
    return meet


def _valid(polygons: NDArray[Any]) -> NDArray[Any]:
    """Polygons that may be overlaid: a mesh may touch itself within its own rounding."""
    bad = ~shapely.is_valid(polygons)
    if np.any(bad):
        polygons = polygons.copy()
        polygons[bad] = shapely.make_valid(polygons[bad])
    return polygons


def where(
    stack: LayerStack, polygons: NDArray[Any], layers: Ints, volumes: Floats, thick: Ints
) -> Where:
    """Where polygons lie, each in `thick` layers from `layers` on and weighing `volumes`."""
    weight = volumes / volumes.sum()
    middle = (layers + thick / 2.0) * stack.layer
    centres = shapely.get_coordinates(shapely.centroid(polygons))
    x, y = weight @ centres
    some = np.unique(np.linspace(0, len(polygons) - 1, min(len(polygons), 8)).astype(int))
    points, owner = shapely.get_coordinates(shapely.boundary(polygons[some]), return_index=True)
    spread = np.linspace(0, len(points) - 1, min(len(points), SAMPLES)).astype(int)
    z = stack.heights[layers[some]][owner]
    return Where(
        float(layers.min() * stack.layer),
        float((layers + thick).max() * stack.layer),
        (float(x), float(y), float(weight @ middle)),
        np.column_stack((points, z))[spread],
    )


def reaches_out(voids: Regions, below: Ints, above: Ints, on_plate: bool) -> tuple[Flags, Ints]:
    """Whether each region of void is joined to the outside, and the label of its component.

    Beyond the last layer all is open; so it is under the first once the plate is gone.
    """
    count = len(voids.section)
    ends = voids.outer | (voids.section == voids.sections - 1)
    if not on_plate:
        ends |= voids.section == 0
    way_out = np.flatnonzero(ends)
    outside = np.full(len(way_out), count)
    _, label = connected(
        count + 1, np.concatenate((below, way_out)), np.concatenate((above, outside))
    )
    return label[:-1] == label[-1], label[:-1]


def components(labels: Ints, chosen: Flags) -> Iterable[Ints]:
    """The indices of each component among the chosen."""
    index = np.flatnonzero(chosen)
    index = index[np.argsort(labels[index], kind="stable")]
    cuts = np.flatnonzero(np.diff(labels[index])) + 1
    return (piece for piece in np.split(index, cuts) if len(piece))
