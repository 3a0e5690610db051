"""One sweep over the layer stack: islands, cups, trapped resin, and what is peeled off the film.

Regions of neighbouring sections are linked where they overlap. Regions of solid without a link
downwards are islands. Void is followed by union-find from the build plate towards the film: the
void around the part is open from the start, the build plate closes the first layer, and a region
that overlaps an open one is open from that layer on. What is not open, and not yet roofed over,
is a cup that seals against the film at every peel.

Everything is as fine as the layers, no finer: an opening that no mid-layer plane meets is not
seen, and one between two layers is seen once it exceeds `PASSAGE`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from nests.outlines import Flags, Floats, Ints, Regions, boxes_meeting
from nests.slices import LayerStack
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


@dataclass(frozen=True)
class Island:
    """A connected region of solid with nothing under it, in a layer that is not on the plate."""

    layer: int
    area: float
    where: Where


@dataclass(frozen=True)
class Cup:
    """A void sealed by the part, and perhaps the build plate, while it was open to the film.

    `volume` in mm³ and `height` are those it had grown to in its last sealed layer;
    `mouth_area` in mm² is the largest area it turned to the film at once. It was sealed in the
    layers `first_layer` to `last_layer`, both included. In layer `vented` it met the open void,
    in layer `roofed` nothing of it was left open to the film; with neither, it stayed sealed to
    the end of the print. Cups that grow together are one cup.
    """

    volume: float
    mouth_area: float
    height: Length
    first_layer: int
    last_layer: int
    vented: int | None
    roofed: int | None
    where: Where


class Seal(StrEnum):
    """What holds resin in a void."""

    PART = "part"
    """The finished part, on all sides."""
    PLATE = "plate"
    """The build plate, until the part is taken off it."""
    NARROW = "narrow"
    """An opening too narrow to drain."""


@dataclass(frozen=True)
class Trapped:
    """A void that holds resin when the print is done, its volume in mm³.

    `opening` is the width in mm of the widest way out in the layers, 0 where there is none.
    """

    seal: Seal
    volume: float
    opening: Length
    where: Where


@dataclass(frozen=True, eq=False)
class Peel:
    """Area in mm² that is peeled off the film, per layer.

    `solid` (n,) is the area of the part, `sealed` (n,) that of the cups that face the film.
    """

    solid: Floats
    sealed: Floats

    @property
    def area(self) -> Floats:
        """(n,) solid and sealed area together."""
        return self.solid + self.sealed

    @property
    def jump_layer(self) -> int:
        """The layer that differs most from the one before it; 0 if there is only one."""
        steps = np.abs(np.diff(self.area))
        return int(np.argmax(steps)) + 1 if len(steps) else 0

    @property
    def jump(self) -> float:
        """The largest change from one layer to the next in mm², negative for a drop."""
        layer = self.jump_layer
        return float(self.area[layer] - self.area[layer - 1]) if layer else 0.0


@dataclass(frozen=True)
class Sweep:
    """All that one sweep finds."""

    islands: tuple[Island, ...]
    cups: tuple[Cup, ...]
    trapped: tuple[Trapped, ...]
    peel: Peel


def sweep(stack: LayerStack) -> Sweep:
    """Follow solid and void through the layers, from the build plate to the film."""
    below, above = links(stack.voids)
    found, sealed = _cups(stack, below, above)
    return Sweep(_islands(stack), found, _trapped(stack, below, above),
                 Peel(stack.areas, sealed[stack.section]))


def links(regions: Regions) -> tuple[Ints, Ints]:
    """Pairs (below, above) of regions of neighbouring sections that overlap, outer with outer."""
    before, after = _candidates(regions)
    meet = overlap(regions, before, after)
    outer = np.flatnonzero(regions.outer)  # one per section, in order
    return (np.concatenate((before[meet], outer[:-1])), np.concatenate((after[meet], outer[1:])))


def _candidates(regions: Regions) -> tuple[Ints, Ints]:
    after, before = boxes_meeting(regions.polygons, regions.section,
                                  regions.polygons, regions.section + 1)
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


def where(stack: LayerStack, polygons: NDArray[Any], layers: Ints, volumes: Floats,
          thick: Ints) -> Where:
    """Where polygons lie, each in `thick` layers from `layers` on and weighing `volumes`."""
    weight = volumes / volumes.sum()
    middle = (layers + thick / 2.0) * stack.layer
    centres = shapely.get_coordinates(shapely.centroid(polygons))
    x, y = weight @ centres
    some = np.unique(np.linspace(0, len(polygons) - 1, min(len(polygons), 8)).astype(int))
    points, owner = shapely.get_coordinates(shapely.boundary(polygons[some]), return_index=True)
    spread = np.linspace(0, len(points) - 1, min(len(points), SAMPLES)).astype(int)
    z = stack.heights[layers[some]][owner]
    return Where(float(layers.min() * stack.layer), float((layers + thick).max() * stack.layer),
                 (float(x), float(y), float(weight @ middle)),
                 np.column_stack((points, z))[spread])


def _islands(stack: LayerStack) -> tuple[Island, ...]:
    solids = stack.solids
    before, after = _candidates(solids)
    carried = solids.section == 0
    # of the regions below, the first that carries is enough: ask the largest of each first
    order = np.lexsort((-solids.areas[before], after))
    before, after = before[order], after[order]
    largest = np.diff(after, prepend=-1) != 0
    for asked in (largest, ~largest):
        open_pairs = np.flatnonzero(asked & ~carried[after])
        meet = overlap(solids, before[open_pairs], after[open_pairs])
        carried[after[open_pairs[meet]]] = True
    out = []
    for index in np.flatnonzero(~carried):
        one = slice(index, index + 1)
        layer = stack.first_layer[solids.section[one]]
        place = where(stack, solids.polygons[one], layer, solids.areas[one], np.ones_like(layer))
        out.append(Island(int(layer[0]), float(solids.areas[index]), place))
    return tuple(out)


class _Pool:
    """A cup while it grows: the regions it has filled, and what it turned to the film."""

    def __init__(self) -> None:
        self.regions: list[int] = []
        self.section = -1
        self.facing = 0.0
        self.mouth = 0.0

    def add(self, region: int, section: int, area: float) -> None:
        if section != self.section:
            self.section, self.facing = section, 0.0
        self.regions.append(region)
        self.facing += area
        self.mouth = max(self.mouth, self.facing)

    def take(self, other: _Pool) -> None:
        self.regions += other.regions
        self.mouth = max(self.mouth, other.mouth)


def _cups(stack: LayerStack, below: Ints, above: Ints) -> tuple[tuple[Cup, ...], Floats]:
    """The cups, and the sealed area that faces the film in each section."""
    voids = stack.voids
    parent = list(range(len(voids.section)))
    is_open = voids.outer.tolist()
    pools: dict[int, _Pool] = {}
    done: list[tuple[_Pool, int | None, int | None]] = []
    sealed = np.zeros(voids.sections)

    def root(region: int) -> int:
        while parent[region] != region:
            parent[region] = parent[parent[region]]
            region = parent[region]
        return region

    def join(one: int, two: int, layer: int) -> None:
        one, two = root(one), root(two)
        if one == two:
            return
        parent[two] = one
        mine, other = pools.pop(one, None), pools.pop(two, None)
        if is_open[one] or is_open[two]:
            is_open[one] = True
            done.extend((pool, layer, None) for pool in (mine, other) if pool is not None)
        elif mine is not None and other is not None:
            mine.take(other)
        kept = mine or other
        if kept is not None and not is_open[one]:
            pools[one] = kept

    order = np.argsort(voids.section[above], kind="stable")
    pairs = list(zip(below[order].tolist(), above[order].tolist(), strict=True))
    ends = np.searchsorted(voids.section[above][order], np.arange(voids.sections + 1)).tolist()
    areas = voids.areas.tolist()
    for section in range(voids.sections):
        layer = int(stack.first_layer[section])
        for lower, upper in pairs[ends[section] : ends[section + 1]]:
            join(lower, upper, layer)
        here = voids.at(section)
        for region in range(here.start, here.stop):
            top = root(region)
            if not is_open[top]:
                pools.setdefault(top, _Pool()).add(region, section, areas[region])
                sealed[section] += areas[region]
        for top in [top for top, pool in pools.items() if pool.section != section]:
            done.append((pools.pop(top), None, layer))
    done.extend((pool, None, None) for pool in pools.values())
    cups = [_cup(stack, pool, vented, roofed) for pool, vented, roofed in done]
    return tuple(sorted(cups, key=lambda cup: -cup.volume)), sealed


def _cup(stack: LayerStack, pool: _Pool, vented: int | None, roofed: int | None) -> Cup:
    volume, place, first, end = _filled(stack, np.array(sorted(pool.regions)))
    return Cup(volume, pool.mouth, (end - first) * stack.layer, first, end - 1, vented, roofed,
               place)


def _filled(stack: LayerStack, regions: Ints) -> tuple[float, Where, int, int]:
    """Volume and place of regions of void, their first layer, and the layer after their last."""
    voids = stack.voids
    section = voids.section[regions]
    first, after = stack.first_layer[section], stack.first_layer[section + 1]
    volumes = voids.areas[regions] * (after - first) * stack.layer
    place = where(stack, voids.polygons[regions], first, volumes, after - first)
    return float(volumes.sum()), place, int(first.min()), int(after.max())


def reaches_out(voids: Regions, below: Ints, above: Ints, on_plate: bool) -> tuple[Flags, Ints]:
    """Whether each region of void is joined to the outside, and the label of its component.

    Beyond the last layer all is open; so it is under the first once the plate is gone.
    """
    count = len(voids.section)
    ends = voids.outer | (voids.section == voids.sections - 1)
    if not on_plate:
        ends |= voids.section == 0
    way_out = np.flatnonzero(ends)
    rows = np.concatenate((below, way_out))
    columns = np.concatenate((above, np.full(len(way_out), count)))
    graph = coo_array((np.ones(len(rows)), (rows, columns)), shape=(count + 1, count + 1))
    _, label = connected_components(graph.tocsr(), directed=False)
    return label[:-1] == label[-1], label[:-1].astype(np.int64)


def components(labels: Ints, chosen: Flags) -> Iterable[Ints]:
    """The indices of each component among the chosen."""
    index = np.flatnonzero(chosen)
    index = index[np.argsort(labels[index], kind="stable")]
    cuts = np.flatnonzero(np.diff(labels[index])) + 1
    return (piece for piece in np.split(index, cuts) if len(piece))


def _trapped(stack: LayerStack, below: Ints, above: Ints) -> tuple[Trapped, ...]:
    free, label = reaches_out(stack.voids, below, above, on_plate=False)
    standing, on_plate = reaches_out(stack.voids, below, above, on_plate=True)
    out = []
    for seal, labels, chosen in ((Seal.PART, label, ~free), (Seal.PLATE, on_plate, free & ~standing)):
        for regions in components(labels, chosen):
            volume, place, _, _ = _filled(stack, regions)
            out.append(Trapped(seal, volume, 0.0, place))
    return tuple(sorted(out, key=lambda each: -each.volume))
