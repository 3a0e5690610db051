"""Conflicts between the parts of a recipe: each is found and named; a sound sibling is quiet.

The expected volumes are worked out by hand from the figures of the parts beside each check.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from nests.checks import judge
from nests.checks.bench._fittings import pieces
from nests.finding import Finding, Grade
from nests.given.printer_card import PrinterCard
from nests.given.sheet import KeepClear, Pusher, Rest, Sheet, Stem
from nests.given.zones import Disc, Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.parts.base import Part
from nests.parts.body import Body
from nests.parts.mark import Mark
from nests.parts.pusher_slot import PusherSlot
from nests.parts.relief import Relief
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.parts.stem_slot import StemSlot
from nests.parts.vent import Vent
from nests.parts.window import Window
from nests.places import Place, Side, at_hour
from nests.solids.solid import union
from nests.study import Study

SEAT = RingSeat()


def rest(name: str, hour: float, radius: float, diameter: float = 2.0) -> Rest:
    zone = Disc(centre=at_hour(hour, radius), diameter=diameter)
    return Rest(name=name, side=Side.BRIDGE, height=0.5, zone=zone)


SHEET = Sheet(
    name="plain 26",
    outline=Round(diameter=26.0),
    rim=1.6,
    dial_height=1.0,
    bridge_height=1.0,
    stem=Stem(hour=3.0, depth=0.8),
    rests=(rest("A", 0.0, 5.0), rest("B", 4.0, 5.0), rest("C", 8.0, 5.0), rest("near A", 0.0, 6.0)),
    pushers=(
        Pusher(name="start", hour=2.0, depth=0.8, lever_radius=12.0, travel=0.5),
        Pusher(name="by the stem", hour=3.2, depth=0.8, lever_radius=12.0, travel=0.5),
    ),
)


def found(*parts: Part, body: Body | None = None, sheet: Sheet = SHEET) -> list[Finding]:
    """The stop findings of a recipe with these parts."""
    recipe = Recipe(
        name="trial", workpiece=sheet, parts=parts, chord_error=0.01, body=body or Body(under=3.0)
    )
    every = judge(Study.of(compose(recipe)), only=("composition", "soundness", "wall"))
    return [each for each in every if each.grade is Grade.STOP]


def named(findings: list[Finding], says: str, *labels: str) -> Finding:
    """The one finding that says this of just these parts; its sentence names them too."""
    (only,) = [f for f in findings if set(f.parts) == set(labels) and says in f.says]
    assert all(each in only.says for each in labels)
    assert only.check == ("wall" if says.startswith("wall") else "composition")
    assert only.remedy
    return only


def test_slot_that_cuts_a_post() -> None:
    """A vent 2 mm wide from radius 10.5 outward meets a post of ⌀ 1.6 at radius 11.3.

    Its roof is 1 mm high amid and falls off at 45 degrees, so over the whole of the post's disc,
    radius r, it takes π·r²·1 - 4·r³/3 (the mean of |y| over a disc is 4·r/(3·π)).
    """
    sheet = Sheet(
        name="post by the rim", outline=Round(diameter=26.0), rim=1.6, bridge_height=1.0,
        rests=(rest("out", 0.0, 11.3), rest("in", 0.0, 6.0)),
    )  # fmt: skip
    vent, body = Vent(at=0.0, width=2.0), Body(under=3.0)
    out, inward = (StakePost(under=name, tip=1.2, shank=1.6) for name in ("out", "in"))
    hit = named(
        found(SEAT, out, vent, body=body, sheet=sheet),
        "cuts", "vent at 0 h", "stake post under out",
    )  # fmt: skip
    assert hit.value == pytest.approx(math.pi * 0.8**2 - 4 * 0.8**3 / 3, rel=0.03)
    assert hit.place == pytest.approx((0.0, 11.3, 2.5), abs=0.02)
    assert not found(SEAT, inward, vent, body=body, sheet=sheet)


def test_two_posts_claim_one_place() -> None:
    """Posts of ⌀ 3, 1 mm apart; their lens is 2·r²·acos(d/2r) - d/2·√(4r² - d²) in plan."""
    posts = [StakePost(under=name, tip=3.0, shank=3.0) for name in ("A", "near A")]
    hit = named(
        found(SEAT, *posts), "claim one place", "stake post under A", "stake post under near A"
    )
    lens = 2 * 1.5**2 * math.acos(1 / 3) - 0.5 * math.sqrt(8.0)
    # from 0.3 below the floor at 2 to the rests, 0.5 below the seat at 2 + 3 + 1
    assert hit.value == pytest.approx(lens * (5.5 - 1.7), rel=0.02)
    assert not found(SEAT, posts[0], StakePost(under="B", tip=3.0, shank=3.0))


def test_two_slots_claim_one_place() -> None:
    """Hours 3 and 3.2 are 6 degrees apart, 1.4 mm on the rim; the slots are 6 and 3.5 mm wide."""
    beside = PusherSlot(pusher="by the stem")
    named(
        found(SEAT, StemSlot(), beside),
        "claim one place", "stem slot", "pusher slot by the stem",
    )  # fmt: skip
    assert not found(SEAT, StemSlot(), PusherSlot(pusher="start"))


@pytest.mark.parametrize("wall", [0.2, 0.4, 0.55])
def test_wall_between_two_cuts_below_the_card(wall: float) -> None:
    """Two bores of ⌀ 5 through the floor with 5 mm + wall between their axes."""
    hit = named(found(SEAT, *bores(wall)), "wall between", "window #1", "window #2")
    assert hit.limit == PrinterCard().smallest_wall
    assert hit.value == pytest.approx(wall, abs=0.03)  # two chord errors of 0.01 and the sampling


@pytest.mark.parametrize("wall", [0.7, 2.0])
def test_wall_between_two_cuts_that_the_card_allows(wall: float) -> None:
    assert not found(SEAT, *bores(wall))


def bores(wall: float) -> tuple[Window, Window]:
    half = (5.0 + wall) / 2
    return (
        Window(diameter=5.0, at=Place(half, 0.0), vent=3.0),
        Window(diameter=5.0, at=Place(-half, 0.0), vent=9.0),
    )


def test_part_outside_the_body() -> None:
    """The body's radius is 13 + 8 mm; a post of ⌀ 2 at 21.5 mm stands half outside."""
    away = StakePost(under="A", at=at_hour(0.0, 21.5), tip=1.2, shank=2.0)
    hit = named(found(SEAT, away), "outside the body", "stake post under A", "body")
    assert hit.value == pytest.approx(math.pi * (5.5 - 1.7), rel=0.5)
    assert not found(SEAT, StakePost(under="A", tip=1.2, shank=2.0))


def test_part_of_which_nothing_is_left_to_cut() -> None:
    """A letter engraved where a slot wider than the letter has taken the wall."""
    slot = PusherSlot(pusher="start", width=8.0)
    stops = found(SEAT, slot, Mark(text="I", at=2.0))
    named(stops, "nothing is left to cut", "mark 'I'")
    named(stops, "claim one place", "mark 'I'", "pusher slot start")
    assert not found(SEAT, slot, Mark(text="I", at=8.0))


def test_part_of_which_nothing_is_left_of_what_it_adds() -> None:
    """A post drawn inside the wall is swallowed by it."""
    buried = StakePost(under="A", at=at_hour(0.0, 17.0), tip=1.2, shank=2.0)
    named(found(SEAT, buried), "nothing is left of what it adds", "stake post under A")


def test_nothing_left_of_the_body() -> None:
    """A keep-clear wider and deeper than the body, spared all round, takes all of it."""
    body = Body(under=3.0, floor=0.0)

    def sparing(wide: float) -> list[Finding]:
        zone = Disc(centre=Place(0.0, 0.0), diameter=wide)
        keep = KeepClear(name="all", side=Side.DIAL, zone=zone, from_height=-12.0, to_height=1.0)
        return found(Relief(of="all"), body=body, sheet=replace(SHEET, keep_clear=(keep,)))

    stops = sparing(60.0)
    assert [each.parts for each in stops if each.check == "composition"] == [("body",)]
    assert "nothing is left of the body" in stops[0].says
    assert not sparing(20.0)


def test_holder_in_pieces() -> None:
    """A bore over all of the floor frees the post that stands on it."""
    post = StakePost(under="A", tip=1.2, shank=2.0)
    loose = Window(diameter=3.5, at=at_hour(0.0, 5.0), vent=6.0, groove=1.0)
    pieces = [each for each in found(SEAT, post, loose) if "pieces" in each.says]
    assert len(pieces) == 1
    assert "stake post under A" in pieces[0].parts
    # from 0.01 above the floor at 2: a shaft of ⌀ 2, and a cone of 0.8 mm to ⌀ 1.2 below the rest
    # at 5.5; the shaft is drawn inside its circle by up to the chord error of 0.01
    cone = math.pi * 0.8 / 12 * (2.0**2 + 2.0 * 1.2 + 1.2**2)
    assert pieces[0].value == pytest.approx(math.pi * (5.5 - 0.8 - 2.01) + cone, rel=0.02)
    aside = Window(diameter=3.5, at=Place(0.0, -2.0), vent=6.0, groove=1.0)
    assert not found(SEAT, aside, post)


def test_pieces_of_a_holder_as_used_are_what_it_has_of_its_additions() -> None:
    """Against the definition, in common with the holder: of two posts run together, one cut into by
    what is laid after it."""
    near = replace(SHEET, rests=(*SHEET.rests, rest("out", 0.0, 11.3), rest("in", 0.0, 10.3)))
    posts = [StakePost(under=name, tip=1.2, shank=1.6) for name in ("out", "in")]
    made = Recipe(name="trial", workpiece=near, chord_error=0.01, body=Body(under=3.0),
                  parts=(SEAT, posts[0], Vent(at=0.0), posts[1]))  # fmt: skip
    holder = compose(made)
    added = [each.shape.adds for each in holder.laid[1:] if each.shape.adds is not None]
    rest_of_it, *others = pieces(holder)
    assert [each.label for each in others] == ["stake post under out", "stake post under in"]
    for each, whole in zip(others, added, strict=True):
        wanted = whole ^ holder.solid
        assert (each.solid - wanted).volume() < 1e-9
        assert (wanted - each.solid).volume() < 1e-9
    assert others[0].solid.volume() < added[0].volume() - 0.1
    assert (others[0].solid ^ others[1].solid).volume() > 0.1
    together = union([rest_of_it.solid, *(each.solid for each in others)])
    assert together.volume() == pytest.approx(holder.solid.volume(), abs=1e-6)
