"""A post on its floor as a body of revolution, by scikit-fem and a mesh that is fine.

By another road than `nests.mechanics.post`: elements of scikit-fem with nodes on the axis, about
forty times as many, a floor followed three times as far, buckling as an eigenvalue of beam elements
that shear. Nothing of `nests.mechanics` is used.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import skfem
from numpy.typing import NDArray
from scipy.linalg import eigh
from scipy.sparse.linalg import splu
from skfem.helpers import grad

Floats = NDArray[np.float64]
FINE = 6
"""Elements across a wall, and as many along each length."""
GRADE = 3.0
"""Power by which elements get smaller towards corners."""
OUT = 8.0
"""How far the floor is followed beyond the shank, over its thickness."""
CLOSE = 1e-7
BEAMS = 60
"""Beam elements along each length of a column."""


@dataclass(frozen=True, kw_only=True)
class Turned:
    """Sizes in mm of a post and its floor, modulus MPa: as a turner would list them.

    `bore` through from the top, `wide` up to `wide_up_to` above the bench; an even pressure on the
    inner `pressed` of the top, or an even shear on the wall of the bore over `held`.
    """

    floor: float
    shank: float
    head: float
    straight: float
    cone: float
    modulus: float
    poisson: float
    bore: float = 0.0
    wide: float = 0.0
    wide_up_to: float = 0.0
    pressed: float = 0.0
    held: tuple[float, float] = (0.0, 0.0)

    @property
    def top(self) -> float:
        return self.floor + self.straight + self.cone

    def outer(self, z: float) -> float:
        """⌀ at a height."""
        if z <= self.floor + self.straight + 10 * CLOSE or self.cone <= 0.0:
            return self.shank
        return self.shank + (self.head - self.shank) * (z - self.floor - self.straight) / self.cone

    def inner(self, z: float) -> float:
        """⌀ of the bore just above or below a height."""
        return self.wide if z < self.wide_up_to else self.bore


def graded(low: float, high: float, count: int) -> Floats:
    """Places from low to high, much closer at both ends: there corners are."""
    t = np.linspace(-1.0, 1.0, count + 1)
    return low + (high - low) * (0.5 + np.sign(t) * (1 - (1 - abs(t)) ** GRADE) / 2)


def meshed(post: Turned) -> skfem.MeshQuad:
    """Quadrilaterals of half a section, x the radius, y the height."""
    keys = {0.0, post.floor, post.floor + post.straight, post.top, *post.held}
    keys |= {post.wide_up_to} if post.wide_up_to else set()
    levels = sorted({round(key, 6) for key in keys})
    z = np.unique(np.round(np.concatenate([
        graded(a, b, FINE if b - a < post.shank else 2 * FINE)
        for a, b in pairwise(levels)
    ]), 9))  # fmt: skip
    outer = np.array([post.outer(h) for h in z]) / 2
    fixed = max(post.wide, post.pressed) / 2  # an upright line there, if there is one
    lines = []
    bore = np.full_like(outer, post.bore / 2)
    if 0.0 < fixed < post.head / 2 - CLOSE or post.wide:
        middle = np.minimum(fixed, (bore + outer) / 2) if post.wide else np.full_like(z, fixed)
        middle = np.where(z <= post.wide_up_to, fixed, middle)
        lines += [bore + (middle - bore) * t for t in np.linspace(0, 1, FINE, endpoint=False)]
        bore = middle
    lines += [bore + (outer - bore) * t for t in graded(0.0, 1.0, 2 * FINE)]
    within = len(lines) - 1
    t = np.linspace(0, 1, 2 * FINE + 1)[1:]
    lines += [outer[0] + OUT * post.floor * x ** (GRADE + 1) + 0 * z for x in t]
    r = np.stack(lines)
    points = np.stack([r.ravel(), np.broadcast_to(z, r.shape).ravel()])
    i, j = (k.ravel() for k in np.meshgrid(
        np.arange(r.shape[0] - 1), np.arange(len(z) - 1), indexing="ij"))  # fmt: skip
    first = i * len(z) + j
    cells = np.stack([first, first + len(z), first + len(z) + 1, first + 1])
    middles = points[:, cells].mean(axis=1)
    inside = (i < within) | (middles[1] < post.floor)
    inside &= ~((middles[1] < post.wide_up_to) & (middles[0] < post.wide / 2))
    cells = cells[:, inside]
    used = np.unique(cells)
    number = np.full(points.shape[1], -1)
    number[used] = np.arange(len(used))
    return skfem.MeshQuad(points[:, used].copy(), number[cells].copy())


def lame(post: Turned) -> tuple[float, float]:
    e, v = post.modulus, post.poisson
    return e * v / ((1 + v) * (1 - 2 * v)), e / (2 * (1 + v))


def compliance(post: Turned) -> float:
    """Mean movement down of what is pressed per newton, mm/N."""
    mesh = meshed(post)
    space = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementQuad2()))
    lam, mu = lame(post)

    @skfem.BilinearForm
    def energy(u, v, w):  # type: ignore[no-untyped-def]
        r, a, b = w.x[0], grad(u), grad(v)
        round_u, round_v = u[0] / r, v[0] / r
        swells = a[0, 0] + a[1, 1] + round_u
        shear = (a[0, 1] + a[1, 0]) * (b[0, 1] + b[1, 0])
        like = a[0, 0] * b[0, 0] + a[1, 1] * b[1, 1] + round_u * round_v
        return 2 * np.pi * r * (
            lam * swells * (b[0, 0] + b[1, 1] + round_v) + mu * (2 * like + shear)
        )  # fmt: skip

    if post.held[1] > post.held[0]:
        wall = post.inner(sum(post.held) / 2) / 2
        faces = mesh.facets_satisfying(
            lambda x: (abs(x[0] - wall) < CLOSE) & (x[1] > post.held[0]) & (x[1] < post.held[1]),
            boundaries_only=True,
        )
    else:
        edge = (post.pressed or post.head) / 2
        faces = mesh.facets_satisfying(
            lambda x: (abs(x[1] - post.top) < 10 * CLOSE) & (x[0] < edge), boundaries_only=True
        )
    pressed = skfem.FacetBasis(mesh, space.elem, facets=faces)
    load = skfem.LinearForm(lambda v, w: 2 * np.pi * w.x[0] * v[1]).assemble(pressed)
    load /= float(np.sum(pressed.dx * 2 * np.pi * np.asarray(pressed.global_coordinates())[0]))
    fixed = np.concatenate([
        space.get_dofs(lambda x: x[1] < CLOSE).all("u^2"),
        space.get_dofs(lambda x: x[0] < CLOSE).all("u^1"),
    ])  # fmt: skip
    return solved(energy.assemble(space), load, fixed)


def solved(matrix, load: Floats, fixed: NDArray[np.int64]) -> float:  # type: ignore[no-untyped-def]
    """load · matrix⁻¹ · load, with some unknowns held."""
    free = np.setdiff1d(np.arange(len(load)), fixed)
    factor = splu(matrix[free][:, free].tocsc(), permc_spec="MMD_AT_PLUS_A",
                  options={"SymmetricMode": True}, diag_pivot_thresh=0.0)  # fmt: skip
    return float(load[free] @ factor.solve(load[free]))


def turning(post: Turned) -> float:
    """Rotation of the foot per moment, 1/(N·mm), beyond a beam clamped where the floor begins.

    A tall stump of the shank is bent by a moment at its top, as cos θ; the unknowns are half the
    sum and half the difference of radial and round movement, so that both may be held on the axis.
    """
    stump = 1.5 * post.shank
    wide = post.wide if post.wide_up_to else post.bore
    tall = Turned(floor=post.floor, shank=post.shank, head=post.shank, straight=stump, cone=0.0,
                  modulus=post.modulus, poisson=post.poisson, bore=wide)  # fmt: skip
    mesh = meshed(tall)
    line = skfem.ElementQuad2()
    space = skfem.Basis(mesh, line * line * line, intorder=5)
    lam, mu = lame(post)

    def strains(a, b, w, r):  # type: ignore[no-untyped-def]
        out, turn = a + b, a - b  # radial ~ cos, round ~ sin
        d_out, d_turn, d_up = a.grad + b.grad, a.grad - b.grad, w.grad
        return (
            d_out[0], (out + turn) / r, d_up[1], d_out[1] + d_up[0],
            d_turn[0] - (turn + out) / r, d_turn[1] - w / r,
        )  # fmt: skip

    @skfem.BilinearForm
    def energy(a, b, c, d, e, f, w):  # type: ignore[no-untyped-def]
        r = w.x[0]
        one, two = strains(a, b, c, r), strains(d, e, f, r)
        like = sum(x * y for x, y in zip(one[:3], two[:3], strict=True))
        slide = sum(x * y for x, y in zip(one[3:], two[3:], strict=True))
        return np.pi * r * (lam * sum(one[:3]) * sum(two[:3]) + mu * (2 * like + slide))

    inertia = math.pi / 64 * (post.shank**4 - wide**4)
    faces = mesh.facets_satisfying(
        lambda x: abs(x[1] - tall.top) < 10 * CLOSE, boundaries_only=True
    )
    pressed = skfem.FacetBasis(mesh, space.elem, facets=faces)
    load = skfem.LinearForm(lambda d, e, f, w: np.pi * w.x[0] ** 2 / inertia * f).assemble(pressed)
    at = space.get_dofs(lambda x: x[1] < CLOSE)
    axis = space.get_dofs(lambda x: x[0] < CLOSE)
    edge = int(np.argmax(mesh.p[0] - mesh.p[1]))
    fixed = np.unique(np.concatenate([
        at.all("u^3"), axis.all("u^1"), axis.all("u^3"),
        space.nodal_dofs[1:2, edge],  # against sliding as a whole
    ]))  # fmt: skip
    return solved(energy.assemble(space), load, fixed) - stump / (post.modulus * inertia)


def buckles(
    lengths: Sequence[tuple[float, float, float, float, float, float]],
    spring: float,
    poisson: float,
) -> float:
    """Least load (N) that buckles a column which is free at its top, on a foot that turns.

    `lengths` from the foot up: length, ⌀ below, ⌀ above, ⌀ of the bore, modulus, and whether it
    shears (1) or not (0). Linear elements of beams that shear, with one point of integration.
    """
    stiff, geometric = (np.zeros((2 * BEAMS * len(lengths) + 2,) * 2) for _ in range(2))
    element = 0
    for length, below, above, bore, modulus, shears in lengths:
        h = length / BEAMS
        for k in range(BEAMS):
            d = below + (above - below) * (k + 0.5) / BEAMS
            area, inertia = np.pi / 4 * (d**2 - bore**2), np.pi / 64 * (d**4 - bore**4)
            m = (bore / d) ** 2  # Cowper 1966
            kappa = 6 * (1 + poisson) * (1 + m) ** 2
            kappa /= (7 + 6 * poisson) * (1 + m) ** 2 + (20 + 12 * poisson) * m
            slide = kappa * area * modulus / (2 * (1 + poisson)) if shears else 1e5 * modulus * area
            bend, aside = np.array([0, -1, 0, 1]) / h, np.array([-1, 0, 1, 0]) / h
            lean = aside - np.array([0, 0.5, 0, 0.5])
            at = slice(2 * element, 2 * element + 4)
            stiff[at, at] += h * (
                modulus * inertia * np.outer(bend, bend) + slide * np.outer(lean, lean)
            )
            geometric[at, at] += h * np.outer(aside, aside)
            element += 1
    stiff[1, 1] += spring
    return float(1 / eigh(geometric[1:, 1:], stiff[1:, 1:], eigvals_only=True)[-1])
