"""Kirchhoff plate of any outline, factored once and loaded as often as one likes.

The plate may have holes, regions of other thickness, and edges that are free, simply supported or
clamped. Loads act anywhere, not only on vertices. Shear deformation is left out, as always in
Kirchhoff's theory; it adds some (thickness/span)² to the deflection.

A free plate can be pushed away without bending. It is factored with three vertices pinned, which
gives the right bending for every balanced set of forces; whoever uses it adds the three rigid
movements `rigid_modes` as unknowns and the balance of force and both moments as equations
(`contact` does).

Source: S. Timoshenko, S. Woinowsky-Krieger, *Theory of Plates and Shells*, 2nd ed., 1959.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np
import shapely
from numpy.typing import ArrayLike

from .argyris import Argyris, argyris, bending_stiffness, triangle_quadrature
from .arrays import Floats, Integers
from .mesh import Mesh, triangulate

if TYPE_CHECKING:
    from scipy.sparse.linalg import SuperLU

Held: TypeAlias = Literal["free", "simple", "clamped"]

# Wanted edge length as a share of the square root of the plate's area. Measured with it: largest
# deflections of the textbook cases within 0.15 %, small ones (a load at 0.7 of a clamped radius)
# within 0.5 % (see tests/outside/test_mechanics_plate.py).
EDGE_SHARE = 0.07
CIRCLE_POINTS = 360


@dataclass(frozen=True, eq=False)
class Region:
    """Part of a plate with a thickness (mm) of its own; `outline` (n, 2) may overhang the plate.

    Inside its `holes` the plate keeps the thickness it has there.
    """

    outline: Floats
    thickness: float
    holes: tuple[Floats, ...] = ()

    @property
    def shape(self) -> shapely.Polygon:
        """Outline with its holes."""
        return shapely.Polygon(self.outline, self.holes)


@dataclass(frozen=True, eq=False)
class Plate:
    """Elastic plate in plan.

    `outline` and each of `holes` (n, 2) in mm, in either turning sense; `thickness` mm; `modulus`
    MPa; where `regions` overlap, the later one counts. `rim` and `hole_rim` say how the edges are
    held; a workpiece lying on supports has both free. `edge_length` (mm) sets the fineness of the
    mesh, by default `EDGE_SHARE` of the square root of the area.

    Raises ValueError for an impossible outline, thickness, modulus or Poisson number.
    """

    outline: Floats
    thickness: float
    modulus: float
    poisson: float
    holes: tuple[Floats, ...] = ()
    regions: tuple[Region, ...] = ()
    rim: Held = "free"
    hole_rim: Held = "free"
    edge_length: float | None = None

    def __post_init__(self) -> None:
        """Refuse what is no plate."""
        thicknesses = [self.thickness, *(region.thickness for region in self.regions)]
        if min(thicknesses) <= 0 or self.modulus <= 0 or not -1 < self.poisson < 0.5:
            raise ValueError("thickness and modulus must be positive, -1 < poisson < 0.5")
        if not self.domain.is_valid or self.domain.area <= 0:
            raise ValueError(f"outline: {shapely.is_valid_reason(self.domain)}")

    @cached_property
    def domain(self) -> shapely.Polygon:
        """Outline with its holes."""
        return shapely.Polygon(self.outline, self.holes)

    @cached_property
    def mesh(self) -> Mesh:
        """Triangles of the plan, with the borders of the regions as edges."""
        length = self.edge_length or EDGE_SHARE * float(np.sqrt(self.domain.area))
        borders = [
            shapely.LinearRing(ring)
            for region in self.regions
            for ring in (region.outline, *region.holes)
        ]
        return triangulate(self.domain, borders, length)

    @cached_property
    def factor(self) -> FactoredPlate:
        """Stiffness factored: made at first use, then kept with this plate."""
        return factor(self)

    def thicker(self, times: float) -> Plate:
        """The same plate, `times` as thick everywhere.

        Nothing is meshed or factored anew: every rigidity goes with the cube of the thickness, and
        every deflection against it.
        """
        regions = tuple(replace(r, thickness=times * r.thickness) for r in self.regions)
        plate = replace(self, thickness=times * self.thickness, regions=regions)
        made = self.factor
        vars(plate)["mesh"] = self.mesh
        vars(plate)["factor"] = replace(made, plate=plate, flexibility=made.flexibility / times**3)
        return plate

    def rigidity(self, thickness: float) -> float:
        """Flexural rigidity D = E t³ / (12 (1 - ν²)) in N·mm."""
        return self.modulus * thickness**3 / (12 * (1 - self.poisson**2))


def bonded_rigidity(layers: Sequence[tuple[float, float]]) -> float:
    """Rigidity Σ E' (t³/12 + t e²) of layers fast on each other, each (thickness, E'), the lowest
    first, about the plane where they are not strained; e is how far off it each lies.

    E' is what a layer resists with in the way it bends: E in a narrow strip, E/(1 - ν²) in a wide
    one, E/(1 - ν) in a dome, E/(1 + ν) in a saddle. Classical lamination theory (R. M. Jones,
    *Mechanics of Composite Materials*, chapter 4; from memory) without force in the plane.
    """
    thickness, modulus = (np.array(each, dtype=np.float64) for each in zip(*layers, strict=True))
    middle = np.cumsum(thickness) - thickness / 2
    stiff = modulus * thickness
    off = middle - float(stiff @ middle) / float(stiff.sum())
    return float(modulus @ thickness**3 / 12 + stiff @ off**2)


def circle(radius: float, count: int, centre: tuple[float, float] = (0.0, 0.0)) -> Floats:
    """`count` points (count, 2) on a circle, anticlockwise from the x axis."""
    angle = np.arange(count) * (2 * np.pi / count)
    return np.asarray(centre) + radius * np.column_stack([np.cos(angle), np.sin(angle)])


@dataclass(frozen=True, eq=False)
class Load:
    """Downward load: `work` (n_dofs,) it does on each unknown, `resultant` (3,) force, f·x, f·y."""

    work: Floats
    resultant: Floats

    def __add__(self, other: Load) -> Load:
        """Both loads at once."""
        return Load(self.work + other.work, self.resultant + other.resultant)

    def __mul__(self, times: float) -> Load:
        """The same load, `times` as strong."""
        return Load(self.work * times, self.resultant * times)


@dataclass(frozen=True, eq=False)
class FactoredPlate:
    """A plate's elements with its factored stiffness.

    `free` (k,) are the unknowns that move, `factors` the factored stiffness of these, `flexibility`
    the factor mm/N that belongs to it; `loose` is true when no edge is held.
    """

    plate: Plate
    element: Argyris
    free: Integers
    factors: SuperLU
    flexibility: float
    loose: bool

    def solve(self, work: Floats) -> Floats:
        """Unknowns (n_dofs, …) under loads of that `work` (n_dofs, …).

        On a loose plate they are right up to a rigid movement, for balanced loads only.
        """
        unknowns = np.zeros_like(work)
        unknowns[self.free] = self.flexibility * self.factors.solve(work[self.free])
        return unknowns

    def sampling(self, places: ArrayLike) -> Floats:
        """Matrix (n_dofs, n): its transpose times the unknowns is the deflection at `places`.

        Each column is also the load vector of 1 N there. Raises ValueError for a place that lies
        off the plate by more than a hundredth of the mesh size (about the sagitta of the chords).
        """
        points = np.atleast_2d(np.asarray(places, dtype=np.float64))
        triangle = self._locate(points)
        columns = np.zeros((self.element.count, len(points)))
        columns[self.element.dofs[triangle].T, np.arange(len(points))] = self.element.values(
            triangle, points
        ).T
        return columns

    def _locate(self, points: Floats) -> Integers:
        mesh = self.element.mesh
        a, b, c = mesh.points[mesh.triangles].transpose(1, 0, 2)
        ab, ac, ap = b - a, c - a, points[:, None] - a
        twice = ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0]
        second = (ap[..., 0] * ac[:, 1] - ap[..., 1] * ac[:, 0]) / twice
        third = (ab[:, 0] * ap[..., 1] - ab[:, 1] * ap[..., 0]) / twice
        least = np.minimum(np.minimum(second, third), 1 - second - third)
        best = np.argmax(least, axis=1)
        outside = least[np.arange(len(points)), best] < -0.01
        if outside.any():
            x, y = points[outside][0]
            raise ValueError(f"the place {x:.3f}, {y:.3f} mm lies off the plate")
        return np.asarray(best, dtype=np.int64)

    def rigid_modes(self, places: ArrayLike) -> Floats:
        """Columns 1, x, y at `places`: (n, 3) for a loose plate, (n, 0) for a held one."""
        points = np.atleast_2d(np.asarray(places, dtype=np.float64))
        return _one_x_y(points) if self.loose else np.empty((len(points), 0))

    def point_load(self, place: ArrayLike, force: float) -> Load:
        """`force` (N, downwards) on one point."""
        point = np.atleast_2d(np.asarray(place, dtype=np.float64))
        return Load(force * self.sampling(point)[:, 0], force * _one_x_y(point)[0])

    def pressure(self, pressure: float) -> Load:
        """Even `pressure` (MPa) on the whole plate."""
        element, mesh = self.element, self.element.mesh
        barycentric, weight = triangle_quadrature(4)
        area = mesh.areas
        work = np.zeros(element.count)
        resultant = np.zeros(3)
        every = np.arange(len(mesh.triangles))
        for place, share in zip(barycentric, weight, strict=True):
            points = np.einsum("c,mcx->mx", place, mesh.points[mesh.triangles])
            force = pressure * share * area
            np.add.at(work, element.dofs, force[:, None] * element.values(every, points))
            resultant += force @ _one_x_y(points)
        return Load(work, resultant)

    def deflection(self, load: Load, places: ArrayLike) -> Floats:
        """Deflection (n,) mm of a held plate at `places`.

        Raises ValueError on a loose plate, where it depends on the supports.
        """
        if self.loose:
            raise ValueError("a plate with free edges deflects as its supports let it")
        return np.asarray(self.sampling(places).T @ self.solve(load.work))

    def compliance(self, at: ArrayLike, of: ArrayLike) -> Floats:
        """Deflection (n, m) mm/N at each place of `at` per newton on each place of `of`."""
        return np.asarray(self.sampling(at).T @ self.solve(self.sampling(of)))


def factor(plate: Plate) -> FactoredPlate:
    """Assemble and factor the stiffness of `plate`.

    Simple support holds the vertices of the edge only: were the deflection held all along a
    polygon's sides, the limit would not be the plate with a curved edge (Babuška's paradox).
    """
    from scipy.sparse import coo_array  # 0.2 s to load, and many holders are never pressed on
    from scipy.sparse.linalg import splu

    mesh = plate.mesh
    region = _regions(plate, mesh)
    element = argyris(mesh, region)
    thickness = np.array([plate.thickness, *(r.thickness for r in plate.regions)])[region]
    relative = (thickness / thickness.max()) ** 3
    stiffness = bending_stiffness(element, relative, plate.poisson)
    rows = np.broadcast_to(element.dofs[:, :, None], stiffness.shape)
    columns = np.broadcast_to(element.dofs[:, None, :], stiffness.shape)
    matrix = coo_array(
        (stiffness.ravel(), (rows.ravel(), columns.ravel())), shape=(element.count, element.count)
    ).tocsc()
    held = _held_dofs(plate, element)
    loose = not len(held)
    free = np.setdiff1d(np.arange(element.count), _pins(element) if loose else held)
    factors = splu(
        matrix[free][:, free].tocsc(),
        permc_spec="MMD_AT_PLUS_A",
        options={"SymmetricMode": True},
        diag_pivot_thresh=0.0,
    )
    flexibility = element.scale**2 / plate.rigidity(float(thickness.max()))
    return FactoredPlate(plate, element, free, factors, flexibility, loose)


def _regions(plate: Plate, mesh: Mesh) -> Integers:
    """Index of the region of each triangle, 0 for the plate's own thickness."""
    region = np.zeros(len(mesh.triangles), dtype=np.int64)
    for index, part in enumerate(plate.regions, start=1):
        region[shapely.contains_xy(part.shape, *mesh.centroids.T)] = index
    return region


def _held_dofs(plate: Plate, element: Argyris) -> Integers:
    mesh = element.mesh
    rim_edges = np.flatnonzero(mesh.rim)
    middles = shapely.points(mesh.points[mesh.edges[rim_edges]].mean(axis=1))
    outer = shapely.distance(middles, shapely.LinearRing(plate.outline))
    inner = shapely.distance(
        middles, shapely.union_all([shapely.LinearRing(h) for h in plate.holes])
    )
    on_hole = inner < outer if plate.holes else np.zeros(len(rim_edges), dtype=bool)
    held: list[Integers] = []
    for how, part in ((plate.rim, rim_edges[~on_hole]), (plate.hole_rim, rim_edges[on_hole])):
        corners = element.corner_dofs[np.unique(mesh.edges[part])]
        if how == "simple":
            held.append(corners[:, 0])
        elif how == "clamped":
            # curvatures stay free: along a curved clamped edge they do not vanish
            held += [corners.ravel(), element.edge_dofs[part]]
    return np.unique(np.concatenate(held)) if held else np.empty(0, dtype=np.int64)


def _pins(element: Argyris) -> Integers:
    """Deflections of three vertices that span a wide triangle."""
    points = element.mesh.points
    first = int(np.argmax(np.linalg.norm(points - points.mean(axis=0), axis=1)))
    second = int(np.argmax(np.linalg.norm(points - points[first], axis=1)))
    along, away = points[second] - points[first], points - points[first]
    third = int(np.argmax(np.abs(along[0] * away[:, 1] - along[1] * away[:, 0])))
    return element.corner_dofs[[first, second, third], 0]


def _one_x_y(points: Floats) -> Floats:
    return np.column_stack([np.ones(len(points)), points])
