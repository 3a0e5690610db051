"""The layer stack: a solid in the pose of printing, cut once, for every check to read.

Frame of printing: z = 0 is the build plate and layer 0 lies on it; the part grows in +z, so the
film is always at the top of what has been printed. A masked printer prints polygons, so the
polygons are the truth.

All planes are cut in one pass over the mesh. On a closed mesh a triangle that crosses a plane
has one edge that rises through it and one that falls, and the segment between the two leads
into the triangle across the rising edge; following these links gives closed outlines with the
solid on the left. Layers between which no vertex lies and which only upright faces cross are
the same polygon: they are cut once and share a *section*. So the work is linear in the triangles
plus the points of the distinct sections.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from nests.given.printer_card import TIE, layers_to
from nests.layers.outlines import Outlines, ring_sums
from nests.layers.regions import Regions, regions
from nests.solids.graphs import cycles
from nests.solids.solid import Solid
from nests.units import BadInput, Length

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]
Flags: TypeAlias = NDArray[np.bool_]
Levels: TypeAlias = NDArray[np.int32]
"""Small indices: half the bytes to walk at random."""

UPRIGHT = 1e-9
"""Largest |z| of the unit normal of a face that does not move a section from layer to layer."""
BLOCK = 100_000
"""About how many segments are linked at a time."""
COPLANAR = 1e-7
"""Angle in radians below which the edge between two triangles is no edge of the solid."""


@dataclass(frozen=True, eq=False)
class Surface:
    """A closed triangle mesh that knows its neighbours.

    `vertices` (V, 3) in mm; `triangles` (T, 3), counterclockwise from outside, lowest vertex
    first; `normals` (T, 3), unit, zero for a triangle without area. Half-edge 3t + k runs from
    corner k of triangle t to the next; `twins` (3T,) is the half-edge that runs back along it.
    """

    vertices: Floats
    triangles: Ints
    normals: Floats
    twins: Ints

    @cached_property
    def tails(self) -> Ints:
        """(3T,) vertex each half-edge starts from."""
        return self.triangles.ravel()

    @cached_property
    def heads(self) -> Ints:
        """(3T,) vertex each half-edge runs to."""
        return np.roll(self.triangles, -1, axis=1).ravel()


@dataclass(frozen=True, eq=False)
class LayerStack:
    """Every layer of a solid in the pose of printing.

    `layer` is the height of a layer in mm, `heights` (n,) the mid-layer heights, `areas` (n,)
    the solid area in mm². `section` (n,) says which outline each layer has: equal neighbours
    share one, and sections are numbered upwards. `outlines` holds the closed outlines of all
    sections, solid on the left; `surface` is the mesh they were cut from.
    """

    layer: Length
    heights: Floats
    areas: Floats
    section: Ints
    outlines: Outlines
    surface: Surface

    @property
    def planes(self) -> Floats:
        """(n,) heights at which the layers were cut, a hair above mid-layer."""
        planes: Floats = self.heights + TIE * self.layer
        return planes

    @cached_property
    def first_layer(self) -> Ints:
        """(sections + 1,) first layer of each section, and the number of layers at the end."""
        return np.append(np.flatnonzero(np.diff(self.section, prepend=-1)), len(self.heights))

    @cached_property
    def regions(self) -> tuple[Regions, Regions]:
        """Connected regions of solid and of void of every section, as polygons."""
        return regions(self.outlines, len(self.first_layer) - 1)

    @property
    def solids(self) -> Regions:
        """Connected regions of solid."""
        return self.regions[0]

    @property
    def voids(self) -> Regions:
        """Connected regions of void; the one around the part is `outer`."""
        return self.regions[1]

    def polygons(self, layer: int) -> NDArray[Any]:
        """Shapely polygons of the solid of a layer, one per connected region."""
        return self.solids.polygons[self.solids.at(int(self.section[layer]))]


def slice_solid(solid: Solid, layer: Length) -> LayerStack:
    """Cut a solid that stands in the pose of printing into layers of height `layer` (mm).

    Raises `BadInput` for a layer that is not positive, an invalid, empty or inside-out solid,
    and one that reaches below the build plate or is thinner than half a layer.
    """
    if not layer > 0.0:
        raise BadInput(f"layer is {layer:g} mm; more than 0 mm is needed.")
    if solid.status().name != "NoError" or solid.is_empty():
        raise BadInput(
            f"the solid cannot be cut into layers ({solid.status().name}, "
            f"{solid.num_tri()} triangles)."
        )
    if solid.volume() <= 0.0:
        raise BadInput(f"the solid has a volume of {solid.volume():g} mm³: it is inside out.")
    low, high = solid.bounding_box()[2], solid.bounding_box()[5]
    if low < -TIE * layer:
        raise BadInput(f"the solid reaches z = {low:g} mm, below the build plate at z = 0.")
    count = layers_to(high, layer)
    heights: Floats = (np.arange(count, dtype=np.float64) + 0.5) * layer
    if not len(heights):
        raise BadInput(f"the solid is {high:g} mm high, less than half a layer of {layer:g} mm.")
    surface = surface_of(solid)
    planes: Floats = heights + TIE * layer
    fresh = _fresh(surface, planes)
    section = np.cumsum(fresh) - 1
    outlines = _cut(surface, planes[fresh])
    areas = np.bincount(outlines.section, outlines.areas, minlength=int(fresh.sum()))
    return LayerStack(layer, heights, areas[section], section, outlines, surface)


def surface_of(solid: Solid) -> Surface:
    """The mesh of a solid with its neighbours."""
    mesh = solid.to_mesh64()
    # copied: a view would keep all of the kernel's mesh
    vertices = np.array(mesh.vert_properties, dtype=np.float64)[:, :3].copy()
    triangles = np.asarray(mesh.tri_verts, dtype=np.int64)
    if len(mesh.merge_from_vert):  # vertices that differ only in a property are one vertex
        same = np.arange(len(vertices))
        same[np.asarray(mesh.merge_from_vert)] = np.asarray(mesh.merge_to_vert)
        triangles = same[triangles]
    lowest = np.argmin(vertices[triangles, 2], axis=1)
    corners = (lowest[:, None] + np.arange(3)) % 3
    triangles = np.take_along_axis(triangles, corners, axis=1)
    first, second, third = (vertices[triangles[:, k]] for k in range(3))
    normals = np.cross(second - first, third - first)
    length = np.sqrt(np.einsum("ij,ij->i", normals, normals))
    normals /= np.where(length > 0.0, length, 1.0)[:, None]
    return Surface(vertices, triangles, normals, twins_of(triangles, len(vertices)))


def twins_of(triangles: Ints, vertex_count: int) -> Ints:
    """(3T,) the half-edge that runs back along each half-edge of a closed mesh; see `Surface`."""
    tails, heads = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    edge = np.minimum(tails, heads) * vertex_count + np.maximum(tails, heads)
    # half the half-edges run towards the higher number; the k-th of them meets the k-th of the rest
    forth, back = np.flatnonzero(tails < heads), np.flatnonzero(tails > heads)
    forth = forth[np.argsort(edge[forth], kind="stable")]
    back = back[np.argsort(edge[back], kind="stable")]
    twins = np.empty(len(edge), dtype=np.int64)
    twins[forth], twins[back] = back, forth
    return twins


def _fresh(surface: Surface, planes: Floats) -> Flags:
    """(n,) whether a layer may differ from the one before: the first always does."""
    level = np.searchsorted(planes, surface.vertices[:, 2], side="right")
    fresh = np.bincount(level, minlength=len(planes) + 1)[:-1] > 0
    corner = level[surface.triangles]
    moving = np.abs(surface.normals[:, 2]) > UPRIGHT
    begin, end = corner[moving, 0], corner[moving].max(axis=1, initial=0)
    size = len(planes) + 1
    crossing = np.cumsum(np.bincount(begin, minlength=size) - np.bincount(end, minlength=size))
    fresh |= crossing[:-1] > 0
    fresh[0] = True
    return fresh


def _cut(surface: Surface, planes: Floats) -> Outlines:
    """Outlines of the solid at every plane, in the order of the planes.

    The planes are taken in blocks of about `BLOCK` segments, so that what is walked at random
    stays in the cache of the processor.
    """
    level = np.searchsorted(planes, surface.vertices[:, 2], side="right").astype(np.int32)
    corner = level[surface.triangles]
    low, middle, high = corner[:, 0], corner[:, 1], corner.max(axis=1)
    size = len(planes) + 1
    crossing = np.cumsum(np.bincount(low, minlength=size) - np.bincount(high, minlength=size))
    total = np.cumsum(crossing[:-1])
    cuts = np.unique(np.searchsorted(total, np.arange(BLOCK, total[-1], BLOCK)))
    flat = _coplanar(surface)
    twin_triangle = (surface.twins // 3).astype(np.int32)
    blocks = []
    for first, last in itertools.pairwise([0, *cuts.tolist(), len(planes)]):
        lower, between, upper = (np.clip(each, first, last) for each in (low, middle, high))
        rising, plane, start = _walk(*_segments(lower, between, upper, twin_triangle))
        if not len(plane):
            continue
        edge = ~flat[rising]
        start = np.concatenate(([0], np.cumsum(ring_sums(edge.astype(np.int64), start))))
        rising, plane = rising[edge], plane[edge]
        blocks.append((_points(surface, rising, planes[plane]), start, plane.astype(np.int64)))
    return Outlines.joined(blocks)


def _segments(
    low: Levels, middle: Levels, high: Levels, twin_triangle: Levels
) -> tuple[Levels, Levels, Levels]:
    """The segments in which triangles cross planes: rising half-edge, plane, following segment.

    `low`, `middle`, `high` (T,) say how many planes lie below the first and second corner of a
    triangle and below its highest. The first corner is the lowest, so the rising edge is the
    first edge, or past the second corner the second.
    """
    cut = np.flatnonzero(high > low).astype(np.int32)
    count = (high - low)[cut]
    base = np.zeros(len(low), dtype=np.int32)  # triangle t crosses plane p in segment base[t] + p
    base[cut] = np.cumsum(count) - count - low[cut]
    triangle = np.repeat(cut, count)
    plane = np.arange(len(triangle), dtype=np.int32) - base[triangle]
    rising = 3 * triangle + (plane >= middle[triangle])
    return rising, plane, base[twin_triangle[rising]] + plane


def _points(surface: Surface, rising: Levels, plane: Floats) -> Floats:
    """(n, 2) where rising half-edges meet planes."""
    tail, head = surface.tails[rising], surface.heads[rising]
    x, y, z = np.ascontiguousarray(surface.vertices.T)
    share = (plane - z[tail]) / (z[head] - z[tail])
    points = np.empty((len(rising), 2))
    points[:, 0] = x[tail] + share * (x[head] - x[tail])
    points[:, 1] = y[tail] + share * (y[head] - y[tail])
    return points


def _walk(rising: Levels, plane: Levels, following: Levels) -> tuple[Levels, Levels, Ints]:
    """The segments in order along their rings, rings by plane, and where each ring starts.

    `following` (N,) is a permutation whose cycles are the rings.
    """
    first, ahead = cycles(following)
    ring = np.flatnonzero(ahead == 0)
    ring = ring[np.lexsort((ring, plane[ring]))]
    length = np.bincount(first, minlength=len(first))[ring]
    start = np.concatenate(([0], np.cumsum(length)))
    # a ring begins with its first segment; `ahead` counts back from its end
    begin, end = np.empty((2, len(first)), dtype=np.int64)
    begin[ring], end[ring] = start[:-1], start[1:]
    order = np.empty_like(first)
    order[np.where(ahead == 0, begin[first], end[first] - ahead)] = np.arange(len(first))
    return rising[order], plane[order], start


def _coplanar(surface: Surface) -> Flags:
    """(3T,) whether the two triangles at a half-edge lie in one plane."""
    here, there = np.repeat(surface.normals, 3, axis=0), surface.normals[surface.twins // 3]
    apart = here - there  # chord between unit vectors: the angle, when it is small
    flat: Flags = np.einsum("ij,ij->i", apart, apart) < COPLANAR**2
    # two triangles without area have no plane to share
    flat &= np.einsum("ij,ij->i", here, here) > 0.5
    return flat
