"""Every sheet of the workshop, with every family that offers itself, can be shown: both plans, cut,
solid, every slip and every empty slip."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest
from click.testing import CliRunner

pytest.importorskip("starlette")

from nests.faces.cli import cli
from nests.faces.page import bench as bench_module
from nests.faces.page import fields, paper, section, slip, tasks
from nests.faces.page.bench import Bench
from nests.faces.page.journal import Journal
from nests.faces.page.work import workshop
from nests.families import names
from nests.orders import shown
from nests.places import Side

FIRST = ("inv-26-a", "inv-12-r", "inv-case-38", "inv-tc-12")
"""One of each kind: round, not round, a case, a sub-assembly."""


class Nobody:
    """In the place of a helper: what is asked is not done."""

    def __init__(self, told):
        self.told = told

    def ask(self, *asked):
        pass

    leave = end = ask


@pytest.fixture
def bench(tmp_path, monkeypatch):
    monkeypatch.setattr(bench_module, "Helper", Nobody)
    monkeypatch.setattr(bench_module, "PATIENCE", 60.0)  # no check is asked
    made = Bench(Journal(tmp_path / "bench"), tmp_path / "drawer")
    yield made
    made.seen.set()
    made.close()


def do(bench, **asked):
    bench.change({"serial": bench.state.serial, "side": "dial", **asked})


def drawn(bench):
    """Show all there is; how many slips that were."""
    count = 0
    for side in Side:
        text = "".join(paper.pieces(bench, side).values())
        assert "nan" not in re.findall(r'd="[^"]*"', text)
        index = paper.slip_at(bench, "", side)
        for at in re.findall(r'data-open="([^"]+)"', index):
            made = paper.slip_at(bench, at, side)
            assert "slip-title" in made
            count += 1
            for new in re.findall(r'data-new="([^"]+)"', made):
                assert "Put it on the sheet" in paper.draft_at(bench, new, side, "")
        for new in re.findall(r'data-new="([^"]+)"', index):
            for shape in ("", "disc", "ring", "sector", "polygon"):
                assert "Put it on the sheet" in paper.draft_at(bench, new, side, shape)
    trial, sheet = bench.state.trial, paper.sheet_of(bench.state)
    if trial is not None:
        cut = section.cut(trial, sheet, bench.state.pieces, section.best_hour(trial))
        assert any(each["kind"] == "holder" for each in cut["cuts"])
        assert paper.filled("section.html", cut=cut).count("<path") > 5
        for content in (shown.holder_scene(trial.holder), shown.pieces_scene(bench.state.pieces)):
            long = int.from_bytes(content[:4], "little")
            head = json.loads(content[4 : 4 + long])
            numbers = np.frombuffer(content, "<u4", offset=4 + long)
            points, faces, edges = (head[key] for key in ("points", "faces", "edges"))
            assert len(numbers) == 3 * points + 4 * faces + 3 * edges
            whole = numbers[3 * points :]
            assert whole[: 3 * faces].max(initial=0) < max(points, 1)
            assert whole[3 * faces : 4 * faces].max(initial=0) < len(head["names"])
            assert whole[4 * faces : 4 * faces + 2 * edges].max(initial=0) < max(points, 1)
    return count


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(each, marks=pytest.mark.slow if each in FIRST else pytest.mark.long)
        for each in workshop()
    ],
)
def test_it_is_shown_with_every_family_that_will(bench, name):
    do(bench, do="open", name=name)
    assert drawn(bench) > 0
    made = 0
    for family in names():
        do(bench, do="say", family=family)
        if bench.state.trial is not None and not bench.state.faults:
            assert drawn(bench) > 10
            made += 1
        else:
            assert all(len(each) > 20 for each in bench.state.faults)
    assert made >= 1
    while bench.journal.can_undo:
        do(bench, do="undo")
    assert bench.state.work.empty


def made_by(bench, tmp_path, *arguments):
    """Whether what is shown has the recipe that the command line writes for the same."""
    told = CliRunner().invoke(
        cli, ["make", *arguments, "--no-papers", "--out", str(tmp_path / "x")]
    )
    assert told.exit_code == 0, told.output
    assert bench.state.trial is not None, bench.state.faults
    assert tasks.pack_of(bench.state.work, papers=False).files == {
        path.name: path.read_bytes() for path in (tmp_path / "x").iterdir()
    }


@pytest.mark.slow
def test_a_chronograph_by_sizes_and_a_sheet_gone_on_from(bench, tmp_path):
    do(bench, do="sizes", family="chronograph", fields={
        "diameter": "30", "height": "6", "rim": "2", "hangs": "2.4",
        "pusher": "2,1.2 4,1.2"})  # fmt: skip
    made_by(bench, tmp_path, "chronograph", "--diameter", "30", "--height", "6", "--rim", "2",
            "--hangs", "2.4", "--pusher", "2,1.2", "--pusher", "4,1.2")  # fmt: skip
    assert drawn(bench) > 10
    do(bench, do="add", at="options:/pusher", fields={"/hour": "10", "/depth": "1.1"})
    assert len(bench.state.trial.recipe.workpiece.pushers) == 3
    do(bench, do="as sheet")
    assert len(bench.state.work.record.pushers) == 3


@pytest.mark.slow
def test_a_cradle_by_sizes(bench, tmp_path):
    do(bench, do="sizes", family="cradle", fields={
        "diameter": "20", "height": "4", "edge": "1.5",
        "notch": "1,2.5,1.2 5,3.5,1.2"})  # fmt: skip
    made_by(bench, tmp_path, "cradle", "--diameter", "20", "--height", "4", "--edge", "1.5",
            "--notch", "1,2.5,1.2", "--notch", "5,3.5,1.2")  # fmt: skip
    assert drawn(bench) > 3


def test_every_pointer_leads_somewhere_or_is_refused():
    from nests.units import BadInput

    for pointer in ("x", "/nothing", "/arbors/0", "/arbors/-1/at", "/outline/diameter/x", "/~2"):
        with pytest.raises(BadInput):
            fields.at("sheet", {"outline": {"shape": "round"}}, pointer)
    node, value = fields.at("sheet", {"rim": 1.7}, "/rim")
    assert (node.kind, node.unit, node.span(), value) == ("number", "mm", "0.2 to 15", 1.7)


def test_a_place_is_said_both_ways_from_either_side():
    at = {"x": 3.0, "y": 4.0, "read_from": "bridge"}
    assert slip.place_texts(at, Side.BRIDGE)["x"] == "3.000"
    assert slip.place_texts(at, Side.DIAL)["x"] == "-3.000"
    assert slip.place_texts({"hour": 3, "radius": 2}, Side.DIAL) == {
        "hour": "3", "radius": "2.000", "x": "2.000", "y": "0.000"}  # fmt: skip


def test_a_rim_is_kept_while_nothing_sinks_into_it(bench):
    """The kept rim is the one that is made anew."""
    from nests.holder.workpiece import rim_solid

    def rims():
        site = bench.state.trial.recipe.site()
        (kept,) = [each.solid for each in bench.state.pieces if each.name == "rim"]
        return kept.volume(), rim_solid(site).volume()

    do(bench, do="open", name="inv-26-a")
    do(bench, do="say", family="round")
    kept, fresh = rims()
    assert kept == fresh
    do(bench, do="place", at="sheet:/arbors/1/at", x=3.0, y=2.0)
    kept_after, fresh_after = rims()
    assert kept_after == fresh_after == kept
    do(bench, do="set", at="sheet:/arbors/1/jewels/0/height", text="-0.3")
    sunk, fresh_sunk = rims()
    assert sunk == fresh_sunk < kept
    do(bench, do="set", at="sheet:/rim", text="1.9")
    thick, fresh_thick = rims()
    assert thick == fresh_thick > sunk


def test_what_is_known_of_a_thing_goes_with_it_when_another_is_taken_away(bench):
    """± and assumptions are kept by the number of a thing; it changes."""
    do(bench, do="open", name="inv-26-a")
    known = {"/arbors/0/at/x": 0.03, "/arbors/2/at/x": 0.04, "/rests/0/height": 0.05,
             "/arbors/10/at/y": 0.06}  # fmt: skip
    data = {**bench.state.work.sheet, "uncertainties": known, "assumed": ["/arbors/2/at"]}
    do(bench, do="open", document=data)
    name = data["arbors"][2]["name"]
    do(bench, do="remove", at="sheet:/arbors/0")
    now = bench.state.work.record
    assert now.arbors[1].name == name
    assert now.uncertainties == {
        "/arbors/1/at/x": 0.04, "/rests/0/height": 0.05, "/arbors/9/at/y": 0.06}  # fmt: skip
    assert now.assumed == ("/arbors/1/at",)


def test_readings_of_a_place_outlast_undo_and_an_older_step_has_none(bench):
    do(bench, do="open", name="inv-26-a")
    text = "7.6 from centre, 6.0 from edge at 12 h"
    do(bench, do="read", at="sheet:/arbors/1/at", text=text, near="2")
    first = bench.state.work
    assert first.readings.text("arbor", first.record.arbors[1].name, "place") == text
    do(bench, do="set", at="sheet:/arbors/1/name", text="renamed")
    assert bench.state.work.readings.text("arbor", "renamed", "place") == text
    at = bench.state.work.record.arbors[1].at
    do(bench, do="set", at="sheet:/outline/diameter", text="26.1")
    assert bench.state.work.record.arbors[1].at.y == pytest.approx(at.y + 0.05, abs=1e-6)
    do(bench, do="remove", at="sheet:/arbors/0")
    assert bench.state.work.read is None
    assert "its distances are let go" in bench.state.work.did
    for _ in range(3):
        do(bench, do="undo")
    assert bench.state.work == first
    # another sheet with things of the same names has nothing to do with them
    other = {**first.sheet, "uncertainty": 0.03, "uncertainties": {"/arbors/1/at/x": 0.07}}
    do(bench, do="open", document=other)
    assert bench.state.work.sheet == other
    assert bench.state.work.read is None
    do(bench, do="undo")
    old = {key: value for key, value in first.data().items() if key != "read"}
    assert type(first).of(old).readings.answers == ()
