"""Plates against Timoshenko, Roark, Michell's solution, and scikit-fem.

[T] S. Timoshenko, S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., 1959: §16 (uniform
    load), §17-19 (loads along a circle, at the centre), §64 (Michell's eccentric load, clamped).
    Formulas from memory; at the centre they agree with the coefficients of the reference list.
[R] W. C. Young, R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed., tables 11.2
    (annular plates) and 11.4 (rectangular plates): formulas and coefficients read from public
    copies.
"""

import math
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
import shapely

from nests.mechanics.argyris import bending_stiffness
from nests.mechanics.mesh import triangulate
from nests.mechanics.plate import Plate, Region, bonded_rigidity, circle
from tests.outside.mechanics_known import ring_load, round_plate

RADIUS, THICKNESS, MODULUS = 13.0, 0.8, 97000.0
FORCE, PRESSURE = 30.0, 0.01
PROMISED = 5e-3
NEAR = 1.5e-3  # kept wherever the deflection is not much smaller than the largest


@cache
def disc(rim, poisson=0.3, **more):
    return round_plate(2 * RADIUS, THICKNESS, MODULUS, poisson, rim=rim, **more)


def central(rim, r, poisson=0.3):
    """[T] deflection at r (share of the radius) due to a load at the centre, times D/(P a²)."""
    log = r**2 * math.log(r) if r else 0.0
    if rim == "clamped":
        return (2 * log + 1 - r**2) / (16 * math.pi)
    return ((3 + poisson) / (1 + poisson) * (1 - r**2) + 2 * log) / (16 * math.pi)


def under_load(rim, r, poisson=0.3):
    """Deflection right under a load at r, times D/(P a²).

    Clamped: Michell's solution [T]. Simply supported: to it add the biharmonic functions
    (1 - r²) r^m cos(m t) that cancel its edge moment -(P/4π)(1 - b²)(1 + 2 Σ b^m cos(m t)), each of
    which has the edge moment D (4m + 2 + 2ν) (own derivation; at b = 0 it gives [T]'s .0505).
    """
    clamped = (1 - r**2) ** 2 / (16 * math.pi)
    if rim == "clamped":
        return clamped
    m = np.arange(400)
    series = np.where(m == 0, 1.0, 2.0) * r ** (2.0 * m) / (4 * m + 2 + 2 * poisson)
    return clamped + (1 - r**2) ** 2 / (4 * math.pi) * series.sum()


@pytest.mark.parametrize(
    ("rim", "centre", "uniform"),
    # [T] .050501 = (3+ν)/(16π(1+ν)), .063702 = (5+ν)/(64(1+ν)); .019894 = 1/16π, .015625 = 1/64
    [("simple", 0.050501, 0.063702), ("clamped", 0.019894, 0.015625)],
)
def test_round_plate_under_centre_and_uniform_load(rim, centre, uniform):
    plate = disc(rim)
    d = plate.rigidity(THICKNESS)
    at_centre = plate.factor.deflection(plate.factor.point_load((0, 0), FORCE), (0, 0))[0]
    assert at_centre * d / (FORCE * RADIUS**2) == pytest.approx(centre, rel=NEAR)
    evenly = plate.factor.deflection(plate.factor.pressure(PRESSURE), (0, 0))[0]
    assert evenly * d / (PRESSURE * RADIUS**4) == pytest.approx(uniform, rel=NEAR)


@pytest.mark.parametrize("rim", ["simple", "clamped"])
@pytest.mark.parametrize("r", [0.15, 0.37, 0.61])
def test_eccentric_and_ring_load_bend_the_centre_as_reciprocity_says(rim, r):
    plate = disc(rim)
    places = RADIUS * r * np.array([[math.cos(0.7), math.sin(0.7)], [0.0, -1.0]])
    wanted = central(rim, r) * FORCE * RADIUS**2 / plate.rigidity(THICKNESS)
    f = plate.factor
    for load in (*(f.point_load(p, FORCE) for p in places), ring_load(f, RADIUS * r, FORCE)):
        assert f.deflection(load, (0, 0))[0] == pytest.approx(wanted, rel=2 * NEAR)


@pytest.mark.parametrize("rim", ["simple", "clamped"])
@pytest.mark.parametrize("r", [0.0, 4 / 13, 0.5, 0.7])
def test_deflection_under_an_eccentric_load(rim, r):
    plate = disc(rim)
    place = RADIUS * r * np.array([math.cos(2.1), math.sin(2.1)])
    wanted = under_load(rim, r) * RADIUS**2 / plate.rigidity(THICKNESS)
    assert plate.factor.compliance(place, place)[0, 0] == pytest.approx(wanted, rel=PROMISED)


def test_compliance_is_symmetric_between_any_places():
    plate = disc("simple")
    places = np.array([[1.0, 2.0], [-7.3, 0.4], [3.1, -9.2], [0.0, 0.0]])
    compliance = plate.factor.compliance(places, places)
    assert np.allclose(compliance, compliance.T, rtol=1e-9)
    assert (np.linalg.eigvalsh(compliance) > 0).all()


def roark_annular(b, poisson):
    """[R] table 11.2: C1, C4, C7 and, for a load over the whole plate, L11, L14, L17."""
    log = math.log(1 / b)
    c1 = (1 + poisson) / 2 * b * log + (1 - poisson) / 4 * (1 / b - b)
    c4 = ((1 + poisson) * b + (1 - poisson) / b) / 2
    c7 = (1 - poisson**2) / 2 * (1 / b - b)
    l11 = (1 + 4 * b**2 - 5 * b**4 - 4 * b**2 * (2 + b**2) * log) / 64
    l14 = (1 - b**4 - 4 * b**2 * log) / 16
    l17 = (1 - (1 - poisson) / 4 * (1 - b**4) - b**2 * (1 + (1 + poisson) * log)) / 4
    return c1, c4, c7, l11, l14, l17


@pytest.mark.parametrize(
    ("b", "printed"), [(0.1, 0.0166), (0.3, 0.0132), (0.5, 0.0053), (0.7, 0.0009)]
)
def test_annular_plate_outer_edge_fixed_inner_free(b, printed):
    c1, c4, _, l11, l14, _ = roark_annular(b, 0.3)
    coefficient = c1 * l14 / c4 - l11  # case 2e
    assert coefficient == pytest.approx(printed, abs=5.1e-5)  # the column printed in the table
    plate = disc("clamped", bore=2 * RADIUS * b)
    w = plate.factor.deflection(plate.factor.pressure(PRESSURE), (RADIUS * b, 0))[0]
    d = plate.rigidity(THICKNESS)
    assert w * d / (PRESSURE * RADIUS**4) == pytest.approx(coefficient, rel=NEAR)


@pytest.mark.parametrize("b", [0.1, 0.3, 0.5, 0.7])
def test_annular_plate_outer_edge_simply_supported_inner_free(b):
    c1, _, c7, l11, _, l17 = roark_annular(b, 0.3)
    coefficient = c1 * l17 / c7 - l11  # case 2a
    plate = disc("simple", bore=2 * RADIUS * b)
    w = plate.factor.deflection(plate.factor.pressure(PRESSURE), (0, RADIUS * b))[0]
    d = plate.rigidity(THICKNESS)
    assert w * d / (PRESSURE * RADIUS**4) == pytest.approx(coefficient, rel=NEAR)


def annular_held(b, hole_rim, poisson=0.3):
    """Largest deflection, times D/(q a⁴), of an annulus simply supported outside and held inside.

    [T] § on annular plates: w = q r⁴/64D + A + B ln r + C r² + E r² ln r, constants from the edges.
    """

    def row(r, order):
        log = math.log(r)
        terms = {
            0: ([1, log, r**2, r**2 * log], r**4 / 64),
            1: ([0, 1 / r, 2 * r, 2 * r * log + r], r**3 / 16),
            2: ([0, -1 / r**2, 2, 2 * log + 3], 3 * r**2 / 16),
        }
        return np.array([*terms[order][0], terms[order][1]])

    def moment(r):
        return row(r, 2) + poisson / r * row(r, 1)

    inner = moment(b) if hole_rim == "simple" else row(b, 1)
    edges = np.array([row(1, 0), moment(1), row(b, 0), inner])
    constants = np.linalg.solve(edges[:, :4], -edges[:, 4])
    return max(row(r, 0) @ [*constants, 1.0] for r in np.linspace(b, 1, 500))


@pytest.mark.parametrize(
    ("hole_rim", "b", "printed"),
    # [R] table 11.2 cases 2c and 2d, largest deflection
    [("simple", 0.3, 0.0029), ("simple", 0.5, 0.0008), ("clamped", 0.1, 0.0040),
     ("clamped", 0.3, 0.0014), ("clamped", 0.5, 0.0004), ("simple", 0.1, 0.0060)],
)  # fmt: skip
def test_annular_plate_held_at_hole_and_rim(hole_rim, b, printed):
    coefficient = annular_held(b, hole_rim)
    assert coefficient == pytest.approx(printed, abs=1e-4)  # printed to four decimals
    plate = disc("simple", hole_rim=hole_rim, bore=2 * RADIUS * b)
    line = np.column_stack([np.linspace(b, 1, 200) * RADIUS, np.zeros(200)])
    w = plate.factor.deflection(plate.factor.pressure(PRESSURE), line).max()
    ratio = w * plate.rigidity(THICKNESS) / (PRESSURE * RADIUS**4)
    assert ratio == pytest.approx(coefficient, rel=PROMISED)


def navier(aspect):
    """[T] §30, §34: centre deflection times D, even load (per q b⁴) and centre load (per P b²)."""
    m, n = np.meshgrid(np.arange(1, 400, 2), np.arange(1, 400, 2))
    sign = np.sin(m * math.pi / 2) * np.sin(n * math.pi / 2)
    waves = (m / aspect) ** 2 + n**2
    even = 16 / math.pi**6 * (sign / (m * n * waves**2)).sum()
    return even, 4 / (math.pi**4 * aspect) * (1 / waves**2).sum()


@pytest.mark.parametrize(
    ("aspect", "uniform", "centre"),
    # [R] table 11.4 cases 1a and 1b, ν = 0.3, y = α q b⁴/(E t³) and α W b²/(E t³)
    [(1.0, 0.0444, 0.1267), (1.4, 0.0770, 0.1621), (2.0, 0.1110, 0.1805)],
)
def test_simply_supported_rectangle(aspect, uniform, centre):
    even, point = navier(aspect)
    # the handbook's coefficients are those of the series within half a percent
    assert 12 * 0.91 * even == pytest.approx(uniform, rel=5e-3)
    assert 12 * 0.91 * point == pytest.approx(centre, rel=5e-3)
    short = 12.0
    sides = np.array([[0, 0], [aspect, 0], [aspect, 1], [0, 1]]) * short
    plate = Plate(sides, THICKNESS, MODULUS, 0.3, rim="simple")
    middle, f = sides.mean(axis=0), plate.factor
    d = plate.rigidity(THICKNESS)
    evenly = f.deflection(f.pressure(PRESSURE), middle)[0]
    assert evenly * d / (PRESSURE * short**4) == pytest.approx(even, rel=NEAR)
    pressed = f.deflection(f.point_load(middle, FORCE), middle)[0]
    assert pressed * d / (FORCE * short**2) == pytest.approx(point, rel=NEAR)


def stepped(inner, outer, b, poisson):
    """Centre deflection of a simply supported disc (a = 1) of rigidity `inner` up to r = b.

    Own solution of the axisymmetric equation: w = A + B r² + (P/8πD₁) r² ln r inside,
    C + E r² + F ln r + (P/8πD₂) r² ln r outside; w, slope and moment continuous at b, w and moment
    zero at 1.
    """
    k1, k2, log = 1 / (8 * math.pi * inner), 1 / (8 * math.pi * outer), math.log(b)
    moment = 2 * log + 3 + poisson * (2 * log + 1)
    matrix = [
        [1, b**2, -1, -(b**2), -log],
        [0, 2 * b, 0, -2 * b, -1 / b],
        [0, inner * 2 * (1 + poisson), 0, -outer * 2 * (1 + poisson), outer * (1 - poisson) / b**2],
        [0, 0, 1, 1, 0],
        [0, 0, 0, 2 * (1 + poisson), poisson - 1],
    ]
    right = [
        (k2 - k1) * b**2 * log,
        (k2 - k1) * (2 * b * log + b),
        (k2 * outer - k1 * inner) * moment,
        0,
        -k2 * (3 + poisson),
    ]
    return float(np.linalg.solve(matrix, right)[0])


@pytest.mark.parametrize(
    ("inner", "outer", "b"),
    [(0.8, 0.8, 0.5), (0.4, 0.8, 0.5), (1.6, 0.8, 0.5), (0.24, 0.8, 0.5), (0.8, 0.4, 0.75)],
)
def test_step_of_thickness(inner, outer, b):
    region = Region(circle(RADIUS * b, 240), inner)
    plate = round_plate(2 * RADIUS, outer, MODULUS, 0.3, rim="simple", regions=(region,))
    wanted = stepped(plate.rigidity(inner), plate.rigidity(outer), b, 0.3) * RADIUS**2
    assert plate.factor.compliance((0, 0), (0, 0))[0, 0] == pytest.approx(wanted, rel=2 * NEAR)


def test_region_that_overhangs_or_grazes_the_rim_is_only_a_change_of_thickness():
    everywhere = np.array([[-20, -20], [20, -20], [20, 20], [-20, 20.0]])
    for border in (everywhere, circle(RADIUS, 100), circle(RADIUS - 0.01, 77)):
        plate = disc("simple", regions=(Region(border, 0.5),))
        plain = round_plate(2 * RADIUS, 0.5, MODULUS, 0.3, rim="simple")
        ratio = plate.factor.compliance((0, 0), (0, 0)) / plain.factor.compliance((0, 0), (0, 0))
        assert ratio[0, 0] == pytest.approx(1.0, rel=NEAR)


def test_thicker_everywhere_is_the_plate_drawn_thicker():
    """Nothing is factored anew, and yet: against the same plate made from the start, and D ~ t³."""
    spot, places = Region(circle(4.0, 60, (2.0, 1.0)), 0.5), [(0, 0), (3, 4), (-6, 2)]
    plate = round_plate(2 * RADIUS, 0.8, MODULUS, 0.3, rim="simple", regions=(spot,))
    thicker = plate.thicker(1.5)
    anew = round_plate(2 * RADIUS, 1.2, MODULUS, 0.3, rim="simple",
                       regions=(Region(spot.outline, 0.75),))  # fmt: skip
    found = thicker.factor.compliance(places, places)
    assert found == pytest.approx(anew.factor.compliance(places, places), rel=1e-9)
    assert found == pytest.approx(plate.factor.compliance(places, places) / 1.5**3, rel=1e-12)
    assert thicker.rigidity(thicker.thickness) == pytest.approx(anew.rigidity(1.2))
    assert thicker.regions[0].thickness == pytest.approx(0.75)


def test_element_against_scikit_fem():
    """Same mesh, same Argyris element in scikit-fem (general library): same compliance."""
    skfem = pytest.importorskip("skfem")
    from scipy.sparse.linalg import spsolve
    from skfem.helpers import dd, ddot, trace

    nu = 0.3
    plate = Plate(
        np.array([[0, 0], [9, 0], [11, 6], [3, 8.0]]), 1.0, 12 * (1 - nu**2), nu, rim="simple"
    )
    mesh = plate.mesh
    theirs = skfem.MeshTri(mesh.points.T.copy(), mesh.triangles.T.copy())
    basis = skfem.Basis(theirs, skfem.ElementTriArgyris(), intorder=8)

    @skfem.BilinearForm
    def bending(u, v, _):
        return (1 - nu) * ddot(dd(u), dd(v)) + nu * trace(dd(u)) * trace(dd(v))

    @skfem.LinearForm
    def even(v, _):
        return 1.0 * v

    rim = np.unique(theirs.facets[:, theirs.boundary_facets()])
    free = np.setdiff1d(np.arange(basis.N), basis.nodal_dofs[0, rim])
    load = even.assemble(basis)
    w = np.zeros(basis.N)
    w[free] = spsolve(bending.assemble(basis)[free][:, free].tocsc(), load[free])
    inside = np.setdiff1d(np.arange(len(mesh.points)), rim)
    places = theirs.p.T[inside]
    ours = plate.factor.deflection(plate.factor.pressure(1.0), places)
    assert np.allclose(ours, w[basis.nodal_dofs[0, inside]], rtol=1e-7)


def test_even_curvature_and_rigid_movements_are_exact():
    """w = (x² + y²)/2 stores D (1 + ν) per area (definition of bending energy), a plane nothing."""
    plate = Plate(np.array([[0, 0], [9, 0], [11, 6], [3, 8.0]]), 1.0, 1000.0, 0.3)
    mesh = plate.mesh
    element = plate.factor.element
    h = element.scale
    vertices = mesh.points / h
    ends = vertices[mesh.edges]
    along = ends[:, 1] - ends[:, 0]
    along /= np.linalg.norm(along, axis=1)[:, None]
    normal = np.column_stack([along[:, 1], -along[:, 0]])

    def unknowns(value, slope, second):
        u = np.zeros(element.count)
        u[element.corner_dofs[:, 0]] = value(vertices)
        u[element.corner_dofs[:, 1:]] = slope(vertices)
        u[element.dofs[:, :18].reshape(-1, 3, 6)[:, :, 3:]] = second
        u[element.edge_dofs] = (normal * slope(ends.mean(axis=1))).sum(axis=1)
        return u

    bowl = unknowns(lambda p: (p**2).sum(axis=1) / 2, lambda p: p, [1.0, 0.0, 1.0])
    plane = unknowns(lambda p: 2 + p @ [3.0, -1.0], lambda p: p * 0 + [3.0, -1.0], 0.0)
    stiffness = bending_stiffness(element, np.ones(len(mesh.triangles)), 0.3)

    def energy(u):
        local = u[element.dofs]
        return 0.5 * np.einsum("mi,mij,mj->", local, stiffness, local)

    assert energy(bowl) == pytest.approx(1.3 * mesh.areas.sum() / h**2, rel=1e-9)
    assert abs(energy(plane)) < 1e-9 * energy(bowl)
    inside = np.random.default_rng(1).uniform([3, 2], [8, 5], (20, 2))
    sampled = plate.factor.sampling(inside).T @ bowl
    assert np.allclose(sampled, ((inside / h) ** 2).sum(axis=1) / 2, rtol=1e-10)


def test_every_side_of_a_square_hole_can_be_held():
    """By symmetry, and because an edge held has no deflection."""
    outer = np.array([[-6, -6], [6, -6], [6, 6], [-6, 6.0]])
    plate = Plate(outer, 1.0, 1000.0, 0.3, holes=(outer / 3,), hole_rim="clamped")
    sides = np.array([[2, 0], [0, 2], [-2, 0], [0, -2.0]])
    w = plate.factor.deflection(plate.factor.pressure(1.0), np.concatenate([sides, 3 * sides]))
    assert np.abs(w[:4]).max() < 1e-3 * w[4:].min()
    assert w[4:] == pytest.approx(w[4], rel=1e-3)


def test_a_loose_plate_has_no_deflection_of_its_own_and_places_must_lie_on_it():
    plate = disc("free")
    with pytest.raises(ValueError, match="supports"):
        plate.factor.deflection(plate.factor.point_load((0, 0), 1.0), (0, 0))
    with pytest.raises(ValueError, match="off the plate"):
        plate.factor.sampling((13.5, 0.0))
    with pytest.raises(ValueError, match="outline"):
        Plate(np.array([[0, 0], [2, 2], [2, 0], [0, 2.0]]), 1.0, 1.0, 0.3)


@pytest.mark.parametrize(
    "domain",
    [
        shapely.Point(0, 0).buffer(13, quad_segs=64),
        shapely.Polygon([(0, 0), (20, 0), (20, 8), (8, 8), (8, 20), (0, 20)]),
        shapely.Point(0, 0).buffer(13).difference(shapely.Point(5, 0).buffer(0.5)),
        shapely.Point(0, 0).buffer(13).difference(shapely.box(-1, 3, 1, 20)),
    ],
    ids=["disc", "L", "small hole", "slot"],
)
def test_mesh_covers_the_outline_with_well_shaped_triangles(domain):
    """Ruppert's bound: no angle under 20.7 degrees where the outline has none sharper."""
    mesh = triangulate(domain, [], 1.5)
    a, b, c = (
        np.linalg.norm(np.diff(mesh.points[mesh.triangles[:, s]], axis=1)[:, 0], axis=1)
        for s in ([1, 2], [2, 0], [0, 1])
    )
    cosines = [(y**2 + z**2 - x**2) / (2 * y * z) for x, y, z in ((a, b, c), (b, c, a), (c, a, b))]
    assert np.degrees(np.arccos(np.max(cosines))) > 20.7
    assert mesh.areas.min() > 0
    assert mesh.areas.sum() == pytest.approx(domain.area, rel=2e-3)
    assert max(a.max(), b.max(), c.max()) < 2 * 1.5


LAYERS = [
    # (thickness, modulus) of the lower and the upper layer, Poisson's ratio of both
    (1.0, 97_000.0, 1.0, 97_000.0, 0.3),
    (0.4, 97_000.0, 1.6, 97_000.0, 0.3),
    (0.8, 97_000.0, 1.2, 200_000.0, 0.3),
    (1.2, 97_000.0, 0.8, 2_400.0, 0.35),
    (0.5, 2_400.0, 1.5, 97_000.0, 0.3),
    (1.5, 115_000.0, 0.3, 210_000.0, 0.0),
]


def bent_strip(layers: list[tuple[float, float]], poisson: float, long: float = 20.0) -> float:
    """Rigidity of a layered strip in plane strain by finite elements (scikit-fem): half of it, held
    by symmetry at one end, its other end turned as a rigid face by one radian."""
    import skfem
    from skfem.models.elasticity import lame_parameters, linear_elasticity

    edges = np.cumsum([0.0, *(t for t, _ in layers)])
    y = np.unique(np.concatenate([np.linspace(a, b, 5) for a, b in pairwise(edges)]))
    mesh = skfem.MeshQuad.init_tensor(np.linspace(0.0, long, 41), y)
    space = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementQuad2()))
    middle = mesh.p[1, mesh.t].mean(axis=0)
    stiffness = 0
    for low, high, (_, modulus) in zip(edges, edges[1:], layers, strict=False):
        part = space.with_elements(np.flatnonzero((middle > low) & (middle < high)))
        stiffness = stiffness + linear_elasticity(*lame_parameters(modulus, poisson)).assemble(part)
    # unknowns: all of the strip but its ends, and how far the turned end moves along by itself
    left = space.get_dofs(lambda x: x[0] < 1e-9).all("u^1")
    right = space.get_dofs(lambda x: x[0] > long - 1e-9).all("u^1")
    corner = space.nodal_dofs[1, np.flatnonzero((mesh.p[0] < 1e-9) & (mesh.p[1] < 1e-9))]
    held = np.concatenate([left, corner, right])
    free = np.setdiff1d(np.arange(space.N), held)
    places = space.doflocs[1, right]
    face = np.zeros((space.N, 2))
    face[right, 0], face[right, 1] = -places, 1.0  # turned, moved along
    energy = np.zeros((2, 2))
    moved = face.copy()
    moved[free] = -np.asarray(
        skfem.solve(stiffness[free][:, free].tocsc(), stiffness[free] @ face[:, :1])
    ).reshape(-1, 1) @ [[1.0, 0.0]]
    along = skfem.solve(stiffness[free][:, free].tocsc(), stiffness[free] @ face[:, 1])
    moved[free, 1] = -along
    energy = moved.T @ (stiffness @ moved)
    return float(energy[0, 0] - energy[0, 1] ** 2 / energy[1, 1]) * long


@pytest.mark.parametrize(("lower", "soft", "upper", "stiff", "poisson"), LAYERS)
def test_bonded_layers_bend_as_a_strip_of_elements(lower, soft, upper, stiff, poisson):
    """Pure bending of a wide strip, so E' = E/(1 - ν²); measured: within 1e-6."""
    computed = bent_strip([(lower, soft), (upper, stiff)], poisson)
    told = bonded_rigidity([(lower, soft / (1 - poisson**2)), (upper, stiff / (1 - poisson**2))])
    assert told == pytest.approx(computed, rel=1e-4)


def test_bonded_layers_of_one_material_are_one_plate():
    """(t₁ + t₂)³, where layers that slide have t₁³ + t₂³; a strip half of brass and half of steel
    by its transformed section (J. M. Gere, Mechanics of Materials, composite beams)."""
    assert bonded_rigidity([(0.8, 12.0), (1.2, 12.0)]) == pytest.approx(2.0**3)
    n = 2.0
    axis = (0.5 + n * 1.5) / (1 + n)
    own = (1 + n) / 12 + (axis - 0.5) ** 2 + n * (1.5 - axis) ** 2
    assert bonded_rigidity([(1.0, 1.0), (1.0, n)]) == pytest.approx(own)
    assert bonded_rigidity([(1.0, n), (1.0, 1.0)]) == pytest.approx(own)
