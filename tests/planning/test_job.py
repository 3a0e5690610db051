"""A job: the family found, the holders used, readiness, and the files."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise, product
from pathlib import Path
from xml.etree import ElementTree

import pytest
from numpy.random import default_rng

from nests.checks.bench.hold import check as check_hold
from nests.finding import Finding, Grade
from nests.given.absent import without
from nests.given.at_work import at_work
from nests.given.operation import Operation, Press, WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import compose
from nests.kinds import document, read, read_any
from nests.parts.clip import Clip
from nests.parts.stake_post import StakePost
from nests.places import Side
from nests.planning.changes import fewest_changes
from nests.planning.chart import layout, png, svg
from nests.planning.coverage import as_page, as_text, rows
from nests.planning.holders import Way, lacks, write
from nests.planning.job import Job, sentences, solve
from nests.planning.offers import Answer, Existing
from nests.planning.readiness import readiness
from nests.planning.whole import files, job_from
from nests.study import Study
from nests.units import BadInput

GALLERY = Path(__file__).parents[2] / "gallery"
SHEET = read(GALLERY / "sheets" / "inv-32-k.json", Sheet)
CARD = read(GALLERY / "printers" / "bench-printer.json", PrinterCard)
AUTO = "INV 32-K auto works"
OFF = ("oscillating weight", "automatic works")


def plan(*operations: Operation) -> WorkPlan:
    return WorkPlan(name="a short job", operations=operations)


SHORT = plan(
    Operation(name="apart", side_up=Side.BRIDGE, on=AUTO),
    Operation(name="look", side_up=Side.DIAL, on=AUTO),
    Operation(name="close", side_up=Side.BRIDGE, on=AUTO),
)


@pytest.fixture(scope="module")
def short() -> Job:
    return solve(SHEET, SHORT, CARD)


def test_two_sides_need_two_holders(short: Job) -> None:
    answer = readiness(short)
    assert answer.proven
    assert [h.used for h in answer.holders] == [("apart", "close"), ("look",)]
    assert answer.may_start
    assert "may start once" in answer.says
    (apart,) = answer.apart
    assert (apart.first, apart.second) == (("apart", "close"), ("look",))
    assert "one side" in apart.says


def test_the_paragraph_counts_holders_and_operations(short: Job) -> None:
    says = readiness(short).says
    assert "has 3 operations; 2 holders serve 3 of them, 0 from the drawer and 2 to print." in says
    kept = Existing("S7-X", lambda _: Answer())
    one = readiness(solve(SHEET, plan(SHORT.operations[0]), CARD, [kept])).says
    assert "has 1 operation; 1 holder serves 1 of them, 1 from the drawer and 0 to print." in one


@pytest.mark.parametrize(
    ("reasons", "told"),
    [
        (["a stop"], ["a stop."]),
        (["Is it?", "It is!", "So."], ["Is it?", "It is!", "So."]),
        (["round: too low.", "round: too wide"], ["round: too low; too wide."]),
        (["round: a", "cradle: b", "cradle: c", "round: d"],
         ["round: a.", "cradle: b; c.", "round: d."]),
        (["note: a", "note: b"], ["note: a.", "note: b."]),
    ],
)  # fmt: skip
def test_reasons_of_one_family_are_told_in_one_sentence(
    reasons: list[str], told: list[str]
) -> None:
    assert sentences(reasons) == told


def test_the_weight_counts_holders_first_and_then_resin(
    short: Job,
) -> None:
    """A holder is 100 000, and a cm³ of its resin 100: see `planning.job`."""
    answer = readiness(short)
    volumes = [each.volume for each in answer.holders]
    assert all(each is not None and each == round(each, 1) for each in volumes)
    resin = sum(each / 1000.0 for each in volumes if each is not None)
    assert 5.0 < resin < 100.0
    assert answer.weight == pytest.approx(2 * 100_000 + 100.0 * resin, abs=1.1)


def test_a_sub_assembly_that_is_worked_on_must_have_a_name_to_engrave() -> None:
    """One that nothing is done on need not."""
    (first, *_) = [each for each in SHEET.sub_assemblies if each.name == AUTO]
    odd = replace(SHEET, sub_assemblies=(replace(first, name="時計"),))
    done = plan(replace(SHORT.operations[0], on="時計"))
    with pytest.raises(BadInput, match="時計"):
        job_from(odd, done)
    job_from(odd, plan(Operation(name="look", side_up=Side.DIAL, absent=OFF)))


def test_the_same_job_gives_the_same_plan(short: Job) -> None:
    again = solve(SHEET, SHORT, CARD)
    assert files(readiness(again)) == files(readiness(short))


def test_a_holder_of_the_drawer_is_used_first() -> None:
    def asked(operation: Operation) -> Answer:
        return Answer("" if operation.side_up is Side.BRIDGE else "it is for the bridge side up.")

    answer = readiness(solve(SHEET, SHORT, CARD, [Existing("S7-X", asked)]))
    assert [(h.name, h.state) for h in answer.holders] == [
        ("S7-X", "in drawer"),
        ("look", "to print"),
    ]
    assert answer.operations[0].state == "in drawer"


def test_a_holder_filed_in_a_drawer_is_found_again(short: Job, tmp_path: Path) -> None:
    """Through the drawer itself, for the job it was made for and for a seat gauged too small."""
    from nests.drawer.filing import file_holder
    from nests.kinds.kept import Readings
    from nests.planning.kept import holders_in

    made = short.chosen[0].trial
    assert made is not None
    assert made.recipe is not None
    for seat, states in ((20.5, ["in drawer", "to print"]), (20.15, ["to print", "to print"])):
        folder = tmp_path / f"{seat:g}"
        kept = file_holder(folder, made.recipe, Readings(seat=(seat,)), believed=("seat",))
        answer = readiness(solve(SHEET, SHORT, CARD, holders_in(folder, SHEET)))
        assert [each.state for each in answer.holders] == states
        assert (answer.holders[0].name == kept.id) == (states[0] == "in drawer")


def test_what_was_not_assessed_stops_the_job_and_is_named() -> None:
    unknown = Finding(
        check="wear", grade=Grade.UNKNOWN, says="the seat was never gauged.", remedy="gauge it"
    )
    fact = "the seat was never gauged. Gauge it."
    kept = Existing("S7-X", lambda operation: Answer(findings=(unknown,)))
    answer = readiness(solve(SHEET, SHORT, CARD, [kept]))
    assert [h.name for h in answer.holders] == ["S7-X"]
    assert not answer.may_start
    assert "must not start" in answer.says
    assert fact in answer.says


def test_a_missing_fact_is_named_in_one_paragraph() -> None:
    pressed = Operation(name="moon", side_up=Side.BRIDGE, presses=(Press(arbor="hour recorder"),))
    answer = readiness(solve(SHEET, plan(*SHORT.operations, pressed), CARD))
    assert not answer.may_start
    assert answer.operations[-1].state == "none"
    assert "There is no holder for 'moon'" in answer.says
    assert "no jewel for it on the dial side" in answer.says
    assert "\n" not in answer.says


def test_a_press_without_a_post_is_never_served() -> None:
    """A ring seat alone would send the press through the jewel's friction fit."""
    operation = Operation(
        name="hands", side_up=Side.DIAL, presses=(Press(arbor="centre", force=20.0),), absent=OFF
    )
    recipe = write(without(SHEET, OFF), operation, Way("round"), CARD)
    assert any("no post under 'centre'" in each for each in lacks(recipe))
    recipe = write(without(SHEET, OFF), operation, Way("hand-setting"), CARD)
    assert not lacks(recipe)
    assert any("turned over" in each for each in lacks(_turned(recipe)))


def _turned(recipe):  # type: ignore[no-untyped-def]
    return replace(recipe, operation=replace(recipe.operation, turned_over=True))


def test_the_document_is_valid_and_comes_back(short: Job, tmp_path: Path) -> None:
    answer = readiness(short)
    (tmp_path / "plan.json").write_bytes(files(answer)["plan.json"])
    assert read_any(tmp_path / "plan.json") == answer
    assert document(answer) == json.loads(files(answer)["plan.json"])


def test_table_page_and_picture_say_the_same(short: Job) -> None:
    answer = readiness(short)
    text = as_text(answer)
    assert [row.marks for row in rows(answer)] == [
        ("used", "not"),
        ("not", "used"),
        ("used", "not"),
    ]
    for name in ("apart", "look", "close"):
        assert name in text
    chart = layout(answer, lambda text: 7.0 * len(text))
    root = ElementTree.fromstring(svg(chart))
    drawn = [each.text for each in root.iter("{http://www.w3.org/2000/svg}text")]
    assert {"apart", "look", "close", "to print"} <= set(drawn)
    wide, tall = (float(root.attrib[k]) for k in ("width", "height"))
    for each in root.iter("{http://www.w3.org/2000/svg}text"):
        assert 0.0 < float(each.attrib["x"]) < wide
        assert 0.0 < float(each.attrib["y"]) < tall
    page = as_page(answer, png(chart)).decode()
    assert "apart" in page
    assert "http" not in page.replace("http://www.w3.org", "")


def test_the_png_is_twice_the_chart(short: Job) -> None:
    import io

    from PIL import Image

    chart = layout(readiness(short), lambda text: 7.0 * len(text))
    assert Image.open(io.BytesIO(png(chart))).size == (2 * chart.wide, 2 * chart.tall)


def _changes(order: Sequence[int]) -> int:
    return sum(a != b for a, b in pairwise(order))


def test_the_workpiece_changes_holders_as_seldom_as_can_be() -> None:
    """Against all ways of doing up to six operations in up to three holders."""
    rng = default_rng(5)
    for _ in range(200):
        count, holders = int(rng.integers(1, 7)), int(rng.integers(1, 4))
        serves = [sorted(map(int, rng.permutation(count)[: rng.integers(1, count + 1)]))
                  for _ in range(holders)]  # fmt: skip
        todo = [i for i in range(count) if any(i in each for each in serves)]
        ways = product(*([j for j in range(holders) if i in serves[j]] for i in todo))
        fewest = min(_changes(way) for way in ways)
        used = fewest_changes(count, serves)
        order = [next(j for j in range(holders) if i in used[j]) for i in todo]
        assert sorted(i for each in used for i in each) == todo
        assert all(set(does) <= set(can) for does, can in zip(used, serves, strict=True))
        assert _changes(order) == fewest


def test_of_holders_that_serve_as_long_the_first_is_taken() -> None:
    assert fewest_changes(3, [[0, 1, 2], [0, 1, 2], [1, 2]]) == [(0, 1, 2), (), ()]
    assert fewest_changes(3, [[0], [0, 1], [0, 1]]) == [(), (0, 1), ()]


def test_why_a_pair_shares_no_holder() -> None:
    """No family both stands under a pressed jewel and holds the rim turned over."""
    press, turn, look = (
        Operation(name="press", side_up=Side.DIAL, presses=(Press(arbor="centre"),), absent=OFF),
        Operation(name="turn", side_up=Side.DIAL, turned_over=True, absent=OFF),
        Operation(name="look", side_up=Side.DIAL, absent=OFF),
    )
    answer = readiness(solve(SHEET, plan(press, turn, look), CARD))
    assert answer.proven
    assert len(answer.holders) == 2
    (apart,) = answer.apart
    assert (apart.first, apart.second) == (("press",), ("turn",))
    assert "no post under 'centre'" in apart.says
    assert [each.posts for each in answer.holders if "press" in each.used] == [("centre",)]


def test_an_unknown_sub_assembly_is_a_missing_fact() -> None:
    odd = plan(Operation(name="odd", side_up=Side.DIAL, on="moon works"))
    answer = readiness(solve(SHEET, odd, CARD))
    assert not answer.may_start
    assert "moon works" in answer.says


def test_what_has_no_holder_for_one_reason_is_named_in_one_list() -> None:
    odd = (Operation(name=name, side_up=Side.DIAL, on="moon works") for name in ("a", "b", "c"))
    answer = readiness(solve(SHEET, plan(*odd), CARD))
    assert "There is no holder for 'a', 'b' and 'c': " in answer.says


def test_the_folder_is_not_written_over(tmp_path: Path) -> None:
    from nests.documents.folders import require_room

    require_room(tmp_path, replace=False)
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(BadInput, match="exists already"):
        require_room(tmp_path, replace=False)
    with pytest.raises(BadInput, match="is not a pack that can be replaced"):
        require_room(tmp_path, replace=True)


def test_a_shaped_movement_that_is_turned_over_gets_a_holder_that_holds_it() -> None:
    job = solve(
        read(GALLERY / "sheets" / "inv-17-t.json", Sheet),
        plan(Operation(name="look over", side_up=Side.BRIDGE, stem=True, turned_over=True)),
        CARD,
    )
    (chosen,) = job.chosen
    assert chosen.trial is not None
    assert chosen.trial.recipe is not None
    assert chosen.trial.grade is Grade.CLEAR
    clips = [part for part in chosen.trial.recipe.parts if isinstance(part, Clip)]
    assert len(clips) == 3
    assert all(clip.outward not in (None, clip.at) for clip in clips)


@pytest.mark.parametrize("hold", ["clip", "swing tab"])
def test_a_heavy_movement_hangs_without_a_mend(hold: str) -> None:
    """The high bridges of a chronograph lie clear of the bench, and a knock lets nothing go."""
    operation = Operation(name="look over", side_up=Side.BRIDGE, stem=True, turned_over=True)
    recipe = write(SHEET, operation, Way("inspection", {"hold": hold}), CARD)
    found = check_hold(Study.of(compose(recipe)))
    assert {f.grade for f in found} == {Grade.CLEAR}
    knock = SHEET.mass * 9.80665e-3 * operation.shock  # type: ignore[operator]
    (carried,) = [f for f in found if "turned over" in f.says]
    assert carried.value == pytest.approx(knock)


def test_what_covers_a_pressed_jewel_is_named_with_what_to_do() -> None:
    """No post, however slim, reaches the centre jewel under the automatic works."""
    press = Operation(name="hands", side_up=Side.DIAL, presses=(Press(arbor="centre", force=25.0),))
    for family in ("hand-setting", "thin"):
        with pytest.raises(BadInput, match="'automatic works' and 'oscillating weight' lie over"):
            write(SHEET, press, Way(family), CARD)
    without = replace(press, absent=OFF)
    assert write(at_work(SHEET, without), without, Way("hand-setting"), CARD)


@pytest.mark.slow
def test_a_whole_job_of_a_complicated_movement(tmp_path: Path) -> None:
    """Fewer holders than operations, every pressed jewel on a post, all of it judged and packed.

    The limit of a minute on two free cores is held in CPU seconds, of which there are two for each
    second, so that what else the machine does is not counted.
    """
    import resource
    import time

    from nests.planning.whole import job_from
    from nests.planning.whole import write as write_job

    def spent() -> float:
        return time.process_time() + sum(resource.getrusage(resource.RUSAGE_CHILDREN)[:2])

    begun = spent()
    job = job_from(
        GALLERY / "sheets" / "inv-32-k.json",
        "inv-32-k",
        printer=GALLERY / "printers" / "bench-printer.json",
    )
    answer = write_job(job, tmp_path / "out")
    assert spent() - begun < 120.0
    assert len(answer.operations) >= 40
    assert answer.proven
    assert len(answer.holders) < len(answer.operations) / 3
    assert all(each.state == "to print" for each in answer.operations), answer.says
    operations = {each.name: each for each in job.work.operations}
    for chosen, planned in zip(job.chosen, answer.holders, strict=True):
        assert chosen.trial is not None
        assert chosen.trial.recipe is not None
        recipe = chosen.trial.recipe
        assert chosen.trial.grade is not Grade.STOP
        posts = {p.under for p in recipe.parts if isinstance(p, StakePost)}
        for name in planned.used:
            for press in operations[name].presses:
                assert press.arbor in posts
                assert press.force <= {p.arbor: p.force for p in recipe.operation.presses}[
                    press.arbor
                ]  # fmt: skip
        folder = tmp_path / "out" / planned.pack
        assert (folder / "holder.3mf").is_file()
        assert json.loads((folder / "findings.json").read_text())["count"]["stop"] == 0
