"""What a drawing says is what was asked for: sizes of the sheet, play, bias of the printer."""

from __future__ import annotations

import hashlib
import itertools

import pytest
from drawn_holders import CARD, FAMILIES, PIECES, SIZES, drawing, holder

from nests.orders import pack
from nests.papers.drawing import Dimension
from nests.papers.drawing.dimensions import Measured
from nests.papers.drawing.lettering import HEIGHTS
from nests.papers.drawing.planes import section_planes
from nests.papers.drawing.profile import Subject
from nests.papers.drawing.values import Block, Text
from nests.parts.feature import Feature
from nests.places import Side
from nests.units import printed


def named(name: str, size: float = 1.0) -> dict[str, Dimension]:
    return {each.name: each for each in drawing(name, size).dimensions}


def block(name: str, start: str) -> Block:
    return next(b for b in drawing(name).blocks if b.name.startswith(start))


@pytest.mark.parametrize("size", SIZES)
def test_the_bore_is_rim_plus_play_less_bias(size: float) -> None:
    # closed form: printed = drawn + bias, so drawn = 26·size + 0.10 + 0.06
    found = named("inv-26-a-hand-setting", size)
    assert found["seat bore"].value == pytest.approx(
        26.0 * size + 0.10 - CARD.inside_bias, abs=1e-6
    )
    assert found["outer"].value == pytest.approx(26.0 * size + 2 * 8.0, abs=1e-6)
    assert found["floor"].value == pytest.approx(2.0, abs=1e-6)


def test_the_fit_says_what_the_printed_bore_should_measure() -> None:
    words = [t.words for t in block("inv-26-a-hand-setting", "fits").items if isinstance(t, Text)]
    row = words[words.index("seat bore") :][:5]
    assert row == ["seat bore", "⌀26.00", "play 0.10", "⌀26.16", "⌀26.10 ±0.02"]


@pytest.mark.slow
def test_no_length_is_given_twice() -> None:
    for name in PIECES:
        names = [each.name for each in drawing(name).dimensions]
        assert len(names) == len(set(names)), name


@pytest.mark.parametrize("name", ["inv-26-a-hand-setting", "inv-20-u-thin-bridge"])
def test_posts_stand_where_the_sheet_has_their_jewels(name: str) -> None:
    made = holder(name)
    sheet, mirrored = made.recipe.workpiece, made.recipe.side_up is Side.BRIDGE
    rows = [t.words for t in block(name, "posts").items if isinstance(t, Text)]
    for contact in made.contacts:
        if not contact.part.startswith("stake post"):
            continue
        arbor = next((a for a in sheet.arbors if a.name == contact.touches), None)
        at = arbor.at if arbor else sheet.rest(contact.touches).zone.centre
        row = rows[rows.index(contact.touches) :][:6]
        number = [float(words.replace("−", "-").split()[0]) for words in row[1:]]
        x = -at.x if mirrored else at.x
        assert number[2:4] == pytest.approx([x, at.y], abs=0.0051)
        (ledge,) = {part.shelf(made.recipe.site()).level for part in made.recipe.parts
                    if part.shelf(made.recipe.site()) is not None}  # fmt: skip
        assert number[4] == pytest.approx(abs(contact.place[2] - ledge), abs=0.0051)
        assert row[5].endswith("below the ledge" if contact.place[2] < ledge else "above the ledge")
        assert number[0] == pytest.approx(at.hour, abs=0.0051)


def test_the_title_block_carries_the_recipe_of_the_pack() -> None:
    made = holder("inv-26-a-hand-setting")
    recipe = pack.build(made.recipe, papers=False).files["recipe.json"]
    words = {t.words for t in block("inv-26-a-hand-setting", "title").items if isinstance(t, Text)}
    assert hashlib.sha256(recipe).hexdigest()[:12] in words
    assert {"INV 26-A", "dial", "hand-setting", "mm", "movement holder"} <= words
    assert "movement, INVENTED" in words
    assert "2:1" in words
    assert any(each.startswith("A4, 1/") for each in words)


def test_the_plan_stands_below_the_front_view() -> None:
    # ISO 5456-2, first-angle projection: the view from above is placed underneath
    front, plan = (block("inv-26-a-hand-setting", name) for name in ("section A", "plan"))
    assert plan.box()[3] < front.box()[1]


@pytest.mark.parametrize("name", ["inv-26-a-hand-setting", "inv-30-t-pressing-third-wheel-bridge"])
def test_left_in_the_front_section_is_left_in_the_plan(name: str) -> None:
    # ISO 5456-2, first-angle projection: view from above and view from the front share one axis
    front = section_planes(Subject.of(holder(name)))[0]
    stem = front.left if "bridge" in name else front.right  # 3 h, mirrored when the bridges look up
    assert front.left.plane.ahead[0] < 0.0 < front.right.plane.ahead[0]
    assert stem.ledges("stem slot")
    assert stem is not front.turned[1]


@pytest.mark.parametrize(
    "names",
    [FAMILIES[:8], pytest.param(tuple(PIECES), marks=pytest.mark.slow)],
    ids=["some", "all"],
)
def test_scales_and_lettering_are_standard(names: tuple[str, ...]) -> None:
    # ISO 5455: 5:1, 2:1, 1:1, 1:2, 1:5 … and 10 times these (from memory).
    # ISO 3098-1: heights in steps of √2, rounded: 2.5 3.5 5 (from memory).
    for small, large in itertools.pairwise(HEIGHTS):
        assert large / small == pytest.approx(2**0.5, abs=0.03)
    for name in names:
        assert drawing(name).scale in (5.0, 2.0, 1.0, 0.5, 0.2)
        assert {t.height for t in drawing(name).texts} <= set(HEIGHTS)
        assert drawing(name).form in ("A5", "A4")


@pytest.mark.parametrize("size", [3.975, 3.985, 4.335, 6.445, 1.125, 26.125])
def test_one_size_is_one_figure_wherever_it_stands(size):
    """Half-way between two figures the noise of the solid had the say."""
    for noise in (-1e-9, 1e-9, 3e-8, -3e-8):
        both = (size, size + noise)
        told = {Measured("a", each, ((0.0,) * 3,) * 2).words() for each in both}
        listed = {Feature("a", "", "", "bore", each, 0.03).limits() for each in both}
        assert len(told) == len(listed) == 1
        (drawn,), (asked,) = told, listed
        assert asked == f"{drawn} ± 0.03 mm"
    assert printed(-1e-9) == "0.00"
