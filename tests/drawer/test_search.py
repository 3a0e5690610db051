"""The search: kinds never mix, the best comes first, and the first look loses nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nests.drawer import search
from nests.drawer.filing import file_holder, measure, retire
from nests.drawer.index import fresh_index
from nests.drawer.look import LOOSEST, TIGHTEST, matches, wanted_for
from nests.drawer.search import find, find_diameter
from nests.drawer.seats import seats
from nests.drawer.shelf import every_holder, written
from nests.faces.cli import main
from nests.finding import Grade
from nests.given.operation import USUAL, Operation
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.holder.recipe import CARRIES
from nests.kinds.kept import Change, KeptHolder, make_id
from nests.orders import gallery
from nests.places import Side
from nests.units import BadInput
from tests.ordering import preferred as order

from .conftest import GALLERY, accepted, readings, recipe, sheet

HANDS = USUAL.operation("hand-setting")


@pytest.fixture(scope="module")
def workshop(tmp_path_factory):
    """A drawer with every holder of the gallery; read only."""
    folder = tmp_path_factory.mktemp("workshop") / "drawer"
    for piece in gallery.PIECES:
        path = GALLERY / "sheets" / f"{piece.sheet}.json" if piece.sheet else None
        made = order(piece.family, piece.options, sheet=path, operation=piece.operation).recipe
        file_holder(folder, made, readings())
    return folder


def of_kind(kind: str, diameter: float) -> Sheet:
    return Sheet(name="OTHER", kind=kind, outline=Round(diameter=diameter), rim=1.5)


@pytest.mark.parametrize("kind", ["movement", "sub-assembly", "case"])
def test_kinds_never_mix(tmp_path, kind):
    """Three holders of one ⌀, one of each kind: only the right one comes into question."""
    made = {
        "movement": recipe("round", "", diameter=18.4, height=3.0),
        "sub-assembly": recipe("cradle", "inv-26-a", sub_assembly="INV 26-A auto works",
                               side_up="dial"),
        "case": recipe("case", "inv-case-38", side_up="dial"),
    }  # fmt: skip
    case = made["case"].workpiece
    small = replace(case, outline=Round(diameter=18.4), lugs=())
    parts = tuple(p for p in made["case"].parts if p.tag in ("ring seat", "vent"))
    made["case"] = replace(made["case"], workpiece=small, parts=parts)
    ids = {name: file_holder(tmp_path, each, readings()).id for name, each in made.items()}
    assert {fresh_index(tmp_path).seats["takes"].round(6).tolist()[k] for k in range(3)} == {18.4}
    found = find(tmp_path, of_kind(kind, 18.4))
    assert [each.id for each in found.matches] == [ids[kind]]
    assert [each.kept.id for each in found.judged] == [ids[kind]]
    by_size = find_diameter(tmp_path, 18.4, 0.1, carries=kind)
    assert [each.id for each in by_size.matches] == [ids[kind]]


@pytest.mark.slow
def test_a_mould_is_never_found(workshop):
    for found in (find(workshop, sheet("inv-case-38")),
                  find_diameter(workshop, 40.0, 30.0, carries="case")):  # fmt: skip
        assert found.matches
        assert all(each.id.startswith("C") for each in found.matches)


@pytest.mark.parametrize("name", ["inv-26-a", "inv-30-c", "inv-20-u", "inv-17-t"])
@pytest.mark.parametrize(
    "operation", [pytest.param("hand-setting", marks=pytest.mark.slow), "looking", None]
)
def test_the_first_look_loses_nothing(workshop, name, operation):
    """Against a plain walk through all documents: every seat of the movement's shape whose play
    will do, whichever side its rim looks down with; and of another shape none that is too small."""
    movement = sheet(name)
    chosen = USUAL.operation(operation) if operation else None
    wanted = wanted_for(movement, chosen)
    slow, small = set(), set()
    for kept in every_holder(workshop)[0]:
        for number, seat in enumerate(seats(kept)):
            across = wanted.across[kept.recipe.side_up]
            kind = CARRIES[kept.recipe.kind] == "movement"
            side = chosen is None or kept.recipe.side_up is chosen.side_up
            round_edge = isinstance(kept.recipe.workpiece.outline, Round)
            alike = round_edge is isinstance(movement.outline, Round)
            if kind and side and alike and TIGHTEST <= seat.bore - across <= LOOSEST:
                slow.add((kept.id, number))
            if not (kind and side) or seat.widest - across < TIGHTEST:
                small.add((kept.id, number))
    quick = {(each.id, each.seat) for each in matches(fresh_index(workshop), wanted)[1]}
    assert slow <= quick
    assert not quick & small
    assert quick or operation == "looking"


def test_a_post_under_the_jewel_comes_before_none(workshop):
    found = find(workshop, sheet("inv-26-a"), HANDS)
    posts = [each.unsupported for each in found.matches]
    assert posts == sorted(posts)
    best = found.judged[0]
    assert best.kept.recipe.family in ("hand-setting", "thin")
    assert best.grade is not Grade.STOP
    bare = next(each for each in found.judged if each.kept.recipe.family == "inspection")
    assert any("is not supported" in f.says for f in bare.findings)


def test_two_at_a_time_say_what_one_says(workshop, monkeypatch):
    movement = sheet("inv-26-a")
    two = find(workshop, movement, HANDS)
    assert len(two.judged) >= search.FEW
    monkeypatch.setattr(search, "FEW", 100)
    assert find(workshop, movement, HANDS) == two


def test_what_was_not_judged_is_counted_and_said(folder, hands, capsys):
    """One that will do is enough; that another might, and is not judged, is said."""
    for _ in range(3):
        file_holder(folder, hands, readings([26.1]))
    found = find(folder, sheet("inv-26-a"), HANDS, most=1)
    assert (found.count, len(found.judged), found.left) == (3, 1, 2)
    movement = str(GALLERY / "sheets" / "inv-26-a.json")
    line = ["find", "--drawer", str(folder), "--sheet", movement, "--operation", "hand-setting"]
    with pytest.raises(SystemExit):
        main([*line, "--most", "1"])
    assert "2 more may fit by their sizes" in capsys.readouterr().out


def test_where_none_will_do_the_next_are_judged(folder, hands):
    """Two of three fit better by their ⌀, but their posts stand 0.09 mm proud of the jewel."""
    folder.mkdir()
    for number, tip, seat in ((1, 5.69, 26.1), (2, 5.69, 26.1), (3, 5.61, 26.125)):
        gauged = accepted(hands, [seat], posts={"centre": tip})
        filed = Change(number=number, did="filed", readings=gauged)
        kept = KeptHolder(id=make_id(hands.kind, number), recipe=hands, history=(filed,))
        (folder / f"{kept.id}.json").write_bytes(written(kept))
    found = find(folder, sheet("inv-26-a"), HANDS, most=1)
    assert [each.kept.id for each in found.judged] == [kept.id, "M1-L", "M2-J"]
    assert [each.grade is Grade.STOP for each in found.judged] == [False, True, True]
    assert found.left == 0


def test_a_chronograph_wants_its_pushers(workshop):
    found = find(workshop, sheet("inv-30-c"), USUAL.operation("chronograph-hands"))
    usable = [c.kept.recipe.family for c in found.judged if c.grade is not Grade.STOP]
    assert usable
    assert set(usable) == {"chronograph"}


def test_worn_comes_later_and_retired_not_at_all(folder, hands):
    first, second, third = (file_holder(folder, hands, readings([26.1])).id for _ in range(3))
    measure(folder, first, readings([26.16]))
    retire(folder, second, "cracked")
    found = find(folder, sheet("inv-26-a"), HANDS)
    assert [each.kept.id for each in found.judged] == [third, first]
    assert [f.check for f in found.judged[1].findings if f.grade is Grade.MEND] == ["wear"]


def test_the_diameter_as_gauged_counts(folder, plain):
    seen = ([26.1], [26.35], [])
    made = [file_holder(folder, plain, readings(s), believed=("seat",)).id for s in seen]
    found = find_diameter(folder, 26.0, 0.1)
    assert {each.id for each in found.matches} == {made[0], made[2]}
    assert [each.id for each in find_diameter(folder, 26.25, 0.01).matches] == [made[1]]


@pytest.mark.slow
def test_a_tolerance_narrows_a_sheets_search(workshop):
    wide, narrow = (find(workshop, sheet("inv-26-a"), tolerance=t) for t in (5.0, 0.1))
    assert 0 < narrow.count < wide.count
    rim = {Side.DIAL: 26.0, Side.BRIDGE: 26.6}  # its casing ledge is on the dial side
    assert {(each.up, each.takes) for each in narrow.matches} == set(rim.items())


def test_a_seat_in_the_foot_is_found(workshop):
    found = find_diameter(workshop, 25.6, 0.05)
    assert [each.in_foot for each in found.matches] == [True]


def test_a_sub_assembly_of_the_sheet(workshop):
    """An operation done on a sub-assembly searches among the cradles."""
    on = Operation(name="looking", side_up=Side.DIAL, on="INV 26-A auto works")
    found = find(workshop, sheet("inv-26-a"), on)
    assert [each.id[0] for each in found.matches] == ["S"]
    assert found.judged[0].grade is not Grade.STOP


def test_a_sheet_that_contradicts_itself_is_refused(workshop):
    with pytest.raises(BadInput):
        find(workshop, replace(sheet("inv-26-a"), rests=sheet("inv-26-a").rests * 2))


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["find"], "give either --sheet FILE or --diameter MM."),
        (["find", "--diameter", "wide"], "a length such as 26.0"),
        (["find", "--diameter", "26", "--operation", "looking"], "give --sheet FILE"),
        (["find", "--sheet", "none.json"], "cannot be read"),
        (["find", "--sheet", "SHEET", "--operation", "dancing"], "there is no operation"),
        (["retire", "M1", "--reason", "lost"], "is no id of a holder"),
        (["drawer", "measure", "M1-L", "5.6"], "NAME=VALUE is needed"),
        (["drawer", "measure", "M1-L", "=5.6"], "NAME=VALUE is needed"),
        (["drawer", "measure", "M1-L"], "nothing was measured"),
        (["drawer", "measure", "M1-L", "edges=good", "Edges=bad"], "is given twice"),
        (["drawer", "measure", "M1-L", "sear=26.1"], "the nearest is seat;"),
        (["drawer", "measure", "M1-L", "centre=5.6"], "the nearest is centre-below-ledge;"),
        (["drawer", "measure", "M1-L", "seat=wide"], "seat is 'wide'; a length such as 26.0"),
        (["drawer", "measure", "M1-L", "edges=26"], "edges is '26'; good or bad is needed"),
        (["drawer", "measure", "M1-L", "by-eye=bad"], "only by-eye=good is possible"),
        (["drawer", "show", "M2-J"], "there is no holder M2-J"),
        (["drawer", "undo", "--yes", "--date", "today"], "year-month-day"),
        (["drawer", "undo"], "nobody can be asked here; give --yes"),
        (["drawer", "redo"], "nothing was undone"),
        (["reinstate", "M1-L"], "only a retired holder is brought back"),
        (["file", "nowhere"], "cannot be read"),
        (["drawer", "labels", "--out", "x.html", "--columns", "99"], "1 to 8 columns"),
    ],
)
def test_a_wrong_line_costs_one_sentence(tmp_path, hands, monkeypatch, capsys, arguments, says):
    folder = tmp_path / "drawer"
    file_holder(folder, hands, readings())
    monkeypatch.chdir(tmp_path)
    filled = [str(GALLERY / "sheets/inv-26-a.json") if a == "SHEET" else a for a in arguments]
    with pytest.raises(SystemExit) as left:
        main([*filled, "--drawer", str(folder)])
    assert left.value.code == 2
    err = capsys.readouterr().err
    assert says in err
    assert "Traceback" not in err
    assert err.count("\n") == 1


def test_the_commands_together(tmp_path, hands, capsys):
    """From a pack's recipe to a holder found again, gauged, retired, and brought back."""
    from nests.documents.files import canonical
    from nests.kinds import document

    def run(*arguments: str) -> tuple[int, str]:
        code = 0
        try:
            main([*arguments, "--drawer", str(tmp_path / "drawer")])
        except SystemExit as left:
            code = int(left.code or 0)
        return code, capsys.readouterr().out

    (tmp_path / "pack").mkdir()
    (tmp_path / "pack" / "recipe.json").write_bytes(canonical(document(hands)))
    _, said = run("file", str(tmp_path / "pack"), "seat=26.07", "Seat=26,09mm",
                  "Centre-below-ledge=1.29")  # fmt: skip
    assert said.startswith("M1-L: movement holder for INV 26-A, dial up, hand-setting")
    movement = str(GALLERY / "sheets" / "inv-26-a.json")
    code, said = run("find", "--sheet", movement, "--operation", "hand-setting")
    assert "M1-L" in said
    assert "seat 26.08 mm gauged" in said
    code, said = run("drawer", "measure", "M1-L", "seat=26.2")
    assert "M1-L" in said
    assert said.rstrip().endswith("worn.")
    run("retire", "m1-l", "--reason", "worn out")
    code, said = run("find", "--diameter", "26")
    assert (code, said) == (1, "0 seats come into question, 0 were judged.\n")
    run("drawer", "undo", "--yes")
    run("drawer", "undo", "--yes")
    assert run("drawer", "list") == (0, "M1-L  in use\n")
    assert run("drawer", "check")[0] == 0
