"""Holder and plate as elastic solids in contact, by another road than the program's plate model.

Quadratic tetrahedra (scikit-fem) on meshes by TetGen, contact forces uniform over patches and
found as a quadratic program (scipy). Nothing of `nests.mechanics` is used.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import skfem
import tetgen
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.sparse.linalg import splu
from skfem.models.elasticity import lame_parameters, linear_elasticity

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Inside = Callable[[Floats], Flags]
"""Whether points (3, …) lie in a patch."""

FACES = 8
"""Order of the rule that integrates a pressure on faces which an edge of its patch crosses."""

CLOSE = 1e-8
"""mm by which a gap may differ from nought where two faces touch."""


@dataclass(frozen=True)
class Body:
    """A meshed elastic body with Young's modulus (MPa) by `modulus(middles)`."""

    mesh: skfem.MeshTet
    modulus: Callable[[Floats], Floats]
    poisson: float


def tetrahedra(
    vertices: Floats, faces: NDArray[np.int64], largest: float, slender: float
) -> skfem.MeshTet:
    """Mesh of a closed surface with tetrahedra of at most `largest` mm³.

    `slender` is the most that a tetrahedron's circumradius may exceed its shortest edge.
    """
    made = tetgen.TetGen(vertices, faces.astype(np.int32))
    nodes, elements = made.tetrahedralize(
        order=1, mindihedral=0.0, minratio=slender, maxvolume=largest, fixedvolume=True
    )[:2]
    used = np.unique(elements)
    number = np.full(len(nodes), -1)
    number[used] = np.arange(len(used))
    return skfem.MeshTet(nodes[used].T.copy(), number[elements].T.copy())


def compliance(body: Body, patches: Sequence[Inside], held: Inside | None) -> Floats:
    """(n, n) mean movement along -z of each patch per newton along -z on each.

    A patch is that part of the boundary that lies in it, and is loaded by an even pressure.
    `held` fixes the faces there; without it the body is held at three points so that nothing but
    a rigid movement is prevented, which the caller must free again.
    """
    mesh = body.mesh
    # gradients are linear on an element, so their products are exact by a rule of order two
    space = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementTetP2()), intorder=2)
    middles = mesh.p[:, mesh.t].mean(axis=1)
    stiffness = 0
    young = body.modulus(middles)
    for value in np.unique(young):
        part = space.with_elements(np.flatnonzero(young == value))
        form = linear_elasticity(*lame_parameters(value, body.poisson))
        stiffness = stiffness + form.assemble(part)
    if held is not None:
        fixed = space.get_dofs(mesh.facets_satisfying(held, boundaries_only=True)).all()
    else:
        fixed = _three_points(mesh, space)
    free = np.setdiff1d(np.arange(space.N), fixed)
    boundary = skfem.FacetBasis(mesh, space.elem, intorder=FACES)
    places = np.asarray(boundary.global_coordinates())
    loads = np.zeros((space.N, len(patches)))
    for k, patch in enumerate(patches):
        meets = boundary.find[patch(places).any(axis=1)]
        faces = skfem.FacetBasis(mesh, space.elem, facets=meets, intorder=FACES)
        inside = np.asarray(patch(np.asarray(faces.global_coordinates())), dtype=np.float64)
        loads[:, k] = skfem.LinearForm(lambda v, w: -v[2] * w["inside"]).assemble(
            faces, inside=inside
        ) / np.sum(faces.dx * inside)
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
    moments (1, x, y) of the press. The forces minimise the complementary energy under balance.
    What is found is held against the conditions of contact, which no second answer meets.
    """
    press, (count, _) = load_at[0], middles.shape
    balance = np.vstack([np.ones(count), middles.T])
    shift = load - gaps
    size = np.abs(shift).max() * press
    found = minimize(
        lambda r: press * (press * r @ stack @ r / 2 - r @ shift) / size,
        np.full(count, 1.0 / count),
        jac=lambda r: press * (press * stack @ r - shift) / size,
        bounds=[(0.0, None)] * count,
        constraints={"type": "eq", "fun": lambda r: balance @ r - load_at / press,
                     "jac": lambda r: balance},
        method="SLSQP",
        options={"ftol": 1e-15, "maxiter": 1000},
    )  # fmt: skip
    carries, forces, left = found.x > 1e-7, np.zeros(count), np.zeros(count)
    for tried in range(20 * count):  # exactly, on the patches that carry
        held = balance[:, carries]
        matrix = np.block([[stack[np.ix_(carries, carries)], -held.T], [held, np.zeros((3, 3))]])
        solved = np.linalg.lstsq(matrix, np.concatenate([shift[carries], load_at]))[0]
        forces[:] = 0.0
        forces[carries] = solved[:-3]
        left = stack @ forces - shift - balance.T @ solved[-3:]
        wrong = (forces < -1e-9 * press) | (~carries & (left < -CLOSE))
        if not wrong.any():
            break
        if tried >= 10:  # one at a time, least index first, never comes back to the same set
            wrong &= np.cumsum(wrong) == 1
        carries ^= wrong
    assert forces.min() >= -1e-9 * press  # rounding
    assert left.min() > -CLOSE
    assert np.abs(left[carries]).max() < CLOSE
    assert np.allclose(balance @ forces, load_at, atol=1e-6 * press)
    return forces
