"""Elastic bodies of revolution by finite elements: pressed along their axis, or tilted.

A few dozen biquadratic elements on a grid that is cut out of a rectangle. A displacement varies as
cos(nθ) round the axis, n = 0 for a press and 1 for a tilt, so one half-section is enough.

Source: O. C. Zienkiewicz, R. L. Taylor, *The Finite Element Method*, volume 2, chapters on
axisymmetric stress analysis and on semi-analytical elements; from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .arrays import Floats, Integers

_POINT = np.sqrt(0.6)
_THREE = np.arange(3)
_GAUSS = np.array([-_POINT, 0.0, _POINT])
_WEIGHT = np.array([5.0, 8.0, 5.0]) / 9.0


def _along(x: Floats) -> tuple[Floats, Floats]:
    """The three parabolas (3, …) of a line from -1 to 1, and their slopes."""
    shapes = np.array([x * (x - 1) / 2, 1 - x * x, x * (x + 1) / 2])
    return shapes, np.array([x - 0.5, -2 * x, x + 0.5])


def _element() -> tuple[Floats, Floats, Floats]:
    """Shapes (point, node), their slopes (point, node, across and up), weights of the points."""
    values, slopes = _along(_GAUSS)
    shapes = np.einsum("ap,bq->pqab", values, values).reshape(9, 9)
    across = np.einsum("ap,bq->pqab", slopes, values).reshape(9, 9)
    up = np.einsum("ap,bq->pqab", values, slopes).reshape(9, 9)
    return shapes, np.stack([across, up], axis=-1), np.outer(_WEIGHT, _WEIGHT).ravel()


_SHAPES, _SLOPES, _WEIGHTS = _element()


@dataclass(frozen=True, eq=False)
class Revolved:
    """Half-section of a body of revolution on a grid, with its middle nodes.

    `radius` and `height` (2m + 1, 2n + 1) are where the nodes lie, mm, `filled` (m, n) which
    elements are there. No node lies on the axis.
    """

    radius: Floats
    height: Floats
    filled: np.ndarray[tuple[int, int], np.dtype[np.bool_]]

    def at(self, i: Integers, j: Integers) -> Integers:
        """Numbers of nodes of the grid: level by level, so that neighbours are near."""
        return np.asarray(j * self.radius.shape[0] + i)

    def line(self, i: int | None, j: int | None, low: int, high: int) -> tuple[Integers, Floats]:
        """Nodes of the grid line i (upright) or j (level) between two nodes along it, and the area
        that belongs to each, as if an even pressure were on it, mm²."""
        along = np.arange(low, high + 1)
        across = along if i is None else np.full_like(along, i)
        up = along if j is None else np.full_like(along, j)
        r, z = self.radius[across, up], self.height[across, up]
        shapes, slopes = _along(_GAUSS)
        area = np.zeros(len(along))
        for first in range(0, len(along) - 1, 2):
            part = slice(first, first + 3)
            long = np.hypot(r[part] @ slopes, z[part] @ slopes)
            area[part] += shapes @ (_WEIGHT * long * 2 * np.pi * (r[part] @ shapes))
        return self.at(across, up), area

    def energy(
        self, harmonic: int, modulus: float, poisson: float, load: Floats, held: Integers
    ) -> float:
        """Work of a `load` (3 n) on what it moves, in the unknowns 3·node + (radial, round, axial).

        What is `held` does not move. It is the work on the whole round: of harmonic 0 a load of 1
        is 1 N in all, of harmonic 1 a force that varies as the cosine, 1 N at its greatest were it
        everywhere so.
        """
        ways = np.array([0, 2] if harmonic == 0 else [0, 1, 2])
        i, j = np.nonzero(self.filled)
        i, j = (2 * i[:, None] + np.repeat(_THREE, 3), 2 * j[:, None] + np.tile(_THREE, 3))
        nodes = self.at(i, j)
        parts = self._stiffness(harmonic, modulus, poisson, self.radius[i, j], self.height[i, j])
        used, place = np.unique(nodes, return_inverse=True)
        at = (len(ways) * place.reshape(nodes.shape)[..., None] + np.arange(len(ways))).reshape(
            len(nodes), -1
        )
        unknowns = (3 * used[:, None] + ways).ravel()
        still = np.isin(unknowns, held)
        rows, columns = at[:, :, None], at[:, None, :]
        lower = (rows >= columns) & ~still[rows] & ~still[columns]
        column = np.broadcast_to(columns, lower.shape)[lower]
        off = np.broadcast_to(rows, lower.shape)[lower] - column
        size = len(unknowns)
        deep = int(off.max()) + 1
        band = np.bincount(off * size + column, parts[lower], deep * size).reshape(deep, size)
        band[0, still] = 1.0
        force = np.where(still, 0.0, load[unknowns])
        from scipy.linalg import solveh_banded  # 0.1 s to load, and most posts are told by formula

        return float(force @ solveh_banded(band, force, lower=True, check_finite=False))

    def _stiffness(self, n: int, modulus: float, poisson: float, r: Floats, z: Floats) -> Floats:
        """Stiffness (k, u, u) of elements with nodes at r, z (k, 9)."""
        jacobian = np.stack([r, z], axis=1)[:, None] @ _SLOPES  # (k, points, place, along)
        across, up = jacobian[..., 0], jacobian[..., 1]
        size = across[..., 0] * up[..., 1] - across[..., 1] * up[..., 0]
        a, b = _SLOPES[..., 0], _SLOPES[..., 1]
        dr = (up[..., 1, None] * a - across[..., 1, None] * b) / size[..., None]
        dz = (across[..., 0, None] * b - up[..., 0, None] * a) / size[..., None]
        radius = r @ _SHAPES.T
        over = _SHAPES / radius[..., None]
        count, ways = len(r), 2 if n == 0 else 3
        strain = np.zeros((count, 9, 4 if n == 0 else 6, 9, ways))
        strain[:, :, 0, :, 0], strain[:, :, 1, :, 0] = dr, over
        strain[:, :, 2, :, -1], strain[:, :, 3, :, 0], strain[:, :, 3, :, -1] = dz, dz, dr
        if n:
            strain[:, :, 1, :, 1] = n * over
            strain[:, :, 4, :, 0], strain[:, :, 4, :, 1] = -n * over, dr - over
            strain[:, :, 5, :, 1], strain[:, :, 5, :, 2] = dz, -n * over
        flat: Floats = strain.reshape(count, 9, -1, 9 * ways)
        shear = modulus / (2 * (1 + poisson))
        law = np.diag([2.0 * shear] * 3 + [shear] * 3)[: flat.shape[2], : flat.shape[2]]
        law[:3, :3] += modulus * poisson / ((1 + poisson) * (1 - 2 * poisson))
        weight = (2 * np.pi if n == 0 else np.pi) * _WEIGHTS * size * radius
        stress = weight[..., None, None] * (law @ flat)
        both = (count, -1, 9 * ways)
        return np.asarray(flat.reshape(both).transpose(0, 2, 1) @ stress.reshape(both))
