"""A quartz movement: arbors in bushes of the stock, a coil and a cell to keep clear of."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from nests.checks import judge
from nests.checks.bench.load_path import check as load_path
from nests.consistency import check_sheet
from nests.finding import Finding, Grade
from nests.given.sheet import PlateStock, Sheet
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.load_path.strength import borne
from nests.orders.order import order
from nests.papers.report import cautions
from nests.parts.stake_post import StakePost
from nests.places import Side
from nests.study import Study

QUARTZ = Path("gallery/sheets/inv-21-q.json")


@pytest.fixture(scope="module")
def made() -> Recipe:
    return order("hand-setting", {}, sheet=QUARTZ, operation="hand-setting").recipe


def with_sheet(recipe: Recipe, **changed: object) -> Recipe:
    return replace(recipe, workpiece=replace(recipe.workpiece, **changed))


def on(recipe: Recipe) -> Finding:
    (found,) = load_path(Study.of(compose(recipe)))
    return found


def test_hands_are_set_on_a_quartz_movement(made: Recipe) -> None:
    """Clear in all, with a printed post round the arbor, which coil and cell are spared by."""
    assert {f.grade for f in judge(Study.of(compose(made)))} == {Grade.CLEAR}
    (post,) = [p for p in made.parts if isinstance(p, StakePost) and p.under == "centre"]
    assert post.kind == "printed"


def test_a_bush_has_no_fit_to_slide(made: Recipe) -> None:
    found = on(made)
    assert found.grade is Grade.CLEAR
    assert "no friction fit to slide" in found.says
    assert "slides from" not in found.says
    assert "its post takes" in found.says


def test_the_same_face_as_a_jewel_would_slide_without_its_post(made: Recipe) -> None:
    """What the bush changes: without a post a jewel slides out of its hole, a bush cannot."""
    bare = replace(made, parts=tuple(
        p for p in made.parts if not (isinstance(p, StakePost) and p.under == "centre")
    ))  # fmt: skip
    assert on(bare).grade is Grade.CLEAR
    assert "no post is under it" in on(bare).says
    first, *others = made.workpiece.arbors
    (bush,) = first.jewels
    jewel = replace(bush, bush=False, push_out_force=9.0)
    as_jewel = with_sheet(bare, arbors=(replace(first, jewels=(jewel,)), *others))
    assert on(as_jewel).grade is Grade.STOP


def test_where_the_stock_is_not_measured_the_post_still_catches_it(made: Recipe) -> None:
    unmeasured = with_sheet(made, bridges=PlateStock())
    found = on(unmeasured)
    assert found.grade is Grade.CLEAR
    assert "catches the bridges at the latest" in found.says
    parts = tuple(
        replace(p, short=0.2) if isinstance(p, StakePost) and p.under == "centre" else p
        for p in unmeasured.parts
    )
    assert on(replace(unmeasured, parts=parts)).grade is Grade.UNKNOWN
    bare = tuple(p for p in parts if not (isinstance(p, StakePost) and p.under == "centre"))
    alone = on(replace(unmeasured, parts=bare))
    assert alone.grade is Grade.UNKNOWN
    assert "no post stands under its bush" in alone.says


@pytest.mark.parametrize(("modulus", "limit"), [(97_000.0, 62.0), (2_400.0, 25.0)])
def test_a_bush_bears_what_its_stock_bears(made: Recipe, modulus: float, limit: float) -> None:
    """Half the yield strength of brass, 124 MPa, or of plastic, 50 MPa; not that of a ruby."""
    work = with_sheet(made, bridges=PlateStock(thickness=0.6, modulus=modulus))
    (post,) = [p for p in work.parts if isinstance(p, StakePost) and p.under == "centre"]
    (bears,) = [e for e in borne(post, work.site(), 20.0).limits if e.what == "bears"]
    assert bears.limit == limit


@pytest.mark.parametrize("field", ["push_out_force", "interference"])
def test_a_bush_with_a_fit_contradicts_itself(field: str) -> None:
    sheet = read(QUARTZ, Sheet)
    first, *others = sheet.arbors
    (bush,) = first.jewels
    arbor = replace(first, jewels=(replace(bush, **{field: 0.01 if "int" in field else 9.0}),))
    (found,) = [
        f for f in check_sheet(replace(sheet, arbors=(arbor, *others))) if f.grade is Grade.STOP
    ]
    assert "bush is true" in found.says
    assert field in found.says


def test_the_caution_about_cells_names_the_cell() -> None:
    sheet = read(QUARTZ, Sheet)
    named = cautions.bench(sheet)[-1]
    assert "lithium" in named.casefold()
    assert "'cell' on the bridge side" in named
    plain = cautions.bench(replace(sheet, keep_clear=()))
    assert plain[-1] == (
        "Lithium cells in quartz movements: take them out first, never bridge their poles."
    )
    assert Side.BRIDGE in {k.side for k in sheet.keep_clear if k.name == "coil"}
