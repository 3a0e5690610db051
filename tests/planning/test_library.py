"""The work plans that come with the program."""

from __future__ import annotations

from pathlib import Path

import pytest

from nests.given.absent import unknown
from nests.given.operation import USUAL
from nests.given.sheet import Sheet
from nests.kinds import document, read
from nests.places import Side
from nests.planning.demand import missing_facts
from nests.planning.library import names, work_plan
from nests.units import BadInput

GALLERY = Path(__file__).parents[2] / "gallery"
KINDS = ("three-hand", "automatic", "chronograph", "calendar", "ultra-thin", "tourbillon")
TRADE_NAMES = {
    "automatic works",
    "balance and hairspring",
    "calendar ring",
    "chronograph wheels",
    "column wheel and hammers",
    "dial",
    "hands",
    "motion works",
    "oscillating weight",
    "tourbillon carriage",
}


def test_the_common_kinds_are_there() -> None:
    assert set(KINDS) <= set(names())
    assert work_plan("usual") == USUAL


@pytest.mark.parametrize("kind", KINDS)
def test_a_plan_keeps_the_trade_s_sequence(kind: str) -> None:
    plan = work_plan(kind)
    order = [each.name for each in plan.operations]
    sequence = ["let down", "train off", "train on", "cannon pinion", "dial on", "hands on"]
    places = [order.index(each) for each in sequence]
    assert places == sorted(places)
    assert plan.operations[-1].turned_over
    assert {n for each in plan.operations for n in each.absent} <= TRADE_NAMES
    for each in plan.operations:
        assert each.says
        for press in each.presses:
            assert press.least is not None
            assert press.most is not None
            assert press.least < press.force < press.most
            assert "memory" in press.origin
            assert each.side_up is Side.DIAL or press.arbor not in ("centre", "every hand")


def test_nothing_is_missing_for_the_gallery_s_own_plan() -> None:
    sheet = read(GALLERY / "sheets" / "inv-32-k.json", Sheet)
    plan = work_plan("inv-32-k")
    assert len(plan.operations) >= 40
    assert {each.on for each in plan.operations} == {"", *(s.name for s in sheet.sub_assemblies)}
    for each in plan.operations:
        assert missing_facts(sheet, each) == ()
        assert unknown(sheet, each.absent) == ()


def test_a_file_comes_before_a_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from nests.documents.files import canonical

    plan = work_plan("calendar")
    (tmp_path / "mine.json").write_bytes(canonical(document(plan)))
    assert work_plan(str(tmp_path / "mine.json")) == plan
    with pytest.raises(BadInput, match=r"no file 'moon'.*three-hand"):
        work_plan("moon")


def test_two_operations_of_one_name_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "twice.json"
    path.write_text(
        '{"document": "work-plan", "edition": 1, "name": "n", "operations": ['
        '{"name": "a", "side_up": "dial"}, {"name": "a", "side_up": "bridge"}]}'
    )
    with pytest.raises(BadInput, match="two operations have the name 'a'"):
        work_plan(str(path))
