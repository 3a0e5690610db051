"""Documents that cannot be true are found out, and true ones are left in peace.

`tests/faults/untrue*.py` hold the planted contradictions, `tests/faults/true_sheets.py` writes the
true sheets.
"""

from __future__ import annotations

import io
import json
import sys
import zipfile
from dataclasses import fields, replace
from pathlib import Path
from typing import Any, get_args

import pytest

from nests import families
from nests.checks import judge
from nests.consistency import (
    check_card,
    check_plan,
    check_recipe,
    check_sheet,
    require_consistent,
    require_recipe,
)
from nests.documents.files import validate
from nests.documents.schema import hints, record, variants
from nests.drawer.filing import file_holder
from nests.faces.cli import main
from nests.finding import Finding, Grade
from nests.given.operation import WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Outline, Zone
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.kinds.kept import Readings
from nests.orders import pack
from nests.study import Study
from nests.units import BadInput, Record

sys.path.insert(0, str(Path(__file__).parents[1] / "faults"))
from true_sheets import true_sheet
from untrue import Untrue, planted, sources, to
from untrue_plans import (
    CARDS,
    CARDS_LIVE_WITH,
    CARDS_UNLOOKED,
    PLANS,
    PLANS_LIVE_WITH,
    PLANS_UNLOOKED,
    RECIPES,
    ROUND,
)
from untrue_sheets import LIVE_WITH, SHEETS, UNLOOKED

GALLERY = Path(__file__).parents[2] / "gallery"
TRUE_SHEETS = 400
LONGEST = 400


def by_kind(faults: tuple[Untrue, ...]) -> Any:
    """A test for each of the faults, under its kind."""
    return pytest.mark.parametrize("fault", faults, ids=lambda each: each.kind)


def sheet_of(fault: Untrue) -> Sheet:
    """The sheet with the contradiction; it is valid to the schema."""
    data = json.loads(json.dumps(fault.data()))
    validate(data, "sheet", fault.kind)
    return record(Sheet, data)


def grave(findings: list[Finding], grade: Grade) -> list[str]:
    """What the findings of a grade say."""
    return [each.says for each in findings if each.grade is grade]


def one_says(said: list[str], words: tuple[str, ...]) -> None:
    """One sentence has all of the words."""
    assert any(all(word in each for word in words) for each in said), (words, said)
    for each in said:
        assert len(each) < LONGEST
        assert each.endswith(".")
        assert "\n" not in each or "\\n" in repr(each)


@by_kind(SHEETS)
def test_a_contradiction_is_found_with_its_field_and_value(fault: Untrue) -> None:
    one_says(grave(check_sheet(sheet_of(fault)), Grade.STOP), fault.says)
    with pytest.raises(BadInput):
        require_consistent(sheet_of(fault))


@by_kind(SHEETS)
def test_the_sheet_it_was_planted_into_has_none(fault: Untrue) -> None:
    assert not grave(check_sheet(record(Sheet, sources(fault.into))), Grade.STOP)


@by_kind(LIVE_WITH)
def test_what_is_hardly_meant_is_to_mend(fault: Untrue) -> None:
    found = check_sheet(sheet_of(fault))
    one_says(grave(found, Grade.MEND), fault.says)
    assert not grave(found, Grade.STOP)


@by_kind(UNLOOKED)
def test_what_nothing_looks_at_is_said(fault: Untrue) -> None:
    found = check_sheet(sheet_of(fault))
    one_says(grave(found, Grade.UNKNOWN), ("not assessed", *fault.says))
    assert not grave(found, Grade.STOP)


def test_there_are_a_hundred_kinds_in_every_sheet_of_the_gallery() -> None:
    assert len({each.kind for each in SHEETS}) == len(SHEETS) >= 100
    assert {each.into for each in SHEETS} == {p.stem for p in (GALLERY / "sheets").glob("*.json")}


@pytest.mark.parametrize("start", range(0, TRUE_SHEETS, 50))
def test_true_sheets_are_left_in_peace(start: int) -> None:
    for seed in range(start, start + 50):
        found = check_sheet(true_sheet(seed))
        assert not [f.sentence() for f in found if f.grade in (Grade.STOP, Grade.MEND)], seed


def test_the_true_sheets_are_many_sorts() -> None:
    made = [true_sheet(seed) for seed in range(TRUE_SHEETS)]
    assert made == [true_sheet(seed) for seed in range(TRUE_SHEETS)]
    assert {each.kind for each in made} == {"movement", "sub-assembly", "case"}
    wide = [each.outline.diameter for each in made if hasattr(each.outline, "diameter")]
    assert min(wide) < 13.0
    assert max(wide) > 44.0
    for what in (
        sum(not hasattr(each.outline, "diameter") for each in made),
        sum(bool(each.pushers) for each in made),
        sum(any(p.depth > each.rim for p in each.pushers) for each in made),
        sum(bool(each.sub_assemblies) for each in made),
        sum(any(a.name == "small seconds" for a in each.arbors) for each in made),
        sum(any(a.name == "sweep seconds" for a in each.arbors) for each in made),
        sum(bool(each.casing_ledge) for each in made),
        sum(bool(each.lugs) for each in made),
    ):
        assert what >= 30


@pytest.mark.parametrize("path", sorted((GALLERY / "sheets").glob("*.json")), ids=lambda p: p.stem)
def test_the_gallery_is_true(path: Path) -> None:
    assert not grave(check_sheet(read(path, Sheet)), Grade.STOP)


@by_kind(PLANS)
def test_a_work_plan_that_cannot_be_true(
    fault: Untrue, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = record(WorkPlan, fault.data())
    one_says(grave(check_plan(plan), Grade.STOP), fault.says)
    assert not grave(check_plan(record(WorkPlan, sources(fault.into))), Grade.STOP)
    path = written(tmp_path, fault)
    assert ran("check", path) == 1
    assert "# stop: " in capsys.readouterr().out


@by_kind((*PLANS_LIVE_WITH, *PLANS_UNLOOKED, *CARDS_LIVE_WITH, *CARDS_UNLOOKED))
def test_what_is_hardly_meant_in_a_plan_or_on_a_card(fault: Untrue) -> None:
    data, mend = fault.data(), fault in (*PLANS_LIVE_WITH, *CARDS_LIVE_WITH)
    plan = fault in (*PLANS_LIVE_WITH, *PLANS_UNLOOKED)
    found = check_plan(record(WorkPlan, data)) if plan else check_card(record(PrinterCard, data))
    one_says(grave(found, Grade.MEND if mend else Grade.UNKNOWN), fault.says)
    assert not grave(found, Grade.STOP)


@by_kind(CARDS)
def test_a_printer_card_that_cannot_be_true(
    fault: Untrue, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    card = record(PrinterCard, fault.data())
    one_says(grave(check_card(card), Grade.STOP), fault.says)
    assert not grave(check_card(record(PrinterCard, sources(fault.into))), Grade.STOP)
    path = written(tmp_path, fault)
    assert ran("check", path) == 1
    capsys.readouterr()
    made = ("make", "round", "--diameter", 26, "--height", 4, "--printer", path)
    assert ran(*made, "--out", tmp_path / "out", "--no-papers") == 2
    one_sentence(capsys.readouterr(), fault.says)
    assert not (tmp_path / "out").exists()


@by_kind(RECIPES)
def test_a_recipe_that_cannot_be_true(
    fault: Untrue, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`check`, `make` and `file` say the same sentence and write nothing."""
    recipe = record(Recipe, fault.data())
    assert not grave(check_recipe(record(Recipe, sources(fault.into))), Grade.STOP)
    one_says(grave(check_recipe(recipe), Grade.STOP), fault.says)
    path, out = written(tmp_path, fault), tmp_path / "out"
    for command in (
        ("check", path),
        ("check", "--apply", path),
        ("make", "--recipe", path, "--out", out, "--no-papers"),
        ("file", path, "--drawer", out),
    ):
        assert ran(*command) == 2, command
        one_sentence(capsys.readouterr(), fault.says)
    assert [each.name for each in tmp_path.iterdir()] == [path.name]


def test_a_kept_holder_that_cannot_be_true(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`check` says it, and a search leaves the holder out with the reason."""
    drawer, sheet = tmp_path / "drawer", GALLERY / "sheets" / "inv-26-a.json"
    kept = file_holder(drawer, record(Recipe, sources(ROUND)), Readings())
    path = drawer / f"{kept.id}.json"
    data = json.loads(path.read_text("utf-8"))
    data["recipe"]["workpiece"]["rests"][0]["height"] = 2.4
    path.write_text(json.dumps(data), "utf-8")
    assert ran("check", path) == 1
    assert "height is 2.4 mm" in capsys.readouterr().out
    assert ran("find", "--drawer", drawer, "--sheet", sheet) == 1
    said = capsys.readouterr()
    assert "0 were judged" in said.out
    assert kept.id in said.err
    assert "height is 2.4 mm" in said.err


def test_plans_and_recipes_have_many_kinds_too() -> None:
    for faults, least in ((PLANS, 18), (CARDS, 15), (RECIPES, 24)):
        assert len({each.kind for each in faults}) == len(faults) >= least


@pytest.mark.parametrize("command", ["make", "plan", "find"])
def test_what_uses_a_sheet_or_plan_refuses_it(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet, plan = GALLERY / "sheets" / "inv-26-a.json", GALLERY / "work_plans" / "usual.json"
    deep = next(each for each in SHEETS if "5 mm deep" in each.kind)
    twice = planted(sources("usual"), to("operations", 1, "name", "Hand-setting"))
    plan_file, sheet_file, out = tmp_path / "w.json", tmp_path / "s.json", tmp_path / "out"
    plan_file.write_text(json.dumps(twice), "utf-8")
    sheet_file.write_text(json.dumps(deep.data()), "utf-8")
    (tmp_path / "drawer").mkdir()
    for each, work, words in (
        (sheet_file, plan, deep.says),
        (sheet, plan_file, ("'Hand-setting' and 'hand-setting'", "capitals")),
    ):
        use: dict[str, tuple[object, ...]] = {
            "make": ("make", "hand-setting", "--operation", "hand-setting", "--out", out),
            "plan": ("plan", "--out", out),
            "find": ("find", "--drawer", tmp_path / "drawer", "--operation", "hand-setting"),
        }
        assert ran(*use[command], "--sheet", each, "--work", work) == 2
        one_sentence(capsys.readouterr(), words)
        assert not out.exists()


def test_a_plan_for_the_works_of_another_sheet(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = GALLERY / "sheets" / "inv-26-a.json"
    out = tmp_path / "out"
    assert ran("plan", "--sheet", sheet, "--work", "inv-32-k", "--out", out) == 2
    one_sentence(capsys.readouterr(), ("on is 'INV 32-K ", "INV 26-A auto works"))
    assert not out.exists()


def test_a_sheet_with_a_lever_beyond_the_rim_is_used() -> None:
    """An integrated chronograph: its levers lie among the bridges."""
    plan = record(WorkPlan, sources("usual"))
    for depth in (3.0, 5.6):
        levers = to(("pushers", 0, "depth", depth), ("pushers", 1, "depth", depth))
        sheet = record(Sheet, planted(sources("inv-30-c"), levers))
        require_consistent(sheet)
        rule = families.family("chronograph")
        wish = rule.Wish(pushed_by="slot")
        made = rule.recipe(sheet, plan.operation("chronograph-hands"), wish, PrinterCard())
        require_recipe(made)
        found = judge(Study.of(compose(made)), ("reach",))
        reached = [each for each in found if "is reached by a peg" in each.says]
        assert [each.grade for each in reached] == [Grade.CLEAR, Grade.CLEAR]


def test_what_nothing_looks_at_is_said_with_the_holder_too() -> None:
    made = record(Recipe, sources(ROUND))
    assert not judge(Study.of(compose(made)), ("consistency",))
    lugs = next(each for each in UNLOOKED if each.kind == "lugs on a movement")
    study = Study.of(compose(replace(made, workpiece=sheet_of(lugs))))
    one_says([each.says for each in judge(study, ("consistency",))], lugs.says)


OTHERWISE = {
    "Sheet.remarks": "anything else, so nothing to hold it against; it goes into the 3MF",
    "Sheet.stem": "may be there or not; its own fields are looked at",
    "Sheet.pushers": "may be there or not; their own fields are looked at",
    "Sheet.dial_feet": "may be there or not; their own fields are looked at",
    "Sheet.keep_clear": "may be there or not; their own fields are looked at",
    "Dial.thickness": "any thickness is possible",
    "CasingLedge.side": "either side has a flange; a rest on it is held against the side",
    "Ring.centre": "as `Disc.centre`: a zone that lies outside",
    "Sector.from_hour": "as `Sector.to_hour`",
    "Pusher.force": "any force is possible; the check `reach` says what it takes",
}
"""Fields that no sheet contradicts by themselves, and why."""


def records(cls: type) -> set[type]:
    """Every record class a sheet may hold."""
    found: set[type] = set()
    waiting: list[Any] = [cls]
    while waiting:
        each = waiting.pop()
        if isinstance(each, type) and issubclass(each, Record):
            if each in (Zone, Outline):
                waiting += variants(each).values()
            elif each not in found:
                found.add(each)
                waiting += hints(each).values()
        else:
            waiting += get_args(each)
    return found


def test_every_field_of_a_sheet_is_looked_at_or_said_not_to_be() -> None:
    there = {f"{cls.__name__}.{f.name}" for cls in records(Sheet) for f in fields(cls)}
    faults = {each.field for each in (*SHEETS, *LIVE_WITH, *UNLOOKED)}
    assert faults <= there
    assert there - faults - set(OTHERWISE) == set()
    assert set(OTHERWISE) <= there


def test_what_is_left_has_its_use() -> None:
    """A remark goes out with the file; the force of a pusher changes what `reach` says."""
    made = record(Recipe, sources(ROUND))
    noted = replace(made, workpiece=replace(made.workpiece, remarks="found in a drawer"))
    assert b"found in a drawer" in three_mf_of(noted)
    chrono = record(Recipe, sources("chronograph inv-30-c chronograph-hands"))
    stiff = tuple(replace(each, force=11.5) for each in chrono.workpiece.pushers)
    stiffer = replace(chrono, workpiece=replace(chrono.workpiece, pushers=stiff))
    said = [each.says for each in judge(Study.of(compose(stiffer)), ("reach",))]
    assert any("11.5 N" in each for each in said)


def three_mf_of(recipe: Recipe) -> bytes:
    """The model inside the 3MF of a recipe's pack."""
    built = pack.build(recipe, papers=False)
    with zipfile.ZipFile(io.BytesIO(built.files["holder.3mf"])) as package:
        return package.read("3D/3dmodel.model")


def written(folder: Path, fault: Untrue) -> Path:
    """The document in a file."""
    path = folder / "untrue.json"
    path.write_text(json.dumps(fault.data()), "utf-8")
    return path


def ran(*words: object) -> int:
    """The code a command ends with."""
    with pytest.raises(SystemExit) as left:
        main([str(each) for each in words])
    assert isinstance(left.value.code, int)
    return left.value.code


def one_sentence(said: Any, words: tuple[str, ...]) -> None:
    """Nothing but a sentence on a line for each fault beside the answer, one with the words."""
    assert said.out == ""
    assert all(line.startswith("nests: ") for line in said.err.splitlines())
    assert said.err.endswith(".\n")
    lines = said.err.splitlines()
    assert len(lines) == len(set(lines))
    assert any(all(word in line for word in words) for line in lines), (words, said.err)
