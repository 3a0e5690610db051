"""`nests check RECIPE --apply`: a changed recipe is written, and the finding is gone."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from manifold3d import Manifold

from nests.checks import judge, names
from nests.documents.files import canonical
from nests.faces.cli import main
from nests.families import round as round_family
from nests.families.inspection import Wish as HeldWish
from nests.families.inspection import recipe as held
from nests.finding import Grade
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Rest
from nests.given.zones import Ring
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds import document, read
from nests.orders.remedied import may_cure, remedied
from nests.orders.remedies import apply, posed_anew
from nests.parts.answers import Contact
from nests.parts.clip import Clip
from nests.parts.mark import NOTCH, Mark
from nests.parts.ring_seat import RingSeat
from nests.parts.vent import Vent
from nests.places import Side
from nests.printing.pose import Pose
from nests.study import Study


def plain_round() -> Recipe:
    sheet = round_family.stand_in(26.0, 4.6)
    return round_family.recipe(sheet, None, round_family.Wish(), PrinterCard())


def without(recipe: Recipe, kind: type) -> Recipe:
    return replace(recipe, parts=tuple(p for p in recipe.parts if not isinstance(p, kind)))


def swapped(recipe: Recipe, kind: type, **changes: object) -> Recipe:
    parts = tuple(
        replace(p, **changes) if isinstance(p, kind) and getattr(p, "text", "") != NOTCH else p
        for p in recipe.parts
    )
    return replace(recipe, parts=parts)


def clipped() -> Recipe:
    sheet = replace(
        round_family.stand_in(26.0, 4.6),
        rests=(Rest(name="edge", side=Side.BRIDGE, height=0.0, zone=Ring(outer=26.0, inner=23.0)),),
    )
    return held(sheet, None, HeldWish(), PrinterCard())


def found(recipe: Recipe) -> dict[str, Grade]:
    return {f.check: f.grade for f in judge(Study.of(compose(recipe)))
            if f.grade in (Grade.STOP, Grade.MEND)}  # fmt: skip


FAULTS = {
    "vent": ("suction", without(plain_round(), Vent)),
    "foot chamfer": ("foot", replace(plain_round(), body=replace(plain_round().body,
                                                                 foot_chamfer=0.0))),
    "clip too thin": ("wall", swapped(clipped(), Clip, thickness=0.5)),
    "slit too narrow": ("gap", swapped(clipped(), Clip, slit=0.2)),
    "groove too narrow": ("gap", swapped(plain_round(), RingSeat, corner_relief=0.2)),
    "letters too low": ("fine detail", swapped(plain_round(), Mark, height=0.8)),
}  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(("check", "recipe"), FAULTS.values(), ids=FAULTS.keys())
def test_finding_is_there_and_gone_after_the_remedy(check, recipe):
    assert check in found(recipe)
    mended, changes = apply(recipe)
    assert changes
    assert check not in found(mended)


def vent_at(recipe: Recipe, hour: float) -> Recipe:
    """With its first vent at another hour."""
    first = next(part for part in recipe.parts if isinstance(part, Vent))
    parts = tuple(replace(p, at=hour) if p is first else p for p in recipe.parts)
    return replace(recipe, parts=parts)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("recipe", "hour"), [(plain_round(), 0.0), (clipped(), 9.5)], ids=["in the notch", "at a clip"]
)
def test_vent_in_the_way_is_moved_and_nothing_else_is_changed(recipe, hour):
    spoilt = vent_at(recipe, hour)
    assert found(spoilt)["composition"] is Grade.STOP
    mended, (says,) = apply(spoilt)
    (at,) = re.fullmatch(rf"vent at {hour:g} h: moved to ([\d.]+) h", says).groups()
    assert mended == vent_at(recipe, float(at))
    assert found(mended) == {}


@pytest.mark.slow
def test_pose_that_stops_the_print_is_turned_and_said():
    recipe = replace(plain_round(), pose=Pose(lean=180.0))
    before = found(recipe)
    assert before["overhang"] is Grade.STOP
    assert before["island"] is Grade.STOP
    mended, (says,) = apply(recipe)
    assert found(mended) == {}
    assert mended == plain_round()
    assert says.startswith("pose: upside down to as used (")
    assert "poses tried in layers of" in says
    assert "the next best is" in says


def test_mushroom_is_turned_over():
    """A cap of ⌀ 19.2 on a stem of ⌀ 8: 5.6 mm of level underside, none upside down."""
    cap = Manifold.cylinder(1.5, 9.6, 9.6, 96).translate((0.0, 0.0, 8.0))
    cap += Manifold.cylinder(0.5, 9.6, 9.1, 96).translate((0.0, 0.0, 9.5))
    solid = Manifold.cylinder(8.2, 4.0, 4.0, 96) + cap
    holder = replace(compose(plain_round()), solid=solid, contacts=())
    before = judge(Study.of(holder), names("printer"))
    (under,) = [f for f in before if f.grade is Grade.STOP]
    assert under.check == "overhang"
    assert under.value == pytest.approx(5.6, abs=0.05)
    change = posed_anew(holder, before)
    assert change.recipe.pose == Pose(lean=180.0)
    after = judge(Study.of(replace(holder, recipe=change.recipe)), names("printer"))
    assert [f.sentence() for f in after if f.grade in (Grade.STOP, Grade.MEND)] == []


def test_pose_in_which_a_contact_lies_in_the_foot_is_none():
    """The mushroom, carrying something on its cap: upside down that would lie on the plate."""
    cap = Manifold.cylinder(2.0, 9.6, 9.6, 96).translate((0.0, 0.0, 8.0))
    solid = Manifold.cylinder(8.2, 4.0, 4.0, 96) + cap
    on_top = (Contact("body", "rim", (0.0, 0.0, 10.0), 10.0, above=False),)
    holder = replace(compose(plain_round()), solid=solid, contacts=on_top)
    assert posed_anew(holder, judge(Study.of(holder), names("printer"))) is None


def test_fault_of_a_loose_body_does_not_turn_the_holder():
    """A cup beside the holder is no matter of the holder's pose."""
    cup = Manifold.cylinder(8.0, 6.0, 6.0, 96) - Manifold.cylinder(8.0, 5.0, 5.0, 96).translate(
        (0.0, 0.0, 1.0)
    )
    odd = cup + cup.rotate((180.0, 0.0, 0.0)).translate((0.0, 0.0, -1.0))
    holder = replace(compose(plain_round()), beside=(("trial cup", odd),))
    before = judge(Study.of(holder))
    assert any(f.grade in (Grade.STOP, Grade.MEND, Grade.UNKNOWN) for f in before
               if f.parts == ("trial cup",))  # fmt: skip
    assert posed_anew(holder, before) is None


@pytest.mark.slow
def test_holder_on_edge_is_turned_and_nothing_else_is_changed():
    """On edge the holder cannot stand; turning cures it, and no size of it is changed."""
    recipe = replace(plain_round(), pose=Pose(lean=90.0))
    mended, changes = apply(recipe)
    assert mended.body == recipe.body
    assert all(says.startswith("pose: ") for says in changes)


def test_sound_recipe_is_left_alone():
    recipe = plain_round()
    assert apply(recipe) == (recipe, ())


def test_command_writes_a_changed_recipe_and_overwrites_nothing(tmp_path, capsys):
    path = tmp_path / "ring.json"
    path.write_bytes(canonical(document(without(plain_round(), Vent))))
    before = path.read_bytes()
    with pytest.raises(SystemExit) as first:
        main(["check", str(path), "--apply"])
    said = capsys.readouterr().out
    assert first.value.code == 0
    assert "changed: a vent of" in said
    assert path.read_bytes() == before
    mended = read(tmp_path / "ring-mended.json", Recipe)
    assert any(isinstance(part, Vent) for part in mended.parts)
    with pytest.raises(SystemExit) as second:
        main(["check", str(path), "--apply"])
    assert second.value.code == 2
    assert "exists already" in capsys.readouterr().err


def two_faults() -> Recipe:
    """Wanting a chamfer at the foot, and a wider groove."""
    bare = replace(plain_round(), body=replace(plain_round().body, foot_chamfer=0.0))
    return swapped(bare, RingSeat, corner_relief=0.2)


@pytest.mark.slow
def test_one_finding_is_remedied_and_the_other_left():
    recipe = two_faults()
    holder = compose(recipe)
    by_check = {f.check: f for f in judge(Study.of(holder)) if f.grade in (Grade.STOP, Grade.MEND)}
    assert {"foot", "gap"} <= by_check.keys()
    for one, other in (("foot", "gap"), ("gap", "foot")):
        assert may_cure(holder, by_check[one])
        change = remedied(recipe, by_check[one])
        left = found(change.recipe)
        assert one not in left
        assert left[other] == by_check[other].grade
    clear = next(f for f in judge(Study.of(holder), ("soundness",)) if f.grade is Grade.CLEAR)
    assert not may_cure(holder, clear)
    assert remedied(recipe, clear) is None
