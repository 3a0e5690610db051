"""Overhangs, bridges and cantilevers against closed forms, and against the definition itself.

Closed forms: a face that leans by θ from upright moves layer·tan θ per layer, of which
layer·tan(limit) is permitted, so a plate of width w shows w·layer·(tan θ - tan limit) in every
layer (plane geometry). The definition, layer i minus (layer i-1 grown), is computed in full by
`shapely.buffer` and `shapely.difference`, which share nothing with the code under test but the
polygons of the layers.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from manifold3d import CrossSection, Manifold

from nests.layers.carriage import Carriage
from nests.layers.overhang import Overhang
from nests.layers.overhangs import overhangs, stacked
from nests.layers.slices import slice_solid
from nests.printing import undersides
from nests.units import BadInput

ROUND = 256
PI = math.pi
LIMIT = math.radians(45.0)
LAYER = 0.05
REACH = LAYER  # layer·tan 45°


def cylinder(radius: float, height: float, x: float = 0.0, y: float = 0.0, z: float = 0.0):
    return Manifold.cylinder(height, radius, radius, ROUND).translate((x, y, z))


def box(x0: float, x1: float, y0: float, y1: float, z0: float, z1: float) -> Manifold:
    return Manifold.cube((x1 - x0, y1 - y0, z1 - z0)).translate((x0, y0, z0))


def found(solid: Manifold, layer: float = LAYER, limit: float = LIMIT) -> tuple[Overhang, ...]:
    return overhangs(slice_solid(solid, layer), limit, least_area=1e-4)


def only(solid: Manifold) -> Overhang:
    all_of_it = found(solid)
    assert len(all_of_it) == 1
    return all_of_it[0]


def plate(lean: float, width: float, thick: float = 2.0, height: float = 2.0) -> Manifold:
    """A plate whose faces lean by `lean` degrees from upright."""
    run = math.tan(math.radians(lean))
    return box(0, thick, 0, width, 0, height).warp_batch(
        lambda p: p + np.column_stack((run * p[:, 2], 0 * p[:, 2], 0 * p[:, 2]))
    )


# ---------------------------------------------------------------------------- leaning plates


@pytest.mark.parametrize("lean", [30.0, 45.0])
@pytest.mark.parametrize("width", [1.0, 3.0, 7.0, 20.0])
def test_plates_up_to_the_limit_hang_over_nowhere(lean, width):
    assert found(plate(lean, width)) == ()


@pytest.mark.parametrize("lean", [50.0, 60.0, 75.0])
@pytest.mark.parametrize("width", [1.0, 3.0, 7.0, 20.0])
@pytest.mark.parametrize("layer", [0.05, 0.1])
def test_plates_beyond_the_limit_hang_over_in_every_layer(lean, width, layer):
    strips = found(plate(lean, width), layer)
    tangent = math.tan(math.radians(lean))
    assert [each.layer for each in strips] == list(range(1, round(2.0 / layer)))
    assert [each.area for each in strips] == pytest.approx(
        np.full(len(strips), width * layer * (tangent - 1)), rel=0.02
    )
    assert {each.carried for each in strips} == {Carriage.CANTILEVER}
    assert [each.span for each in strips] == pytest.approx(
        np.full(len(strips), layer * tangent), rel=0.02
    )
    assert len(stacked(strips, 2 * layer)) == 1


@pytest.mark.parametrize("limit", [20.0, 35.0, 55.0, 65.0])
def test_the_limit_is_the_lean_from_upright(limit):
    radians = math.radians(limit)
    assert found(plate(limit, 4.0), limit=radians) == ()
    beyond = found(plate(limit + 5.0, 4.0), limit=radians)
    step = math.tan(math.radians(limit + 5.0)) - math.tan(radians)
    assert [each.area for each in beyond] == pytest.approx(
        np.full(39, 4.0 * LAYER * step), rel=0.02
    )


@pytest.mark.parametrize(("radius", "lean"), [(1.0, 60.0), (2.0, 50.0), (4.0, 60.0), (6.0, 70.0)])
def test_rings_under_a_cone(radius, lean):
    run = math.tan(math.radians(lean))
    rings = found(Manifold.cylinder(1, radius, radius + run, ROUND))
    assert len(rings) == 19
    outer = radius + run * LAYER * (np.arange(1, 20) + 0.5)
    inner = outer - run * LAYER + REACH
    assert [each.area for each in rings] == pytest.approx(PI * (outer**2 - inner**2), rel=0.02)
    assert {each.carried for each in rings} == {Carriage.CANTILEVER}


@pytest.mark.parametrize("corners", [3, 4, 5, 6])
def test_edges_of_a_pyramid_lean_more_than_its_faces(corners):
    """Faces at 45° print; the edges between them lean by tan = 1/cos α, α = π/n, and hang over.

    At a corner the layer is a mitre of r, the layer below grows by an arc of r' = 1.002 r: in
    between lies r²·(tan α - tan β) - r'²·(α - β), cos β = r/r'.
    """
    flare = Manifold.cylinder(1, 1.0, 1.0 + 1 / math.cos(PI / corners), corners)
    kites = overhangs(slice_solid(flare, LAYER), LIMIT, least_area=0.0)
    alpha, beta, grown = PI / corners, math.acos(1 / 1.002), 1.002 * REACH
    kite = REACH**2 * (math.tan(alpha) - math.tan(beta)) - grown**2 * (alpha - beta)
    assert [each.area for each in kites] == pytest.approx(np.full(19 * corners, kite), rel=0.02)


# ---------------------------------------------------------------------------- bridges and more


@pytest.mark.parametrize("span", [1.0, 3.0, 6.0, 10.0])
@pytest.mark.parametrize("width", [2.0, 5.0])
def test_bridge_between_two_walls(span, width):
    solid = box(0, 2, 0, width, 0, 5) + box(2 + span, 4 + span, 0, width, 0, 5)
    bridge = only(solid + box(0, 4 + span, 0, width, 5, 6))
    assert (bridge.layer, bridge.carried) == (100, Carriage.BRIDGE)
    assert bridge.span == pytest.approx(span, rel=0.02)
    assert bridge.area == pytest.approx((span - 2 * REACH) * width, rel=0.02)
    assert bridge.free_end == 0.0
    assert bridge.where.centroid == pytest.approx((2 + span / 2, width / 2, 5.025), abs=0.01)
    assert (bridge.where.low, bridge.where.high) == pytest.approx((5.0, 5.05))


@pytest.mark.parametrize("radius", [1.0, 2.0, 3.0, 5.0])
def test_roof_over_a_bore_is_a_bridge_of_its_diameter(radius):
    roof = only(cylinder(radius + 2, 6) - cylinder(radius, 4))
    assert (roof.layer, roof.carried) == (80, Carriage.BRIDGE)
    assert roof.span == pytest.approx(2 * radius, rel=0.02)
    assert roof.area == pytest.approx(PI * (radius - REACH) ** 2, rel=0.02)


@pytest.mark.parametrize(("wide", "deep"), [(2.0, 6.0), (4.0, 6.0), (4.0, 9.0), (6.0, 8.0)])
def test_roof_over_a_room_bridges_its_shorter_side(wide, deep):
    walls = box(0, wide + 4, 0, deep + 4, 0, 6)
    closed = only(walls - box(2, 2 + wide, 2, 2 + deep, -1, 4))
    assert (closed.carried, closed.span) == (Carriage.BRIDGE, pytest.approx(wide, rel=0.02))
    one_side_open = only(walls - box(2, 2 + wide, 2, deep + 9, -1, 4))
    assert (one_side_open.carried, one_side_open.span) == (
        Carriage.BRIDGE,
        pytest.approx(wide, rel=0.02),
    )


@pytest.mark.parametrize(("stem", "cap"), [(2.0, 3.0), (2.0, 6.0), (1.0, 4.0), (3.0, 4.5)])
def test_cap_of_a_mushroom_is_a_cantilever_all_round(stem, cap):
    ring = only(cylinder(stem, 5) + cylinder(cap, 1, z=5))
    assert (ring.layer, ring.carried) == (100, Carriage.CANTILEVER)
    assert ring.span == ring.free_end == pytest.approx(cap - stem, rel=0.02)
    assert ring.area == pytest.approx(PI * (cap**2 - (stem + REACH) ** 2), rel=0.02)


@pytest.mark.parametrize("offset", [0.5, 1.0, 1.5, 2.0])
def test_cap_off_its_stem_reaches_farthest_on_one_side(offset):
    ring = only(cylinder(2, 5) + cylinder(5, 1, x=offset, z=5))
    assert (ring.carried, ring.span) == (Carriage.CANTILEVER, pytest.approx(3 + offset, rel=0.02))


@pytest.mark.parametrize("length", [1.0, 2.0, 4.0, 8.0])
def test_shelf_on_one_wall_and_ledge_in_a_bore(length):
    shelf = only(box(0, 2, 0, 5, 0, 6) + box(0, 2 + length, 0, 5, 5, 6))
    assert (shelf.carried, shelf.span) == (Carriage.CANTILEVER, pytest.approx(length, rel=0.02))
    assert shelf.area == pytest.approx((length - REACH) * 5, rel=0.02)
    ledge = only(cylinder(14, 6) - cylinder(12, 4) - cylinder(12 - length, 9))
    assert (ledge.carried, ledge.span) == (Carriage.CANTILEVER, pytest.approx(length, rel=0.02))


@pytest.mark.parametrize("side", [2.0, 3.0, 5.0, 7.0])
def test_slab_in_a_corner_is_a_cantilever_to_its_free_corner(side):
    walls = box(-2, 0, -2, side, 0, 6) + box(-2, side, -2, 0, 0, 6)
    slab = only(walls + box(-1, side, -1, side, 5, 6))
    assert (slab.carried, slab.span) == (Carriage.CANTILEVER, pytest.approx(side, rel=0.02))


@pytest.mark.parametrize("overhang", [0.5, 1.0, 2.0, 3.0])
def test_a_bridge_tells_of_its_free_ends(overhang):
    walls = box(0, 2, 0, 4, 0, 5) + box(14, 16, 0, 4, 0, 5)
    slab = box(-overhang, 16 + overhang, -overhang, 4 + overhang, 5, 6)
    bridge = only(walls + slab)
    assert (bridge.carried, bridge.span) == (
        Carriage.BRIDGE,
        pytest.approx(2 * math.hypot(6, overhang), rel=0.02),
    )
    assert bridge.free_end == pytest.approx(math.hypot(overhang, overhang), rel=0.02)


@pytest.mark.parametrize("radius", [0.5, 1.0, 2.0, 3.0])
def test_hanging_pin_is_carried_nowhere(radius):
    frame = box(-5, 5, -5, 5, 9, 10) + box(-5, -4, -5, 5, 0, 10)
    pin, slab = found(frame + cylinder(radius, 4, z=5.1))
    assert (pin.layer, pin.carried) == (102, Carriage.ISLAND)
    assert pin.area == pytest.approx(PI * radius**2, rel=0.02)
    assert pin.span == pytest.approx(2 * radius, rel=0.02)
    assert slab.layer == 180


@pytest.mark.parametrize("limit", [0.0, 90.0, -5.0])
def test_a_limit_that_is_none_is_refused(limit):
    with pytest.raises(BadInput, match="overhang limit"):
        found(cylinder(1, 1), limit=math.radians(limit))


# ---------------------------------------------------------------------------- arches


def tunnel(*roof: tuple[float, float], width: float, through: float = 4.0) -> Manifold:
    """A block with a tunnel along y, its roof (x, z) from the springing at x = 0 to x = `width`."""
    outline = [(0.0, -1.0), (width, -1.0), *reversed(roof)]
    void = Manifold.extrude(CrossSection([outline]), through + 2.0).rotate((90.0, 0.0, 0.0))
    return box(-2, width + 2, 0, through, 0, 20) - void.translate((0, through + 1, 0))


def whole(solid: Manifold) -> Overhang:
    """The widest of the only group of overhangs."""
    groups = stacked(found(solid), 2 * LAYER)
    assert len(groups) == 1
    return max(groups[0], key=lambda each: each.span)


@pytest.mark.parametrize(
    "bridge", [0.3, *(pytest.param(b, marks=pytest.mark.slow) for b in (0.8, 1.5))]
)
@pytest.mark.parametrize("run", [1.0, 3.0, pytest.param(5.0, marks=pytest.mark.slow)])
@pytest.mark.parametrize("lean", [50.0, 60.0, 75.0])
def test_a_leaning_roof_that_ends_in_a_bridge_spans_the_whole_width(lean, run, bridge):
    """Held at its springing and at the far wall: the clear width is run + bridge."""
    top = 5.0 + run / math.tan(math.radians(lean))
    one = whole(tunnel((0, 5), (run, top), (run + bridge, top), width=run + bridge))
    step = LAYER * math.tan(math.radians(lean))
    one = whole(tunnel((0, 5), (run, top), (run + bridge, top), width=run + bridge))
    assert one.carried is Carriage.BRIDGE
    assert one.span == pytest.approx(run + bridge, rel=0.02, abs=step)
    width = 2 * run + bridge
    both = whole(tunnel((0, 5), (run, top), (run + bridge, top), (width, 5), width=width))
    assert both.carried is Carriage.BRIDGE
    assert both.span == pytest.approx(width, rel=0.02, abs=2 * step)


@pytest.mark.parametrize("radius", [1.0, 2.0, 4.0])
def test_a_lying_bore_spans_the_chord_beyond_the_limit(radius):
    """A circle leans by more than 45° from upright over the chord 2 r sin 45°."""
    lying = Manifold.cylinder(8, radius, radius, ROUND).rotate((90, 0, 0)).translate((0, 6, 6))
    arch = whole(box(-6, 6, 0, 4, 0, 12) - lying)
    assert arch.carried is Carriage.BRIDGE
    assert arch.span == pytest.approx(2 * radius * math.sin(LIMIT), rel=0.02, abs=2 * LAYER)


@pytest.mark.parametrize("radius", [1.0, 2.0, 4.0])
def test_a_round_bubble_spans_its_circle_beyond_the_limit(radius):
    bubble = Manifold.sphere(radius, ROUND // 2).translate((0, 0, 6))
    dome = whole(box(-6, 6, -6, 6, 0, 12) - bubble)
    assert dome.carried is Carriage.BRIDGE
    assert dome.span == pytest.approx(2 * radius * math.sin(LIMIT), rel=0.02, abs=2 * LAYER)


@pytest.mark.parametrize("run", [1.0, 3.0, 5.0])
@pytest.mark.parametrize("slot", [0.3, 0.8])
def test_a_slot_that_is_roofed_over_makes_no_bridge_of_a_ramp(run, slot):
    """A face leaning by 60° over a run is held at one side, slot or no slot."""
    rise = run / math.tan(math.radians(60.0))
    outline = [(-2, 0), (0, 0), (0, 4), (run, 4 + rise), (run, 8 + rise), (-2, 8 + rise)]
    ramp = Manifold.extrude(CrossSection([outline]), 6).rotate((90, 0, 0)).translate((0, 6, 0))
    cut = box(0.2, run + 1, 3, 3 + slot, 3, 4 + 0.7 * rise)
    groups = stacked(found(ramp - cut), 2 * LAYER)
    leaning = max(groups, key=undersides.run)
    assert undersides.worst(leaning).carried is Carriage.CANTILEVER
    step = LAYER * math.tan(math.radians(60.0))
    assert undersides.run(leaning) == pytest.approx(run, rel=0.02, abs=step)
    for group in groups:
        bridged = undersides.worst(group).carried is Carriage.BRIDGE
        assert group is leaning or (bridged and undersides.run(group) == pytest.approx(slot, 0.03))


# ---------------------------------------------------------------------------- the definition


def tangle(seed: int) -> Manifold:
    random = np.random.default_rng(seed)
    solid = box(0, 12, 0, 12, 0, 5)
    for _ in range(10):
        body = [
            Manifold.sphere(random.uniform(0.8, 2.2), 24),
            Manifold.cylinder(random.uniform(2, 9), random.uniform(0.5, 1.5), 0.2, 20, True),
            Manifold.cube(tuple(random.uniform(0.8, 4.0, 3)), True),
            Manifold.tetrahedron(),
        ][random.integers(4)]
        body = body.rotate(tuple(random.uniform(0, 360, 3)))
        body = body.translate(tuple(random.uniform((0, 0, 1), (12, 12, 7))))
        solid = solid - body if random.random() < 0.5 else solid + body
    return solid.trim_by_plane((0, 0, 1), 0.0)


def raised(*corners: tuple[float, float, float]) -> Manifold:
    """A body of few corners above the plate, on a post far aside."""
    body = Manifold.hull_points(np.array(corners)).translate((0, 0, 1))
    return body + box(20, 21, 0, 1, 0, 3)


SHARP = {
    # a lowest vertex between undersides that lean by no more than 27°
    "tip": raised((0, 0, 0), (1, 1, 4), (-1, 1, 4), (-1, -1, 4), (1, -1, 4)),
    # a keel that leans by 59° between two undersides
    "keel": raised((0, 0, 0), (0, 5, 3), (1, 0, 2.5), (-1, 0, 2.5), (1, 5, 5.5), (-1, 5, 5.5)),
    # a keel between an underside and a face that looks up
    "knife": raised((0, 0, 0), (0, 5, 3), (1, 0, 2), (1, 5, 5), (1, 0, 4), (1, 5, 7)),
    # a keel between an underside and an upright face
    "chisel": raised((0, 0, 0), (0, 5, 3), (1, 0, 2), (1, 5, 5), (0, 0, 4), (0, 5, 7)),
    # level: a keel without rise
    "roof turned over": raised((0, 0, 0), (0, 5, 0), (1, 0, 2), (1, 5, 2), (-1, 0, 2), (-1, 5, 2)),
}


@pytest.mark.parametrize("body", SHARP)
@pytest.mark.parametrize("layer", [0.05, 0.1, 0.2, 0.4])
def test_windows_hold_what_hangs_from_tips_and_keels(body, layer):
    here, there = both_ways(SHARP[body], layer, 45.0)
    assert there.sum() > 0.0
    assert here == pytest.approx(there, rel=0.02, abs=2e-5)


def both_ways(solid: Manifold, layer: float, limit: float) -> tuple[np.ndarray, np.ndarray]:
    """Area of overhang per layer, by windows and by the definition."""
    stack = slice_solid(solid, layer)
    radians = math.radians(limit)
    here, there = np.zeros(len(stack.heights)), np.zeros(len(stack.heights))
    for each in overhangs(stack, radians, least_area=0.0):
        here[each.layer] += each.area
    reach = stack.layer * math.tan(radians) * 1.002
    layers = [shapely.union_all(stack.polygons(k)) for k in range(len(stack.heights))]
    for k in range(1, len(layers)):
        grown = shapely.buffer(layers[k - 1], reach, quad_segs=24)
        there[k] = shapely.difference(layers[k], grown).area
    return here, there


@pytest.mark.parametrize("limit", [25.0, 45.0, 65.0])
@pytest.mark.parametrize("seed", range(4))
def test_windows_leave_nothing_out_of_the_definition(seed, limit):
    here, there = both_ways(tangle(seed), 0.1, limit)
    assert here == pytest.approx(there, rel=0.02, abs=2e-3)
    assert here.sum() == pytest.approx(there.sum(), rel=0.005)
