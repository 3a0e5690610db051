"""Holder and plate as elastic solids in contact, by another road than the program's plate model.

Quadratic tetrahedra (scikit-fem) on meshes by TetGen, contact forces uniform over patches and
found as a bounded least-squares problem (scipy). Nothing of `nests.mechanics` is used.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import skfem
import tetgen
from numpy.typing import NDArray
from scipy.optimize import lsq_linear
from scipy.sparse.linalg import splu
from skfem.models.elasticity import lame_parameters, linear_elasticity

Floats = NDArray[np.float64]
Inside = Callable[[Floats], NDArray[np.bool_]]
"""Whether points (3, n) lie in a patch or a piece of another material."""


@dataclass(frozen=True)
class Patch:
    """Faces whose middle satisfies `inside`, loaded by a uniform pressure along z."""

    inside: Inside


@dataclass(frozen=True)
class Body:
    """A meshed elastic body with Young's modulus (MPa) by `modulus(middles)`."""

    mesh: skfem.MeshTet
    modulus: Callable[[Floats], Floats]
    poisson: float


def tetrahedra(vertices: Floats, faces: NDArray[np.int64], largest: float) -> skfem.MeshTet:
    """Mesh of a closed surface with tetrahedra of at most `largest` mm³."""
    made = tetgen.TetGen(vertices, faces.astype(np.int32))
    nodes, elements = made.tetrahedralize(
        order=1, mindihedral=10.0, minratio=1.5, maxvolume=largest, fixedvolume=True
    )[:2]
    used = np.unique(elements)
    number = np.full(len(nodes), -1)
    number[used] = np.arange(len(used))
    return skfem.MeshTet(nodes[used].T.copy(), number[elements].T.copy())


def compliance(body: Body, patches: Sequence[Patch], held: Inside | None) -> Floats:
    """(n, n) mean movement along -z of each patch per newton along -z on each.

    `held` fixes the faces there; without it the body is held at three points so that nothing but
    a rigid movement is prevented, which the caller must free again.
    """
    mesh = body.mesh
    space = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementTetP2()))
    middles = mesh.p[:, mesh.t].mean(axis=1)
    stiffness = 0
    young = body.modulus(middles)
    for value in np.unique(young):
        part = skfem.Basis(mesh, space.elem, elements=np.flatnonzero(young == value))
        form = linear_elasticity(*lame_parameters(value, body.poisson))
        stiffness = stiffness + form.assemble(part)
    if held is not None:
        fixed = space.get_dofs(mesh.facets_satisfying(held, boundaries_only=True)).all()
    else:
        fixed = _three_points(mesh, space)
    free = np.setdiff1d(np.arange(space.N), fixed)
    loads = np.zeros((space.N, len(patches)))
    for k, patch in enumerate(patches):
        facets = mesh.facets_satisfying(patch.inside, boundaries_only=True)
        assert len(facets), f"patch {k} has no faces"
        boundary = skfem.FacetBasis(mesh, space.elem, facets=facets)
        down = skfem.LinearForm(lambda v, w: -v.value[2]).assemble(boundary)
        area = skfem.Functional(lambda w: 1.0 + 0.0 * w.x[0]).assemble(boundary)
        loads[:, k] = down / area
    factor = splu(stiffness[free][:, free].tocsc(), permc_spec="MMD_AT_PLUS_A",
                  options={"SymmetricMode": True}, diag_pivot_thresh=0.0)  # fmt: skip
    moved = np.zeros_like(loads)
    moved[free] = factor.solve(loads[free])
    return np.asarray(loads.T @ moved)


def _three_points(mesh: skfem.MeshTet, space: skfem.Basis) -> NDArray[np.int64]:
    """Six degrees of freedom at three corners: x, y, z; y, z; z."""
    x, y = mesh.p[0], mesh.p[1]
    first, second, third = np.argmin(x), np.argmax(x), np.argmax(y)
    dofs = space.nodal_dofs
    return np.concatenate([dofs[:, first], dofs[1:, second], dofs[2:, third]])


def shared(stack: Floats, middles: Floats, gaps: Floats, load_at: Floats, load: Floats) -> Floats:
    """Forces (n,) >= 0 of unilateral patches under a free plate.

    `stack` (n, n) is the sum of both bodies' compliances, `load` (n,) the plate's movement at the
    patches under the press alone, `middles` (n, 2) where they are, `load_at` (3,) force and
    moments (1, x, y) of the press. The forces minimise the complementary energy under balance,
    written as least squares with balance weighted far above the rest.
    """
    count = len(gaps)
    root = np.linalg.cholesky(stack + 1e-12 * np.eye(count))
    # minimise ½ r'Sr - r'(load - gaps)  =  ½ |L'r - L⁻¹(load - gaps)|² + constant
    target = np.linalg.solve(root, load - gaps)
    balance = np.vstack([np.ones(count), middles.T])
    weight = 1e4 * np.abs(root).max()
    found = lsq_linear(
        np.vstack([root.T, weight * balance]),
        np.concatenate([target, weight * load_at]),
        bounds=(0.0, np.inf),
        tol=1e-13,
    )
    return np.asarray(found.x)
