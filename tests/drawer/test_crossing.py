"""Crossing over. The numbers are worked out by hand from the sheet of INV 26-A and its holder.

Hand setting of INV 26-A: ledge 6.9 mm above the bench (floor 2.0, room under 3.0, bridge side 1.9),
bore 26.1, wall up to 7.762; posts under the centre jewel (1.3 below the ledge),
and under two rests (1.2 below). Tolerance of heights: 0.02 measured + 0.03 printed.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from nests.drawer.crossing import cross
from nests.drawer.seats import seats
from nests.families._rim import narrowest
from nests.finding import Grade, Refused
from nests.given.operation import USUAL, Operation
from nests.given.sheet import Sheet
from nests.given.zones import Disc, Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds.kept import Change, KeptHolder, make_id
from nests.orders import gallery
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.places import Place, Side, at_hour
from nests.units import BadInput
from tests.ordering import preferred as order
from tests.pieces import every

from .conftest import GALLERY, readings, recipe, sheet

HANDS = USUAL.operation("hand-setting")


def kept(of, **gauged) -> KeptHolder:
    filed = Change(number=1, did="filed", readings=readings(**gauged))
    return KeptHolder(id=make_id(of.kind, 1), recipe=of, history=(filed,))


@pytest.fixture(scope="module")
def movement() -> Sheet:
    return sheet("inv-26-a")


def flush(of: Recipe, **seat) -> Recipe:
    """A recipe whose tips end just where the sheet has jewel or rest, whatever its family does."""
    parts = [replace(p, short=0.0) if isinstance(p, StakePost) else p for p in of.parts]
    parts = [replace(p, **seat) if isinstance(p, RingSeat) else p for p in parts]
    return replace(of, parts=tuple(parts))


@pytest.fixture(scope="module")
def hands() -> Recipe:
    return flush(recipe("hand-setting", "inv-26-a", "hand-setting"))


def with_jewel(of: Sheet, **changes) -> Sheet:
    """INV 26-A with another centre arbor; `at` moves it, the rest are fields of its jewel."""
    centre, *others = of.arbors
    at = changes.pop("at", centre.at)
    jewel = replace(centre.jewels[0], **changes)
    return replace(of, arbors=(replace(centre, at=at, jewels=(jewel,)), *others))


def with_rest(of: Sheet, name: str, **changes) -> Sheet:
    rests = tuple(replace(r, **changes) if r.name == name else r for r in of.rests)
    return replace(of, rests=rests)


def posts(of, under: str) -> list[StakePost]:
    return [p for p in of.parts if isinstance(p, StakePost) and p.under == under]


def judged(of, other, operation=HANDS, bench=False, seat=0, **gauged):
    return cross(kept(of, **gauged), other, operation, bench=bench, seat=seat)


def only(crossing, check, words, grade=Grade.STOP):
    """The one finding of a check and grade with these words."""
    found = [f for f in crossing.findings
             if f.check == check and f.grade is grade and words in f.says]  # fmt: skip
    assert len(found) == 1, [f.sentence() for f in crossing.findings]
    return found[0]


def stops(crossing):
    return [f.sentence() for f in crossing.findings if f.grade is Grade.STOP]


@pytest.mark.parametrize("piece", every())
def test_every_holder_takes_its_own_movement(piece):
    path = GALLERY / "sheets" / f"{piece.sheet}.json" if piece.sheet else None
    made = order(piece.family, piece.options, sheet=path, operation=piece.operation).recipe
    holder = kept(made)
    if made.kind == "cushion mould":
        assert seats(holder) == ()
        with pytest.raises(BadInput, match="has no seat"):
            cross(holder, made.workpiece, bench=False)
        return
    found = cross(holder, made.workpiece, bench=False)
    assert not stops(found)
    assert found.holder is not None
    assert found.holder.recipe.site().seat == pytest.approx(made.site().seat, abs=1e-9)


def test_the_print_stays_as_it_is(hands, movement):
    other = replace(with_jewel(movement, height=1.1), name="OTHER", bridge_height=2.2)
    found = judged(hands, other)
    assert found.holder is not None
    made, lying = compose(hands), found.holder
    assert lying.solid.volume() == pytest.approx(made.solid.volume(), rel=1e-12)
    assert lying.recipe.workpiece == other
    site = lying.recipe.site()
    assert (site.seat, site.top, site.floor) == pytest.approx((6.9, 7.762, 2.0))
    assert site.outer(7.0) == pytest.approx(hands.site().outer(7.0))
    gaps = {c.touches: c.gap for c in lying.contacts if "post" in c.part}
    assert gaps["centre"] == pytest.approx(0.2)
    assert gaps["barrel bridge"] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("height", "words", "value"),
    [(1.0, "0.30 mm short of", 0.3), (1.24, "0.06 mm short of", 0.06), (1.6, "proud", 0.3)],
)
def test_a_jewel_at_another_height(hands, movement, height, words, value):
    finding = only(judged(hands, with_jewel(movement, height=height)), "support", words)
    assert finding.value == pytest.approx(value)
    assert finding.limit == pytest.approx(0.03)  # 0.02 measured, 0.01 set


@pytest.mark.parametrize("height", [1.28, 1.32])
def test_a_jewel_within_the_tolerance_is_supported(hands, movement, height):
    found = judged(hands, with_jewel(movement, height=height))
    assert not stops(found)
    finding = only(found, "support", "stands under its jewel", Grade.CLEAR)
    assert finding.value == pytest.approx(0.02)


def test_gauging_tells_what_the_drawing_does_not(hands, movement):
    """0.04 mm short of the jewel, from the ledge as it was gauged: what counts is the difference,
    and what is gauged says nothing of the other posts."""
    assert not stops(judged(hands, movement, ledge=6.9, posts={"barrel bridge": 5.7}))
    for gauged in ({}, {"ledge": 6.9}):
        short = judged(hands, movement, posts={"centre": 5.56}, **gauged)
        row = only(short, "gauging", "'centre-below-ledge' is 1.34 mm")
        assert row.limit == pytest.approx(1.31)
        finding = only(short, "support", "short of")
        assert finding.value == pytest.approx(0.04)
        assert finding.limit == pytest.approx(0.03)
    # a ledge as low as the tip: as far below it as drawn
    level = judged(hands, movement, ledge=6.86, posts={"centre": 5.56})
    assert not [f for f in level.findings if f.check == "support" and f.grade is Grade.STOP]
    assert not [f for f in level.findings if "'centre-below-ledge' is" in f.says
                and f.grade is not Grade.CLEAR]  # fmt: skip


def test_a_jewel_elsewhere_is_not_supported_and_the_post_stands_in_the_way(hands, movement):
    other = with_jewel(movement, at=at_hour(4.0, 2.0))
    found = judged(hands, other)
    assert only(found, "support", "is not supported").value == pytest.approx(2.0)
    bare = only(found, "support", "no jewel and no rest")
    # the pin's end at 5.6, the lowest part of the movement at 6.9 - 1.9
    assert bare.value == pytest.approx(0.6)
    assert bare.place == pytest.approx((0.0, 0.0, 5.6))


def test_a_post_below_everything_is_no_fault(hands, movement):
    """A flatter movement: its lowest part stays 0.06 above the pin at 1.3; 0.02 is to be mended, as
    the pin is set within 0.01 and the caliper reads within 0.02."""
    other = with_jewel(replace(movement, bridge_height=1.24), at=at_hour(4.0, 2.0))
    found = judged(hands, other)
    assert not [f for f in found.findings if "no jewel and no rest" in f.says]
    near = judged(hands, replace(other, bridge_height=1.28))
    assert only(near, "support", "no jewel and no rest", Grade.MEND).value == pytest.approx(-0.02)


def test_a_mirrored_movement_does_not_cross_over(hands, movement):
    """The rest under the barrel, mirrored: 1.4 h becomes 10.6 h, and the post stands bare."""
    other = with_rest(movement, "barrel bridge", zone=Disc(centre=at_hour(10.6, 7.4), diameter=3.2))
    found = judged(hands, other)
    finding = only(found, "support", "no jewel and no rest")
    assert "1.40 h" in finding.says
    assert finding.value == pytest.approx(5.7 - 5.0)


def test_a_rest_too_small_for_the_tip(hands, movement):
    (post,) = posts(hands, "barrel bridge")
    other = with_rest(movement, "barrel bridge", zone=Disc(centre=at_hour(1.4, 7.4), diameter=1.5))
    finding = only(judged(hands, other), "support", "outside the rest 'barrel bridge'")
    assert finding.value == pytest.approx((post.tip - 1.5) / 2, abs=0.005)


def test_a_pivot_too_thick_for_its_room(hands, movement):
    """The room is drawn for a pivot of 0.28 with the post's relief round it."""
    (post,) = posts(hands, "centre")
    finding = only(judged(hands, with_jewel(movement, pivot_diameter=0.9)), "support", "pivot")
    assert finding.value == pytest.approx(0.14 + post.relief - 0.45)


def test_a_screw_may_be_set(hands, movement):
    parts = tuple(
        replace(p, kind="screw") if isinstance(p, StakePost) and p.under == "centre" else p
        for p in hands.parts
    )
    found = judged(replace(hands, parts=parts), with_jewel(movement, height=1.0))
    assert not stops(found)
    finding = only(found, "support", "short of", Grade.MEND)
    assert "0.30 mm higher" in finding.remedy


@pytest.mark.parametrize(
    ("diameter", "grade", "play"),
    [
        (26.2, Grade.STOP, -0.1),
        (26.07, Grade.MEND, 0.03),
        (26.0, Grade.CLEAR, 0.1),
        (25.6, Grade.MEND, 0.5),
        (24.9, Grade.STOP, 1.2),
    ],
)
def test_the_seat(hands, movement, diameter, grade, play):
    found = judged(hands, replace(movement, outline=Round(diameter=diameter)))
    finding = only(found, "seat", "leaves the rim", grade)
    assert finding.value == pytest.approx(play)
    assert found.play == pytest.approx(play)
    assert (found.holder is None) == (play < 0.0)


def test_a_gauged_seat_counts_before_the_drawing(hands, movement):
    found = judged(hands, movement, seat=0)
    assert only(found, "seat", "leaves the rim", Grade.CLEAR).value == pytest.approx(0.1)
    worn = cross(kept(hands, seat=[26.3, 26.5]), movement, HANDS, bench=False)
    finding = only(worn, "seat", "too wide", Grade.MEND)
    assert finding.value == pytest.approx(0.4)
    assert "± 0.12 mm" in finding.says  # half of what the readings differ, and 0.02 measured


def test_the_ledge_must_reach_under_the_rim(hands, movement):
    """A rim of 24.9 pushed to one side of the bore of 26.1, over an opening of 26 - 2·ledge."""
    (seat,) = [p for p in hands.parts if isinstance(p, RingSeat)]
    found = judged(hands, replace(movement, outline=Round(diameter=24.9)))
    finding = only(found, "seat", "the ledge reaches")
    assert finding.value == pytest.approx((24.9 - 1.2 - (26.0 - 2 * seat.ledge)) / 2)


def test_a_deeper_bridge_side_stands_on_the_floor(hands, movement):
    found = judged(hands, replace(movement, bridge_height=5.5))
    assert only(found, "height", "above its floor").value == pytest.approx(4.9 - 5.5)


def test_a_flange_meets_the_wall(hands, movement):
    """Rim 1.0 with a flange of 0.4: its underside at 7.5, the wall at 7.762."""
    found = judged(hands, replace(movement, rim=1.0, dial_height=0.5))
    assert only(found, "height", "meet the wall").value == pytest.approx(7.5 - 7.762)


@pytest.mark.parametrize(
    ("changes", "value", "way"),
    [
        # 0.4 of room, less the way off the slot's middle at its far end, 13 + 2.5
        ({"hour": 4.0}, 0.4 - 15.5 * math.sin(math.pi / 6), "beside"),
        ({"hour": 3.02}, 0.4 - 15.5 * math.sin(math.pi / 300), "beside"),
        ({"depth": 1.5}, 0.4 - 0.65, "below"),
    ],
)
def test_the_stem(hands, movement, changes, value, way):
    other = replace(movement, stem=replace(movement.stem, **changes))
    grade = Grade.STOP if value < 0 else Grade.CLEAR
    finding = only(judged(hands, other), "stem", way, grade)
    assert finding.value == pytest.approx(value, abs=1e-4)


def test_without_a_slot_the_stem_comes_out_first(plain, movement):
    looking = Operation(name="looking", side_up=Side.DIAL)
    finding = only(judged(plain, movement, looking), "stem", "no slot", Grade.MEND)
    assert finding.remedy == "take the stem out first"
    assert only(judged(plain, movement), "stem", "no slot", Grade.STOP)


@pytest.mark.parametrize(
    ("options", "changes", "value"),
    [
        # half of what the slot is wider than a peg of 1.2, less the way off at the edge, 15 mm
        ({"pushed_by": "slot"}, {"hour": 2.1}, 1.15 - 15 * math.sin(math.pi / 60)),
        ({"pushed_by": "slot"}, {"hour": 2.2}, 1.15 - 15 * math.sin(math.pi / 30)),
        ({"pushed_by": "plunger"}, {"depth": 1.75}, 0.3 - 0.5),
        ({"pushed_by": "plunger"}, {"lever_radius": 14.9}, 0.15 - 0.3),
    ],
)
def test_pushers(options, changes, value):
    made, movement = (
        recipe("chronograph", "inv-30-c", "chronograph-hands", **options),
        sheet("inv-30-c"),
    )
    first, second = movement.pushers
    other = replace(movement, pushers=(replace(first, **changes), second))
    found = judged(made, other, USUAL.operation("chronograph-hands"))
    grade = Grade.STOP if value < 0 else Grade.CLEAR
    assert only(found, "pusher", first.name, grade).value == pytest.approx(value, abs=1e-4)


@pytest.mark.parametrize(("hour", "grade"), [(3.0, Grade.CLEAR), (4.0, Grade.STOP)])
def test_a_pusher_through_the_crown_goes_where_the_stem_goes(hands, movement, hour, grade):
    """The holder has a slot for a stem at 3 h and nothing for a pusher."""
    stem = replace(movement.stem, hour=hour)
    pusher = replace(sheet("inv-30-c").pushers[0], hour=hour, depth=stem.depth, lever_radius=12.0)
    other = replace(movement, stem=stem, pushers=(pusher,))
    found = judged(hands, other, replace(HANDS, pushers=True))
    assert only(found, "pusher", "worked through the crown", grade)


def test_a_holder_without_pusher_ways(hands, movement):
    other = replace(movement, pushers=sheet("inv-30-c").pushers[:1])
    found = judged(hands, other, replace(HANDS, pushers=True))
    assert only(found, "pusher", "has nothing for a pusher")


@pytest.mark.parametrize(("rim", "words"), [(1.9, "does not close"), (1.5, "lies loose")])
def test_clips_are_for_one_height_of_rim(movement, rim, words):
    made = recipe("inspection", "inv-26-a", hold="clip", side_up="dial")
    turned = replace(made.operation, turned_over=True)
    finding = only(judged(made, replace(movement, rim=rim), turned), "hold", words)
    assert finding.value == pytest.approx(0.2)


def test_carried_on_posts_a_movement_lies_as_high_as_they_hold_it(movement):
    # the ledge 0.2 below the rim: the posts carry
    made = flush(recipe("thin", "inv-26-a", side_up="dial"), drop=0.2)
    lower = movement
    for name in ("barrel bridge", "train bridge"):
        lower = with_rest(lower, name, height=1.1)
    lower = with_jewel(lower, height=1.2)
    before, after = judged(made, movement), judged(made, lower)
    assert not stops(before)
    assert not stops(after)
    assert before.holder is not None
    assert after.holder is not None
    drop = before.holder.recipe.site().seat - after.holder.recipe.site().seat
    assert drop == pytest.approx(0.1)
    # one post alone 0.3 proud of the others: it would tilt
    assert only(judged(made, with_jewel(movement, height=1.6)), "support", "under centre")


def test_the_seat_in_the_foot():
    made = recipe("round", "", diameter=30.0, height=6.0, below=25.6)
    other = Sheet(name="OTHER", outline=Round(diameter=25.6), rim=1.5, bridge_height=1.0)
    plain = Operation(name="looking", side_up=made.side_up)
    found = judged(made, other, plain, bench=True, seat=1)
    assert found.seat.in_foot
    assert not stops(found)
    assert found.play == pytest.approx(0.1)
    assert only(found, "seat", "a seat in the foot", Grade.UNKNOWN)


def test_a_shaped_movement_in_a_shaped_holder():
    """Scaled by 1.02 every point of the edge moves out by 0.02 of its distance from the axis."""
    made, movement = recipe("shaped", "inv-17-t", "hand-setting"), sheet("inv-17-t")
    own = judged(made, movement).play
    assert own == pytest.approx(0.1, abs=0.02)
    corners = tuple(
        replace(c, at=Place(c.at.x * 1.02, c.at.y * 1.02), radius=c.radius and c.radius * 1.02)
        for c in movement.outline.corners
    )
    wider = judged(made, replace(movement, outline=replace(movement.outline, corners=corners)))
    far = max(c.at.radius for c in movement.outline.corners)
    assert own - 2 * 0.02 * far - 0.01 <= wider.play <= own - 2 * 0.02 * narrowest(movement) + 0.01
    assert only(wider, "seat", "too small")


def test_the_side_and_the_kind_are_kept(hands, movement):
    with pytest.raises(BadInput, match="is for dial up"):
        judged(hands, movement, USUAL.operation("train-work"))
    with pytest.raises(Refused):
        judged(hands, sheet("inv-case-38"))


def test_presses_of_another_movement_are_not_assessed(movement):
    """Without an operation the holder's own counts, as far as its arbors are there."""
    made = recipe("hand-setting", "inv-26-a", "hand-setting")
    named = replace(made.operation, presses=(replace(made.operation.presses[0], arbor="centre"),))
    other = replace(movement, arbors=movement.arbors[1:])
    found = cross(kept(replace(made, operation=named)), other, bench=False)
    assert only(found, "support", "presses are not assessed", Grade.UNKNOWN)


@pytest.mark.parametrize("piece", [p for p in gallery.PIECES if p.family != "cushion"][::4],
                         ids=lambda piece: piece.slug())  # fmt: skip
def test_the_bench_says_the_same_of_a_print_as_of_a_drawing(piece):
    """Lying in its own holder by way of the drawer, a movement gives the bench the same findings,
    word for word, as in the holder as composed."""
    from nests.checks import judge, names
    from nests.study import Study

    path = GALLERY / "sheets" / f"{piece.sheet}.json" if piece.sheet else None
    made = order(piece.family, piece.options, sheet=path, operation=piece.operation).recipe
    found = cross(kept(made), made.workpiece)
    there = sorted((f for f in found.findings if not _ours(f)), key=_words)
    direct = sorted(judge(Study.of(compose(made)), names("bench")), key=_words)
    assert [_words(f) for f in there] == [_words(f) for f in direct]
    values = [[f.value for f in each if f.value is not None] for each in (there, direct)]
    assert values[0] == pytest.approx(values[1], rel=1e-9, abs=1e-9)


def test_what_one_holder_told_never_tells_on_another(hands, movement):
    """Judged after others, a press goes where it goes when it is the first to be judged."""
    from nests.checks import judge
    from nests.load_path import paths, stock
    from nests.study import Study

    def told(made: Recipe, of: Sheet):
        return judge(Study.of(compose(replace(made, workpiece=of))), ("load path",))

    thin = replace(movement, bridges=replace(movement.bridges, thickness=0.6))
    short = [replace(p, short=0.02) if isinstance(p, StakePost) else p for p in hands.parts]
    lower = replace(hands, parts=tuple(short))
    cases = [(hands, movement), (lower, movement), (hands, thin)]
    after = [told(*each) for each in cases]
    assert len(set(after)) == len(cases)
    for case, there in list(zip(cases, after, strict=True))[1:]:
        for each in (paths._solved, paths._beside, paths._prepared, stock._plate, stock._stiffened):
            each.cache_clear()
        assert told(*case) == there


def _words(finding) -> tuple:
    return (finding.check, finding.grade, finding.says, finding.parts, finding.remedy)


def _ours(finding) -> bool:
    """Whether a finding is a rule's of the drawer; 'hold' is a name both have."""
    if finding.check == "hold":
        return "upper rim face lies" in finding.says
    return finding.check in ("seat", "height", "support", "stem", "pusher", "wear", "gauging")
