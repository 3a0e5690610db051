"""Standing: support polygon, tipping and sliding; rigid bodies and beams as contact problems."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.polygon import orient

from .arrays import Floats

if TYPE_CHECKING:  # scipy's optimiser takes 0.2 s to import, and standing needs none
    pass

LEAST_AREA = 1e-9
"""mm² below which contacts count as lying on one line."""


@dataclass(frozen=True, eq=False)
class SupportPolygon:
    """Convex hull of the points a body stands on.

    `corners` (n, 2) mm, anticlockwise; side i runs from corner i to the next and has the outward
    `normals` (n, 2). Points p with normals · p <= `offsets` (n,) on every side are inside.
    """

    corners: Floats
    normals: Floats
    offsets: Floats

    def margin(self, place: ArrayLike) -> float:
        """Distance (mm) of a place from the nearest side; negative if it lies outside.

        Outside, it is the largest distance beyond a side's line.
        """
        return float(np.min(self.offsets - self.normals @ np.asarray(place, dtype=np.float64)))


def support_polygon(contacts: ArrayLike) -> SupportPolygon:
    """Polygon of contact points (n, 2). Raises ValueError if they do not span an area."""
    hull = shapely.MultiPoint(np.asarray(contacts, dtype=np.float64)).convex_hull
    if hull.area < LEAST_AREA:
        raise ValueError("nothing stands on fewer than three contacts out of line")
    corners = shapely.get_coordinates(orient(hull))[:-1]
    along = np.roll(corners, -1, axis=0) - corners
    normals = np.column_stack([along[:, 1], -along[:, 0]])
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    return SupportPolygon(corners, normals, np.einsum("ij,ij->i", normals, corners))


def resultant_place(forces: ArrayLike, places: ArrayLike) -> Floats:
    """Where the resultant of downward `forces` (n,) N at `places` (n, 2) mm acts: (2,).

    Raises ValueError if the forces do not press down on balance.
    """
    pressing = np.asarray(forces, dtype=np.float64)
    total = pressing.sum()
    if total <= 0:
        raise ValueError("the forces do not press the body down")
    return np.asarray(pressing @ np.asarray(places, dtype=np.float64) / total)


def tipping_force(
    polygon: SupportPolygon, weight: float, centre: ArrayLike, press: ArrayLike
) -> float:
    """Least downward force (N) at `press` at which a body of `weight` N about `centre` begins to
    tip; with several places (n, 2), the least at any of them.

    inf inside the polygon; 0 if the body does not even stand by itself.
    """
    holding = polygon.offsets - polygon.normals @ np.asarray(centre, dtype=np.float64)
    if holding.min() < 0:
        return 0.0
    places = np.atleast_2d(np.asarray(press, dtype=np.float64))
    beyond = places @ polygon.normals.T - polygon.offsets
    forces = np.full_like(beyond, math.inf)
    np.divide(weight * holding, beyond, out=forces, where=beyond > 0)
    return float(np.min(forces, initial=math.inf))


def slides(sideways: float, pressing: float, friction: float) -> bool:
    """Whether a sideways force (N) overcomes the friction under a pressing force (Coulomb)."""
    return sideways > friction * max(pressing, 0.0)
