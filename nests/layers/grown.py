"""Polygons as the kernel's sections and back, to grow, join and cut many of them at once.

shapely grows a polygon in the square of the number of its holes; the kernel does not.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from manifold3d import CrossSection, FillRule
from numpy.typing import NDArray

from nests.layers.outlines import Outlines
from nests.layers.regions import regions


def section(polygons: NDArray[Any]) -> CrossSection:
    """The section that shapely polygons, which do not overlap, bound together."""
    rings = shapely.get_rings(polygons)
    points, owner = shapely.get_coordinates(rings, return_index=True)
    return CrossSection(np.split(points, np.flatnonzero(np.diff(owner)) + 1), FillRule.EvenOdd)


def polygons(of: CrossSection) -> NDArray[Any]:
    """Shapely polygons of a section, one per connected region; specks are left out."""
    return regions(Outlines.gather([list(of.to_polygons())]), 1)[0].polygons
