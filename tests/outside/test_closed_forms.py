"""Volumes and clearances of composed solids against elementary geometry.

Source throughout: Bronshtein, Semendyayev, Musiol & Mühlig, Handbook of Mathematics, chapter
Geometry: frustum of a cone V = π·h/3·(R² + R·r + r²); regular n-gon in a circle of radius r,
A = n/2·r²·sin(2π/n), round about it, A = n·r²·tan(π/n); segment of a circle. Quoted from memory;
each is elementary.

No tolerance is chosen. A shaft drawn inside its circle of radius r lies between the circles r - c
and r, a bore drawn round about it between r and r + c, where c is the chord error; what is
monotone in r lies between its values at the two. Rounding is the one thing added: ROUNDING.
"""

import itertools
import math

import numpy as np
import pytest
from scipy.integrate import quad

from nests.given.printer_card import PrinterCard
from nests.given.sheet import Arbor, Jewel, Rest, Sheet, Stem
from nests.given.zones import Corner, Disc, Path, Polygon, Ring, Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.parts.body import Body
from nests.parts.cradle import Cradle
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.parts.stem_slot import StemSlot
from nests.places import Frame, Place, Side
from nests.solids.loops import circle, loop, segments
from nests.solids.solid import block, loft, turned
from nests.units import BadInput

ROUNDING = 1e-9
"""Relative; some thousand sums of doubles, each good to 1.1e-16, with cancellation."""
CHORDS = (0.05, 0.005, 0.001)


def frustum(low, high, height):
    return math.pi * height / 3 * (low**2 + low * high + high**2)


def revolved(profile, shift=0.0):
    """Volume of a profile of (radius, z) about the axis, every radius moved by `shift`."""
    return sum(
        frustum(r0 + shift, r1 + shift, z1 - z0)
        for (r0, z0), (r1, z1) in itertools.pairwise(profile)
    )


def strip(radius, width):
    """Area of a disc that lies within width/2 of a diameter: disc less two segments."""
    half = min(width / 2, radius)
    return 2 * (half * math.sqrt(radius**2 - half**2) + radius**2 * math.asin(half / radius))


def assert_between(low, value, high):
    assert low < high
    assert low - ROUNDING * abs(high) <= value <= high + ROUNDING * abs(high)


# --- circles, lofts, blocks -----------------------------------------------------------------


@pytest.mark.parametrize("chord", CHORDS)
@pytest.mark.parametrize("diameter", [0.3, 1.2, 5.0, 26.0, 60.0])
def test_rings_are_the_regular_polygons_in_and_about_the_circle(diameter, chord):
    ring, radius = circle(diameter, chord), diameter / 2
    count = len(ring.unit)
    assert count % 4 == 0
    inside = loft([(ring.shaft(0.0), 0.0), (ring.shaft(0.0), 2.0)]).volume() / 2
    about = loft([(ring.bore(0.0), 0.0), (ring.bore(0.0), 2.0)]).volume() / 2
    assert inside == pytest.approx(count / 2 * radius**2 * math.sin(2 * math.pi / count), rel=1e-12)
    assert about == pytest.approx(count * radius**2 * math.tan(math.pi / count), rel=1e-12)
    # sagitta within the chord error either way, and with four chords fewer no longer
    assert radius / math.cos(math.pi / count) - radius <= chord
    assert radius - radius * math.cos(math.pi / count) <= chord
    if count > 8:
        assert radius / math.cos(math.pi / (count - 4)) - radius > chord
    assert segments(radius, chord) == count


@pytest.mark.parametrize("chord", CHORDS)
def test_turned_solid_is_cylinder_and_frustum(chord):
    shape = [(6.0, 0.0), (6.0, 4.0), (2.5, 7.0)]
    profile = [(d / 2, z) for d, z in shape]
    shaft, bore = turned(shape, chord).volume(), turned(shape, chord, bore=True).volume()
    assert_between(revolved(profile, -chord), shaft, revolved(profile))
    assert_between(revolved(profile), bore, revolved(profile, chord))


def test_radial_block_is_a_box_and_lies_along_its_angle():
    angle = math.radians(37.0)
    box = block(angle, 3.0, 11.0, 2.5, 1.0, 4.0)
    assert box.volume() == pytest.approx(8.0 * 2.5 * 3.0, rel=1e-12)
    corners = np.asarray(box.to_mesh64().vert_properties)[:, :2]
    along = corners @ (math.cos(angle), math.sin(angle))
    across = corners @ (-math.sin(angle), math.cos(angle))
    assert (along.min(), along.max()) == pytest.approx((3.0, 11.0))
    assert (across.min(), across.max()) == pytest.approx((-1.25, 1.25))


@pytest.mark.parametrize("chord", CHORDS)
@pytest.mark.parametrize("clockwise", [False, True])
@pytest.mark.parametrize("up", list(Side))
def test_stadium_and_its_parallels(chord, clockwise, up):
    """Two lines of length 14 and two half circles of radius 5, at an offset d: (5 + d)."""
    places = [Place(7, 5), Place(-7, 5), Place(-7, -5), Place(7, -5)]
    radii = [None, 5.0, None, 5.0]
    if clockwise:
        places, radii = places[::-1], [None, 5.0, None, 5.0]
    path = Path(corners=tuple(Corner(at=p, radius=r) for p, r in zip(places, radii, strict=True)))
    edge = loop(path, Frame(up, 0.0, 1.0), chord, 3.0)

    def exact(radius):
        return math.pi * radius**2 + 14 * 2 * radius

    for offset in (0.0, 0.2, 3.0):
        bore, shaft = edge.bore(offset), edge.shaft(offset)
        wide = loft([(bore, 0.0), (bore, 1.0)]).volume()
        tight = loft([(shaft, 0.0), (shaft, 1.0)]).volume()
        assert_between(exact(5 + offset), wide, exact(5 + offset + chord))
        assert_between(exact(5 + offset - chord), tight, exact(5 + offset))
        # no edge of the bore inside the true curve, no corner of the shaft outside it
        spine = np.array([[-7.0, 0.0], [7.0, 0.0]])
        assert spine_distance(bore, spine).min() >= 5 + offset - 1e-9
        assert np.hypot(np.maximum(abs(shaft[:, 0]) - 7, 0), shaft[:, 1]).max() <= 5 + offset + 1e-9


def spine_distance(ring, spine):
    """Least distance of each edge of a ring from a segment that it does not cross.

    Two segments that do not cross are nearest at an end of one of them.
    """
    ends = np.roll(ring, -1, axis=0)
    from_spine = [segment_distance(ring, ends, p) for p in spine]
    a, b = spine
    share = np.clip((ring - a) @ (b - a) / ((b - a) @ (b - a)), 0, 1)
    return np.minimum.reduce(
        [*from_spine, np.linalg.norm(ring - (a + share[:, None] * (b - a)), axis=1)]
    )


def segment_distance(starts, ends, point):
    """Distance of a point from each segment."""
    way = ends - starts
    length = np.einsum("ij,ij->i", way, way)
    share = np.einsum("ij,ij->i", point - starts, way) / np.where(length > 0, length, 1.0)
    return np.linalg.norm(starts + np.clip(share, 0, 1)[:, None] * way - point, axis=1)


# --- stepped ring ---------------------------------------------------------------------------


def ring_recipe(diameter, chord, *, card=None, seat=None, body=None, more=(), **sheet):
    return Recipe(
        name="ring",
        workpiece=Sheet(name="W", outline=Round(diameter=diameter), rim=1.7, **sheet),
        printer=card or PrinterCard(),
        body=body or Body(),
        parts=(seat or RingSeat(), *more),
        chord_error=chord,
    )


@pytest.mark.parametrize("chord", CHORDS)
@pytest.mark.parametrize("groove", [0.0, 0.25])
@pytest.mark.parametrize("steps", [(), (22.0, 18.5)])
@pytest.mark.parametrize(
    "card", [PrinterCard(), PrinterCard(inside_bias=-0.12, inside_bias_slope=0.004)]
)
def test_stepped_ring(chord, groove, steps, card):
    """Block with two chamfers less its bores, a lead-in, and at each ledge a groove of square
    section with two ways, 1 mm wide, across the ledge: else it were a cup."""
    body = Body(wall=8.0, floor=2.0, under=4.0, depth=1.2, foot_chamfer=0.5, edge_chamfer=0.4)
    seat = RingSeat(
        play=0.1, ledge=0.9, lead_in=0.5, corner_relief=groove, steps=steps, step_depth=1.0
    )
    recipe = ring_recipe(26.0, chord, card=card, seat=seat, body=body, bridge_height=0.5)
    rim_face = 2.0 + 4.0 + 0.5  # floor, room under, highest point of the bridge side
    top = rim_face + 1.2
    block_profile = [(20.5, 0.0), (21.0, 0.5), (21.0, top - 0.4), (20.6, top)]

    def drawn(diameter):  # measured = drawn + bias + slope·drawn
        return (diameter + 0.1 - card.inside_bias) / (1 + card.inside_bias_slope) / 2

    bores = [drawn(d) for d in (26.0, *steps)]
    radii = [*bores, bores[-1] - 0.05 - 0.9]  # and the opening
    levels = [rim_face - i for i in range(len(bores))]

    def hollow(narrow, wide):
        """`narrow` is added to every radius that bounds the hollow, `wide` to those that bound
        what is left of a ledge beside its groove."""
        mouth = [(bores[0], levels[0]), (bores[0], top - 0.5), (bores[0] + 0.5, top)]
        out = revolved(mouth, narrow)
        lows = [*levels[1:], 2.0]
        for bore, inner, level, low in zip(bores, radii[1:], levels, lows, strict=True):
            out += math.pi * (inner + narrow) ** 2 * (level - groove - low)
            if groove:
                across, into = bore - groove + wide, inner + narrow
                ledge = math.pi * (across**2 - into**2) - strip(across, 1.0) + strip(into, 1.0)
                out += groove * (math.pi * (bore + narrow) ** 2 - ledge)
        return out

    assert_between(
        revolved(block_profile, -chord) - hollow(chord, 0.0),
        compose(recipe).solid.volume(),
        revolved(block_profile) - hollow(0.0, chord),
    )


@pytest.mark.parametrize("steps", [(), (22.0, 18.5)])
def test_no_groove_is_a_closed_ring(steps):
    """Halfway down each groove the ledge is two pieces beside the wall, not a ring with a moat."""
    seat = RingSeat(corner_relief=0.25, steps=steps, step_depth=1.0)
    holder = compose(ring_recipe(26.0, 0.005, seat=seat, body=Body(floor=2.0, under=4.0)))
    for i in range(1 + len(steps)):
        pieces = holder.solid.slice(2.0 + 4.0 - i * 1.0 - 0.125).decompose()
        assert len(pieces) == 3, f"ledge {i}"
        assert sum(len(piece.to_polygons()) == 1 for piece in pieces) == 2


@pytest.mark.parametrize("chord", CHORDS)
def test_three_pads_leave_three_radial_blocks_of_the_ledge(chord):
    """Ledge of the full ring less what lies farther than half a pad from three radii."""
    body = Body(wall=6.0, floor=2.0, under=3.0, depth=1.2, foot_chamfer=0.0, edge_chamfer=0.0)
    plain = {"play": 0.1, "ledge": 2.0, "lead_in": 0.0, "corner_relief": 0.0}
    full = compose(ring_recipe(24.0, chord, seat=RingSeat(**plain), body=body)).solid.volume()
    pads = RingSeat(**plain, pads=3, pad_hour=1.3, pad_width=4.0)
    three = compose(ring_recipe(24.0, chord, seat=pads, body=body)).solid.volume()
    outer, inner, high = 12.05, 10.0, 3.0

    def taken(out, into):  # annulus less three half strips, over the height of the ledge
        ring = math.pi * (out**2 - into**2)
        return high * (ring - 1.5 * (strip(out, 4.0) - strip(into, 4.0)))

    assert_between(taken(outer, inner + chord), full - three, taken(outer + chord, inner))


# --- stake post -----------------------------------------------------------------------------


def post_site(chord, protrusion=0.0, pivot=0.3):
    jewel = Jewel(
        side=Side.BRIDGE, diameter=1.6, height=0.4, pivot_diameter=pivot,
        pivot_protrusion=protrusion,
    )  # fmt: skip
    arbor = Arbor(name="centre", at=Place(3.0, -2.0), jewels=(jewel,))
    return ring_recipe(
        26.0, chord, body=Body(floor=2.0, under=4.0), arbors=(arbor,), bridge_height=1.0
    ).site()


@pytest.mark.parametrize("chord", CHORDS)
@pytest.mark.parametrize("protrusion", [0.0, 0.15])
@pytest.mark.parametrize("shank", [1.2, 3.0])
def test_stake_post_is_cylinder_frustum_and_slot(chord, protrusion, shank):
    """Cylinder from 0.3 below the floor, frustum at 45° on the ⌀, slot of pivot + 2·0.1."""
    site = post_site(chord, protrusion)
    post = StakePost(under="centre", tip=1.2, shank=shank, relief=0.1)
    top = 2.0 + 4.0 + 1.0 - 0.4  # the jewel lies 0.4 above the rim face, the highest point 1.0
    cone, root = shank - 1.2, 2.0 - 0.3
    depth, width = (protrusion + 0.1, 0.3 + 0.2) if protrusion else (0.0, 0.0)

    def solid(shift):
        def section(z):
            radius = min(shank / 2, 0.6 + (top - z) / 2) + shift
            slotted = strip(radius, width) if z > top - depth else 0.0
            return math.pi * radius**2 - slotted

        # plain integral of the section; its corners are the ends of the pieces
        corners = sorted({root, top - cone, top - depth, top})
        return sum(quad(section, a, b, epsrel=1e-12)[0] for a, b in itertools.pairwise(corners))

    if not protrusion and cone:
        assert solid(0.0) == pytest.approx(
            revolved([(shank / 2, root), (shank / 2, top - cone), (0.6, top)]), rel=1e-10
        )
    made = post.shape(site).adds
    assert_between(solid(-chord), made.volume(), solid(0.0))
    box = made.bounding_box()
    assert (box[2], box[5]) == pytest.approx((root, top))
    assert np.add(box[:2], box[3:5]) / 2 == pytest.approx((3.0, -2.0))


def test_long_pivot_finds_its_slot_open_at_both_ends():
    """A slot 1.6 mm deep in a cone must still cut right through it: two horns remain."""
    made = StakePost(under="centre", tip=1.2, shank=4.0).shape(post_site(0.005, 1.5)).adds
    floor_of_slot = 6.6 - 1.6
    just_above = made.slice(floor_of_slot + 0.01)
    assert len(just_above.decompose()) == 2
    assert all(len(piece.to_polygons()) == 1 for piece in just_above.decompose())


@pytest.mark.parametrize("chord", CHORDS)
@pytest.mark.parametrize("shank", [1.3, 3.0, 5.0])
def test_post_stays_inside_its_circles(chord, shank):
    made = StakePost(under="centre", tip=1.2, shank=shank).shape(post_site(chord)).adds
    corners = np.asarray(made.to_mesh64().vert_properties)[:, :3]
    radius = np.hypot(corners[:, 0] - 3.0, corners[:, 1] + 2.0)
    allowed = np.minimum(shank / 2, 0.6 + (6.6 - corners[:, 2]) / 2)
    assert np.all(radius <= allowed + 1e-9)
    assert radius.max() == pytest.approx(shank / 2)


# --- radial slot in a ring ------------------------------------------------------------------


@pytest.mark.parametrize("chord", CHORDS)
@pytest.mark.parametrize("crown", [0.0, 5.0])
@pytest.mark.parametrize("hour", [3.0, 4.35])
def test_stem_slot_takes_strips_of_the_ring(chord, crown, hour):
    """Parallel-sided cut between two circles: strip(R) - strip(r), by half for one side."""
    body = Body(wall=9.0, floor=2.0, under=3.0, depth=1.5, foot_chamfer=0.0, edge_chamfer=0.0)
    seat = RingSeat(play=0.1, ledge=1.0, lead_in=0.0, corner_relief=0.0)
    sheet = {"stem": Stem(hour=hour, depth=0.5, diameter=0.6)}
    slot = StemSlot(room=0.1, neck=3.0, crown=crown)
    without = compose(ring_recipe(26.0, chord, seat=seat, body=body, **sheet)).solid.volume()
    cut = compose(ring_recipe(26.0, chord, seat=seat, body=body, more=(slot,), **sheet))
    axis, top = 5.0 + 1.7 - 0.5, 5.0 + 1.5
    high, narrow = top - (axis - 0.4), 0.8

    def taken(outer, bore):
        wall = (strip(outer, narrow) - strip(bore, narrow)) / 2 * high
        if not crown:
            return wall
        # from 16 mm (bore 13 and neck 3) outward, `crown` wide, down to half a crown under the
        # axis; over the height of the narrow cut only what lies beside it is new
        deep = top - max(axis - crown / 2, 2.0)
        wide = strip(outer, crown) / 2 - 16.0 * crown
        shared = strip(outer, narrow) / 2 - 16.0 * narrow
        return wall + wide * deep - shared * high

    assert_between(
        taken(22.0 - chord, 13.05 + chord), without - cut.solid.volume(), taken(22.0, 13.05)
    )


# --- cradle ---------------------------------------------------------------------------------


@pytest.mark.parametrize("chord", CHORDS)
def test_cradle_is_a_pocket_with_a_disc_a_ring_and_a_square(chord):
    """Block less a pocket with lead-in, plus a pad 0.1 inside each of three rests."""
    rests = (
        Rest(name="d", side=Side.BRIDGE, height=0.3, zone=Disc(centre=Place(5, 1), diameter=2.4)),
        Rest(name="r", side=Side.BRIDGE, height=0.0,
             zone=Ring(centre=Place(-4, -2), outer=5.0, inner=2.0)),
        Rest(name="s", side=Side.BRIDGE, height=-0.2,
             zone=Polygon(corners=(Place(2, -6), Place(4, -6), Place(4, -4), Place(2, -4)))),
        Rest(name="too narrow", side=Side.BRIDGE, height=0.0,
             zone=Disc(centre=Place(0, 6), diameter=0.7)),
        Rest(name="above", side=Side.DIAL, height=0.0,
             zone=Disc(centre=Place(0, 0), diameter=3.0)),
    )  # fmt: skip
    recipe = Recipe(
        name="cradle",
        kind="sub-assembly cradle",
        workpiece=Sheet(
            name="S", kind="sub-assembly", outline=Round(diameter=18.0), rim=1.0,
            bridge_height=0.3, rests=rests,
        ),
        body=Body(wall=5.0, floor=2.0, under=1.0, depth=0.9, foot_chamfer=0.4, edge_chamfer=0.3),
        parts=(Cradle(clearance=0.15, lead_in=0.4, inset=0.1),),
        chord_error=chord,
    )  # fmt: skip
    seat = 2.0 + 1.0 + 0.3
    top = seat + 0.9
    outside = [(13.6, 0.0), (14.0, 0.4), (14.0, top - 0.3), (13.7, top)]
    pocket = [(9.15, 2.0), (9.15, top - 0.4), (9.55, top)]

    def ring(radius):  # open towards 1.5 h and 7.5 h, a quarter of its ⌀ wide
        return math.pi * radius**2 - strip(radius, 4.8 / 4)

    def pads(shift):  # of radii; the hole of the ring is a bore
        return (
            math.pi * (1.1 + shift) ** 2 * (seat - 0.3 - 2.0)
            + (ring(2.4 + shift) - ring(1.1 - shift)) * (seat - 2.0)
            + 1.8**2 * (seat + 0.2 - 2.0)
        )

    assert_between(
        revolved(outside, -chord) - revolved(pocket, chord) + pads(-chord),
        compose(recipe).solid.volume(),
        revolved(outside) - revolved(pocket) + pads(0.0),
    )


# --- clearance ------------------------------------------------------------------------------


@pytest.mark.parametrize("chord", CHORDS)
@pytest.mark.parametrize("diameter", [float(d) for d in np.linspace(5.0, 60.0, 20)])
@pytest.mark.parametrize("ledge_up", [False, True])
def test_exact_cylinder_enters_the_bore(diameter, chord, ledge_up):
    """No edge of the composed mesh above the ledge comes nearer the axis than ⌀/2 + play/2."""
    seat = RingSeat(play=0.1, ledge=0.6, steps=(diameter - 1.5,) if ledge_up else ())
    holder = compose(ring_recipe(diameter, chord, seat=seat, body=Body(under=2.5)))
    rim_face = 2.0 + 2.5
    mesh = holder.mesh
    over = mesh.vertices[mesh.faces][:, :, 2].max(axis=1) > rim_face + 1e-9
    starts = mesh.vertices[mesh.faces[over]]
    ends = np.roll(starts, -1, axis=1)
    near = segment_distance(
        starts.reshape(-1, 3)[:, :2], ends.reshape(-1, 3)[:, :2], np.zeros(2)
    ).min()
    wanted = diameter / 2 + 0.05
    assert near >= wanted - 1e-9
    assert near <= wanted + 1e-9  # and the chords touch the circle: nothing is given away
    across = np.hypot(*mesh.vertices[:, :2].T)
    assert across.max() <= diameter / 2 + 8.0 + 1e-9  # the body is a shaft
    # corners of the bore stand out by no more than the chord error
    walls = np.hypot(*starts.reshape(-1, 3)[:, :2].T)
    lips = walls[walls < wanted + 0.3]
    assert lips.max() <= wanted + chord


def test_a_post_that_would_not_stand_is_said_so():
    with pytest.raises(BadInput, match=r"at least 0\.3 mm"):
        StakePost(under="centre", short=2.0).shape(
            ring_recipe(
                26.0, 0.005, body=Body(floor=2.0, under=0.0), bridge_height=0.5,
                arbors=(Arbor(name="centre", at=Place(0, 0), jewels=(
                    Jewel(side=Side.BRIDGE, diameter=1.6, height=0.4),)),),
            ).site()
        )  # fmt: skip
