"""The acceptance list has a row for what each holder can fail by, and none for what it has not."""

from __future__ import annotations

import pytest

from nests.documents.files import data_folder
from nests.orders import gallery
from nests.papers.report.acceptance import acceptance
from tests.ordering import preferred as order

PIECES = {piece.slug(): piece for piece in gallery.PIECES}


def listed(name: str) -> dict[str, tuple[str, str]]:
    """How and where, and limits, by what is looked at."""
    piece = PIECES[name]
    sheet = data_folder("gallery") / "sheets" / f"{piece.sheet}.json"
    asked = order(piece.family, piece.options, sheet=sheet, operation=piece.operation)
    return {what: (how, limits) for what, how, limits, _, _ in acceptance(asked.recipe)}


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
