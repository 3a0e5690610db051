"""The layer stack against closed forms and against other libraries' answers.

Sources: volumes and areas of cylinder, cone, sphere and spherical cap are Euclid's and
Archimedes' (any handbook, e.g. Bronshtein et al., Handbook of Mathematics, section 3.3). Areas of
single slices, volumes of solids and volumes of closed voids come from manifold3d, which computes
them by other means (half-edge slicing with clipping, divergence theorem, connected components of
the mesh). Which void is sealed is compared with flood filling of pixels by `scipy.ndimage.label`.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from manifold3d import Manifold, OpType
from scipy import ndimage

from nests.layers.drains import narrow_drains
from nests.layers.slices import LayerStack, slice_solid
from nests.layers.sweep import Cup, Seal, Sweep, sweep
from nests.units import BadInput

ROUND = 256
PI = math.pi


def cylinder(radius: float, height: float, x: float = 0.0, y: float = 0.0, z: float = 0.0):
    return Manifold.cylinder(height, radius, radius, ROUND).translate((x, y, z))


def bore(diameter: float, length: float, z: float) -> Manifold:
    """A lying bore from the axis outwards along -y, its axis at height z."""
    return (
        Manifold.cylinder(length, diameter / 2, diameter / 2, 64)
        .rotate((90, 0, 0))
        .translate((0, 0, z))
    )


def box(x0: float, x1: float, y0: float, y1: float, z0: float, z1: float) -> Manifold:
    return Manifold.cube((x1 - x0, y1 - y0, z1 - z0)).translate((x0, y0, z0))


def ball(radius: float, z: float) -> Manifold:
    return Manifold.sphere(radius, 128).translate((0, 0, z))


def swept(solid: Manifold, layer: float = 0.05) -> Sweep:
    return sweep(slice_solid(solid, layer))


def only(found: Sweep) -> Cup:
    assert len(found.cups) == 1
    return found.cups[0]


def tangle(seed: int, parts: int = 14) -> Manifold:
    """A block with random bodies added and cut: no symmetry, no level that suits a layer."""
    random = np.random.default_rng(seed)
    solid = box(0, 12, 0, 12, 0, 6)
    for _ in range(parts):
        body = [
            Manifold.sphere(random.uniform(0.8, 2.2), 24),
            Manifold.cylinder(random.uniform(2, 9), random.uniform(0.5, 1.5), -1, 20, True),
            Manifold.cube(tuple(random.uniform(0.8, 4.0, 3)), True),
        ][random.integers(3)]
        body = body.rotate(tuple(random.uniform(0, 360, 3)))
        body = body.translate(tuple(random.uniform((0, 0, 1), (12, 12, 7))))
        solid = solid - body if random.random() < 0.75 else solid + body
    return solid.trim_by_plane((0, 0, 1), 0.0)


# ---------------------------------------------------------------------------- slices


@pytest.mark.parametrize("seed", range(6))
def test_areas_agree_with_slices_of_the_kernel(seed):
    solid = tangle(seed)
    stack = slice_solid(solid, 0.1)
    there = [solid.slice(height).area() for height in stack.planes]
    assert stack.areas == pytest.approx(there, rel=1e-6, abs=1e-6)
    assert np.bincount(stack.solids.section, stack.solids.areas)[stack.section] == pytest.approx(
        stack.areas, rel=1e-12
    )
    assert sum(each.area for each in stack.polygons(20)) == pytest.approx(stack.areas[20], rel=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_layers_sum_to_the_volume_of_the_solid(seed):
    solid = tangle(seed)
    stack = slice_solid(solid, 0.02)
    assert stack.areas.sum() * stack.layer == pytest.approx(solid.volume(), rel=2e-3)


@pytest.mark.parametrize("seed", range(6))
def test_regions_are_the_polygons_of_the_kernel(seed):
    solid = tangle(seed)
    stack = slice_solid(solid, 0.5)
    for layer, height in enumerate(stack.planes):
        pieces = sorted(piece.area() for piece in solid.slice(height).decompose())
        found = sorted(shapely.area(stack.polygons(layer)))
        assert found == pytest.approx(pieces, rel=1e-5, abs=1e-5)


@pytest.mark.parametrize("seed", range(4))
def test_solid_and_void_fill_the_plan_once(seed):
    stack = slice_solid(tangle(seed), 0.5)
    plan = {
        float(a)
        for a in np.round(
            np.bincount(stack.voids.section, stack.voids.areas)
            + stack.areas[stack.first_layer[:-1]],
            6,
        )
    }
    assert len(plan) == 1
    assert shapely.area(stack.voids.polygons) == pytest.approx(stack.voids.areas, abs=1e-6)


@pytest.mark.parametrize("radius", [2.0, 3.0, 5.0, 9.0])
def test_pin_in_a_bore_leaves_a_ring_of_void(radius):
    stack = slice_solid(cylinder(12, 3) - cylinder(radius, 9) + cylinder(radius / 2, 3), 0.05)
    ring = stack.voids.areas[~stack.voids.outer]
    assert ring == pytest.approx([PI * (radius**2 - radius**2 / 4)], rel=2e-3)
    assert len(stack.polygons(0)) == 2


@pytest.mark.parametrize("count", [2, 3, 4, 6])
def test_rings_in_rings_are_told_apart(count):
    rings = Manifold.batch_boolean(
        [cylinder(2.0 * k + 1, 3) - cylinder(2.0 * k, 9) for k in range(1, count + 1)], OpType.Add
    )
    stack = slice_solid(rings + cylinder(30, 3) - cylinder(28, 9) + rings, 0.5)
    radii = [(2.0 * k + 1, 2.0 * k) for k in range(1, count + 1)] + [(30.0, 28.0)]
    true = [PI * (outer**2 - inner**2) for outer, inner in radii]
    assert sorted(shapely.area(stack.polygons(0))) == pytest.approx(sorted(true), rel=2e-3)
    voids = [PI * radii[0][1] ** 2] + [
        PI * (radii[k + 1][1] ** 2 - radii[k][0] ** 2) for k in range(count)
    ]
    found = stack.voids.areas[~stack.voids.outer]
    assert sorted(found) == pytest.approx(sorted(voids), rel=2e-3)


def test_upright_walls_share_one_section_and_a_step_starts_the_next():
    stack = slice_solid(cylinder(6, 3) + cylinder(4, 2, z=3), 0.05)
    assert len(stack.heights) == 100
    assert stack.first_layer.tolist() == [0, 60, 100]


@pytest.mark.parametrize("layer", [0.03, 0.05, 0.08, 0.1])
def test_a_face_at_mid_layer_is_cut_cleanly_whatever_the_noise_of_the_file(layer):
    height = 20.5 * layer
    random = np.random.default_rng(7)
    noisy = cylinder(5, height).warp_batch(
        lambda p: (
            p + np.column_stack((p[:, :2] * 0, (p[:, 2] > 0) * random.uniform(-3e-7, 3e-7, len(p))))
        )
    )
    stack = slice_solid(noisy, layer)
    assert stack.areas == pytest.approx(np.full(20, PI * 25), rel=1e-3)  # a tie goes down


@pytest.mark.parametrize(
    ("solid", "layer", "says"),
    [
        (cylinder(3, 2), 0.0, "layer is 0 mm"),
        (cylinder(3, 2, z=-1), 0.05, "below the build plate"),
        (Manifold(), 0.05, "cannot be cut"),
        (cylinder(3, 0.02), 0.05, "less than half a layer"),
    ],
)
def test_what_cannot_be_sliced_is_refused_in_a_sentence(solid, layer, says):
    with pytest.raises(BadInput, match=says):
        slice_solid(solid, layer)


# ---------------------------------------------------------------------------- islands


@pytest.mark.parametrize("radius", [0.5, 1.0, 2.0, 3.0])
def test_hanging_pin_is_an_island_where_it_begins(radius):
    frame = box(-5, 5, -5, 5, 9, 10) + box(-5, -4, -5, 5, 0, 10)
    found = swept(frame + cylinder(radius, 4, x=1, z=5.1))
    assert [each.layer for each in found.islands] == [102]
    island = found.islands[0]
    assert island.area == pytest.approx(PI * radius**2, rel=0.02)
    assert island.where.low == pytest.approx(5.1)
    assert island.where.centroid[:2] == pytest.approx((1.0, 0.0), abs=1e-6)
    assert np.hypot(island.where.points[:, 0] - 1, island.where.points[:, 1]) == pytest.approx(
        radius, rel=1e-3
    )


@pytest.mark.parametrize("radius", [1.0, 2.0, 3.0, 4.0])
def test_cone_on_its_tip_is_an_island_unless_the_tip_stands_on_the_plate(radius):
    cone = Manifold.cylinder(4, 0, radius, ROUND)
    frame = box(-5, 5, -5, 5, 9, 10) + box(-5, -4.5, -5, 5, 0, 10)
    hanging = swept(frame + cone.translate((0, 0, 5)))
    assert [each.layer for each in hanging.islands] == [100]
    # mid-layer lies .025 above the tip, and planes a thousandth of a layer higher
    assert hanging.islands[0].area == pytest.approx(PI * (radius / 4 * 0.02505) ** 2, rel=0.02)
    assert swept(cone).islands == ()


def test_a_part_off_the_plate_is_an_island_as_a_whole():
    assert [each.layer for each in swept(cylinder(4, 2, z=1)).islands] == [20]


def test_legs_are_no_islands_and_each_hanging_one_is():
    table = box(-5, 5, -5, 5, 4, 5) + cylinder(1, 4, -3, -3) + cylinder(1, 4, 3, 3)
    assert swept(table).islands == ()
    low, high = cylinder(1, 2.5, -3, 3, 1.5), cylinder(1, 1.5, 3, -3, 2.5)
    assert [each.layer for each in swept(table + low + high).islands] == [30, 50]


# ---------------------------------------------------------------------------- suction

CUPS = [(8.0, 8.0), (3.0, 5.0), (5.0, 2.03), (10.0, 4.99)]


@pytest.mark.parametrize(("radius", "height"), CUPS)
def test_cup_open_to_the_film(radius, height):
    cup = only(swept(cylinder(radius + 2, height + 2) - cylinder(radius, 20, z=2)))
    assert cup.volume == pytest.approx(PI * radius**2 * height, rel=0.02)
    assert cup.mouth_area == pytest.approx(PI * radius**2, rel=0.02)
    assert cup.height == pytest.approx(height, abs=0.05)
    assert (cup.first_layer, cup.vented, cup.roofed) == (40, None, None)
    assert cup.where.centroid == pytest.approx((0, 0, 2 + height / 2), abs=0.03)
    assert (cup.where.low, cup.where.high) == pytest.approx((2, 2 + height), abs=0.03)


@pytest.mark.parametrize(("radius", "height"), CUPS)
@pytest.mark.parametrize("rise", [0.0, 0.5])
def test_cup_vented_at_its_ceiling_seals_only_below_the_vent(radius, height, rise):
    solid = cylinder(radius + 2, height + 2) - cylinder(radius, 20, z=2)
    found = swept(solid - box(-0.5, 0.5, 0, 20, 2 + rise, 3 + rise))
    if rise == 0.0:
        assert found.cups == ()
    else:
        cup = only(found)
        assert cup.volume == pytest.approx(PI * radius**2 * rise, rel=0.02)
        assert (cup.first_layer, cup.last_layer, cup.vented) == (40, 49, 50)


@pytest.mark.parametrize("share", [0.3, 0.5, 0.6, 0.9])
@pytest.mark.parametrize("radius", [4.0, 8.0])
def test_cup_vented_late_counts_up_to_the_vent(radius, share):
    solid = cylinder(radius + 2, 10) - cylinder(radius, 20, z=2)
    vent = 2 + 8 * share
    cup = only(swept(solid - bore(1.0, 20, vent + 0.5)))
    assert cup.volume == pytest.approx(PI * radius**2 * (vent - 2), rel=0.02)
    assert cup.vented == round(vent / 0.05)


@pytest.mark.parametrize(("radius", "height"), CUPS)
def test_tube_seals_on_the_plate_and_not_on_supports(radius, height):
    tube = cylinder(radius + 1, height) - cylinder(radius, 20)
    cup = only(swept(tube))
    assert cup.volume == pytest.approx(PI * radius**2 * height, rel=0.02)
    assert (cup.first_layer, cup.vented) == (0, None)
    legs = [cylinder(0.3, 2, radius + 0.5), cylinder(0.3, 2, -radius - 0.5)]
    assert swept(tube.translate((0, 0, 2)) + legs[0] + legs[1]).cups == ()


@pytest.mark.parametrize("wall", [1.0, 2.0, 3.0, 4.0])
def test_cups_that_grow_together_are_one_of_their_joint_volume(wall):
    block = box(-8, 8, -5, 5, 0, 8)
    left, right = box(-7, -1, -4, 4, 2, 9), box(1, 7, -4, 4, 3, 9)
    above = box(-7, 7, -4, 4, 3 + wall, 9)
    cup = only(swept(block - left - right - above))
    volume = 48 * (1 + wall) + 48 * wall + 14 * 8 * (5 - wall)
    assert cup.volume == pytest.approx(volume, rel=0.02)
    assert cup.first_layer == 40
    assert cup.mouth_area == pytest.approx(112, rel=1e-6)


def test_of_two_cups_that_meet_the_vented_one_opens_both():
    block = box(-8, 8, -5, 5, 0, 8)
    left, right = box(-7, -1, -4, 4, 2, 9), box(1, 7, -4, 4, 2, 9)
    joint = block - left - right - box(-7, 7, -4, 4, 6, 9) - box(-20, -4, -1, 1, 4, 5)
    cups = swept(joint).cups
    assert [(each.last_layer, each.vented) for each in cups] == [(119, 120), (79, 80)]
    assert [each.volume for each in cups] == pytest.approx([48 * 4, 48 * 2], rel=0.02)


def test_a_cup_that_forks_is_one_and_vents_through_either_branch():
    block = box(-8, 8, -5, 5, 0, 8)
    stem, fork = box(-7, 7, -1, 1, 2, 4), box(-7, -1, -4, 4, 4, 9) + box(1, 7, -4, 4, 4, 9)
    cup = only(swept(block - stem - fork - box(5, 20, -1, 1, 6, 7)))
    assert cup.volume == pytest.approx(28 * 2 + 96 * 2, rel=0.02)
    assert cup.mouth_area == pytest.approx(96, rel=1e-6)
    assert cup.vented == 120


@pytest.mark.parametrize("at", [-3.5, -1.0, 1.5, 3.2])
def test_slots_that_cross_meet_where_they_cross(at):
    block = box(-6, 6, -6, 6, 0, 8)
    lower, upper = box(-5, 5, -0.5, 0.5, 2, 4), box(at - 0.3, at + 0.3, -3, 9, 4, 5)
    cup = only(swept(block - lower - upper))
    assert (cup.vented, cup.roofed) == (80, None)
    assert cup.volume == pytest.approx(10 * 2, rel=0.02)


@pytest.mark.parametrize("edge", [-2.0, -0.7, 0.1, 1.3])
def test_rooms_that_touch_along_an_edge_do_not_meet(edge):
    block = box(-6, 6, -6, 6, 0, 8)
    lower, upper = box(-5, edge, -4, 4, 2, 4), box(edge, 5, -4, 9, 4, 5)
    found = swept(block - lower - upper)
    assert (only(found).vented, only(found).roofed) == (None, 80)
    assert [each.seal for each in found.trapped] == [Seal.PART]
    assert found.trapped[0].volume == pytest.approx((edge + 5) * 8 * 2, rel=0.02)


@pytest.mark.parametrize("seed", range(4))
def test_sealed_area_agrees_with_flood_filling_pixels(seed):
    """Flood filling of the void up to each layer, 0.1 mm pixels, by scipy.ndimage.label.

    A pixel on an outline may fall either way: the area may differ by half a pixel along the
    edge of the cups, and where a neck is narrower than two pixels the comparison says nothing.
    """
    stack = slice_solid(tangle(seed, parts=10), 0.25)
    found = sweep(stack).peel.sealed
    solid, pixel = _pixels(stack)
    edges = np.bincount(
        stack.voids.section, shapely.length(stack.voids.polygons) * ~stack.voids.outer
    )
    agree = 0
    for layer in range(len(stack.heights)):
        labels, _ = ndimage.label(~solid[: layer + 1])  # 6 neighbours: through faces
        void = labels[layer][~solid[layer]]
        sealed = np.count_nonzero(~np.isin(void, np.unique(labels[:, 0, 0]))) * pixel**2
        agree += abs(sealed - found[layer]) <= pixel * edges[stack.section[layer]] + 1e-9
    assert agree >= 0.9 * len(stack.heights)


def _pixels(stack: LayerStack) -> tuple[np.ndarray, float]:
    pixel = 0.1
    low, high = stack.outlines.points.min(axis=0) - 0.3, stack.outlines.points.max(axis=0) + 0.3
    x, y = np.meshgrid(*(np.arange(low[k], high[k], pixel) for k in range(2)), indexing="ij")
    solid = np.zeros((len(stack.heights), *x.shape), dtype=bool)
    for layer in range(len(stack.heights)):
        for polygon in stack.polygons(layer):
            shapely.prepare(polygon)
            solid[layer] |= shapely.contains_xy(polygon, x, y)
    return solid, pixel


# ---------------------------------------------------------------------------- trapped resin


@pytest.mark.parametrize(("radius", "height"), [(5.0, 4.0), (2.0, 3.0), (3.0, 1.53), (7.0, 6.0)])
def test_closed_cylinder_traps_its_volume(radius, height):
    solid = cylinder(radius + 2, height + 4) - cylinder(radius, height, z=2)
    found = swept(solid)
    assert [each.seal for each in found.trapped] == [Seal.PART]
    assert found.trapped[0].volume == pytest.approx(PI * radius**2 * height, rel=0.02)
    assert found.trapped[0].opening == 0.0
    cup = only(found)  # until its roof was printed
    assert cup.roofed == round((2 + height) / 0.05)
    assert narrow_drains(slice_solid(solid, 0.05), 1.0) == ()


@pytest.mark.parametrize("seed", range(6))
def test_closed_voids_agree_with_the_components_of_the_mesh(seed):
    random = np.random.default_rng(seed)
    solid = box(0, 12, 0, 12, 0, 8)
    for _ in range(9):
        at = random.uniform(1.5, (10.5, 10.5, 6.5))
        solid -= Manifold.sphere(random.uniform(0.4, 1.4), 32).translate(tuple(at))
    closed = [-piece.volume() for piece in solid.decompose() if piece.volume() < 0]
    found = [each.volume for each in swept(solid, 0.02).trapped if each.seal is Seal.PART]
    assert closed
    assert sorted(found) == pytest.approx(sorted(closed), rel=0.02)


@pytest.mark.parametrize(("radius", "hole"), [(2.0, 0.4), (3.0, 0.8), (4.0, 0.5), (5.0, 0.9)])
@pytest.mark.parametrize("way", ["up", "down", "aside"])
def test_sphere_with_one_narrow_hole_does_not_drain(radius, hole, way):
    middle = radius + 2
    drill = {
        "up": cylinder(hole / 2, 20, z=middle),
        "down": cylinder(hole / 2, 20, z=middle - 20),
        "aside": bore(hole, 20, middle),
    }[way]
    stack = slice_solid(cylinder(radius + 2, 2 * radius + 4) - ball(radius, middle) - drill, 0.1)
    found = narrow_drains(stack, 1.0)
    assert [each.seal for each in found] == [Seal.NARROW]
    assert found[0].volume == pytest.approx(4 / 3 * PI * radius**3, rel=0.02)
    assert found[0].opening == pytest.approx(hole, abs=0.02)
    assert found[0].where.centroid == pytest.approx((0, 0, middle), abs=0.1)
    # a hole as wide as the drain is not narrow; of a lying one the mid-layer plane shows a chord
    chord = math.sqrt(hole**2 - stack.layer**2) if way == "aside" else hole
    assert narrow_drains(stack, chord) == ()
    # while it stands on the plate a hole underneath is no hole
    assert [each.seal for each in sweep(stack).trapped] == [Seal.PLATE] * (way == "down")


@pytest.mark.parametrize("radius", [2.0, 3.0, 4.0, 5.0])
def test_sphere_with_two_holes_drains_if_one_is_wide_enough(radius):
    middle = radius + 2
    solid = cylinder(radius + 2, 2 * radius + 4) - ball(radius, middle)
    narrow = solid - bore(0.6, 20, middle)
    for second, drains in ((0.7, False), (1.2, True)):
        stack = slice_solid(narrow - cylinder(second / 2, 20, z=middle), 0.1)
        found = narrow_drains(stack, 1.0)
        assert [each.opening for each in found] == (
            [] if drains else [pytest.approx(second, abs=0.02)]
        )


@pytest.mark.parametrize("width", [0.3, 0.5, 0.7, 0.9])
def test_room_behind_a_slot_open_in_every_layer(width):
    room = box(-5, 5, -5, 5, 0, 3) - box(-3, 3, -3, 3, -1, 4)
    solid = room - box(0, 9, -width / 2, width / 2, -1, 4) + box(-5, 5, -5, 5, 3, 4)
    found = narrow_drains(slice_solid(solid + box(-5, 5, -5, 5, 0, 0.5), 0.1), 1.0)
    assert [each.opening for each in found] == [pytest.approx(width, abs=0.02)]
    assert found[0].volume == pytest.approx(36 * 2.5, rel=0.02)


def test_room_of_a_part_held_off_the_plate():
    room = cylinder(5, 8, z=2) - cylinder(3, 4, z=4) - cylinder(0.3, 9, z=-1)
    found = narrow_drains(slice_solid(room, 0.1), 1.0)
    assert [each.opening for each in found] == [pytest.approx(0.6, abs=0.02)]
    assert found[0].volume == pytest.approx(PI * 9 * 4, rel=0.02)


def test_a_narrow_blind_bore_is_no_room():
    assert narrow_drains(slice_solid(cylinder(5, 6) - cylinder(0.3, 9, z=2), 0.05), 1.0) == ()


@pytest.mark.parametrize("radius", [2.0, 3.0, 5.0, 7.0])
def test_bowl_upside_down_is_sealed_by_the_plate(radius):
    found = swept(cylinder(radius + 2, radius + 2) - ball(radius, 0.0))
    assert [each.seal for each in found.trapped] == [Seal.PLATE]
    assert found.trapped[0].volume == pytest.approx(2 / 3 * PI * radius**3, rel=0.02)
    assert found.trapped[0].where.centroid[2] == pytest.approx(3 / 8 * radius, rel=0.02)
    assert only(found).roofed is not None
    lifted = cylinder(radius + 2, radius + 2, z=1) - ball(radius, 1.0)
    assert swept(lifted).trapped == ()


# ---------------------------------------------------------------------------- peel


@pytest.mark.parametrize(("radius", "height"), [(5.0, 10.0), (2.0, 3.0), (8.0, 4.0), (3.0, 9.0)])
def test_peel_of_a_cone_follows_the_square_of_the_height(radius, height):
    stack = slice_solid(Manifold.cylinder(height, radius, 0, ROUND), 0.05)
    peel = sweep(stack).peel
    true = PI * (radius * (1 - stack.heights / height)) ** 2
    whole = true > 0.01 * true[0]
    assert peel.area[whole] == pytest.approx(true[whole], rel=0.01)
    assert peel.sealed.max() == 0.0
    assert peel.jump_layer == 1
    assert peel.jump == pytest.approx(true[1] - true[0], rel=0.02)


@pytest.mark.parametrize("wide", [4.0, 6.0, 9.0, 12.0])
def test_peel_of_a_stepped_cylinder_jumps_at_the_step(wide):
    steps = cylinder(3, 5) + cylinder(wide, 2, z=2) + cylinder(2, 6)
    peel = swept(steps).peel
    assert peel.area[[10, 60, 90, 110]] == pytest.approx(
        [PI * 9, PI * wide**2, PI * 9, PI * 4], rel=0.01
    )
    assert (peel.jump_layer, peel.jump) == (40, pytest.approx(PI * (wide**2 - 9), rel=0.01))


@pytest.mark.parametrize("radius", [2.0, 4.0, 6.0, 8.0])
def test_a_sealed_seat_is_peeled_with_the_rim_and_a_vented_one_is_not(radius):
    holder = cylinder(10, 8) - cylinder(radius, 20, z=3)
    peel = swept(holder).peel
    assert peel.area == pytest.approx(np.full(160, PI * 100), rel=0.01)
    assert peel.sealed[60:] == pytest.approx(np.full(100, PI * radius**2), rel=0.01)
    assert abs(peel.jump) < 0.01
    vented = swept(holder - box(-0.5, 0.5, 0, 20, 5, 6)).peel
    assert vented.sealed[:60].max() == vented.sealed[100:].max() == 0.0
    assert vented.area[130] == pytest.approx(PI * (100 - radius**2), rel=0.01)
    assert vented.jump_layer == 100
