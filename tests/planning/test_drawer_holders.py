"""Holders of the drawer in a plan: all that is known of them is said, and none is left out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from nests.documents.files import data_folder
from nests.drawer.filing import file_holder, measure
from nests.drawer.search import find
from nests.drawer.shelf import written
from nests.families import family
from nests.finding import Finding, Grade, worst
from nests.given.operation import USUAL, Operation, Press, WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.kinds.kept import Change, KeptHolder, Readings, make_id
from nests.papers.report import job_sheet
from nests.papers.report.blocks import Listing, Table
from nests.parts.stake_post import StakePost
from nests.places import Side
from nests.planning import offers
from nests.planning.coverage import as_text, verdict
from nests.planning.job import solve
from nests.planning.kept import holders_in
from nests.planning.offers import Answer, Asking, Existing
from nests.planning.readiness import readiness
from tests.ordering import preferred as order
from tests.prints import accepted

SHEETS = data_folder("gallery") / "sheets"
SHEET = read(SHEETS / "inv-26-a.json", Sheet)
CARD = PrinterCard()
HANDS = USUAL.operation("hand-setting")
DIAL = Operation(name="dial side", side_up=Side.DIAL, stem=True)


def plan(*operations: Operation) -> WorkPlan:
    return WorkPlan(name="a short job", operations=operations)


@pytest.fixture(scope="module")
def hands() -> Recipe:
    path = SHEETS / "inv-26-a.json"
    return order("hand-setting", {}, sheet=path, operation="hand-setting").recipe


def put(folder: Path, *prints: tuple[Recipe, Readings]) -> list[str]:
    """Documents of holders in a drawer; their ids."""
    folder.mkdir(exist_ok=True)
    ids = []
    for number, (recipe, gauged) in enumerate(prints, 1):
        filed = Change(number=number, did="filed", readings=gauged)
        kept = KeptHolder(id=make_id(recipe.kind, number), recipe=recipe, history=(filed,))
        (folder / f"{kept.id}.json").write_bytes(written(kept))
        ids.append(kept.id)
    return ids


TIGHT, WORN = 26.075, 26.128
"""mm of a seat when filed and now: worn, and still within the limits of the list."""
WIDE = 26.105
"""mm of a seat with a little more play than one as drawn, and still within its limits."""


def turned(hour: float) -> Recipe:
    """A round holder for the movement with its stem at another hour."""
    assert SHEET.stem is not None
    other = replace(SHEET, name=f"STEM {hour:g}", stem=replace(SHEET.stem, hour=hour))
    rule = family("round")
    return rule.recipe(other, DIAL, rule.Wish(), CARD)


def test_twelve_of_another_stem_do_not_hide_the_thirteenth(tmp_path: Path) -> None:
    """The twelve fit better by their ⌀; only the last one has its slot where the stem is."""
    hours = [0.5, 1.0, 5.0, 5.5, 6.0, 6.5, 7.0, 7.5, 8.0, 9.5, 10.5, 11.0]
    wrong = [turned(hour) for hour in hours]
    right = turned(3.0)
    prints = [(each, accepted(each, [26.1])) for each in wrong]
    *_, last = put(tmp_path / "d", *prints, (right, accepted(right, [WIDE])))
    found = find(tmp_path / "d", SHEET, DIAL)
    assert found.judged[0].kept.id == last
    assert found.judged[0].grade is not Grade.STOP
    assert found.count == 13
    answer = readiness(solve(SHEET, plan(DIAL), CARD, holders_in(tmp_path / "d", SHEET)))
    assert [(each.name, each.state) for each in answer.holders] == [(last, "in drawer")]
    assert answer.proven
    assert not answer.unjudged


def test_all_that_is_known_of_a_holder_of_the_drawer_is_said(tmp_path: Path, hands: Recipe) -> None:
    """As of one to print: family, resin, grade, and the posts under what is pressed."""
    kept = file_holder(tmp_path / "d", hands, accepted(hands))
    there = readiness(solve(SHEET, plan(HANDS), CARD, holders_in(tmp_path / "d", SHEET)))
    fresh = readiness(solve(SHEET, plan(HANDS), CARD))
    (holder,), (printed,) = there.holders, fresh.holders
    assert (holder.name, holder.state, holder.condition) == (kept.id, "in drawer", "in use")
    assert holder.family == "hand-setting"
    assert holder.posts == printed.posts == ("centre",)
    assert holder.volume == pytest.approx(printed.volume, rel=0.02)  # what is engraved differs
    assert holder.grade == "clear"
    words = _cells(job_sheet(there, plan(HANDS), SHEET, {}, "0").blocks)
    assert "centre" in words
    assert "no arbor" not in words
    assert any("in the drawer" in each and "clear" in each for each in words)


def test_a_worn_holder_is_used_and_told(tmp_path: Path, hands: Recipe) -> None:
    kept = file_holder(tmp_path / "d", hands, accepted(hands, [TIGHT]))
    measure(tmp_path / "d", kept.id, Readings(seat=(WORN,)))
    answer = readiness(solve(SHEET, plan(HANDS), CARD, holders_in(tmp_path / "d", SHEET)))
    (holder,) = answer.holders
    assert (holder.state, holder.condition, holder.grade) == ("in drawer", "worn", "mend")
    assert answer.may_start
    worn = "⌀ of the seat has changed by +0.053 mm"
    assert [worn in each for each in holder.mends] == [True]
    assert worn in answer.says
    assert "worn" in as_text(answer)
    document = job_sheet(answer, plan(HANDS), SHEET, {}, "0")
    listed = [item for b in document.blocks if isinstance(b, Listing) for item in b.items]
    assert any(worn in item and kept.id in item for item in listed)
    assert any("WORN" in each for each in _cells(document.blocks))


TOO_HIGH = 0.23
"""mm a screw was set above the jewel it is to meet."""


def test_what_is_refused_is_named_with_why_and_the_cure(tmp_path: Path, hands: Recipe) -> None:
    """A screw set too high; a printed post too high; a stem slot that is elsewhere."""
    screws = tuple(
        replace(p, kind="screw", short=0.0)
        if isinstance(p, StakePost) and p.under == "centre"
        else p
        for p in hands.parts
    )
    screwed = replace(hands, parts=screws)
    drawn = accepted(screwed)
    (below,) = drawn.sizes["centre-below-ledge"]
    high = replace(drawn, sizes={**drawn.sizes, "centre-below-ledge": (below - TOO_HIGH,)})
    (bridge,) = drawn.sizes["barrel-bridge-below-ledge"]
    proud = replace(drawn, sizes={**drawn.sizes, "barrel-bridge-below-ledge": (bridge - 0.4,)})
    wrong = turned(9.0)
    first, second, third = put(
        tmp_path / "d",
        (screwed, high),
        (screwed, proud),
        (wrong, accepted(wrong, [26.1])),
    )
    job = plan(HANDS, DIAL)
    answer = readiness(solve(SHEET, job, CARD, holders_in(tmp_path / "d", SHEET)))
    told = {each.name: each for each in answer.refused}
    assert set(told) == {first, second}
    assert told[first].operations == (HANDS.name, DIAL.name)
    assert told[first].cures == (f"set its screw {TOO_HIGH:.2f} mm lower",)
    assert f"{TOO_HIGH:.2f} mm proud" in told[first].why
    assert told[second].operations == (HANDS.name, DIAL.name)
    assert told[second].cures == ()
    assert "proud under the rest 'barrel bridge'" in told[second].why
    assert answer.too_far == (third,)
    line = f"{first}: set its screw {TOO_HIGH:.2f} mm lower."
    lines = as_text(answer).splitlines()
    assert [each for each in lines if each.startswith(line)]
    assert f"Ruled out by their sizes: {third}." in lines
    document = job_sheet(answer, job, SHEET, {}, "0")
    listed = [item for b in document.blocks if isinstance(b, Listing) for item in b.items]
    assert any(item.startswith(line) for item in listed)
    assert any(item.startswith(f"{second} will not do for {HANDS.name}, ") for item in listed)


def test_nothing_is_said_to_be_refused_where_all_serves(tmp_path: Path, hands: Recipe) -> None:
    file_holder(tmp_path / "d", hands, accepted(hands))
    answer = readiness(solve(SHEET, plan(HANDS), CARD, holders_in(tmp_path / "d", SHEET)))
    assert (answer.refused, answer.too_far) == ((), ())
    assert "Refused" not in as_text(answer)


def test_while_anything_is_open_it_is_at_best_unknown(tmp_path: Path, hands: Recipe) -> None:
    """What it cannot be better than is what judging says, with no need to judge."""
    whole = accepted(hands)
    lacks = [replace(whole, tried={}), replace(whole, sizes={"seat": whole.sizes["seat"]})]
    lacks += [
        replace(whole, sizes={n: each for n, each in whole.sizes.items() if n != name})
        for name in whole.sizes
    ]
    folder = tmp_path / "d"
    put(folder, *((hands, each) for each in (Readings(), *lacks, whole)))
    there = holders_in(folder, SHEET)
    assert len(there) == len(lacks) + 2
    for each in there:
        findings = each.asked(HANDS).findings
        assert each.at_best is worst(findings)
    assert [each.at_best for each in there].count(Grade.CLEAR) == 1


def test_a_sound_holder_goes_before_a_worn_one_and_that_before_one_not_gauged(
    tmp_path: Path, hands: Recipe
) -> None:
    gauged = accepted(hands, [TIGHT])
    first, second, third = put(
        tmp_path / "d", (hands, Readings()), (hands, gauged), (hands, gauged)
    )
    measure(tmp_path / "d", second, Readings(seat=(WORN,)))

    def used() -> str:
        answer = readiness(solve(SHEET, plan(HANDS), CARD, holders_in(tmp_path / "d", SHEET)))
        return answer.holders[0].name

    for each in (third, second, first):
        assert used() == each
        (tmp_path / "d" / f"{each}.json").unlink()


@pytest.mark.slow
def test_the_job_sheet_says_the_most_force() -> None:
    pressed = Operation(
        name="hands", side_up=Side.DIAL, presses=(Press(arbor="centre", force=35.0, most=60.0),)
    )
    answer = readiness(solve(SHEET, plan(pressed), CARD))
    words = _cells(job_sheet(answer, plan(pressed), SHEET, {}, "0").blocks)
    assert "centre: up to 60 N" in words
    assert not [each for each in words if "35 N" in each]


def test_a_document_that_cannot_be_read_leaves_nothing_proved(
    tmp_path: Path, hands: Recipe
) -> None:
    folder = tmp_path / "d"
    (name,) = put(folder, (hands, accepted(hands)))
    (folder / f"{name}.json").write_text("{")
    answer = readiness(solve(SHEET, plan(HANDS), CARD, holders_in(folder, SHEET)))
    assert [each.state for each in answer.holders] == ["to print"]
    assert not answer.proven
    assert [name in says for says in answer.unjudged] == [True]
    assert name in answer.says
    assert verdict(answer).startswith("Not proved")


def test_what_is_left_unjudged_leaves_nothing_proved(monkeypatch: pytest.MonkeyPatch) -> None:
    """None of five serves; with room for three to be judged two are left, and that is said."""

    def drawer() -> tuple[Existing, ...]:
        no = Answer("it does not.")
        return tuple(Existing(f"M{k}-X", lambda _: no) for k in range(5))

    assert readiness(solve(SHEET, plan(DIAL), CARD, drawer())).proven
    monkeypatch.setattr(offers, "MOST", 3)
    answer = readiness(solve(SHEET, plan(DIAL), CARD, drawer()))
    assert not answer.proven
    assert "2 holders of the drawer" in answer.says


def test_one_that_could_do_no_better_need_not_be_judged() -> None:
    """Of a hundred alike one is asked; of those that might be sounder, each."""
    asked: list[str] = []

    def existing(name: str, grade: Grade) -> Existing:
        found = (Finding(check="fit", grade=grade, says="so it is."),)

        def answer(_: Operation) -> Answer:
            asked.append(name)
            return Answer(findings=found)

        return Existing(name, answer, at_best=grade)

    alike = [existing(f"A{k:02d}", Grade.CLEAR) for k in range(100)]
    answer = readiness(solve(SHEET, plan(DIAL), CARD, alike))
    assert answer.proven
    assert set(asked) == {"A00"}
    asked.clear()
    mixed = [existing("A", Grade.UNKNOWN), existing("B", Grade.MEND), existing("C", Grade.CLEAR)]
    answer = readiness(solve(SHEET, plan(DIAL), CARD, mixed))
    assert [each.name for each in answer.holders] == ["C"]
    assert set(asked) == {"C"}


def test_one_that_serves_less_and_is_no_lighter_is_not_offered() -> None:
    """Though it was asked first: its sizes would do for all of it."""

    def existing(name: str, serves: str) -> Existing:
        return Existing(name, lambda o: Answer("" if set(o.name) <= set(serves) else "it is not."))

    def asked(*drawer: Existing) -> list[tuple[str, set[int]]]:
        asking = Asking(
            [[0, 1, 2]],
            lambda some: Operation(name="".join("abc"[g] for g in sorted(some)), side_up=Side.DIAL),
        )
        return [(each.holder.name, set(each.serves)) for each in offers.offers(drawer, asking).made]

    assert asked(existing("A", "a"), existing("B", "ab")) == [("B", {0, 1})]
    assert asked(existing("A", "ab"), existing("B", "bc")) == [("A", {0, 1}), ("B", {1, 2})]
    assert asked(existing("A", "ab"), existing("B", "ab")) == [("A", {0, 1})]
    worn = Finding(check="wear", grade=Grade.MEND, says="it is worn.")
    heavy = Existing("A", lambda o: Answer("" if set(o.name) <= {*"ab"} else "no.", (worn,)))
    assert asked(heavy, existing("B", "ab")) == [("B", {0, 1})]
    assert asked(heavy, existing("B", "a")) == [("A", {0, 1}), ("B", {0})]


def test_a_holder_with_a_stop_is_in_no_family() -> None:
    """Even where it gives no reason of its own."""
    stop = Finding(check="wear", grade=Grade.STOP, says="it is cracked.")
    answer = readiness(
        solve(SHEET, plan(DIAL), CARD, [Existing("A", lambda _: Answer("", (stop,)))])
    )
    assert [each.state for each in answer.holders] == ["to print"]


def _cells(blocks: tuple[object, ...]) -> list[str]:
    return [cell for b in blocks if isinstance(b, Table) for row in b.rows for cell in row]
