"""One sweep over the layer stack: islands, cups, trapped resin, and what is peeled off the film.

Regions of solid that overlap nothing in the layer below are islands. Void is followed by
union-find from the build plate towards the film: the void around the part is open from the
start, the build plate closes the first layer, and a region that overlaps an open one is open
from that layer on. What is not open, and not yet roofed over, is a cup that seals against the
film at every peel.

All of it is as fine as the layers, no finer: see `nests.layers.linked`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from nests.layers.linked import Where, components, links, neighbours, overlap, reaches_out, where
from nests.layers.outlines import Floats, Ints
from nests.layers.slices import LayerStack
from nests.units import Length


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
    return Sweep(
        _islands(stack),
        found,
        _trapped(stack, below, above),
        Peel(stack.areas, sealed[stack.section]),
    )


def _islands(stack: LayerStack) -> tuple[Island, ...]:
    solids = stack.solids
    before, after = neighbours(solids)
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
                if top not in pools:
                    pools[top] = _Pool()
                pools[top].add(region, section, areas[region])
                sealed[section] += areas[region]
        for top in [top for top, pool in pools.items() if pool.section != section]:
            done.append((pools.pop(top), None, layer))
    done.extend((pool, None, None) for pool in pools.values())
    cups = [_cup(stack, pool, vented, roofed) for pool, vented, roofed in done]
    return tuple(sorted(cups, key=lambda cup: -cup.volume)), sealed


def _cup(stack: LayerStack, pool: _Pool, vented: int | None, roofed: int | None) -> Cup:
    volume, place, first, end = _filled(stack, np.array(sorted(pool.regions)))
    return Cup(
        volume, pool.mouth, (end - first) * stack.layer, first, end - 1, vented, roofed, place
    )


def _filled(stack: LayerStack, regions: Ints) -> tuple[float, Where, int, int]:
    """Volume and place of regions of void, their first layer, and the layer after their last."""
    voids = stack.voids
    section = voids.section[regions]
    first, after = stack.first_layer[section], stack.first_layer[section + 1]
    volumes = voids.areas[regions] * (after - first) * stack.layer
    place = where(stack, voids.polygons[regions], first, volumes, after - first)
    return float(volumes.sum()), place, int(first.min()), int(after.max())


def _trapped(stack: LayerStack, below: Ints, above: Ints) -> tuple[Trapped, ...]:
    free, label = reaches_out(stack.voids, below, above, on_plate=False)
    standing, on_plate = reaches_out(stack.voids, below, above, on_plate=True)
    out = []
    for seal, labels, chosen in (
        (Seal.PART, label, ~free),
        (Seal.PLATE, on_plate, free & ~standing),
    ):
        for regions in components(labels, chosen):
            volume, place, _, _ = _filled(stack, regions)
            out.append(Trapped(seal, volume, 0.0, place))
    return tuple(sorted(out, key=lambda each: -each.volume))
