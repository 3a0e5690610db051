"""A mirrored post breaks a jewel, so the turn is proved from the exported file.

Nothing here takes its expectation from `places`: a movement turned over is turned as a rigid body,
by a rotation of half a turn about the axis through 12 h and 6 h, which no mirroring can imitate.
"""

import json
import math
from dataclasses import replace

import lib3mf
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from nests import families
from nests.documents.files import canonical, data_folder, read_json, validate
from nests.documents.schema import record
from nests.given.at_work import at_work
from nests.given.operation import Operation, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Arbor, Jewel, Sheet
from nests.given.zones import Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds import document, read
from nests.orders import pack
from nests.parts.body import Body
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.places import Frame, Place, Side, at_hour, read_place
from nests.printing.mesh_files import SLIVER, three_mf
from nests.solids.loops import segments
from nests.study import Study

FLOOR, UNDER, RIM, DIAL, BRIDGE = 2.0, 3.0, 1.5, 1.1, 1.7
GRID = SLIVER + 1e-5
"""mm: what joining corners and the last decimal of a file may move a corner."""

# name, x, y, seen from the dial side, height of the jewel on the dial side and on the bridge side:
# no two of one side alike, no mirror line, none at the place of another one's mirror image
JEWELS = (
    ("centre", 0.6, -0.4, 0.10, 0.30),
    ("third wheel", -5.2, 2.9, 0.20, 0.45),
    ("fourth wheel", 1.7, -6.3, -0.15, 0.60),
    ("balance", 6.1, 4.4, 0.35, 0.75),
    ("escape wheel", 3.3, 7.6, 0.50, 0.90),
)


def both_sided():
    return Sheet(
        name="TWO FACED",
        outline=Round(diameter=24.0),
        rim=RIM,
        dial_height=DIAL,
        bridge_height=BRIDGE,
        arbors=tuple(
            Arbor(
                name=name,
                at=Place(x, y),
                jewels=(
                    Jewel(side=Side.DIAL, diameter=1.5, height=dial),
                    Jewel(side=Side.BRIDGE, diameter=1.5, height=bridge),
                ),
            )
            for name, x, y, dial, bridge in JEWELS
        ),
    )


def with_posts(side_up):
    return Recipe(
        name="posts",
        workpiece=both_sided(),
        operation=Operation(name="general", side_up=side_up),
        body=Body(floor=FLOOR, under=UNDER, depth=1.0),
        parts=(RingSeat(), *(StakePost(under=name, tip=1.1, shank=1.9) for name, *_ in JEWELS)),
    )


def jewel_faces(down):
    """(5, 3) middle of each jewel's outer face in the movement frame, z = 0 at the dial rim."""
    return np.array(
        [
            (x, y, dial) if down is Side.DIAL else (x, y, -RIM - bridge)
            for _, x, y, dial, bridge in JEWELS
        ]
    )


def laid_in(points, side_up, lowest):
    """Points of the movement as it lies in the holder, its rim face down at `lowest`."""
    if side_up is Side.DIAL:
        return points + (0.0, 0.0, lowest + RIM)
    turned_over = np.array([[-1, 0, 0], [0, 1, 0], [0, 0, -1]])  # half a turn about y
    assert np.linalg.det(turned_over) == pytest.approx(1.0)  # a rotation, no mirror
    return points @ turned_over.T + (0.0, 0.0, lowest)


def exported(recipe):
    """Vertices and faces of the holder as its 3MF says, whatever the checks think of it."""
    model = lib3mf.get_wrapper().CreateModel()
    model.QueryReader("3mf").ReadFromBuffer(three_mf(pack.bodies(Study.of(compose(recipe))), {}))
    meshes = model.GetMeshObjects()
    meshes.MoveNext()
    mesh = meshes.GetCurrentMeshObject()
    return (
        np.array([list(v.Coordinates) for v in mesh.GetVertices()]),
        np.array([list(t.Indices) for t in mesh.GetTriangleIndices()], dtype=np.int64),
    )


def level_tops(vertices, faces, above):
    """(centroid, area) of every level face that looks up and lies above a height, joined up."""
    corners = vertices[faces]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) / 2
    level = np.ptp(corners[:, :, 2], axis=1) < 2 * GRID
    chosen = np.flatnonzero(level & (cross[:, 2] > 0) & (corners[:, 0, 2] > above))
    flat = faces[chosen]
    count = len(vertices)
    joins = coo_array(
        (np.ones(2 * len(flat)), (flat[:, [0, 1]].ravel(), flat[:, [1, 2]].ravel())),
        shape=(count, count),
    )
    _, part = connected_components(joins, directed=False)
    of_face = part[flat[:, 0]]
    out = []
    for each in np.unique(of_face):
        mine = chosen[of_face == each]
        weight = cross[mine, 2]
        middle = (weight[:, None] * corners[mine].mean(axis=1)).sum(axis=0) / weight.sum()
        out.append((middle, weight.sum()))
    return out


@pytest.mark.parametrize("side_up", list(Side))
def test_posts_stand_under_the_jewels_of_the_side_that_looks_down(side_up):
    recipe = with_posts(side_up)
    vertices, faces = exported(recipe)
    lowest = FLOOR + UNDER + (BRIDGE if side_up is Side.DIAL else DIAL)
    wanted = laid_in(jewel_faces(side_up.other), side_up, lowest)
    tops = level_tops(vertices, faces, FLOOR + 0.5)
    tips = [top for top in tops if top[1] < 1.5 and np.hypot(*top[0][:2]) < 10.0]
    assert len(tips) == len(JEWELS)
    found = np.array([middle for middle, _ in tips])
    for place in wanted:
        apart = np.linalg.norm(found - place, axis=1)
        assert apart.min() <= GRID
        # the area is that of the tip, drawn inside its circle: between r - chord and r
        area = tips[int(apart.argmin())][1]
        assert math.pi * (0.55 - recipe.chord_error) ** 2 <= area <= math.pi * 0.55**2
        # and where the mirrored post would be, there is none
        assert np.linalg.norm(found - place * (-1, 1, 1), axis=1).min() > 0.5


def test_the_two_holders_are_not_mirrored_twins_of_the_wrong_kind():
    """Three posts turn the other way round in the other holder, as seen from above."""

    def turn(side_up):
        site = with_posts(side_up).site()
        places = [StakePost(under=name).foothold(site).at for name in ("centre", "balance",
                                                                       "third wheel")]  # fmt: skip
        (a, b, c) = (np.array((p.x, p.y)) for p in places)
        return float(np.linalg.det(np.array((b - a, c - a))))

    assert turn(Side.DIAL) == pytest.approx(-turn(Side.BRIDGE))
    assert turn(Side.DIAL) > 1.0


def pressed(side_up, *arbors, on="", absent=()):
    presses = tuple(Press(arbor=each, force=10.0) for each in arbors)
    return Operation(name="pressed", side_up=side_up, on=on, presses=presses, absent=absent)


CARRIAGE, BALANCE = "tourbillon carriage", "balance and hairspring"
BARE = (CARRIAGE, BALANCE, "motion works")
TRAIN = ("third wheel", "intermediate wheel")
STANDING = (
    ("thin", "inv-20-u", Operation(name="carried", side_up=Side.DIAL)),
    ("thin", "inv-20-u", Operation(name="carried", side_up=Side.BRIDGE)),
    ("thin", "inv-30-t", pressed(Side.BRIDGE, *TRAIN, absent=BARE)),
    ("pressing", "inv-30-t", pressed(Side.DIAL, *TRAIN, absent=BARE)),
    ("pressing", "inv-30-t", pressed(Side.BRIDGE, *TRAIN, absent=BARE)),
    ("pressing", "inv-32-k", pressed(Side.BRIDGE, "third wheel", "escape wheel",
                                     absent=("motion works",))),
    ("cradle", "inv-30-t", pressed(Side.BRIDGE, "pallets", on=CARRIAGE, absent=(BALANCE,))),
    ("cradle", "inv-32-k", pressed(Side.DIAL, "winding wheel", on="INV 32-K auto works")),
    ("cradle", "inv-32-k", pressed(Side.BRIDGE, "winding wheel", on="INV 32-K auto works")),
)  # fmt: skip


@pytest.mark.parametrize(("family", "name", "operation"), STANDING)
def test_families_carry_rests_and_jewels_where_they_are(family, name, operation):
    """Sheets of the gallery: each post's tip, from the file, against the sheet's readings."""
    whole = read(data_folder("gallery") / "sheets" / f"{name}.json", Sheet)
    sheet, side_up, rule = at_work(whole, operation), operation.side_up, families.family(family)
    wish = rule.Wish(floor=3.2) if operation.on else rule.Wish()  # a screw has room in it
    recipe = rule.recipe(sheet, operation, wish, PrinterCard())
    vertices, faces = exported(recipe)
    posts = [part for part in recipe.parts if isinstance(part, StakePost)]
    assert {each.arbor for each in operation.presses} <= {post.under for post in posts}
    tops = level_tops(vertices, faces, recipe.body.floor + 0.2)
    found = np.array([middle for middle, _ in tops])
    lowest = recipe.body.floor + recipe.body.under
    lowest += sheet.bridge_height if side_up is Side.DIAL else sheet.dial_height
    sign = 1.0 if side_up is Side.DIAL else -1.0
    off_axis = 0
    for post in posts:
        arbor = next((a for a in sheet.arbors if a.name == post.under), None)
        if arbor is not None:
            at = arbor.at
            height = next(j.height for j in arbor.jewels if j.side is side_up.other)
        else:
            rest = next(r for r in sheet.rests if r.name == post.under)
            at = post.at or rest.zone.centre
            height = rest.height
        out = post.insert_out if post.kind != "printed" else 0.0
        wanted = np.array((sign * at.x, at.y, lowest - height - post.short - out))
        assert np.linalg.norm(found - wanted, axis=1).min() <= GRID, post.under
        if arbor is not None and abs(at.x) > 0.5:  # no post where a mirrored one would stand
            assert np.linalg.norm(found - wanted * (-1, 1, 1), axis=1).min() > 0.5, post.under
        off_axis += abs(at.x) > 0.5
    assert off_axis >= 1  # else a mirrored holder would look the same


# --- one sheet, read from either side -------------------------------------------------------


def as_read_from(side, data):
    """A document with every place given in x and y, as calipers show it on that side."""
    if isinstance(data, list):
        return [as_read_from(side, each) for each in data]
    if not isinstance(data, dict):
        return data
    if set(data) == {"hour", "radius"}:
        turn = math.pi / 6 * data["hour"]
        data = {"x": data["radius"] * math.sin(turn), "y": data["radius"] * math.cos(turn)}
    if data.get("read_from") == "dial":
        data = {"x": data["x"], "y": data["y"]}
    if set(data) == {"x", "y"}:
        if side is Side.DIAL:
            return {**data, "read_from": "dial"}
        return {"x": -data["x"], "y": data["y"], "read_from": "bridge"}
    return {key: as_read_from(side, each) for key, each in data.items()}


ORDERS = (
    ("inv-26-a", "round", {"side_up": "bridge"}),
    ("inv-26-a", "thin", {"side_up": "dial"}),
    ("inv-26-a", "inspection", {"side_up": "dial"}),
    ("inv-26-a", "cradle", {"sub_assembly": "INV 26-A auto works", "side_up": "bridge"}),
    ("inv-20-u", "thin", {"side_up": "bridge"}),
    ("inv-17-t", "shaped", {"side_up": "bridge"}),
    ("inv-tc-12", "cradle", {"side_up": "dial"}),
    ("inv-30-c", "round", {"side_up": "dial"}),
    ("inv-30-t", "pressing", {"arbor": "intermediate wheel"}),
)


@pytest.mark.parametrize(("sheet", "family", "options"), ORDERS)
def test_sheet_read_from_either_side_gives_one_recipe(sheet, family, options):
    data = read_json(data_folder("gallery") / "sheets" / f"{sheet}.json")
    rule = families.family(family)
    made = []
    for side in Side:
        given_from = as_read_from(side, data)
        assert given_from != as_read_from(side.other, data)
        validate(given_from, "sheet", sheet)
        workpiece = record(Sheet, given_from)
        recipe = rule.recipe(workpiece, None, rule.Wish(**options), PrinterCard())
        made.append(canonical(document(recipe)))
    assert made[0] == made[1]


def test_a_side_said_wrong_is_another_movement():
    """The check above can fail: the same numbers read from the other side give other bytes."""
    data = read_json(data_folder("gallery") / "sheets" / "inv-20-u.json")
    right = as_read_from(Side.DIAL, data)
    text = canonical(right).replace(b'"read_from": "dial"', b'"read_from": "bridge"')
    wrong = record(Sheet, json.loads(text))
    assert document(wrong) != document(record(Sheet, right))


coordinate = st.floats(-100, 100, allow_nan=False).map(lambda x: x + 0.0)
places = st.builds(Place, coordinate, coordinate)
frames = st.builds(Frame, st.sampled_from(list(Side)), st.floats(0, 30), st.floats(0.2, 15))


@given(frames, places)
def test_place_is_its_own_inverse(frame, place):
    assert frame.place(frame.place(place)) == place


@given(frames, st.lists(places, min_size=1, max_size=6))
def test_points_are_places(frame, given_places):
    points = frame.points(np.array([(p.x, p.y) for p in given_places]))
    assert points.tolist() == [[q.x, q.y] for q in map(frame.place, given_places)]


@given(frames, places, places)
def test_turning_over_keeps_distances_and_radii(frame, first, second):
    a, b = frame.place(first), frame.place(second)
    assert a.distance(b) == first.distance(second)
    assert a.radius == first.radius


@given(coordinate, coordinate)
def test_calipers_on_the_bridge_side_show_x_reversed(x, y):
    """3 h is at the right hand seen from the dial and at the left seen from the bridges."""
    assert read_place(x, y, Side.BRIDGE) == read_place(-x, y, Side.DIAL) == Place(-x + 0.0, y)


@given(st.floats(0, 12, exclude_max=True), st.floats(0.5, 40), st.sampled_from(list(Side)))
def test_an_hour_lies_where_a_watchmaker_sees_it(hour, radius, up):
    """Clockwise from 12 h with the dial up, counterclockwise with the bridges up."""
    clock = 90.0 - 30.0 * hour if up is Side.DIAL else 90.0 + 30.0 * hour
    angle = Frame(up, 3.0, 1.0).angle(hour)
    assert math.cos(angle - math.radians(clock)) == pytest.approx(1.0, abs=1e-12)
    assert math.sin(angle - math.radians(clock)) == pytest.approx(0.0, abs=1e-12)
    place = at_hour(hour, radius)
    assert place.radius == pytest.approx(radius)
    assert min(abs(place.hour - hour), 12 - abs(place.hour - hour)) < 1e-9


@given(frames, st.floats(-5, 8))
def test_heights_of_the_two_sides_are_a_rim_apart(frame, height):
    """A face `height` above one rim face lies -rim - height from the other one's, outward."""
    for side in Side:
        z = frame.z(side, height)
        assert z == pytest.approx(frame.z(side.other, -frame.rim - height), abs=1e-12)
    assert frame.z(frame.up.other, 0.0) == frame.seat


def test_turning_the_recipe_over_changes_the_side_and_nothing_else():
    recipe = with_posts(Side.DIAL)
    assert replace(recipe, operation=Operation(name="general", side_up=Side.BRIDGE)) == with_posts(
        Side.BRIDGE
    )
    assert segments(0.55, recipe.chord_error) % 4 == 0  # so a tip's centroid is its middle
