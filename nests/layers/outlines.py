"""Closed outlines of many sections at once, held in flat arrays."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]
Flags: TypeAlias = NDArray[np.bool_]

SPECK = 1e-8
"""Area in mm² (0.1 µm squared) below which an outline is the noise of cutting."""


@dataclass(frozen=True, eq=False)
class Outlines:
    """Closed outlines, solid on the left: counterclockwise around solid, clockwise around void.

    `points` (m, 2) in mm; outline k is points[start[k]:start[k + 1]], not repeated at its end;
    `section` (k,) ascending; `areas` (k,) signed, in mm².
    """

    points: Floats
    start: Ints
    section: Ints
    areas: Floats

    @staticmethod
    def of(points: Floats, start: Ints, section: Ints) -> Outlines:
        """Outlines from points, starts and the section of each point, specks left out."""
        length = np.diff(start)
        full = length >= 3
        if not np.all(full):
            keep = np.repeat(full, length)
            points, section = points[keep], section[keep]
            start = np.concatenate(([0], np.cumsum(length[full])))
        areas = signed_areas(points, start)
        section = section[start[:-1]]
        keep_ring = np.abs(areas) > SPECK
        if np.all(keep_ring):
            return Outlines(points, start, section, areas)
        length = np.diff(start)
        return Outlines(
            points[np.repeat(keep_ring, length)],
            np.concatenate(([0], np.cumsum(length[keep_ring]))),
            section[keep_ring],
            areas[keep_ring],
        )

    @staticmethod
    def joined(blocks: list[tuple[Floats, Ints, Ints]]) -> Outlines:
        """Outlines from blocks of points, starts and the section of each point, in order."""
        offset, starts = 0, [np.zeros(1, dtype=np.int64)]
        for points, start, _ in blocks:
            starts.append(start[1:] + offset)
            offset += len(points)
        none = (np.empty((0, 2)), np.empty(0, dtype=np.int64))
        return Outlines.of(
            np.concatenate([none[0], *(each[0] for each in blocks)]),
            np.concatenate(starts),
            np.concatenate([none[1], *(each[2] for each in blocks)]),
        )

    @staticmethod
    def gather(sections: list[list[Floats]]) -> Outlines:
        """Outlines from one list of closed outlines, (k, 2) each, per section."""
        rings = [ring for section in sections for ring in section]
        length = np.array([len(ring) for ring in rings], dtype=np.int64)
        counts = np.array([len(section) for section in sections], dtype=np.int64)
        section = np.repeat(np.arange(len(sections)), counts)
        points = np.vstack(rings) if rings else np.empty((0, 2))
        return Outlines.of(
            points, np.concatenate(([0], np.cumsum(length))), np.repeat(section, length)
        )

    @staticmethod
    def around(polygons: NDArray[Any], section: Ints) -> Outlines:
        """Outlines of shapely polygons of solid, each of a section, ascending."""
        rings, polygon = shapely.get_rings(polygons, return_index=True)
        points, ring = shapely.get_coordinates(rings, return_index=True)
        keep = np.diff(ring, append=-1) == 0  # the last point of a ring repeats its first
        points, ring = points[keep], ring[keep]
        start = np.searchsorted(ring, np.arange(len(rings) + 1))
        shell = np.diff(polygon, prepend=-1) != 0
        turn = (signed_areas(points, start) > 0.0) != shell
        place = np.arange(len(points))
        place = np.where(turn[ring], start[ring] + start[ring + 1] - 1 - place, place)
        return Outlines.of(points[place], start, section[polygon][ring])

    def at(self, section: int) -> list[Floats]:
        """The outlines of a section, (k, 2) each."""
        first, last = np.searchsorted(self.section, (section, section + 1))
        return [self.points[self.start[k] : self.start[k + 1]] for k in range(first, last)]


def ring_sums(values: NDArray[Any], start: Ints) -> NDArray[Any]:
    """Sum of `values` over each run [start[k], start[k + 1]); no run may be empty."""
    return np.add.reduceat(values, start[:-1]) if len(start) > 1 else values[:0]


def signed_areas(points: Floats, start: Ints) -> Floats:
    """Signed area in mm² of each closed outline, positive when counterclockwise."""
    if len(start) < 2:
        return np.empty(0)
    x = np.ascontiguousarray(points[:, 0])
    y = np.ascontiguousarray(points[:, 1])
    following = np.arange(1, len(points) + 1)
    following[start[1:] - 1] = start[:-1]
    doubled: Floats = ring_sums(x * y[following] - x[following] * y, start)
    return doubled / 2.0
