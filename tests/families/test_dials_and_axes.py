"""What families make of a dial that is on, of two arbors on one axis, and of cap jewels."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nests.choosing import choose
from nests.documents.files import data_folder
from nests.finding import Grade, Refused
from nests.given.dial import Dial
from nests.given.operation import USUAL, Operation, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Jewel, Sheet
from nests.given.zones import Round
from nests.holder.compose import compose
from nests.kinds import read
from nests.parts.stake_post import StakePost
from nests.places import Side
from nests.planning.holders import lacks, posts_under
from nests.units import BadInput

SHEETS = data_folder("gallery") / "sheets"
CARD = PrinterCard()
HANDS = USUAL.operation("hand-setting")


def work(name: str) -> Sheet:
    return read(SHEETS / f"{name}.json", Sheet)


def with_dial(diameter: float, **more: float) -> Sheet:
    about = Dial(outline=Round(diameter=diameter), underside=0.55, hands_height=1.5)
    return replace(work("inv-26-a"), dial=replace(about, **more))


LOOK = Operation(name="look over", side_up=Side.BRIDGE)


@pytest.mark.parametrize("family", ["round", "inspection"])
def test_a_dial_that_hides_the_rim_is_named(family: str) -> None:
    does = replace(LOOK, turned_over=family == "inspection")
    with pytest.raises(Refused, match=r"dial of 'INV 26-A' is on"):
        choose(family, with_dial(28.5), does, {}, CARD, explain=False)
    off = replace(does, absent=("dial",))
    found = choose(family, with_dial(28.5), off, {}, CARD, explain=False)
    assert found.faults[0] == 0


def test_a_small_dial_leaves_the_rim_to_lie_on() -> None:
    """⌀ 24.2 on ⌀ 26: 0.9 mm of rim are left, and floor and ledge stay off the dial's face."""
    small = with_dial(24.2)
    small = replace(small, dial_feet=(), keep_clear=small.keep_clear[:1])
    found = choose("round", small, LOOK, {}, CARD, explain=False)
    assert found.faults[0] == 0
    site = found.recipe.site()
    assert site.seat - site.floor > 0.55 + 0.4 + 1.5
    unknown = replace(small, dial=replace(small.dial, hands_height=None))  # type: ignore[type-var]
    told = choose("round", unknown, LOOK, {}, CARD, explain=False).findings
    assert any(f.grade is Grade.UNKNOWN and "hands look to the bench" in f.says for f in told)


def test_without_an_operation_a_dial_below_is_off() -> None:
    found = choose("round", with_dial(28.5), None, {"side_up": "bridge"}, CARD, explain=False)
    assert found.recipe.operation.absent == ("dial",)
    assert found.recipe.workpiece.dial is None


def test_clips_over_a_hidden_rim_are_for_a_movement_without_its_dial() -> None:
    found = choose("inspection", with_dial(28.5), None, {"side_up": "dial"}, CARD, explain=False)
    assert found.faults[0] == 0
    assert found.recipe.operation.absent == ("dial",)
    assert any("dial hides the rim" in each for each in found.recipe.reasons)
    does = Operation(name="turned", side_up=Side.DIAL, turned_over=True)
    with pytest.raises(Refused, match=r"where the dial, which is on, leaves a rest"):
        choose("inspection", with_dial(28.5), does, {}, CARD, explain=False)


def test_no_post_reaches_a_jewel_under_a_dial() -> None:
    plain = work("inv-26-a")
    third = plain.arbors[1]
    jewel = Jewel(side=Side.DIAL, diameter=1.2, height=0.0, thickness=0.3)
    arbors = (plain.arbors[0], replace(third, jewels=(*third.jewels, jewel)), plain.arbors[2])
    about = Dial(outline=Round(diameter=24.0), underside=0.55, hands_height=1.5)
    sheet = replace(plain, arbors=arbors, dial=about, dial_feet=(), keep_clear=plain.keep_clear[:1])
    does = replace(LOOK, presses=(Press(arbor="third wheel", force=6.0),))
    with pytest.raises(BadInput, match=r"'dial' and 'hands' lie over the jewel.*press before they"):
        choose("pressing", sheet, does, {}, CARD, explain=False)
    off = choose("pressing", sheet, replace(does, absent=("dial",)), {}, CARD, explain=False)
    assert off.faults[0] == 0


def posts(recipe) -> list[StakePost]:  # type: ignore[no-untyped-def]
    return [p for p in recipe.parts if isinstance(p, StakePost)]


def test_one_post_for_two_arbors_on_one_axis() -> None:
    sheet = work("inv-28-s")
    found = choose("hand-setting", sheet, HANDS, {}, CARD, explain=False)
    assert found.faults[0] == 0
    assert [p.under for p in posts(found.recipe) if not any(
        r.name == p.under for r in sheet.rests)] == ["sweep seconds"]  # fmt: skip
    places = [tuple(round(c, 3) for c in p.contacts(found.recipe.site())[0].place[:2])
              for p in posts(found.recipe)]  # fmt: skip
    assert len(set(places)) == len(places)
    assert lacks(found.recipe) == ()
    assert posts_under(found.recipe) == ("sweep seconds",)
    says = next(f.says for f in found.findings if "pressing on 'centre'" in f.says)
    for words in (
        "hour hand and minute hand press on it",
        "its own jewel is not supported",
        "that of 'sweep seconds'",
        "slides from 26.0 N",
        "slides from 34.0 N",
    ):
        assert words in says


def test_the_post_is_there_too_if_the_inner_arbor_alone_is_pressed() -> None:
    does = replace(HANDS, presses=(Press(arbor="centre", force=20.0),))
    found = choose("hand-setting", work("inv-28-s"), does, {}, CARD, explain=False)
    assert found.faults[0] == 0
    assert "sweep seconds" in [p.under for p in posts(found.recipe)]


def with_push_out(inner: float, outer: float) -> Sheet:
    sheet = work("inv-28-s")
    first, second = sheet.arbors[:2]
    fits = [replace(a, jewels=(replace(a.jewels[0], push_out_force=force),))
            for a, force in ((first, inner), (second, outer))]  # fmt: skip
    return replace(sheet, arbors=(*fits, *sheet.arbors[2:]))


@pytest.mark.slow
def test_what_no_post_can_hold_is_refused_with_the_jewel_named() -> None:
    with pytest.raises(Refused, match=r"jewel of 'centre' in place under 20 N: .*'sweep seconds'"):
        choose("hand-setting", with_push_out(12.0, 16.0), HANDS, {}, CARD, explain=False)
    with pytest.raises(Refused, match=r"jewel of 'sweep seconds' in place under 20 N on 'centre'"):
        choose("hand-setting", with_push_out(34.0, 2.0), HANDS, {}, CARD, explain=False)


def test_a_post_drawn_under_the_inner_jewel_is_refused() -> None:
    made = choose("hand-setting", work("inv-28-s"), HANDS, {}, CARD, explain=False).recipe
    parts = tuple(
        replace(p, under="centre") if isinstance(p, StakePost) and p.under == "sweep seconds" else p
        for p in made.parts
    )
    with pytest.raises(BadInput, match=r"lies behind that of 'sweep seconds'"):
        compose(replace(made, parts=parts))


def test_a_post_meets_a_cap_jewel_at_its_own_height() -> None:
    """The balance of INV 28-S has a hole jewel at 1.75 mm and its cap at 2.1 mm."""
    sheet = replace(work("inv-28-s"), keep_clear=work("inv-28-s").keep_clear[1:])
    cap = sheet.arbor("balance").jewel(Side.BRIDGE)
    assert cap is not None
    assert cap.height == 2.1
    does = replace(HANDS, presses=(Press(arbor="balance", force=2.0),), absent=("dial",))
    made = choose("hand-setting", sheet, does, {}, CARD, explain=False).recipe
    (post,) = [p for p in posts(made) if p.under == "balance"]
    site = made.site()
    assert post.contacts(site)[0].place[2] == pytest.approx(site.seat - 2.1 - post.short)
