"""The Argyris triangle: a complete quintic with continuous slope, for thin plates.

Degrees of freedom: deflection, both slopes and the three curvatures at each corner, and the slope
across each edge at its middle. The shape functions are found numerically, by inverting the matrix
of these 21 functionals on the 21 monomials of degree up to five, all triangles at once.

Lengths are taken in units of the mesh size and monomials are centred on each triangle, which keeps
that matrix and the stiffness matrix well scaled whatever the size of the plate.

Source: J. H. Argyris, I. Fried, D. W. Scharpf, *The TUBA family of plate elements for the matrix
displacement method*, Aeronautical Journal 72 (1968) 701-709.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .arrays import Floats, Integers
from .mesh import Mesh

DEGREE = 5
POWERS = np.array([(i, d - i) for d in range(DEGREE + 1) for i in range(d, -1, -1)])
DERIVATIVES = ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2))


@dataclass(frozen=True, eq=False)
class Argyris:
    """Argyris shape functions over a mesh.

    `scale` is the unit of length (mm) of every quantity below. `dofs` (m, 21) numbers the unknowns
    of each triangle: per corner w, w_x, w_y, w_xx, w_xy, w_yy, then the three edge slopes.
    `coefficients` (m, 21, 21): monomial coefficients (axis 1) of each shape function (axis 2).
    `corner_dofs` (n, 3): w, w_x, w_y of each vertex; `edge_dofs` (k,): slope across each edge.
    """

    mesh: Mesh
    scale: float
    dofs: Integers
    coefficients: Floats
    corner_dofs: Integers
    edge_dofs: Integers
    count: int

    def values(self, triangle: Integers, points: Floats) -> Floats:
        """Shape functions (n, 21) of each given triangle at the point (n, 2) in mm beside it."""
        local = (points - self.mesh.centroids[triangle]) / self.scale
        return np.asarray(np.einsum("nk,nkf->nf", monomials(local), self.coefficients[triangle]))

    def curvatures(self, barycentric: Floats) -> Floats:
        """w_xx, w_xy, w_yy of the shape functions: (m, q, 3, 21), per unit of `scale` squared.

        `barycentric` (q, 3) places the q points in every triangle.
        """
        mesh = self.mesh
        corners = mesh.points[mesh.triangles] - mesh.centroids[:, None]
        local = np.einsum("qc,mcx->mqx", barycentric, corners / self.scale)
        second = np.stack([monomials(local, d) for d in DERIVATIVES[3:]], axis=2)
        m, q = second.shape[:2]
        flat = second.reshape(m, q * 3, -1) @ self.coefficients
        return np.asarray(flat.reshape(m, q, 3, -1))


def monomials(points: Floats, derivative: tuple[int, int] = (0, 0)) -> Floats:
    """Derivative of the 21 monomials at points (..., 2): array (..., 21)."""
    factor = np.ones(len(POWERS))
    left = POWERS.copy()
    for axis in (0, 1):
        for _ in range(derivative[axis]):
            factor = factor * np.maximum(left[:, axis], 0)
            left[:, axis] -= 1
    left = np.maximum(left, 0)
    ladder = np.stack([points**k for k in range(DEGREE + 1)], axis=-1)
    return np.asarray(
        factor * ladder[..., 0, :][..., left[:, 0]] * ladder[..., 1, :][..., left[:, 1]]
    )


def argyris(mesh: Mesh, region: Integers) -> Argyris:
    """Argyris element on `mesh`; `region` (m,) tells which thickness a triangle has.

    Across a step of thickness the bending moment is continuous and the curvature is not. Forcing
    one curvature on both sides, as the plain element does, makes the plate too stiff (up to 1.5 %
    with steps of 0.3 : 1 at the usual mesh). Therefore every region meeting at a vertex gets
    curvatures of its own there; deflection and slopes stay shared, and on a mesh of one region
    nothing changes.
    """
    vertices, edges = len(mesh.points), len(mesh.edges)
    corner_dofs = np.arange(3 * vertices).reshape(vertices, 3)
    key = mesh.triangles * (region.max(initial=0) + 1) + region[:, None]
    pairs, pair_of = np.unique(key, return_inverse=True)
    first_curvature = 3 * vertices
    first_edge = first_curvature + 3 * len(pairs)
    curvature_dofs = first_curvature + 3 * pair_of.reshape(-1, 3)[..., None] + np.arange(3)
    per_corner = np.concatenate([corner_dofs[mesh.triangles], curvature_dofs], axis=2)
    edge_dofs = first_edge + np.arange(edges)
    dofs = np.concatenate(
        [per_corner.reshape(len(mesh.triangles), 18), edge_dofs[mesh.triangle_edges]], axis=1
    )
    scale = float(np.median(np.linalg.norm(np.diff(mesh.points[mesh.edges], axis=1), axis=2)))
    return Argyris(
        mesh, scale, dofs, _coefficients(mesh, scale), corner_dofs, edge_dofs, first_edge + edges
    )


def _coefficients(mesh: Mesh, scale: float) -> Floats:
    """Inverse of the functionals-on-monomials matrix of every triangle, (m, 21, 21)."""
    corners = (mesh.points[mesh.triangles] - mesh.centroids[:, None]) / scale
    at_corners = np.stack([monomials(corners, d) for d in DERIVATIVES], axis=2)
    # the normal of an edge must be the same seen from both its triangles: take it from the edge
    along = np.squeeze(np.diff(mesh.points[mesh.edges], axis=1), axis=1)
    along /= np.linalg.norm(along, axis=1)[:, None]
    normal = np.column_stack([along[:, 1], -along[:, 0]])[mesh.triangle_edges]
    middles = 0.5 * (corners + np.roll(corners, -1, axis=1))
    slope = normal[..., :1] * monomials(middles, (1, 0)) + normal[..., 1:] * monomials(
        middles, (0, 1)
    )
    functionals = np.concatenate([at_corners.reshape(len(corners), 18, 21), slope], axis=1)
    return np.linalg.inv(functionals)


def bending_stiffness(element: Argyris, relative: Floats, poisson: float) -> Floats:
    """Stiffness (m, 21, 21) of each triangle, per unit of D/scale²; `relative` (m,) scales D."""
    barycentric, weight = triangle_quadrature(4)
    curvature = element.curvatures(barycentric)
    # D [(w_xx + w_yy)² - 2 (1 - poisson)(w_xx w_yy - w_xy²)] in columns w_xx, w_xy, w_yy
    bending = np.array([[1, 0, poisson], [0, 2 * (1 - poisson), 0], [poisson, 0, 1]])
    area = element.mesh.areas / element.scale**2
    measure = (relative * area)[:, None] * weight
    moment = (bending @ curvature) * measure[..., None, None]
    m, q, _, n = curvature.shape
    return np.asarray(
        curvature.reshape(m, q * 3, n).transpose(0, 2, 1) @ moment.reshape(m, q * 3, n)
    )


def triangle_quadrature(order: int) -> tuple[Floats, Floats]:
    """Barycentric points (q, 3) and weights (q,) summing to 1, exact to degree 2 order - 1.

    Gauss-Legendre points on a square whose one side is collapsed to a corner, with Gauss-Jacobi
    points in the collapsing direction (Stroud's conical product).
    """
    from scipy.special import roots_jacobi, roots_legendre

    along, along_weight = roots_legendre(order)
    towards, towards_weight = roots_jacobi(order, 1.0, 0.0)
    u, v = (1 + along) / 2, (1 + towards) / 2
    second = v[:, None] * np.ones_like(u)
    first = (1 - v)[:, None] * u
    weight = towards_weight[:, None] * along_weight / (towards_weight.sum() * along_weight.sum())
    points = np.stack([first, second, 1 - first - second], axis=-1).reshape(-1, 3)
    return points, weight.reshape(-1)
