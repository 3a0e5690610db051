"""Wall thickness and gap width against solids whose thickness is known in closed form.

Truth everywhere: the ball inscribed between two planes at an angle a, at a distance x from the
line where they meet along one of them, has the diameter 2 x tan(a / 2) (elementary: its centre
is on the bisector); between parallel planes it is their distance. The solids are polyhedra, so
a cylinder of n facets has the apothem r cos(pi / n), and this is what is compared with, to
0.002 mm. Each shape is measured in four sizes and three orientations. `least` is the smallest
wall reported anywhere, so that every equality also says: no edge, chamfer, tip or corner raises
an alarm.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, Manifold
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from nests.thickness import RESOLUTION, Thickness, skin_of, thickness, thickness_of

Floats = NDArray[np.float64]
Mesh = tuple[Floats, NDArray[np.int64]]

TOLERANCE = 0.002
TURNS = [(0.0, 0.0, 0.0), (31.0, 17.0, 53.0), (90.0, 45.0, 200.0)]
FACETS = 96
APOTHEM = math.cos(math.pi / FACETS)

turned = pytest.mark.parametrize("turn", TURNS, ids=["square", "skew", "half"])


def mesh(solid: Manifold, turn: tuple[float, float, float] = TURNS[0]) -> Mesh:
    """Vertices and triangles of a solid, turned about x, y and z by degrees."""
    found = solid.to_mesh64()
    vertices = np.array(found.vert_properties, dtype=np.float64)[:, :3]
    turn_by = Rotation.from_euler("xyz", turn, degrees=True)
    return turn_by.apply(vertices), np.asarray(found.tri_verts, dtype=np.int64)


def walls(solid: Manifold, turn: tuple[float, float, float], spacing: float) -> Thickness:
    return thickness(*mesh(solid, turn), spacing=spacing)


def gaps(solid: Manifold, turn: tuple[float, float, float], spacing: float) -> Thickness:
    return thickness(*mesh(solid, turn), spacing=spacing, complement=True)


def least(found: Thickness) -> float:
    return float(found.diameter.min())


def prism(outline: list[tuple[float, float]], length: float) -> Manifold:
    """An outline, counterclockwise in x and y, drawn out along z."""
    return Manifold.extrude(CrossSection([outline]), length)


def tube(inner: float, outer: float, height: float) -> Manifold:
    bore = Manifold.cylinder(3.0 * height, inner, inner, FACETS).translate((0, 0, -height))
    return Manifold.cylinder(height, outer, outer, FACETS) - bore


# --- walls ---------------------------------------------------------------------------------


@turned
@pytest.mark.parametrize("wall", [0.2, 0.8, 1.5, 4.0])
def test_plate_has_its_own_thickness(wall: float, turn: tuple[float, float, float]) -> None:
    found = walls(Manifold.cube((20, 15, wall)), turn, spacing=1.0)
    assert least(found) == pytest.approx(wall, abs=TOLERANCE)
    # From its broad sides the plate is nothing else, up to the very edge.
    vertices, triangles = mesh(Manifold.cube((20, 15, wall)), turn)
    area = trimesh.Trimesh(vertices, triangles, process=False).area_faces
    broad = area[found.face] > 0.4 * 20 * 15
    assert broad.sum() > 100
    np.testing.assert_allclose(found.diameter[broad], wall, atol=TOLERANCE)
    np.testing.assert_allclose(found.angle[broad], 0.0, atol=1e-6)


@turned
@pytest.mark.parametrize(("inner", "wall"), [(2.0, 0.3), (7.0, 1.0), (12.0, 0.6), (25.0, 2.5)])
def test_tube(inner: float, wall: float, turn: tuple[float, float, float]) -> None:
    found = walls(tube(inner, inner + wall, 8.0), turn, spacing=1.0)
    assert least(found) == pytest.approx(wall * APOTHEM, abs=TOLERANCE)


@turned
@pytest.mark.parametrize(("outer", "wall"), [(3.0, 0.4), (8.0, 1.0), (12.0, 0.7), (20.0, 2.0)])
def test_hollow_sphere(outer: float, wall: float, turn: tuple[float, float, float]) -> None:
    solid = Manifold.sphere(outer, 64) - Manifold.sphere(outer - wall, 64)
    vertices, triangles = mesh(solid, turn)
    found = thickness(vertices, triangles, spacing=0.5)
    # Outer and inner facets are scaled copies: parallel, at distances in the ratio of the radii.
    corners = vertices[triangles]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    distance = np.abs(np.einsum("ij,ij->i", normal, corners[:, 0]))
    radius = np.linalg.norm(corners[:, 0], axis=1)
    per_face = wall * distance / radius
    assert least(found) == pytest.approx(per_face.min(), abs=TOLERANCE)
    # And of the round sphere, to what its facets leave: the sagitta.
    assert least(found) == pytest.approx(wall, abs=0.02 * wall)
    assert np.isfinite(found.by_face(len(triangles))).all()


@turned
@pytest.mark.parametrize(("low", "high"), [(1.0, 0.4), (2.0, 1.5), (5.0, 0.8), (8.0, 3.0)], ids=str)
def test_stepped_ring_has_two_walls(
    low: float, high: float, turn: tuple[float, float, float]
) -> None:
    bore, step = 10.0, 4.0
    upper = tube(bore, bore + high, 10.0)
    solid = tube(bore, bore + low, step) + upper
    vertices, triangles = mesh(solid)
    found = thickness(*mesh(solid, turn), spacing=1.0)
    assert least(found) == pytest.approx(high * APOTHEM, abs=TOLERANCE)
    # Of the walls between bore and outside, each belongs to its own height.
    at = vertices[triangles].mean(axis=1)[found.face]
    flank = np.ptp(vertices[triangles][:, :, 2], axis=1)[found.face] > 1.0
    z = Rotation.from_euler("xyz", turn, degrees=True).inv().apply(found.points)[:, 2]
    outside = flank & (np.hypot(at[:, 0], at[:, 1]) > bore + 0.5 * min(low, high))
    sagitta = (bore + max(low, high)) * (1.0 - APOTHEM)
    for wall, here in ((low, z < step - 0.1), (high, z > step + 0.1)):
        seen = found.diameter[outside & here]
        assert len(seen) > FACETS
        assert seen.min() == pytest.approx(wall * APOTHEM, abs=TOLERANCE)
        assert seen.max() < wall + sagitta


@turned
@pytest.mark.parametrize("scale", [0.4, 1.0, 3.0, 8.0])
@pytest.mark.parametrize("included", [10.0, 30.0, 45.0])
def test_wedge_is_a_taper_and_no_wall(
    included: float, scale: float, turn: tuple[float, float, float]
) -> None:
    side, length, angle = 10.0 * scale, 12.0 * scale, math.radians(included)
    solid = prism([(0, 0), (side, 0), (side * math.cos(angle), side * math.sin(angle))], length)
    found = walls(solid, turn, spacing=0.5 * scale)
    # The only walls are the length, and for a slender wedge from its back to nothing: none.
    assert least(found) == pytest.approx(length, abs=TOLERANCE)
    taper = np.isfinite(found.taper)
    assert taper.sum() > 50
    np.testing.assert_allclose(found.angle[taper], angle, atol=1e-6)
    edge = Rotation.from_euler("xyz", turn, degrees=True).apply((0, 0, 1))
    away = np.linalg.norm(np.cross(found.points[taper], edge), axis=1)
    np.testing.assert_allclose(
        found.taper[taper], 2.0 * away * math.tan(0.5 * angle), atol=TOLERANCE
    )


@turned
@pytest.mark.parametrize(("blunt", "back"), [(0.3, 2.0), (0.8, 2.8), (1.0, 6.0), (2.0, 9.0)])
def test_blunt_wedge_is_a_wall_at_its_thin_end(
    blunt: float, back: float, turn: tuple[float, float, float]
) -> None:
    outline = [(0, -blunt / 2), (10, -back / 2), (10, back / 2), (0, blunt / 2)]
    found = walls(prism(outline, 12.0), turn, spacing=1.0)
    # The ball touches both sides and the end: with its centre r from the end, r is the distance
    # (blunt / 2 + r tan(a / 2)) cos(a / 2) to a side.
    half = math.atan((back - blunt) / 2.0 / 10.0)
    expected = blunt * math.cos(half) / (1.0 - math.sin(half))
    assert least(found) == pytest.approx(expected, abs=TOLERANCE)


@turned
@pytest.mark.parametrize("wall", [0.4, 1.0, 2.0, 5.0])
def test_l_corner_is_as_thick_as_its_legs(wall: float, turn: tuple[float, float, float]) -> None:
    solid = Manifold.cube((20, 10, wall)) + Manifold.cube((wall, 10, 15))
    assert least(walls(solid, turn, 0.5)) == pytest.approx(wall, abs=TOLERANCE)


@turned
@pytest.mark.parametrize("facets", [5, 9, 64, 97])
@pytest.mark.parametrize(("radius", "height"), [(0.3, 2.0), (1.0, 10.0), (3.0, 10.0), (9.0, 4.0)])
def test_cone_has_no_wall(
    radius: float, height: float, facets: int, turn: tuple[float, float, float]
) -> None:
    found = walls(Manifold.cylinder(height, radius, 0.0, facets), turn, spacing=radius / 4.0)
    assert not np.isfinite(found.diameter).any()
    if radius / height < math.tan(math.radians(20.0)) and facets > 9:
        assert np.isfinite(found.taper).any()


@turned
@pytest.mark.parametrize("facets", [4, FACETS])
@pytest.mark.parametrize(("radius", "tip"), [(1.0, 0.3), (2.0, 0.4), (2.0, 1.0), (4.0, 2.0)])
def test_blunt_cone_is_a_wall_at_its_tip(
    radius: float, tip: float, facets: int, turn: tuple[float, float, float]
) -> None:
    height, apothem = 10.0, math.cos(math.pi / facets)
    solid = Manifold.cylinder(height, radius, tip, facets)
    # Opposite facets are planes that lean by the slope of their apothems, and as in the blunt
    # wedge the ball touches the end too.
    half = math.atan((radius - tip) * apothem / height)
    expected = 2.0 * tip * apothem * math.cos(half) / (1.0 - math.sin(half))
    assert least(walls(solid, turn, 1.0)) == pytest.approx(expected, abs=TOLERANCE)


@turned
@pytest.mark.parametrize(
    "size", [(10, 8, 5), (20, 15, 3), (4, 4, 4), (40, 30, 12)], ids=lambda size: str(size[2])
)
@pytest.mark.parametrize("chamfer", [0.05, 0.5])
def test_chamfered_block_raises_no_alarm(
    chamfer: float, size: tuple[int, int, int], turn: tuple[float, float, float]
) -> None:
    corners = [
        [sign * (half - (chamfer if axis != kept else 0.0)) for axis, (sign, half) in enumerate(at)]
        for x in (-1, 1)
        for y in (-1, 1)
        for z in (-1, 1)
        for at in [list(zip((x, y, z), np.array(size) / 2.0, strict=True))]
        for kept in range(3)
    ]
    found = walls(Manifold.hull_points(np.array(corners)), turn, spacing=1.0)
    assert least(found) == pytest.approx(min(size), abs=TOLERANCE)
    assert not np.isfinite(found.taper).any()


@turned
@pytest.mark.parametrize("fin", [0.15, 0.4, 0.6, 1.2])
def test_fin_on_a_block(fin: float, turn: tuple[float, float, float]) -> None:
    solid = Manifold.cube((20, 20, 5)) + Manifold.cube((20, fin, 4)).translate((0, 9, 5))
    assert least(walls(solid, turn, 1.0)) == pytest.approx(fin, abs=TOLERANCE)


# --- thin places that face no point of a face -------------------------------------------------


@turned
@pytest.mark.parametrize("left", [0.2, 0.5, 1.0, 1.5])
@pytest.mark.parametrize("half_width", [0.3, 1.0])
def test_floor_under_a_groove(
    half_width: float, left: float, turn: tuple[float, float, float]
) -> None:
    groove = prism([(-half_width, 2.5), (0, left), (half_width, 2.5)], 40.0)
    solid = Manifold.cube((20, 20, 2.0)) - groove.rotate((90, 0, 0)).translate((9.87, 30, 0))
    assert least(walls(solid, turn, 1.0)) == pytest.approx(left, abs=TOLERANCE)


@turned
@pytest.mark.parametrize("left", [0.2, 0.5, 1.0, 1.5])
def test_floor_under_a_drill_point(left: float, turn: tuple[float, float, float]) -> None:
    # The usual point angle of a twist drill, 118 degrees (from memory; any other would do).
    drill = Manifold.cylinder(4.0, 0.0, 4.0 * math.tan(math.radians(59.0)), 64)
    solid = Manifold.cube((20, 20, 3.0)) - drill.translate((9.87, 8.1, left))
    assert least(walls(solid, turn, 2.0)) == pytest.approx(left, abs=TOLERANCE)


@turned
@pytest.mark.parametrize("neck", [0.2, 0.3, 0.8, 1.5])
def test_neck_between_the_edges_of_two_steps(neck: float, turn: tuple[float, float, float]) -> None:
    solid = Manifold.cube((10, 10, 2)).translate((neck - 10.0, 0, 0))
    solid += Manifold.cube((10, 10, 2)).translate((0, 0, -2))
    assert least(walls(solid, turn, 1.0)) == pytest.approx(neck, abs=TOLERANCE)


@turned
@pytest.mark.parametrize(("aside", "below"), [(0.2, 0.3), (0.3, 0.3), (0.1, 0.5), (0.5, 0.4)])
def test_neck_between_the_edges_of_two_grooves(
    aside: float, below: float, turn: tuple[float, float, float]
) -> None:
    upper = prism([(-0.3, 2.1), (0, 1.2), (0.3, 2.1)], 40.0)
    lower = prism([(-0.3, -0.1), (0.3, -0.1), (0, 1.2 - below)], 40.0)
    upper, lower = (
        groove.rotate((90, 0, 0)).translate((x, 30, 0))
        for groove, x in ((upper, 9.87), (lower, 9.87 + aside))
    )
    found = walls(Manifold.cube((20, 20, 2)) - upper - lower, turn, 1.0)
    assert least(found) == pytest.approx(math.hypot(aside, below), abs=TOLERANCE)


@turned
@pytest.mark.parametrize("left", [0.2, 0.5, 0.8, 1.2])
def test_floor_where_two_slots_cross(left: float, turn: tuple[float, float, float]) -> None:
    upper = Manifold.cube((40, 1.0, 2)).translate((-10, 7.3, 1.2 + left))
    lower = Manifold.cube((0.9, 40, 2)).translate((12.1, -10, -0.8))
    solid = Manifold.cube((20, 20, 3)) - upper - lower
    assert least(walls(solid, turn, 0.9)) == pytest.approx(left, abs=TOLERANCE)


@turned
@pytest.mark.parametrize("neck", [0.2, 0.3, 0.5, 1.0])
def test_neck_between_two_crossing_bores(neck: float, turn: tuple[float, float, float]) -> None:
    radius, facets, spacing = 1.0, 48, 0.5 * neck
    upright = Manifold.cylinder(30, radius, radius, facets)
    across = upright.rotate((90, 0, 0)).translate((2.0 + 2.0 * radius + neck, 25, 3.4))
    block = Manifold.cube((8, 6, 7))
    found = walls(block - upright.translate((2, 2.8, -3)) - across, turn, spacing)
    # The nearest point is at most half the spacing off, on a circle made of facets.
    off = 0.5 * spacing
    late = off**2 / (2.0 * radius) + off * math.tan(math.pi / facets)
    assert neck - TOLERANCE <= least(found) <= neck + late + TOLERANCE


@turned
@pytest.mark.parametrize("cuts", [1, 2, 5, 7])
@pytest.mark.parametrize("included", [10.0, 20.0, 40.0])
def test_ball_held_by_the_end_of_a_face_knows_nothing_of_its_triangles(
    included: float, cuts: int, turn: tuple[float, float, float]
) -> None:
    """A roof leans over a floor and ends at x = 0, where a tower stands up; the faces are cut.

    The ball that touches the floor at x and the plane of the roof has 2 r = 2 (low + x tan a)
    cos a / (1 + cos a) (elementary) and touches r sin a nearer to the tower. Where that is beyond
    the end of the roof the edge there holds the ball: its centre is r above (x, 0) and r from
    (0, low), so that 2 r = (x² + low²) / low.
    """
    low, angle = 2.0, math.radians(included)
    outline = [(-8, 0), (12, 0), (12, low + 12.0 * math.tan(angle)), (0, low), (0, 20), (-8, 20)]
    vertices, triangles = mesh(prism(outline, 9.0).refine(cuts), turn)
    found = thickness(vertices, triangles, spacing=0.05)
    at = Rotation.from_euler("xyz", turn, degrees=True).inv().apply(found.points)
    corners = Rotation.from_euler("xyz", turn, degrees=True).inv().apply(vertices)[triangles]
    floor = (np.abs(corners[:, :, 1]) < 1e-9).all(axis=1)[found.face]
    x = at[:, 0]
    plane = (low + x * math.tan(angle)) * math.cos(angle) / (1.0 + math.cos(angle))
    held = floor & (x > 1e-3) & (x < plane * math.sin(angle) - 1e-3)
    assert held.sum() > 5
    ball = (x**2 + low**2) / low
    np.testing.assert_allclose(found.diameter[held], ball[held], rtol=1e-6)
    np.testing.assert_allclose(found.angle[held], np.arcsin(2.0 * x / ball)[held], atol=1e-5)


# --- gaps ----------------------------------------------------------------------------------


@turned
@pytest.mark.parametrize("width", [0.15, 0.4, 1.0, 3.0])
def test_slot(width: float, turn: tuple[float, float, float]) -> None:
    solid = Manifold.cube((20, 20, 8)) - Manifold.cube((width, 40, 8)).translate((9, -10, 3))
    assert least(gaps(solid, turn, 1.0)) == pytest.approx(width, abs=TOLERANCE)


@turned
@pytest.mark.parametrize("radius", [0.2, 0.5, 1.5, 4.0])
@pytest.mark.parametrize("start", [-1.0, 2.0], ids=["through", "blind"])
def test_bore(start: float, radius: float, turn: tuple[float, float, float]) -> None:
    bore = Manifold.cylinder(20, radius, radius, FACETS).translate((9, 9, start))
    found = gaps(Manifold.cube((20, 20, 8)) - bore, turn, 1.0)
    assert least(found) == pytest.approx(2.0 * radius * APOTHEM, abs=TOLERANCE)


@turned
@pytest.mark.parametrize("width", [0.1, 0.3, 1.0, 2.0])
def test_gap_between_two_walls(width: float, turn: tuple[float, float, float]) -> None:
    wall = Manifold.cube((1, 20, 5))
    solid = wall + wall.translate((1 + width, 0, 0))
    assert least(gaps(solid, turn, 1.0)) == pytest.approx(width, abs=TOLERANCE)
    assert least(walls(solid, turn, 1.0)) == pytest.approx(1.0, abs=TOLERANCE)


@turned
@pytest.mark.parametrize("width", [0.1, 0.35, 1.0, 2.0])
def test_gap_between_two_edges(width: float, turn: tuple[float, float, float]) -> None:
    bar = Manifold.cube((3, 20, 3)).rotate((0, 45, 0))
    solid = bar + bar.translate((3.0 * math.sqrt(2.0) + width, 0, 0))
    assert least(gaps(solid, turn, 0.5)) == pytest.approx(width, abs=TOLERANCE)


@turned
@pytest.mark.parametrize("width", [0.1, 0.35, 1.0, 2.0])
def test_gap_between_a_tip_and_a_wall(width: float, turn: tuple[float, float, float]) -> None:
    post = Manifold.cylinder(4, 1.5, 0.0, 48)
    solid = post + Manifold.cube((10, 10, 1), True).translate((0.3, 0.2, 4.5 + width))
    assert least(gaps(solid, turn, 2.0)) == pytest.approx(width, abs=TOLERANCE)


def test_gaps_of_a_solid_are_the_walls_of_its_triangles_turned_round() -> None:
    solid = tube(5, 9, 12) - Manifold.cube((30, 2, 4)).translate((0, -1, 9))
    vertices, triangles = mesh(solid, TURNS[1])
    skin = skin_of(vertices, triangles)
    for complement, wound in ((False, triangles), (True, triangles[:, ::-1]), (False, triangles)):
        found = thickness_of(skin, spacing=0.5, complement=complement)
        alone = thickness(vertices, wound, spacing=0.5)
        assert least(found) == pytest.approx(least(alone), abs=1e-9)
        # first comes the centroid of every face
        middle = slice(len(triangles))
        np.testing.assert_allclose(found.points[middle], alone.points[middle])
        np.testing.assert_allclose(found.diameter[middle], alone.diameter[middle])


def test_convex_solid_has_no_gap() -> None:
    for solid in (Manifold.cube((5, 4, 3)), Manifold.sphere(3.0, 48), Manifold.tetrahedron()):
        found = gaps(solid, TURNS[1], 0.5)
        assert not np.isfinite(found.diameter).any()
        assert not np.isfinite(found.taper).any()


# --- what is reported, and how -----------------------------------------------------------------


def test_opposite_face_names_the_other_side_of_the_wall() -> None:
    vertices, triangles = mesh(Manifold.cube((20, 15, 2)))
    found = thickness(vertices, triangles, spacing=1.0)
    at = vertices[triangles].mean(axis=1)
    top = np.isclose(at[found.face, 2], 2.0)
    assert top.any()
    np.testing.assert_allclose(at[found.opposite_face[top], 2], 0.0)
    np.testing.assert_allclose(found.points[top, 2], 2.0)


def test_points_lie_on_the_surface_no_farther_apart_than_the_spacing() -> None:
    solid = tube(5, 9, 12) - Manifold.cube((30, 2, 4)).translate((0, -1, 9))
    vertices, triangles = mesh(solid, TURNS[1])
    found = thickness(vertices, triangles, spacing=0.5)
    body = trimesh.Trimesh(vertices, triangles, process=False)
    _, away, _ = trimesh.proximity.closest_point(body, found.points[::7])
    assert away.max() < 1e-9
    # Every creased edge, sampled finely, has a point within half the spacing.
    creased = body.face_adjacency_edges[body.face_adjacency_angles > 0.3]
    ends = vertices[creased]
    fine = np.linspace(0.0, 1.0, 50)[None, :, None]
    along = (ends[:, :1] * (1.0 - fine) + ends[:, 1:] * fine).reshape(-1, 3)
    to_points = np.sqrt(
        [((found.points - at) ** 2).sum(axis=1).min() for at in along[:: len(along) // 400]]
    )
    assert to_points.max() < 0.25 + 0.01


@pytest.mark.parametrize(("included", "facing", "seen"), [(40, 50, True), (40, 30, False)])
def test_facing_angle_decides_what_is_a_side(included: int, facing: int, seen: bool) -> None:
    angle = math.radians(included)
    solid = prism([(0, 0), (10, 0), (10 * math.cos(angle), 10 * math.sin(angle))], 40.0)
    found = thickness(*mesh(solid), spacing=1.0, facing_angle=math.radians(facing))
    assert bool(np.isfinite(found.taper).any()) is seen


def test_limit_leaves_out_what_is_thicker_and_nothing_else() -> None:
    solid = tube(10, 11, 6) + tube(10, 14, 2) + Manifold.cube((3, 3, 0.7)).translate((13, 0, 0))
    vertices, triangles = mesh(solid, TURNS[1])
    everything = thickness(vertices, triangles, spacing=0.7)
    thin = thickness(vertices, triangles, spacing=0.7, limit=1.5)
    below = everything.diameter[everything.diameter <= 1.5]
    np.testing.assert_allclose(np.sort(thin.diameter[np.isfinite(thin.diameter)]), np.sort(below))
    assert (thin.opposite_face[~np.isfinite(thin.diameter) & ~np.isfinite(thin.taper)] == -1).all()


def test_ball_of_a_smooth_wall_is_that_of_a_general_library() -> None:
    """A shell between two ellipsoids, against the touching spheres that trimesh finds."""
    outer = Manifold.sphere(1.0, 128).scale((9, 6, 4))
    vertices, triangles = mesh(outer - Manifold.sphere(1.0, 128).scale((8.2, 5.5, 3.0)))
    found = thickness(vertices, triangles, spacing=5.0)
    body = trimesh.Trimesh(vertices, triangles, process=False)
    some = np.arange(0, len(triangles), len(triangles) // 120)
    peer = trimesh.proximity.thickness(
        body,
        found.points[some],
        exterior=False,
        normals=body.face_normals[found.face[some]],
        method="max_sphere",
    )
    assert np.isfinite(found.diameter[some]).mean() > 0.99
    # Facets of 3 degrees on either side: trimesh's ball may touch a corner of one first.
    error = np.abs(found.diameter[some] - peer) / peer
    assert np.median(error) < 2e-3
    assert np.quantile(error, 0.95) < 1e-2


def test_place_and_size_of_the_drawing_do_not_matter() -> None:
    vertices, triangles = mesh(Manifold.cube((20, 15, 1.5)), TURNS[1])
    for size, shift in ((1.0, 5000.0), (1e-3, 0.0), (1e3, 0.0)):
        found = thickness(vertices * size + shift, triangles, spacing=size)
        assert least(found) == pytest.approx(1.5 * size, rel=1e-9)


def test_walls_thinner_than_the_resolution_are_not_seen_and_thicker_ones_are() -> None:
    for wall, seen in ((4.0, True), (0.5, False)):
        plate = Manifold.cube((20, 20, wall * RESOLUTION * 10.0))
        assert bool(least(walls(plate, TURNS[0], 5.0)) < 1.0) is seen


@settings(max_examples=40, deadline=None)
@given(
    wall=st.floats(0.1, 5.0),
    reach=st.floats(1.2, 10.0),
    turn=st.tuples(*[st.floats(0.0, 360.0)] * 3),
)
def test_any_plate_in_any_pose(wall: float, reach: float, turn: tuple[float, float, float]) -> None:
    solid = Manifold.cube((wall * reach, wall * (reach + 1.0), wall))
    found = walls(solid, turn, spacing=wall)
    assert least(found) == pytest.approx(wall, abs=TOLERANCE)


def test_nothing_has_no_thickness() -> None:
    found = thickness(np.empty((0, 3)), np.empty((0, 3), dtype=np.int64), spacing=1.0)
    assert found.points.shape == (0, 3)
    assert found.by_face(0).shape == (0,)


def spoil(change: str) -> Callable[[Floats, NDArray[np.int64]], Thickness]:
    options: dict[str, dict[str, float]] = {
        "spacing": {"spacing": 0.0},
        "limit": {"spacing": 1.0, "limit": 0.0},
        "facing_angle": {"spacing": 1.0, "facing_angle": 2.0},
    }
    return lambda vertices, triangles: thickness(
        vertices, triangles, **options.get(change, {"spacing": 1.0})
    )


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("spacing", "spacing is 0.0"),
        ("limit", "limit is 0.0"),
        ("facing_angle", "facing_angle is 2.0"),
        ("vertex", "not finite"),
        ("triangle", "outside 0 to 7"),
        ("shape", "triangles has shape"),
    ],
)
def test_bad_input_is_refused_by_name(change: str, words: str) -> None:
    vertices, triangles = mesh(Manifold.cube((1, 1, 1)))
    if change == "vertex":
        vertices = vertices.copy()
        vertices[3, 1] = np.nan
    if change == "triangle":
        triangles = triangles + 1
    if change == "shape":
        triangles = triangles[:, :2]
    with pytest.raises(ValueError, match=words):
        spoil(change)(vertices, triangles)
