"""Overhangs: what a layer prints beyond the reach of the layer below.

Layer i may stand out over layer i-1 by r = layer·tan(limit) all round, the limit being the lean
from upright that prints: 0 is an upright wall, 90° a level underside. What lies farther out is
overhang: layer i minus (layer i-1 grown by r).

Growing every layer would be slow, and is needless. From a point of layer i go straight down in
the solid, and at an underside follow its steepest descent. Where no underside leans beyond the
limit this ends on layer i-1 within r, unless it is caught at a lowest vertex, or in a *keel*: a
convex edge on which an underside ends and which itself leans beyond the limit. So overhang lies
within r of an underside, a keel or a lowest vertex of that kind between the two planes, and only
windows around those are grown and compared.
"""

from __future__ import annotations

import math
from typing import Any, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from nests.layers.arches import by_whole_width
from nests.layers.carriage import PartEdge, carriage
from nests.layers.grown import section
from nests.layers.linked import Where, where
from nests.layers.outlines import Flags, Floats, Ints, Outlines
from nests.layers.overhang import Overhang
from nests.layers.regions import boxes_meeting, regions
from nests.layers.slices import COPLANAR, UPRIGHT, LayerStack, Surface
from nests.solids.graphs import connected
from nests.solids.solid import offset
from nests.units import BadInput, Length

SLACK = 2e-3
"""Share by which faces may lean, and layers reach, beyond the limit: rounding of a drawing."""
CELLS = 64
"""Cells each way into which the plan is divided to find the windows."""
ARC = 96
"""Chords to the full circle when a layer is grown: r·(1 - cos(π/96)), 0.05 % of r, too little."""
ROUGH, ROUGH_ARC = 10_000, 48
"""Points of a layer in a window from which on half as many chords must do: 0.2 % of r, `SLACK`."""
HAIR: Length = 1e-4
"""Mean width in mm below which a region is rounding."""

Window: TypeAlias = tuple[float, float, float, float]
"""Least x and y, greatest x and y."""


def overhangs(stack: LayerStack, limit: float, least_area: float = 2.5e-3) -> tuple[Overhang, ...]:
    """Every overhang of at least `least_area` mm², from the build plate up.

    `limit` is the lean from upright in radians that prints without support. The default for
    `least_area` is one pixel of 0.05 mm. Raises `BadInput` for a limit not inside 0 to 90°.
    """
    if not 0.0 < limit < math.pi / 2:
        raise BadInput(
            f"the overhang limit is {math.degrees(limit):g}°; "
            "more than 0° and less than 90° is needed."
        )
    reach = stack.layer * math.tan(limit) * (1.0 + SLACK)
    layers, windows = windows_of(stack, limit)
    solids = [
        _inside(stack.polygons(layer), _shrunk(window, 2.0 * reach))
        for layer, window in zip(layers, windows, strict=True)
    ]
    under = [
        _inside(stack.polygons(layer - 1), window)
        for layer, window in zip(layers, windows, strict=True)
    ]
    beyond = [_beyond(*each, reach) for each in zip(solids, under, strict=True)]
    found, _ = regions(Outlines.gather(beyond), len(beyond))
    broad = (found.areas >= least_area) & (
        2.0 * found.areas > HAIR * shapely.length(found.polygons)
    )
    out = []
    edged, edge = -1, PartEdge(np.empty(0, dtype=object))
    for index in np.flatnonzero(broad):
        window = int(found.section[index])
        if window != edged:  # the regions of a window follow one another, and share its edge
            edged, edge = window, PartEdge(shapely.boundary(solids[window]))
        layer, polygon = np.array([layers[window]]), found.polygons[index : index + 1]
        held = carriage(polygon[0], edge, reach)
        place = where(stack, polygon, layer, found.areas[index : index + 1], np.ones_like(layer))
        inner = (
            *shapely.get_coordinates(shapely.point_on_surface(polygon))[0],
            stack.heights[layers[window]],
        )
        place = Where(place.low, place.high, place.centroid, np.vstack((inner, place.points)))
        out.append(
            Overhang(
                layers[window],
                float(found.areas[index]),
                held.carried,
                held.span,
                held.free_end,
                place,
                polygon[0],
                solids[window],
                under[window],
            )
        )
    return tuple(out)


def stacked(found: tuple[Overhang, ...], gap: Length) -> tuple[tuple[Overhang, ...], ...]:
    """Overhangs of one leaning face together: those of neighbouring layers within `gap` mm.

    On a leaning face the regions of two layers lie one reach, layer·tan(limit), apart: `gap` is
    more than that. Where leaning faces end in a bridge, its span is told as that of the whole: see
    `nests.layers.arches`.
    """
    if not found:
        return ()
    polygons = np.array([each.polygon for each in found], dtype=object)
    layers = np.array([each.layer for each in found])
    bounds = shapely.bounds(polygons) + np.array((-gap, -gap, gap, gap))
    upper, lower = boxes_meeting(shapely.box(*bounds.T), layers, polygons, layers + 1)
    shapely.prepare(polygons)  # two large ones would else be compared edge by edge
    near = shapely.dwithin(polygons[upper], polygons[lower], gap)
    count, group = connected(len(found), upper[near], lower[near])
    out: list[list[Overhang]] = [[] for _ in range(count)]
    for each, index in zip(found, group.tolist(), strict=True):
        out[index].append(each)
    return tuple(group for each in out for group in by_whole_width(tuple(each), gap))


def _beyond(solid: NDArray[Any], below: NDArray[Any], reach: Length) -> list[Floats]:
    fine = int(shapely.get_num_coordinates(below).sum()) <= ROUGH
    grown = offset(section(below), reach, ARC if fine else ROUGH_ARC)
    return list((section(solid) - grown).to_polygons())


def _inside(polygons: NDArray[Any], window: Window) -> NDArray[Any]:
    """The polygons as far as they lie in a window."""
    parts: NDArray[Any] = shapely.get_parts(shapely.clip_by_rect(polygons, *window))
    solid: NDArray[Any] = parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON]
    return solid


def _shrunk(window: Window, by: Length) -> Window:
    return window[0] + by, window[1] + by, window[2] - by, window[3] - by


def windows_of(stack: LayerStack, limit: float) -> tuple[list[int], list[Window]]:
    """Layers and windows in plan outside which nothing hangs over by more than the limit.

    `limit` in radians from upright. What hangs over lies at least three reaches inside its
    window, and the windows of a layer do not meet.
    """
    reach = stack.layer * math.tan(limit) * (1.0 + SLACK)
    layer, boxes = _boxes(*_suspects(stack.surface, math.tan(limit) * (1.0 + SLACK)), stack.planes)
    layers: list[int] = []
    windows: list[Window] = []
    if not len(layer):
        return layers, windows
    margin = 4.0 * reach
    low, high = boxes[:, :2].min(axis=0) - margin, boxes[:, 2:].max(axis=0) + margin
    pitch = (high - low) / CELLS
    first = np.floor((boxes[:, :2] - margin - low) / pitch).astype(np.int64).clip(0, CELLS - 1)
    last = np.floor((boxes[:, 2:] + margin - low) / pitch).astype(np.int64).clip(0, CELLS - 1)
    order = np.argsort(layer, kind="stable")
    for piece in np.split(order, np.flatnonzero(np.diff(layer[order])) + 1):
        for columns, rows in _patches(first[piece], last[piece]):
            least = low + pitch * (columns.start, rows.start)
            greatest = low + pitch * (columns.stop, rows.stop)
            layers.append(int(layer[piece[0]]))
            windows.append((*least.tolist(), *greatest.tolist()))
    return layers, windows


def _patches(first: Ints, last: Ints) -> list[tuple[slice, slice]]:
    """Rectangles of cells, apart from each other, that cover all ranges first to last (n, 2)."""
    count = np.zeros((CELLS + 1, CELLS + 1), dtype=np.int64)
    for x, y, sign in (
        (first[:, 0], first[:, 1], 1),
        (last[:, 0] + 1, first[:, 1], -1),
        (first[:, 0], last[:, 1] + 1, -1),
        (last[:, 0] + 1, last[:, 1] + 1, 1),
    ):
        np.add.at(count, (x, y), sign)
    covered = count.cumsum(axis=0).cumsum(axis=1) > 0
    while True:  # the rectangle around one patch may run into another
        patches = _rectangles(covered)
        filled = np.zeros_like(covered)
        for patch in patches:
            filled[patch] = True
        if np.array_equal(filled, covered):
            return patches
        covered = filled


def _rectangles(covered: Flags) -> list[tuple[slice, slice]]:
    """The rectangle around each patch of covered cells, which touch by sides or corners."""
    cells = np.argwhere(covered)
    number = np.full(np.add(covered.shape, 2), -1)  # a margin, so that every cell has neighbours
    number[1:-1, 1:-1][covered] = np.arange(len(cells))
    pairs = []
    for aside, up in ((1, 0), (0, 1), (1, 1), (1, -1)):
        near = number[tuple((cells + (1 + aside, 1 + up)).T)]
        there = near >= 0
        pairs.append(np.column_stack((np.flatnonzero(there), near[there])))
    one, two = np.concatenate(pairs).T
    count, patch = connected(len(cells), one, two)
    least, greatest = np.full((count, 2), CELLS), np.zeros((count, 2), dtype=np.int64)
    np.minimum.at(least, patch, cells)
    np.maximum.at(greatest, patch, cells + 1)
    return [
        (slice(*columns), slice(*rows))
        for columns, rows in np.stack((least, greatest), axis=2).tolist()
    ]


def _suspects(surface: Surface, lean: float) -> tuple[Floats, Floats, Ints]:
    """Lines (start, end (k, 3), owner (k,)) from which overhang may start: see above.

    `lean` is the greatest run per rise that prints. A triangle owns its three edges, a lowest
    vertex an edge without length.
    """
    normals, height = surface.normals, surface.vertices[:, 2]
    under = normals[:, 2] < -UPRIGHT
    leaning = under & (-normals[:, 2] > lean * np.hypot(normals[:, 0], normals[:, 1]))
    lines = np.flatnonzero(np.repeat(leaning, 3))
    keels = _keels(surface, under, lean)
    lowest_beside = np.full(len(height), np.inf)
    np.minimum.at(lowest_beside, surface.tails, height[surface.heads])
    alone = np.flatnonzero((lowest_beside > height) & np.isfinite(lowest_beside))
    start = np.concatenate((surface.tails[lines], surface.tails[keels], alone))
    end = np.concatenate((surface.heads[lines], surface.heads[keels], alone))
    others = len(leaning) + np.arange(len(keels) + len(alone))
    return surface.vertices[start], surface.vertices[end], np.concatenate((lines // 3, others))


def _keels(surface: Surface, under: Flags, lean: float) -> Ints:
    """Half-edges on which the descent of an underside ends, and which lean beyond the limit."""
    edges = np.flatnonzero(np.repeat(under, 3))
    tail, head = surface.tails[edges], surface.heads[edges]
    x, y, z = (each[head] - each[tail] for each in np.ascontiguousarray(surface.vertices.T))
    far = np.flatnonzero(x * x + y * y > (lean * z) ** 2)
    edges, along = edges[far], np.column_stack((x[far], y[far], z[far]))
    run = np.hypot(along[:, 0], along[:, 1])
    beside = surface.twins[edges] // 3
    here, there = surface.normals[edges // 3], surface.normals[beside]
    # seen from above an underside lies to the right of its half-edge, and rises along its normal
    right = np.column_stack((along[:, 1], -along[:, 0])) / run[:, None]
    ends_here = np.einsum("ij,ij->i", here[:, :2], right) > -UPRIGHT
    goes_on = np.einsum("ij,ij->i", there[:, :2], right) > 0.0
    convex = np.einsum("ij,ij->i", np.cross(here, there), along) > COPLANAR * run
    keels: Ints = edges[ends_here & ~goes_on & convex]
    return keels


def _boxes(start: Floats, end: Floats, owner: Ints, planes: Floats) -> tuple[Ints, Floats]:
    """Layers (n,) and boxes in plan (n, 4) of owners, cut up between the planes of the layers."""
    low = np.minimum(start[:, 2], end[:, 2])
    high = np.maximum(start[:, 2], end[:, 2])
    # between plane i - 1 and plane i lies what decides the overhang of layer i
    first = np.searchsorted(planes, low, side="right").clip(1)
    last = np.searchsorted(planes, high, side="right").clip(max=len(planes) - 1)
    count = (last - first + 1).clip(0)
    line = np.repeat(np.arange(len(count)), count)
    layer = np.arange(len(line)) - np.repeat(np.cumsum(count) - count - first, count)
    rise = end[line, 2] - start[line, 2]
    level = rise == 0.0
    rise[level] = 1.0
    cut = []
    for plane, whole in ((planes[layer - 1], 0.0), (planes[layer], 1.0)):
        share = np.clip((plane - start[line, 2]) / rise, 0.0, 1.0)
        share[level] = whole
        cut.append(start[line, :2] + share[:, None] * (end[line, :2] - start[line, :2]))
    if not len(line):
        return layer, np.empty((0, 4))
    order = np.lexsort((layer, owner[line]))
    layer, line = layer[order], owner[line[order]]
    group = np.flatnonzero((np.diff(layer, prepend=-1) != 0) | (np.diff(line, prepend=-1) != 0))
    return layer[group], np.hstack(
        (
            np.minimum.reduceat(np.minimum(*cut)[order], group),
            np.maximum.reduceat(np.maximum(*cut)[order], group),
        )
    )
