"""Ways through the wall to pushers: closed forms of the cuts, and refusals."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from nests.documents.files import data_folder
from nests.families import family
from nests.families._rim import off_gaps
from nests.given.operation import USUAL
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.parts.pusher_slot import PusherSlot
from nests.parts.ring_seat import RingSeat
from nests.parts.site import RUN_IN
from nests.parts.stem_slot import StemSlot
from nests.parts.vent import Vent
from nests.planning.holders import lacks
from nests.solids.solid import OVER, lying_bore, roof_point, triangles, trough
from nests.units import BadInput

CHRONOGRAPH = USUAL.operation("chronograph-hands")
SHEET = read(data_folder("gallery") / "sheets" / "inv-30-c.json", Sheet)


def order(sheet: Sheet = SHEET, **options: Any) -> Recipe:
    rule = family("chronograph")
    return rule.recipe(sheet, CHRONOGRAPH, rule.Wish(**options), PrinterCard())


def at_hours(first: float, second: float) -> Sheet:
    one, two = SHEET.pushers
    return replace(SHEET, pushers=(replace(one, hour=first), replace(two, hour=second)))


@pytest.mark.parametrize("chord", [0.001, 0.005, 0.05])
@pytest.mark.parametrize("diameter", [2.0, 3.2, 5.0])
@pytest.mark.parametrize("lean", [30.0, 45.0, 60.0])
def test_no_face_of_a_lying_bore_leans_beyond_the_limit(
    lean: float, diameter: float, chord: float
) -> None:
    """The roof climbs `rise` per mm of run or more; its point lies at r·√(1 + rise²), at least."""
    rise = 1 / math.tan(math.radians(lean))
    mesh = triangles(lying_bore(0.0, 5.0, diameter, 0.0, rise, chord))
    corners = mesh.vertices[mesh.faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    up = normals[:, 2] > 1e-9  # of the cut; of the holder an underside
    assert (normals[up, 2] <= np.abs(normals[up, 1]) / rise + 1e-9).all()
    point = roof_point(diameter, rise, chord)
    assert mesh.vertices[:, 2].max() == pytest.approx(point)
    true = diameter / 2 * math.hypot(1.0, rise)
    assert true - 1e-9 <= point <= true + 2 * chord * (1.0 + rise)


def test_a_trough_is_a_half_circle_below_its_axis_and_a_box_above() -> None:
    cut = trough(0.0, 4.0, 3.0, 1.0, 3.5, 1e-4)
    assert cut.volume() == pytest.approx(4.0 * (math.pi * 1.5**2 / 2 + 3.0 * 2.5), rel=1e-3)
    assert cut.bounding_box()[5] == pytest.approx(3.5)


@pytest.mark.parametrize("width", [2.0, 3.5, 6.0])
def test_a_cut_runs_on_past_the_edge_of_the_pocket(width: float) -> None:
    """Beside its middle the edge of a round pocket lies farther in, by its sagitta."""
    site, pocket = order().site(), 0.85
    edge = 15.0
    sagitta = (edge - pocket) - math.sqrt((edge - pocket) ** 2 - width**2 / 4)
    wanted = max(OVER, pocket + sagitta + RUN_IN)
    for hour in (0.0, 2.0, 7.3):
        assert site.begins(hour, width, pocket) == pytest.approx(wanted, abs=0.012)


def test_a_cut_may_end_where_a_whole_wall_is_left_before_the_pocket() -> None:
    assert order().site().begins(2.0, 3.5, OVER + 0.6) == OVER


def test_a_drain_leaves_a_wall_beside_a_gap_at_its_inner_end() -> None:
    """1.05 h aside, at 15 mm from the axis 0.66 mm are left, 2.3 mm farther in 0.5 mm less."""
    site = order().site()
    turn = math.radians(31.5)
    gap = 2 * (15.0 * math.sin(turn) - 0.5 * math.cos(turn) - 0.66)
    assert off_gaps(site, 1.05, 1.0, [(0.0, gap)], 0.0)
    assert not off_gaps(site, 1.05, 1.0, [(0.0, gap)], 1.0)
    assert off_gaps(site, 0.1, 1.0, [(0.0, gap)], 1.0)  # wholly in it


def test_slots_near_each_other_are_narrower() -> None:
    widths = {
        apart: {p.width for p in order(at_hours(8.0, 8.0 + apart)).parts
                if isinstance(p, PusherSlot)}
        for apart in (0.4, 2.0)
    }  # fmt: skip
    assert widths == {0.4: {2.2}, 2.0: {3.5}}


@pytest.mark.parametrize(("apart", "sort", "least"), [(0.2, "slot", 0.4), (0.4, "plunger", 0.7)])
def test_pushers_too_near_are_refused_with_what_would_do(
    apart: float, sort: str, least: float
) -> None:
    with pytest.raises(BadInput, match=rf"need {least:.2f} h between them"):
        order(at_hours(8.0, 8.0 + apart), pushed_by=sort)
    order(at_hours(8.0, 8.0 + least), pushed_by=sort)


def test_an_arm_too_low_for_its_lever_is_refused_with_what_would_do() -> None:
    high = replace(SHEET, pushers=tuple(replace(p, depth=-0.2) for p in SHEET.pushers))
    with pytest.raises(BadInput, match=r"depth of the pusher 'start and stop' .* 0\.70 mm"):
        order(high, pushed_by="spring lever")
    just = replace(SHEET, pushers=tuple(replace(p, depth=0.7) for p in SHEET.pushers))
    order(just, pushed_by="spring lever")


def test_a_slot_without_its_pusher_lacks_it() -> None:
    through = at_hours(3.3, 8.0)  # beside the crown, not through it
    recipe = order(through)
    (slot,) = [part for part in recipe.parts if isinstance(part, StemSlot)]
    assert slot.pushers == ("start and stop",)
    assert not lacks(recipe)
    bare = tuple(replace(p, pushers=()) if p is slot else p for p in recipe.parts)
    assert lacks(replace(recipe, parts=bare)) == ("no way to the pusher 'start and stop'",)


def test_the_stem_slot_is_as_wide_as_a_peg_for_a_pusher_through_the_crown() -> None:
    """As a stem slot of that width and floor would be; the floor is 2.85 mm below the dial side."""
    blank = replace(order(at_hours(3.0, 8.0)), parts=(RingSeat(),))
    volumes = [
        compose(replace(blank, parts=(RingSeat(), slot))).solid.volume()
        for slot in (
            # a stem of 1.2 mm, 1.1 mm deep, and a lever 1.25 mm deep
            StemSlot(crown=0.0, room=(3.5 - 1.2) / 2),
            StemSlot(crown=0.0, pushers=("start and stop",), below=2.85 - 1.25),
        )
    ]
    assert volumes[0] == pytest.approx(volumes[1], abs=1e-6)


def test_vents_stay_off_ways_that_go_down_to_them() -> None:
    """A vent's roof comes to a point 3 mm above the bench, and there the ways end."""
    hours = (1.5, 7.5)
    low = replace(
        SHEET,
        bridge_height=1.2,
        arbors=(),
        rests=tuple(r for r in SHEET.rests if "plate" in r.name),
        keep_clear=(),
        pushers=tuple(
            replace(p, depth=2.6, hour=hour) for p, hour in zip(SHEET.pushers, hours, strict=True)
        ),
    )  # fmt: skip
    rule = family("chronograph")
    work = replace(CHRONOGRAPH, presses=())
    recipe = rule.recipe(low, work, rule.Wish(post_height=1.0), PrinterCard())
    ends = [p.shape(recipe.site()).cuts for p in recipe.parts if isinstance(p, PusherSlot)]
    assert {round(cut.bounding_box()[2], 6) for cut in ends if cut} == {3.0}
    vents = [part.at for part in recipe.parts if isinstance(part, Vent)]
    assert len(vents) == 2
    assert all(abs(vent - hour) > 0.4 for vent in vents for hour in hours)
