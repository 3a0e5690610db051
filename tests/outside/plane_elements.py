"""A clip on its floor in plane stress, by scikit-fem: finger, hook and slab. Nothing of
`nests.mechanics` is used."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import skfem
from numpy.typing import NDArray
from scipy.sparse.linalg import splu
from skfem.models.elasticity import lame_parameters, linear_elasticity

Floats = NDArray[np.float64]
FINE = 6
"""Elements across the finger, and as many along each length."""
GRADE = 3.0
"""Power by which elements get smaller towards corners."""
OUT = 6.0
"""How far the slab reaches either way, over its thickness and the finger's together."""
CLOSE = 1e-7


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """A clip as drawn, mm: finger of `thickness` from the `floor` up to `rim`, where its hook
    begins; the hook leans out by `reach` over `rise` mm, has an upright `land` and a `lead` mm
    high; the head ends `head` mm above the lead. `width` out of plane; modulus MPa."""

    thickness: float
    floor: float
    rim: float
    reach: float
    rise: float
    land: float
    lead: float
    head: float
    width: float
    modulus: float
    poisson: float


def graded(low: float, high: float, count: int) -> Floats:
    """Places from low to high, much closer at both ends: there corners are."""
    t = np.linspace(-1.0, 1.0, count + 1)
    return low + (high - low) * (0.5 + np.sign(t) * (1 - (1 - abs(t)) ** GRADE) / 2)


def meshed(clip: Drawn) -> skfem.MeshQuad:
    """Quadrilaterals; x out from the inner face of the finger, y up from the floor's face."""
    h, upper = clip.thickness, clip.rim + clip.rise + clip.land + clip.lead
    across = graded(0.0, h, FINE)
    far = OUT * (h + clip.floor)
    side = far * np.linspace(0.0, 1.0, 3 * FINE + 1)[1:] ** GRADE
    x = np.concatenate([-side[::-1], across, h + side])
    down = graded(-clip.floor, 0.0, FINE) if clip.floor else np.zeros(1)
    finger, hook = graded(0.0, clip.rim, 4 * FINE), graded(0.0, 1.0, 2 * FINE)
    head = np.linspace(upper, upper + clip.head, 3)
    y = np.concatenate([down, finger[1:], clip.rim + (upper - clip.rim) * hook[1:], head[1:]])
    first = (len(down) + len(finger) - 2, len(down) + len(finger) - 2 + 2 * FINE)
    boxes = [grid(x, down)] if clip.floor else []
    boxes.append(grid(across, y[len(down) - 1 :]))
    nose = np.linspace(0.0, 1.0, FINE + 1)
    low, high = clip.rim + clip.rise * nose, upper - clip.lead * nose
    assert np.allclose(y[first[0] : first[1] + 1], low[0] + (high[0] - low[0]) * hook)
    px = np.repeat(-clip.reach * nose[:, None], len(hook), axis=1)
    py = low[:, None] + (high - low)[:, None] * hook
    boxes.append(quads(px[::-1], py[::-1]))
    points = np.concatenate([p for p, _ in boxes], axis=1)
    start = np.cumsum([0, *(p.shape[1] for p, _ in boxes[:-1])])
    cells = np.concatenate([c + s for (_, c), s in zip(boxes, start, strict=True)], axis=1)
    _, keep, where = np.unique(np.round(points, 9), axis=1, return_index=True, return_inverse=True)
    return skfem.MeshQuad(points[:, keep].copy(), where.ravel()[cells])


def grid(x: Floats, y: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """Points and cells of a box."""
    px, py = np.meshgrid(x, y, indexing="ij")
    return quads(px, py)


def quads(px: Floats, py: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """Points and cells of a grid of points."""
    n, m = px.shape
    i, j = (k.ravel() for k in np.meshgrid(np.arange(n - 1), np.arange(m - 1), indexing="ij"))
    first = i * m + j
    return np.stack([px.ravel(), py.ravel()]), np.stack(
        [first, first + m, first + m + 1, first + 1]
    )


@dataclass(frozen=True)
class Given:
    """What 1 N at the tip of the hook does, outward (first) and upward (second): how far the hook
    moves `out` and the tip `up`, mm, and by how much the hook `tilts` out, rad."""

    out: Floats
    up: Floats
    tilts: Floats


def given(clip: Drawn) -> Given:
    """Solve a clip. How far it moves out is read off its back at the height of the tip, so that
    the dent which a force on a line makes there is not in it."""
    mesh = meshed(clip)
    space = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementQuad2()), intorder=5)
    # plane stress as plane strain with other constants, per width
    v = clip.poisson
    young = clip.modulus * (1 + 2 * v) / (1 + v) ** 2
    stiffness = clip.width * linear_elasticity(*lame_parameters(young, v / (1 + v))).assemble(space)
    low = mesh.p[1].min()
    at = space.get_dofs(lambda x: abs(x[1] - low) < CLOSE)
    fixed = at.all("u^2") if clip.floor else at.all()
    corner = int(np.argmin(mesh.p.sum(axis=0)))
    free = np.setdiff1d(np.arange(space.N), [*fixed, space.nodal_dofs[0, corner]])
    level = clip.rim + clip.rise
    tip = int(np.argmin(np.hypot(mesh.p[0] + clip.reach, mesh.p[1] - level)))
    loads = np.zeros((space.N, 2))
    loads[space.nodal_dofs[0, tip], 0] = loads[space.nodal_dofs[1, tip], 1] = 1.0
    factor = splu(stiffness[free][:, free].tocsc(), permc_spec="MMD_AT_PLUS_A",
                  options={"SymmetricMode": True}, diag_pivot_thresh=0.0)  # fmt: skip
    moved = np.zeros_like(loads)
    moved[free] = factor.solve(loads[free])
    step = 0.2 * clip.thickness
    back = np.array([[clip.thickness] * 3, [level - step, level, level + step]])
    read = space.probes(back)
    along = np.asarray(read @ moved).reshape(2, 3, 2)[0]
    high = np.asarray(space.probes(np.array([[-0.7 * clip.reach], [level]])) @ moved)
    return Given(along[1], high.reshape(2, 2)[1], (along[2] - along[0]) / (2 * step))
