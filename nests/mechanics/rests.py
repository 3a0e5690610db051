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
    from .contact import Contact

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


def rim_tipping_force(
    polygon: SupportPolygon,
    weight: float,
    centre: ArrayLike,
    rim_radius: float,
    rim_centre: ArrayLike = (0.0, 0.0),
) -> float:
    """Least downward force (N) anywhere on a round rim that tips the body; inf if none does.

    The worst place over each side is where the rim reaches farthest beyond it.
    """
    middle = np.asarray(rim_centre, dtype=np.float64)
    return tipping_force(polygon, weight, centre, middle + rim_radius * polygon.normals)


def slides(sideways: float, pressing: float, friction: float) -> bool:
    """Whether a sideways force (N) overcomes the friction under a pressing force (Coulomb)."""
    return sideways > friction * max(pressing, 0.0)


def rigid_contact(
    supports: ArrayLike,
    compliances: ArrayLike,
    gaps: ArrayLike,
    forces: ArrayLike,
    places: ArrayLike,
) -> Contact:
    """Rigid body on springs that only push.

    `supports` (n, 2) with `compliances` (n,) mm/N, all positive, and `gaps` (n,) mm; downward
    `forces` (k,) N at `places` (k, 2). The rigid movements are sinking and the slopes along x and
    y. Raises ValueError for a rigid support: under a rigid body its share is undetermined.
    """
    from .contact import solve_contact

    spring = np.asarray(compliances, dtype=np.float64)
    if (spring <= 0).any():
        raise ValueError("a rigid body needs supports with some compliance")
    pressing = np.asarray(forces, dtype=np.float64)
    return solve_contact(
        np.diag(spring),
        _rigid_modes(supports),
        np.asarray(gaps, dtype=np.float64),
        _rigid_modes(places).T @ pressing,
    )


def _rigid_modes(places: ArrayLike) -> Floats:
    points = np.atleast_2d(np.asarray(places, dtype=np.float64))
    return np.column_stack([np.ones(len(points)), points])


def beam_contact(
    supports: ArrayLike,
    gaps: ArrayLike,
    forces: ArrayLike,
    places: ArrayLike,
    stiffness: float,
    compliances: ArrayLike | float = 0.0,
) -> Contact:
    """Uniform beam of bending `stiffness` E·I (N·mm²) on supports that only push.

    All places are distances along the beam, mm. `supports` (n,), `gaps` (n,), `compliances` (n,)
    or one for all (0 for rigid); downward `forces` (k,) at `places` (k,).
    """
    from .contact import solve_contact

    at, acting = (np.asarray(x, dtype=np.float64) for x in (supports, places))
    pressing = np.asarray(forces, dtype=np.float64)
    spring = np.broadcast_to(np.asarray(compliances, dtype=np.float64), at.shape)
    modes, load_modes = (np.column_stack([np.ones_like(x), x]) for x in (at, acting))
    bent = beam_compliance(at, acting, stiffness) @ pressing
    return solve_contact(
        beam_compliance(at, at, stiffness) + np.diag(spring),
        modes,
        np.asarray(gaps, dtype=np.float64) - bent,
        load_modes.T @ pressing,
    )


def beam_compliance(at: ArrayLike, of: ArrayLike, stiffness: float) -> Floats:
    """Deflection (n, m) mm/N of an endless beam: |x - y|³/(12 E I), up to rigid movements.

    It is the fundamental solution of E I w'''' = f. For forces in balance it gives the bending of
    any free beam that reaches past all of them, because the rest of the beam is then unstressed.
    """
    apart = np.subtract.outer(np.asarray(at, np.float64), np.asarray(of, np.float64))
    return np.asarray(np.abs(apart) ** 3 / (12 * stiffness))
