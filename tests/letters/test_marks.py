"""What is engraved: letter by letter or refused, the same wherever it is told, and no two alike."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from nests import families
from nests.consistency import check_sheet, require_consistent
from nests.documents.files import canonical, data_folder
from nests.faces.cli import main
from nests.families.round import stand_in
from nests.finding import Grade
from nests.given.operation import USUAL, Operation, WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import compose
from nests.kinds import document, read
from nests.letters.engraving import LETTERS
from nests.orders import gallery, pack
from nests.papers.report.acceptance import acceptance
from nests.papers.report.job_sheet import job_sheet
from nests.papers.report.page import page
from nests.parts.mark import NOTCH, Mark
from nests.places import Side
from nests.planning.job import solve
from nests.planning.readiness import readiness
from nests.study import Study
from nests.units import BadInput
from tests.ordering import preferred as order

ROOT = data_folder("gallery")
CARD = PrinterCard()
ODD = "ЯК 26 時計 Ø½"
COMFORTS = {"hour_marks", "vice_flats", "upper_feet", "lid", "tweezers", "weight"}
PIECES = {
    piece.family: piece
    for piece in gallery.PIECES
    if piece.sheet and not COMFORTS & set(dict(piece.options))
}


def sheet(name: str) -> Sheet:
    return read(ROOT / "sheets" / f"{name}.json", Sheet)


def written(family: str, name: str | None = None, mark: str = "", operation=None):
    """The recipe of a family for the sheet of its gallery piece, under another name."""
    piece, rule = PIECES[family], families.family(family)
    work, options = sheet(piece.sheet), dict(piece.options)
    if options.pop("sub_assembly", None):
        work = work.sub_assemblies[0]
    if name is not None:
        work = replace(work, name=name, mark=mark)
    if operation is None and piece.operation:
        operation = USUAL.operation(piece.operation)
    return rule.recipe(work, operation, rule.Wish(**options), CARD)


def engraved(recipe) -> list[str]:
    return [p.text for p in recipe.parts if isinstance(p, Mark) and p.text != NOTCH]


@pytest.mark.slow
@pytest.mark.parametrize("family", families.names())
@pytest.mark.parametrize("name", [ODD, "Übung 26", "INV 26+", "ıNV 26", "- -"])
def test_a_name_that_cannot_be_engraved_is_refused_by_every_family(family, name):
    with pytest.raises(BadInput) as refused:
        written(family, name)
    says = str(refused.value)
    assert says.startswith(f"name of the sheet is '{name}', ")
    assert "allowed are letters A to Z, digits, spaces, '-', '.' and '/'" in says
    assert says.count(". ") == 0


@pytest.mark.parametrize("family", families.names())
def test_the_mark_is_engraved_instead(family):
    recipe = written(family, ODD, "yak 26/1")
    assert "YAK 26/1" in engraved(recipe)
    assert set("".join(engraved(recipe))) <= LETTERS
    assert ODD in recipe.name


def test_two_names_that_differ_in_lost_letters_are_no_longer_engraved_alike():
    one, other = written("round", "ЯК 26", "YAK 26"), written("round", "時計 26", "TOKEI 26")
    assert engraved(one) != engraved(other)


def test_an_operation_is_engraved_letter_by_letter_or_refused():
    done = Operation(name="Zeiger drücken", side_up=Side.DIAL)
    with pytest.raises(BadInput, match="name of the operation is 'Zeiger drücken', of which 'ü'"):
        written("round", operation=done)
    assert "ZEIGER" in engraved(written("round", operation=replace(done, mark="Zeiger")))


@pytest.mark.parametrize("mark", ["Ø½", "26+", "  ", "./"])
def test_a_mark_that_cannot_be_engraved_is_refused_where_it_is_given(tmp_path, capsys, mark):
    data = {**document(sheet("inv-26-a")), "mark": mark}
    path = tmp_path / "sheet.json"
    path.write_bytes(canonical(data))
    with pytest.raises(SystemExit) as ended:
        main(["check", str(path)])
    assert ended.value.code == 2
    says = capsys.readouterr().err
    assert "mark of the sheet 'INV 26-A' is" in says
    assert says.count("\n") == 1
    with pytest.raises(BadInput, match="mark of the operation 'x' is"):
        Operation(name="x", side_up=Side.DIAL, mark=mark)


def test_capitals_and_spaces_do_not_make_another_mark():
    same = [replace(sheet("inv-26-a"), mark=m).engraved for m in ("", "inv 26-a", " INV  26-A ")]
    assert same == ["INV 26-A"] * 3


def test_a_sheet_measured_again_keeps_its_mark():
    before = replace(sheet("inv-26-a"), name=ODD, mark="YAK 26")
    after = replace(before, rim=before.rim + 0.03, uncertainty=0.01)
    assert after.engraved == before.engraved == "YAK 26"


def test_without_a_sheet_the_sizes_are_the_mark():
    recipe = order("round", {"diameter": 26.0, "height": 4.6}).recipe
    assert "D26.00 H4.60" in engraved(recipe)
    assert stand_in(26.0, 4.6).engraved == "D26.00 H4.60"


def test_no_letter_of_a_recipe_by_hand_is_left_out():
    recipe = written("round")
    for text in ("ЯК 26", "été", " "):
        strange = replace(recipe, parts=(*recipe.parts, Mark(text=text, at=4.5)))
        with pytest.raises(BadInput, match="text of a mark is"):
            compose(strange)


# --- one job ----------------------------------------------------------------------------------


def with_sub(name: str, mark: str = "") -> Sheet:
    """INV 26-A with its automatic works under another name."""
    whole = sheet("inv-26-a")
    sub = replace(whole.sub_assemblies[0], name=name, mark=mark)
    return replace(whole, sub_assemblies=(sub, *whole.sub_assemblies[1:]))


def test_a_movement_and_its_sub_assembly_never_get_one_mark():
    with pytest.raises(BadInput, match="'INV 26-A' and 'works' would both be engraved 'INV 26-A'"):
        require_consistent(with_sub("works", "inv 26-a"))
    require_consistent(with_sub("works"))


def test_two_sub_assemblies_never_get_one_mark_and_it_is_told_once():
    whole = with_sub("works")
    twin = replace(whole.sub_assemblies[0], name="other works", mark="WORKS")
    both = replace(whole, sub_assemblies=(*whole.sub_assemblies, twin))
    stops = [f.says for f in check_sheet(both) if f.grade is Grade.STOP]
    assert len(stops) == 1
    assert "'works' and 'other works' would both be engraved 'WORKS'" in stops[0]


def test_a_sheet_that_lacks_a_mark_is_told_so_and_may_be_measured():
    found = check_sheet(replace(sheet("inv-26-a"), name=ODD))
    assert [f.grade for f in found if "cannot be engraved" in f.says] == [Grade.MEND]
    assert not any(f.grade is Grade.STOP for f in found)


def test_a_plan_is_refused_for_a_name_that_cannot_be_engraved(tmp_path, capsys):
    path, work = tmp_path / "sheet.json", tmp_path / "work.json"
    path.write_bytes(canonical(document(replace(sheet("inv-26-a"), name=ODD))))
    looks = Operation(name="gücken", side_up=Side.DIAL)
    work.write_bytes(canonical(document(WorkPlan(name="job", operations=(looks,)))))
    for named, says in ((path, "name of the sheet"), (ROOT / "sheets/inv-26-a.json", "operation")):
        with pytest.raises(SystemExit) as ended:
            main(["plan", "--sheet", str(named), "--work", str(work), "--out", str(tmp_path / "o")])
        assert ended.value.code == 2
        assert says in capsys.readouterr().err
    assert not (tmp_path / "o").exists()


def test_holders_of_a_plan_are_engraved_letter_by_letter_and_told_apart():
    """Two operations that share a holder, and two more with one mark that do not."""
    plan = WorkPlan(
        name="job",
        operations=(
            Operation(name="gücken", mark="look", side_up=Side.DIAL),
            Operation(name="pushed", side_up=Side.DIAL, stem=True),
            Operation(name="umgedreht", mark="look /1", side_up=Side.BRIDGE, stem=True),
        ),
    )
    job = solve(replace(sheet("inv-26-a"), name=ODD, mark="YAK 26"), plan, CARD)
    texts = [engraved(each.trial.recipe) for each in job.chosen]
    assert [t[1:] for t in texts] == [["YAK 26", "LOOK /1"], ["YAK 26", "LOOK /1 B"]]
    answer = readiness(job)
    assert [h.engraved for h in answer.holders] == ["LOOK /1", "LOOK /1 B"]
    told = page(job_sheet(answer, plan, job.sheet, {}, "0")).decode()
    assert f"Job sheet: {ODD} (engraved YAK 26)" in told.replace("\xa0", " ")
    assert "gücken and 1 more (engraved LOOK /1)" in told.replace("\xa0", " ")


# --- told as it is engraved -------------------------------------------------------------------


def test_the_acceptance_list_tells_what_is_read_on_the_holder():
    holder = compose(written("round", ODD, "YAK 26"))
    row = next(row for row in acceptance(holder.recipe) if row[0] == "engraved")
    assert row[2] == "'MOVEMENT DIAL UP', 'YAK 26', 'GENERAL'"
    cushion = compose(written("cushion")).recipe
    assert "'INV CASE 38'" in next(row for row in acceptance(cushion) if row[0] == "engraved")[2]


def test_the_gallery_can_be_engraved():
    for path in sorted((ROOT / "sheets").glob("*.json")):
        require_consistent(work := read(path, Sheet))
        assert all(each.engraved for each in (work, *work.sub_assemblies))
    for path in sorted((ROOT / "work_plans").glob("*.json")):
        assert all(each.engraved for each in read(path, WorkPlan).operations)
    assert json.loads((data_folder("schemas") / "sheet.schema.json").read_text())["properties"][
        "mark"
    ]["default"] == ""  # fmt: skip


# --- files -------------------------------------------------------------------------------------


def test_loose_bodies_of_strange_names_do_not_write_over_each_other():
    """Two plungers whose pushers differ in letters that no file name of ours has."""
    work = sheet("inv-30-c")
    names = ("верхняя", "нижняя")
    pushers = tuple(replace(p, name=n) for p, n in zip(work.pushers, names, strict=True))
    rule = families.family("chronograph")
    recipe = rule.recipe(
        replace(work, pushers=pushers),
        USUAL.operation("chronograph-hands"),
        rule.Wish(pushed_by="plunger"),
        CARD,
    )
    holder = compose(recipe)
    study = Study.of(holder)
    files = pack._printable(recipe, study)
    assert sum(name.endswith(".stl") for name in files) == len(pack.bodies(study)) > 3
    heads = {data[:80] for name, data in files.items() if name.endswith(".stl")}
    assert any(b"[U+043D]" in head for head in heads)
    assert not any(b"?" in head for head in heads)
