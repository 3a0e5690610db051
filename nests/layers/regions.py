"""The connected regions of solid and of void that closed outlines bound, for many sections."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from nests.layers.outlines import Flags, Floats, Ints, Outlines
from nests.units import Length

ROOM: Length = 1.0
"""Width in mm of the void kept around the part."""


@dataclass(frozen=True, eq=False)
class Regions:
    """Connected regions of solid, or of void, of all sections, ascending by section.

    `polygons` (k,) shapely polygons; `section` (k,); `areas` (k,) in mm²; `outer` (k,) marks
    the void around the part, whose area is that of a frame and means nothing.
    """

    polygons: NDArray[Any]
    section: Ints
    areas: Floats
    outer: Flags
    sections: int

    def at(self, section: int) -> slice:
        """Which regions belong to a section."""
        first, last = np.searchsorted(self.section, (section, section + 1))
        return slice(int(first), int(last))


def regions(outlines: Outlines, sections: int) -> tuple[Regions, Regions]:
    """Regions of solid and regions of void, each section's outer void among them.

    A region of solid is a counterclockwise outline less the clockwise ones directly inside; a
    region of void is a clockwise outline less the counterclockwise ones directly inside.
    """
    count = len(outlines.section)
    ring = np.repeat(np.arange(count), np.diff(outlines.start))
    rings = shapely.linearrings(outlines.points, indices=ring)
    convex = outlines.areas > 0.0
    shells, holes = np.flatnonzero(convex), np.flatnonzero(~convex)
    parent = _parents(outlines, rings, convex)
    frame = _frame(outlines.points)

    # region of void v: the outer one of section v, then one per clockwise outline
    void_of = np.empty(count, dtype=np.int64)
    void_of[holes] = sections + np.arange(len(holes))
    void_shell = np.concatenate((np.full(sections, frame, dtype=object), rings[holes]))
    enclosing = parent[shells]
    owner = np.where(enclosing < 0, outlines.section[shells], void_of[enclosing])
    void_areas = np.concatenate(
        (np.full(sections, shapely.area(shapely.polygons(frame))), -outlines.areas[holes])
    )
    void_areas -= np.bincount(owner, outlines.areas[shells], minlength=len(void_areas))
    void_section = np.concatenate((np.arange(sections), outlines.section[holes]))
    order = np.argsort(void_section, kind="stable")
    voids = Regions(
        _polygons(void_shell, rings[shells], owner)[order],
        void_section[order],
        void_areas[order],
        (np.arange(len(order)) < sections)[order],
        sections,
    )

    solid_of = np.empty(count, dtype=np.int64)
    solid_of[shells] = np.arange(len(shells))
    held = parent[holes] >= 0
    owner = solid_of[parent[holes][held]]
    solid_areas = outlines.areas[shells] + np.bincount(
        owner, outlines.areas[holes][held], minlength=len(shells)
    )
    solids = Regions(
        _polygons(rings[shells], rings[holes][held], owner),
        outlines.section[shells],
        solid_areas,
        np.zeros(len(shells), dtype=np.bool_),
        sections,
    )
    return solids, voids


def _frame(points: Floats) -> Any:
    if not len(points):
        return shapely.box(-ROOM, -ROOM, ROOM, ROOM).exterior
    low, high = points.min(axis=0) - ROOM, points.max(axis=0) + ROOM
    return shapely.box(*low, *high).exterior


def _polygons(shells: NDArray[Any], holes: NDArray[Any], owner: Ints) -> NDArray[Any]:
    """Polygons from shells and from the holes that each belong to shell `owner`."""
    if not len(shells):
        return np.empty(0, dtype=object)
    # of the rings with one index, shapely takes the first for the shell
    index = np.concatenate((np.arange(len(shells)), owner))
    order = np.argsort(index, kind="stable")
    made: NDArray[Any] = shapely.polygons(
        np.concatenate((shells, holes))[order], indices=index[order]
    )
    return made


def _parents(outlines: Outlines, rings: NDArray[Any], convex: Flags) -> Ints:
    """(k,) the outline of the other sense directly around each outline, -1 for none."""
    parent = np.full(len(rings), -1, dtype=np.int64)
    if not len(rings):
        return parent
    # where a section has one outline around solid, every other lies in it: nothing to find
    shells = np.flatnonzero(convex)
    sections = int(outlines.section[-1]) + 1
    many = np.bincount(outlines.section[shells], minlength=sections) != 1
    only = np.full(sections, -1, dtype=np.int64)
    only[outlines.section[shells]] = shells
    parent[~convex] = only[outlines.section[~convex]]
    open_rings = np.flatnonzero(many[outlines.section])
    if not len(open_rings):
        return parent
    parent[open_rings] = -1
    inner, outer = boxes_meeting(
        rings[open_rings],
        outlines.section[open_rings],
        rings[open_rings],
        outlines.section[open_rings],
    )
    inner, outer = open_rings[inner], open_rings[outer]
    size = np.abs(outlines.areas)
    fits = (convex[inner] != convex[outer]) & (size[inner] < size[outer])
    inner, outer = inner[fits], outer[fits]
    around = np.unique(outer)
    place = np.searchsorted(around, outer)
    filled = shapely.polygons(rings[around])
    shapely.prepare(filled)
    spot = outlines.points[outlines.start[inner]]
    inside = shapely.intersects_xy(filled[place], spot[:, 0], spot[:, 1])
    inner, outer = inner[inside], outer[inside]
    order = np.lexsort((-size[outer], inner))  # the smallest is written last
    parent[inner[order]] = outer[order]
    return parent


def boxes_meeting(
    first: NDArray[Any], first_key: Ints, second: NDArray[Any], second_key: Ints
) -> tuple[Ints, Ints]:
    """Pairs (index in first, index in second) of equal key whose bounding boxes meet.

    One tree serves all keys: the boxes of each key are set aside by more than the widest.
    """
    if not len(first) or not len(second):
        return np.empty(0, np.int64), np.empty(0, np.int64)
    boxes, others = shapely.bounds(first), shapely.bounds(second)
    low = min(boxes[:, 0].min(), others[:, 0].min())
    pitch = max(boxes[:, 2].max(), others[:, 2].max()) - low + 1.0

    def aside(box: Floats, key: Ints) -> NDArray[Any]:
        shift = key * pitch
        made: NDArray[Any] = shapely.box(box[:, 0] + shift, box[:, 1], box[:, 2] + shift, box[:, 3])
        return made

    tree = shapely.STRtree(aside(others, second_key))
    pairs: Ints = tree.query(aside(boxes, first_key)).astype(np.int64)
    return pairs[0], pairs[1]
