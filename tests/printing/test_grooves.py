"""Engraving in a mesh of which no part is known: fine detail, not walls that break.

Each block has grooves whose land, the rib left between them, is known by construction.
"""

from __future__ import annotations

import pytest
from manifold3d import Manifold

from nests.checks import judge
from nests.documents.files import data_folder
from nests.finding import Grade
from nests.given.printer_card import PrinterCard
from nests.holder.compose import compose
from nests.orders import pack
from nests.orders.examine import examine
from nests.printing.grooves import shallow_grooves
from nests.printing.mesh_files import stl, three_mf
from nests.solids.solid import triangles
from nests.study import GROOVE, Study
from tests.ordering import preferred

CARD = PrinterCard()
LIMIT = CARD.smallest_wall
BAD = (Grade.STOP, Grade.MEND)


def grooved(deep: float, land: float, below: bool = False, long: float = 4.0) -> Manifold:
    """A block 20 × 20 × 5 with two grooves 0.8 wide, `land` apart, in its upper or lower face."""
    block = Manifold.cube((20.0, 20.0, 5.0))
    groove = Manifold.cube((0.8, long, deep + 1.0))
    low = -1.0 if below else 5.0 - deep
    for x in (10.0 - land / 2 - 0.8, 10.0 + land / 2):
        block -= groove.translate((x, 8.0, low))
    return block


def bad(solid: Manifold, *checks: str) -> dict[str, list]:
    out: dict[str, list] = {}
    for each in judge(Study(solid, CARD), checks):
        if each.grade in BAD:
            out.setdefault(each.check, []).append(each)
    return out


@pytest.mark.parametrize("below", [False, True])
@pytest.mark.parametrize("deep", [0.2, LIMIT])
def test_low_land_is_fine_detail(deep, below):
    found = bad(grooved(deep, 0.2, below), "wall", "fine detail")
    assert set(found) == {"fine detail"}
    (land,) = found["fine detail"]
    assert land.grade is Grade.MEND
    assert land.value == pytest.approx(0.2, abs=1e-6)
    assert land.limit == CARD.smallest_line
    assert land.parts == (GROOVE,)
    assert abs(land.place[0] - 10.0) <= 0.1 + 1e-6
    assert abs(land.place[2] - (0.0 if below else 5.0)) <= deep + 1e-6


def test_land_as_wide_as_a_line_is_clear():
    assert bad(grooved(0.4, CARD.smallest_line), "wall", "fine detail") == {}


@pytest.mark.parametrize("deep", [0.65, 1.5])
def test_high_land_is_a_wall(deep):
    (wall,) = bad(grooved(deep, 0.4), "wall")["wall"]
    assert wall.grade is Grade.STOP
    assert wall.value == pytest.approx(0.4, abs=1e-6)


def test_land_beside_the_outer_face_is_a_wall():
    """A groove 0.4 deep runs 0.3 inside the outer face: its rib may break off sideways."""
    block = Manifold.cube((20.0, 20.0, 5.0))
    block -= Manifold.cube((0.8, 6.0, 2.0)).translate((0.3, 7.0, 4.6))
    (wall,) = bad(block, "wall")["wall"]
    assert wall.grade is Grade.STOP
    assert wall.value == pytest.approx(0.3, abs=1e-6)


def test_skin_between_grooves_of_two_faces_is_a_wall():
    """A plate of 1 mm with grooves 0.4 and 0.3 deep over each other leaves 0.3 mm."""
    plate = Manifold.cube((20.0, 20.0, 1.0))
    plate -= Manifold.cube((2.0, 6.0, 2.0)).translate((9.0, 7.0, 0.6))
    plate -= Manifold.cube((2.0, 6.0, 2.0)).translate((9.0, 7.0, -1.7))
    (wall,) = bad(plate, "wall")["wall"]
    assert wall.grade is Grade.STOP
    assert wall.value == pytest.approx(0.3, abs=1e-6)


def test_shallow_groove_narrower_than_a_gap_should_change():
    """0.2 mm against 0.3: it closes. Deeper it is a slot, and stops."""
    for deep, grade in ((0.4, Grade.MEND), (1.5, Grade.STOP)):
        block = Manifold.cube((20.0, 20.0, 5.0))
        block -= Manifold.cube((0.2, 6.0, deep + 1.0)).translate((9.0, 7.0, 5.0 - deep))
        (gap,) = bad(block, "gap")["gap"]
        assert gap.grade is grade
        assert gap.value == pytest.approx(0.2, abs=1e-6)


def test_sides_and_floors_by_construction():
    mesh = triangles(grooved(0.4, 0.4))
    corners = mesh.vertices[mesh.faces]
    sides, floors = shallow_grooves(mesh.vertices, mesh.faces, LIMIT)
    at_floor = (abs(corners[:, :, 2] - 4.6) < 1e-9).all(axis=1)
    upright = (corners[:, :, 2].min(axis=1) > 4.0) & ~at_floor
    upright &= (corners[:, :, 2].max(axis=1) - corners[:, :, 2].min(axis=1)) > 0.1
    assert (floors == at_floor).all()
    assert (sides == upright).all()
    none = shallow_grooves(mesh.vertices, mesh.faces, 0.39)
    assert not none[0].any()
    assert not none[1].any()


@pytest.mark.parametrize(
    ("family", "sheet", "options"),
    [
        ("round", "", {"diameter": 26.0, "height": 4.6}),
        ("cushion", "inv-case-38", {}),
        pytest.param("case", "inv-case-38", {"side_up": "bridge"}, marks=pytest.mark.slow),
        pytest.param("cradle", "inv-tc-12", {"side_up": "dial"}, marks=pytest.mark.slow),
    ],
)
@pytest.mark.parametrize("ending", ["stl", "3mf"])
def test_own_export_judged_as_a_mesh_has_no_stop_from_its_letters(
    family, sheet, options, ending, tmp_path
):
    path = data_folder("gallery") / "sheets" / f"{sheet}.json" if sheet else None
    holder = compose(preferred(family, options, sheet=path).recipe)
    assert sum(part.tag == "mark" for part in holder.recipe.parts) >= 3
    bodies = pack.bodies(Study.of(holder))
    file = tmp_path / f"holder.{ending}"
    file.write_bytes(stl(bodies[0]) if ending == "stl" else three_mf(bodies, {}))
    stops = [f.sentence() for f in examine(file) if f.grade is Grade.STOP]
    assert stops == []
