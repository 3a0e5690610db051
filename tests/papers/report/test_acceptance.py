"""The acceptance list has a row for what each holder can fail by, and none for what it has not."""

from __future__ import annotations

import re
from functools import cache

import pytest

from nests.documents.files import data_folder
from nests.holder.recipe import Recipe
from nests.orders import gallery
from nests.papers.report.acceptance import acceptance
from nests.parts.plunger import Plunger
from tests.ordering import preferred as order

PIECES = {piece.slug(): piece for piece in gallery.PIECES}


@cache
def recipe_of(name: str) -> Recipe:
    piece = PIECES[name]
    sheet = data_folder("gallery") / "sheets" / f"{piece.sheet}.json"
    return order(piece.family, piece.options, sheet=sheet, operation=piece.operation).recipe


def listed(name: str) -> dict[str, tuple[str, str]]:
    """How and where, and limits, by what is looked at."""
    return {what: (how, limits) for what, how, limits, _, _ in acceptance(recipe_of(name))}


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("inv-20-u-inspection-dial", "clips"),
        ("inv-30-c-chronograph-spring-lever", "spring levers"),
        ("inv-26-a-inspection-swing-tab-dial", "loose bodies"),
        ("inv-30-c-chronograph-plunger", "loose bodies"),
    ],
)
def test_what_moves_is_worked_before_a_movement_goes_in(name: str, wanted: str) -> None:
    own = {"clips", "spring levers", "loose bodies"} & set(listed(name))
    assert own == {wanted}


def test_nothing_is_laid_in_a_mould() -> None:
    rows = listed("inv-case-38-cushion")
    assert "first casting" in rows
    assert "dry run" not in rows
    assert not any("seat" in how or "workpiece" in how for how, _ in rows.values())


def test_rod_and_guide_of_a_plunger_are_gauged_and_leave_its_play() -> None:
    """The play told in fits of this size is what the two ⌀ of the list differ by."""
    rows = listed("inv-30-c-chronograph-plunger")
    recipe = recipe_of("inv-30-c-chronograph-plunger")
    plungers = [part for part in recipe.parts if isinstance(part, Plunger)]
    assert len(plungers) == 2
    for part in plungers:
        rod, guide = (
            re.match(r"([\d.]+) ± ([\d.]+) mm$", rows[f"⌀ of the {what} of the {part.label()}"][1])
            for what in ("rod", "guide")
        )
        assert float(rod[1]) == pytest.approx(part.pin)
        assert float(guide[1]) - float(rod[1]) == pytest.approx(part.play)
        assert float(rod[2]) == float(guide[2]) == pytest.approx(recipe.printer.scatter)
        how, _ = rows[f"⌀ of the guide of the {part.label()}"]
        assert f"{recipe.workpiece.pusher(part.pusher).hour:.2f} h" in how


def test_each_tip_on_a_jewel_is_tried_with_ink() -> None:
    rows = listed("inv-26-a-hand-setting")
    recipe = recipe_of("inv-26-a-hand-setting")
    arbors = {each.name for each in recipe.workpiece.arbors}
    posts = [p.post().under for p in recipe.parts if p.post() and p.post().under in arbors]
    (name,) = [each for each in rows if each.startswith("transfer test")]
    assert posts
    assert all(post in name for post in posts)
    how, limits = rows[name]
    assert "ink" in how
    assert "without pressing" in how
    assert "jewel" in limits
    assert not [each for each in listed("inv-26-a-round-bridge") if "transfer" in each]


def test_a_pin_drilled_for_a_pivot_is_looked_at_with_its_sizes() -> None:
    rows, recipe = listed("inv-26-a-hand-setting"), recipe_of("inv-26-a-hand-setting")
    jewel = recipe.workpiece.arbor("centre").jewel(recipe.side_up.other)
    (post,) = [p.post() for p in recipe.parts if p.post() and p.post().under == "centre"]
    assert post.kind in ("pin", "screw")
    said = re.search(
        r"⌀([\d.]+) × ([\d.]+) mm deep drilled", rows["end of the insert under centre"][1]
    )
    assert float(said[1]) >= jewel.pivot_diameter + 2 * post.relief - 0.005
    assert float(said[2]) >= jewel.pivot_protrusion + post.relief - 0.005
