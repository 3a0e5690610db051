"""One list of what is gauged: typed by it, judged by it, shown by it, and no job without it."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from nests.documents.files import canonical
from nests.drawer.crossing import cross
from nests.drawer.filing import file_holder, measure
from nests.drawer.gauged import CHECK, gauged
from nests.drawer.seats import seats, supports
from nests.drawer.shelf import path_of, read_holder
from nests.drawer.typed import typed
from nests.faces.cli import main
from nests.finding import Finding, Grade
from nests.given.operation import USUAL, Operation, WorkPlan
from nests.holder.gauging import to_gauge
from nests.holder.recipe import Recipe
from nests.kinds import document
from nests.kinds.kept import Change, KeptHolder, Readings, make_id
from nests.orders import gallery
from nests.papers.report.acceptance import DRY_RUN, acceptance
from nests.parts.stake_post import StakePost
from nests.places import Side
from nests.planning.job import solve
from nests.planning.kept import holders_in
from nests.planning.readiness import readiness
from nests.units import BadInput
from tests.ordering import preferred as order
from tests.pieces import every

from .conftest import GALLERY, accepted, readings, recipe, sheet

HANDS = USUAL.operation("hand-setting")


def made(piece: gallery.Piece) -> Recipe:
    path = GALLERY / "sheets" / f"{piece.sheet}.json" if piece.sheet else None
    return order(piece.family, piece.options, sheet=path, operation=piece.operation).recipe


def kept(of: Recipe, known: Readings | None = None) -> KeptHolder:
    filed = Change(number=1, did="filed", readings=known or Readings())
    return KeptHolder(id=make_id(of.kind, 1), recipe=of, history=(filed,))


def on_list(of: Recipe, known: Readings | None = None, workpiece=None, seat: int = 0):
    """The findings of the list in a crossing, by the name that each gives."""
    found = cross(kept(of, known), workpiece or of.workpiece, bench=False, seat=seat)
    return {each.says.split("'")[1]: each for each in found.findings if each.check == CHECK}


def without(known: Readings, name: str) -> Readings:
    return replace(
        known,
        sizes={k: v for k, v in known.sizes.items() if k != name},
        tried={k: v for k, v in known.tried.items() if k != name},
    )


@pytest.mark.parametrize("piece", every())
def test_every_row_has_a_name_of_its_own_that_can_be_typed(piece):
    of = made(piece)
    rows = to_gauge(of)
    names = [row.name for row in rows]
    assert len(set(names)) == len(names)
    assert not any(" " in name or "_" in name for name in names)
    drawn = accepted(of)
    pairs = [f"{name.replace('-', ' ').upper()}={each[0]:.4f}"
             for name, each in drawn.sizes.items()]  # fmt: skip
    read = typed([*pairs, "by eye=good"], of)
    assert read.tried == drawn.tried
    assert {name: each[0] for name, each in read.sizes.items()} == pytest.approx(
        {name: each[0] for name, each in drawn.sizes.items()}, abs=1e-4
    )
    listed = [row for row in acceptance(of) if row[3] != DRY_RUN[3]]
    assert [row[3] for row in listed] == names
    assert [row[2] for row in listed] == [row.feature.limits() for row in rows]


@pytest.mark.parametrize("piece", every(p for p in gallery.PIECES if p.family != "cushion"))
def test_what_was_not_gauged_is_unknown_and_names_what_to_do(piece):
    of = made(piece)
    listed = on_list(of)
    rows = {row.name: row for row in to_gauge(of) if row.seat in (None, 0)}
    assert list(listed) == list(rows)
    for name, found in listed.items():
        assert found.grade is Grade.UNKNOWN
        assert rows[name].feature.says in found.says
        assert rows[name].feature.limits() in found.says
        assert rows[name].feature.how in found.remedy
        assert f"{name}=" in found.remedy
    whole = on_list(of, accepted(of))
    assert {each.grade for each in whole.values()} == {Grade.CLEAR}
    for name in rows:
        found = on_list(of, without(accepted(of), name))
        assert [n for n, each in found.items() if each.grade is not Grade.CLEAR] == [name]


def test_a_seat_alone_makes_no_holder_ready(hands):
    """The fault: screws, pins and posts that were never set counted as good."""
    found = cross(kept(hands, readings([26.1])), hands.workpiece, HANDS, bench=False)
    assert found.grade is Grade.UNKNOWN
    unknown = {f.says.split("'")[1] for f in found.findings if f.grade is Grade.UNKNOWN}
    posts = {f"{p.under.replace(' ', '-')}-below-ledge" for p in hands.parts
             if isinstance(p, StakePost)}  # fmt: skip
    assert posts
    assert posts | {"ledge", "foot"} <= unknown


def screwed(hands: Recipe) -> Recipe:
    parts = tuple(
        replace(p, kind="screw", short=0.0) if isinstance(p, StakePost) else p for p in hands.parts
    )
    return replace(hands, parts=parts)


@pytest.mark.parametrize("way", [-1, 1])
def test_outside_its_limits_it_is_a_stop_with_value_and_limit(hands, way):
    """And to be mended where it may be set again: a screw, and nothing else of the list."""
    for of, grade in ((hands, Grade.STOP), (screwed(hands), Grade.MEND)):
        for row in to_gauge(of):
            if row.tried or (row.feature.sort == "flat" and way < 0):
                continue
            limit = row.feature.low if way < 0 else row.feature.high
            assert limit == pytest.approx(row.feature.nominal + way * row.feature.within, abs=0.006)
            for beyond, wanted in ((-0.001, Grade.CLEAR), (0.001, None)):
                value = round(limit + way * beyond, 6)
                # one reading outside is enough, however good the others are
                given = {row.name: (row.feature.nominal, value)}
                found = on_list(of, Readings(sizes=given).over(accepted(of)))[row.name]
                tip = row.feature.sort == "tip"
                assert found.grade is (wanted or (grade if tip else Grade.STOP)), row.name
                if wanted is None:
                    assert (found.value, found.unit) == (pytest.approx(value, abs=5e-5), "mm")
                    assert found.limit == pytest.approx(limit, abs=5e-5)
                    assert found.remedy


def test_what_was_tried_and_is_bad_is_a_stop():
    of = recipe("chronograph", "inv-30-c", "chronograph-hands", pushed_by="plunger")
    bad = Readings(tried={"loose-bodies": "bad"}).over(accepted(of))
    assert on_list(of, bad)["loose-bodies"].grade is Grade.STOP


def test_a_screw_set_for_another_movement_is_judged_by_it(hands):
    """0.3 mm higher under a jewel 0.3 mm higher up: the list of its own movement is silent."""
    of = screwed(hands)
    (post,) = [p for p in of.parts if isinstance(p, StakePost) and p.under == "centre"]
    set_to = post.contacts(of.site())[0].place[2] + 0.3
    known = readings(posts={"centre": set_to}).over(accepted(of))
    centre, *others = of.workpiece.arbors
    jewels = (replace(centre.jewels[0], height=centre.jewels[0].height - 0.3),)
    other = replace(of.workpiece, name="OTHER", arbors=(replace(centre, jewels=jewels), *others))
    assert on_list(of, known)["centre-below-ledge"].grade is Grade.MEND
    assert "centre-below-ledge" not in on_list(of, known, other)
    found = cross(kept(of, known), other, HANDS, bench=False)
    assert not [f.says for f in found.findings if f.grade is Grade.STOP]
    assert "centre-below-ledge" in on_list(of, without(known, "centre-below-ledge"), other)


def test_only_the_rows_of_the_seat_in_use_count():
    of = recipe("round", "", diameter=30.0, height=6.0, below=25.6)
    assert "seat-below" in {row.name for row in to_gauge(of)}
    assert {"seat", "ledge"} <= set(on_list(of))
    assert "seat-below" not in on_list(of)
    known = Readings(sizes={"seat-below": (25.69, 25.73)})
    first, below = seats(kept(of, known))
    assert (first.gauged, below.gauged, below.bore) == (False, True, pytest.approx(25.71))
    assert below.spread == pytest.approx(0.02)
    outline = replace(of.workpiece.outline, diameter=25.6)
    other = replace(of.workpiece, name="OTHER", outline=outline, rim=1.5, bridge_height=1.0)
    lower = on_list(of, known, other, seat=1)
    assert {"seat", "ledge"}.isdisjoint(lower)
    assert lower["seat-below"].grade is Grade.CLEAR


def test_a_seat_with_steps_asks_for_each(plain):
    (ring,) = [p for p in plain.parts if p.tag == "ring seat"]
    stepped = replace(ring, steps=(24.0, 22.0), step_depth=0.6)
    body = replace(plain.body, under=plain.body.under + 3.0)
    of = replace(plain, body=body,
                 parts=tuple(stepped if p is ring else p for p in plain.parts))  # fmt: skip
    names = [row.name for row in to_gauge(of)]
    assert [n for n in names if n.startswith(("seat", "ledge"))] == [
        "seat",
        "ledge",
        "seat-2",
        "ledge-2",
        "seat-3",
        "ledge-3",
    ]
    drawn = seats(kept(of))
    read = seats(kept(of, Readings(sizes={"seat-2": (24.13,), "ledge-3": (3.0,)})))
    assert [s.gauged for s in read] == [False, True, False]
    assert read[1].bore == pytest.approx(24.13)
    assert read[1].takes - drawn[1].takes == pytest.approx(24.13 - drawn[1].bore)
    assert [s.ledge for s in read] == [drawn[0].ledge, drawn[1].ledge, 3.0]


def test_a_shaped_seat_is_gauged_by_its_two_widths():
    """Both 0.02 wider than drawn: so is its play; one width alone says nothing of it."""
    of = recipe("shaped", "inv-17-t", "hand-setting")
    wide, high = (row for row in to_gauge(of) if row.name.startswith("seat"))
    assert (wide.name, high.name) == ("seat-3-9", "seat-12-6")

    def play(**sizes: float) -> tuple[bool, float]:
        known = {n.replace("_", "-"): (z,) for n, z in sizes.items()}
        found = cross(kept(of, Readings(sizes=known)), of.workpiece, bench=False)
        return found.seat.gauged, found.play

    _, drawn = play()
    first, second = wide.feature.nominal + 0.02, high.feature.nominal + 0.02
    assert play(seat_3_9=first) == (False, pytest.approx(drawn))
    assert play(seat_3_9=first, seat_12_6=second) == (True, pytest.approx(drawn + 0.02))


def test_two_posts_under_one_rest_are_two_rows(hands):
    (post,) = [p for p in hands.parts if isinstance(p, StakePost) and p.under == "barrel bridge"]
    of = replace(hands, parts=(*hands.parts, post))
    names = [row.name for row in to_gauge(of) if "barrel" in row.name]
    assert names == ["barrel-bridge-below-ledge", "barrel-bridge-below-ledge-2"]
    known = Readings(sizes={names[1]: (6.9 - 5.5,)})
    at = [s.z for s in supports(kept(of, known)) if s.under == "barrel bridge"]
    assert (at[0] == pytest.approx(5.5), at[1]) == (False, pytest.approx(5.5))


def test_readings_of_one_size_may_be_repeated(hands):
    read = typed(["ledge=6.89", "ledge=6,91mm", "seat=26.1"], hands, gauge="indicator")
    assert read.sizes == {"ledge": (6.89, 6.91), "seat": (26.1,)}
    assert seats(kept(hands, read))[0].ledge == pytest.approx(6.90)


def test_a_name_of_another_holder_is_refused_when_filed(folder, hands):
    for wrong in (Readings(sizes={"pocket": (26.1,)}), Readings(tried={"clips": "good"})):
        with pytest.raises(BadInput, match="is nothing to be gauged on INV 26-A"):
            file_holder(folder, hands, wrong)
    with pytest.raises(BadInput, match="edges is good or bad, not gauged in mm"):
        file_holder(folder, hands, Readings(sizes={"edges": (1.0,)}))
    with pytest.raises(BadInput, match="seat is gauged in mm, not good or bad"):
        file_holder(folder, hands, Readings(tried={"seat": "good"}))
    assert not folder.exists()


def test_old_documents_are_read_and_what_they_lack_is_unknown(folder, hands):
    """Words as they were written before there was a list; then gauged anew, then by it."""
    one = file_holder(folder, hands, Readings())
    path = path_of(folder, one.id)
    data = json.loads(path.read_text())
    data["history"][0]["readings"] = {
        "seat": [26.09, 26.11], "ledge": 6.91, "posts": {"barrel bridge": 5.66}, "mass": 9.5,
    }  # fmt: skip
    path.write_bytes(canonical(data))
    old = read_holder(path)
    known = {each.row.name: each.known() for each in gauged(old) if not each.open}
    assert known == {"seat": "26.09, 26.11 mm", "ledge": "6.91 mm",
                     "barrel-bridge-below-ledge": "1.25 mm"}  # fmt: skip
    (seat,) = seats(old)
    assert (seat.gauged, seat.bore, seat.ledge) == (True, pytest.approx(26.10), 6.91)
    assert {s.under: s.gauged for s in supports(old)} == {
        "centre": False, "barrel bridge": True, "train bridge": False,
    }  # fmt: skip
    found = cross(old, hands.workpiece, HANDS, bench=False)
    unknown = {f.says.split("'")[1] for f in found.findings if f.grade is Grade.UNKNOWN}
    assert {"centre-below-ledge", "train-bridge-below-ledge", "cured", "foot", "edges"} <= unknown
    after, _ = measure(folder, old.id, readings([26.12]))
    assert after.now.readings.gauged == {
        "seat": (26.12,), "ledge": (6.91,), "under-barrel-bridge": (5.66,),
    }  # fmt: skip
    assert after.now.readings.mass == 9.5
    assert after.when_new["seat"] == pytest.approx(26.10)


def test_a_screw_that_is_set_anew_is_not_worn(folder, hands):
    of = screwed(hands)
    one = file_holder(folder, of, readings(posts={"centre": 5.5}).over(accepted(of)))
    after, told = measure(folder, one.id, readings(posts={"centre": 5.6}))
    assert (after.now.state, told) == ("in use", ())


def test_a_job_starts_only_when_all_of_it_is_known(tmp_path):
    """Through the drawer: each missing row by itself keeps the job, and is named."""
    of = recipe("cradle", "inv-26-a", sub_assembly="INV 26-A auto works", side_up="dial")
    work = WorkPlan(name="short", operations=(
        Operation(name="look", side_up=Side.DIAL, on="INV 26-A auto works"),))  # fmt: skip
    movement, whole = sheet("inv-26-a"), accepted(of)
    names = [row.name for row in to_gauge(of)]
    assert {"seat", "foot"} < set(names)
    for name in ("", *names):
        folder = tmp_path / (name or "whole")
        one = file_holder(folder, of, without(whole, name))
        plan = readiness(solve(movement, work, of.printer, holders_in(folder, movement)))
        assert [each.name for each in plan.holders] == [one.id]
        facts = plan.holders[0].open_facts
        assert plan.may_start is (not name), facts
        assert [f"'{name}' was not" in each for each in facts] == ([True] if name else [])


def test_the_commands_ask_for_what_is_open(tmp_path, hands, capsys):
    def run(*arguments: str) -> str:
        main([*arguments, "--drawer", str(tmp_path / "my drawer")])
        return capsys.readouterr().out

    (tmp_path / "recipe.json").write_bytes(canonical(document(hands)))
    said = run("file", str(tmp_path / "recipe.json"), "seat=26.1", "ledge=6.8")
    lines = [line for line in said.splitlines() if line.startswith("? unknown")]
    rows = {row.name: row for row in to_gauge(hands)}
    still = [name for name in rows if name not in ("seat", "ledge")]
    assert [line.split("'")[1] for line in lines] == still
    assert "# stop: M1-L: 'ledge' is 6.8 mm: height of the ledge, asked is 6.900 ± 0.030" in said
    command = said.splitlines()[-1].split("to give what is open: nests ")[1]
    shown = run("drawer", "show", "M1-L")
    assert f"2 of {len(rows)} are known, {len(still)} are open." in shown
    for name, row in rows.items():
        (line,) = [each for each in shown.splitlines() if f" {name} " in each]
        assert row.feature.limits() in line
        assert ("open" in line) == (name in still)

    import shlex

    values = {name: row.feature.nominal for name, row in rows.items()}
    words = [word.replace("=MM", f"={values.get(word.partition('=')[0], 0.0):.4f}")
             for word in shlex.split(command)]  # fmt: skip
    main([*words, "ledge=6.9"])
    said = capsys.readouterr().out
    assert "unknown" not in said
    assert "stop" not in said
    assert "0 are open" in run("drawer", "show", "M1-L")


def test_the_mould_is_asked_for_its_casting():
    of = recipe("cushion", "inv-case-38")
    assert [row.name for row in to_gauge(of)] == ["cured", "foot", "inside", "first-casting"]


def test_a_finding_of_the_list_is_a_sentence(hands):
    for known in (None, accepted(hands), Readings(sizes={"seat": (26.4,)})):
        for each in on_list(hands, known).values():
            assert isinstance(each, Finding)
            assert each.says.endswith(".")
            assert "\n" not in each.sentence()
