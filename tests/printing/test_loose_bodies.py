"""Bodies printed beside the holder: judged in their own pose, named, and written in that pose."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import trimesh
from manifold3d import Manifold

from nests.checks import judge
from nests.documents.files import data_folder
from nests.families import round as round_family
from nests.finding import Grade
from nests.given.printer_card import PrinterCard
from nests.holder.compose import Holder, compose
from nests.orders import pack
from nests.parts.plunger import Plunger
from nests.parts.swing_tab import SwingTab
from nests.printing.mesh_files import stl
from nests.printing.pose import FLAT, Pose
from nests.study import Study
from tests.ordering import preferred

HOLDERS = {
    "swing tab": ("inspection", "inv-26-a", {"hold": "swing tab", "side_up": "dial"}),
    "plunger": ("chronograph", "inv-30-c", {"pushed_by": "plunger"}),
}


@cache
def holder(name: str) -> Holder:
    family, sheet, options = HOLDERS[name]
    path = data_folder("gallery") / "sheets" / f"{sheet}.json"
    return compose(preferred(family, options, sheet=path).recipe)


@cache
def ring() -> Holder:
    sheet = round_family.stand_in(26.0, 4.6)
    return compose(round_family.recipe(sheet, None, round_family.Wish(), PrinterCard()))


def beside(solid: Manifold) -> Study:
    """The plain ring with a body beside it."""
    return Study.of(replace(ring(), beside=(("trial body", solid),)))


def found(study: Study, check: str) -> list:
    return [f for f in judge(study, ("loose bodies",)) if f.check == check]


@pytest.mark.parametrize("name", HOLDERS)
def test_bodies_of_our_parts_print_without_stop_or_mend(name):
    study = Study.of(holder(name))
    assert len(study.loose) == len(holder(name).beside) > 0
    judged = judge(study, ("loose bodies",))
    assert [f.sentence() for f in judged if f.grade is not Grade.CLEAR] == []
    told = [label for f in judged for label in f.parts]
    assert sorted(told) == sorted(label for label, _ in holder(name).beside), "each of them once"
    assert all("poses tried" in f.says and "Next: " in f.says for f in judged)


@pytest.mark.parametrize("screw", [1.0, 1.6, 4.0])
def test_swing_tab_of_any_screw_prints(screw):
    recipe = holder("swing tab").recipe
    site = recipe.site()
    tab = next(part for part in recipe.parts if isinstance(part, SwingTab))
    ((_, solid),) = replace(tab, screw=screw, width=max(tab.width, screw + 2.0)).shape(site).beside
    assert [f.sentence() for f in judge(beside(solid), ("loose bodies",))
            if f.grade is not Grade.CLEAR] == []  # fmt: skip


def test_plunger_keeps_its_length_and_stands_on_its_tip():
    """The rod reaches from its rest before the lever to 1.2 mm inside the button at full stroke."""
    recipe = holder("plunger").recipe
    site = recipe.site()
    part = next(part for part in recipe.parts if isinstance(part, Plunger))
    (_, rod), (_, button) = part.shape(site).beside
    pusher = site.sheet.pusher(part.pusher)
    tip = pusher.lever_radius + part.rest_gap
    long = site.outer(part.hour(site)) + part.stroke(site) - tip + 1.2
    low, high = np.reshape(rod.bounding_box(), (2, 3))
    assert high[2] - low[2] == pytest.approx(long, abs=1e-9)
    assert button.bounding_box()[5] == pytest.approx(2.0)
    foot = rod.slice(0.01).area()
    assert 0.0 < foot < rod.slice(1.0).area()  # chamfered where it stands


def test_planted_fault_in_a_body_is_found_and_named():
    """A rod with a neck of 0.4 mm, below the thinnest wall and pin."""
    rod = Manifold.cylinder(3.0, 1.0, 1.2, 64) + Manifold.cylinder(2.0, 1.2, 1.2, 64).translate(
        (0.0, 0.0, 3.0)
    )
    neck = Manifold.cylinder(2.0, 0.2, 0.2, 64).translate((0.0, 0.0, 4.9))
    head = Manifold.cylinder(1.0, 0.2, 1.2, 64).translate((0.0, 0.0, 6.8))
    (thin, *_) = found(beside(rod + neck + head), "wall")
    assert thin.grade is Grade.STOP
    assert thin.parts == ("trial body",)
    assert thin.says.startswith("trial body: ")
    assert thin.place is None  # it has none in the holder: it is said of the body as drawn
    assert "of the body as drawn" in thin.says
    assert thin.value == pytest.approx(0.4, abs=0.01)


def test_body_is_turned_where_that_prints_better():
    """A mushroom as drawn is printed on its cap, and written so."""
    stem = Manifold.cylinder(6.0, 1.5, 1.5, 64)
    # chamfered above, which is below in print
    cap = Manifold.cylinder(1.6, 5.0, 5.0, 64).translate((0.0, 0.0, 5.0))
    cap += Manifold.cylinder(0.4, 5.0, 4.6, 64).translate((0.0, 0.0, 6.6))
    study = beside(stem + cap)
    ((body, search),) = study.loose
    assert body.pose == Pose(lean=180.0) == search.best.pose
    assert found(study, "overhang") == []
    assert judge(Study(body.solid, body.card, pose=FLAT), ("overhang",))[0].grade is Grade.STOP
    made = pack.bodies(study)[1]
    mesh = trimesh.load(io.BytesIO(stl(made)), file_type="stl")
    assert mesh.bounds[:, 2] == pytest.approx([0.0, 7.0], abs=1e-5)
    low = mesh.section((0, 0, 1), (0, 0, 1.0)).bounds  # the cap lies below
    assert np.ptp(low, axis=0)[:2] == pytest.approx([10.0, 10.0], abs=1e-4)
    assert mesh.volume == pytest.approx(body.solid.volume(), rel=1e-6)  # turned, not mirrored


def test_files_hold_the_holder_in_its_pose():
    recipe = replace(ring().recipe, pose=Pose(turn=30.0, lean=90.0))
    study = Study.of(compose(recipe))
    (made,) = pack.bodies(study)
    assert made.mesh.vertices[:, 2].min() == pytest.approx(0.0, abs=1e-5)
    height = np.ptp(made.mesh.vertices[:, 2])
    assert height == pytest.approx(np.ptp(study.mesh.vertices[:, 0]), abs=0.05)  # its diameter
    assert made.mesh.volume() == pytest.approx(study.solid.volume(), rel=1e-6)
