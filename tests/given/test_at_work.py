"""What an operation presses, how hard, and what is not fitted: one rule, and nothing dropped."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nests import families
from nests.checks import judge
from nests.consistency import check_sheet
from nests.documents.files import canonical, data_folder
from nests.drawer.crossing import cross
from nests.drawer.filing import file_holder
from nests.drawer.search import find
from nests.faces.cli import main
from nests.finding import Finding, Grade, Refused
from nests.given.absent import without
from nests.given.at_work import TRADE_WORDS, at_work, fitted, pressed, require_known
from nests.given.operation import EVERY, EVERY_HAND, Operation, Press, WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Arbor, KeepClear, Sheet
from nests.given.zones import Disc
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds import document, read
from nests.kinds.kept import Change, KeptHolder, Readings, make_id
from nests.orders import gallery
from nests.orders.examine import examine
from nests.orders.order import order
from nests.orders.pack import build
from nests.parts.relief import Relief
from nests.places import Place, Side
from nests.planning.job import solve
from nests.planning.library import names as plan_names
from nests.planning.library import work_plan
from nests.planning.readiness import readiness
from nests.study import Study
from nests.units import BadInput
from tests.ordering import preferred

SHEETS = data_folder("gallery") / "sheets"
SHEET = read(SHEETS / "inv-26-a.json", Sheet)
HANDS = Operation(name="hands on", side_up=Side.DIAL, presses=(Press(arbor="centre", force=40.0),))
ASIDE = Operation(name="aside", side_up=Side.DIAL, absent=("motion works", "calendar ring"))
MISSPELT: dict[str, tuple[Operation, tuple[str, str]]] = {
    "arbor": (replace(HANDS, presses=(Press(arbor="center", force=40.0),)), ("center", "centre")),
    "capitals": (replace(HANDS, presses=(Press(arbor="CENTRE"),)), ("CENTRE", "centre")),
    "every hand": (replace(HANDS, presses=(Press(arbor="every hands"),)), ("every hands", EVERY)),
    "keep-clear": (replace(ASIDE, absent=("calender ring",)), ("calender ring", "calendar ring")),
    "trade word": (replace(ASIDE, absent=("motionworks",)), ("motionworks", "motion works")),
}


def plan_of(*operations: Operation) -> WorkPlan:
    return WorkPlan(name="mine", operations=operations)


def ring(operation: Operation, sheet: Sheet = SHEET) -> Recipe:
    """A ring under the rim for an operation, whatever is pressed: nothing else carries."""
    rule = families.family("round")
    return rule.recipe(at_work(sheet, operation), operation, rule.Wish(), PrinterCard())


def filed(recipe: Recipe) -> KeptHolder:
    """A holder as it lies in a drawer, not gauged."""
    first = Change(number=1, did="filed")
    return KeptHolder(id=make_id(recipe.kind, 1), recipe=recipe, history=(first,))


@pytest.fixture(scope="module")
def plain() -> Recipe:
    return ring(ASIDE)


@pytest.fixture(scope="module")
def drawer(tmp_path_factory: pytest.TempPathFactory, plain: Recipe) -> Path:
    folder = tmp_path_factory.mktemp("drawer")
    file_holder(folder, plain, Readings(), date="2031-05-17")
    return folder


@pytest.mark.parametrize("which", MISSPELT)
@pytest.mark.parametrize("face", ["make", "plan", "find"])
def test_a_name_nothing_has_is_refused_in_one_sentence(
    which: str, face: str, tmp_path: Path, drawer: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    operation, (was, near) = MISSPELT[which]
    work, out = tmp_path / "work.json", tmp_path / "out"
    work.write_bytes(canonical(document(plan_of(operation))))
    asked = ["--sheet", SHEETS / "inv-26-a.json", "--work", work]
    given = {
        "make": ["make", "round", *asked, "--operation", operation.name, "--out", out],
        "plan": ["plan", *asked, "--out", out],
        "find": ["find", *asked, "--operation", operation.name, "--drawer", drawer],
    }
    with pytest.raises(SystemExit) as left:
        main([str(each) for each in given[face]])
    assert left.value.code == 2
    says = capsys.readouterr().err.strip().splitlines()[-1]
    assert f"'{was}'" in says
    assert f"'{near}'" in says
    assert f"'{operation.name}'" in says
    assert not out.exists()


@pytest.mark.parametrize("which", ["arbor", "capitals", "every hand"])
def test_a_recipe_that_presses_what_is_not_there_is_refused(
    which: str, plain: Recipe, tmp_path: Path
) -> None:
    """A recipe's own sheet has lost what is absent, so that only its presses can be looked up."""
    operation, (was, near) = MISSPELT[which]
    spoilt = replace(plain, operation=operation)
    path = tmp_path / "recipe.json"
    path.write_bytes(canonical(document(spoilt)))
    for use in (lambda: examine(path), lambda: build(spoilt, papers=False)):
        with pytest.raises(BadInput, match=f"'{was}'.*'{near}'"):
            use()
    with pytest.raises(SystemExit) as left:
        main(["make", "--recipe", str(path), "--out", str(tmp_path / "out"), "--no-papers"])
    assert left.value.code == 2
    assert not (tmp_path / "out").exists()


def test_spelt_right_the_same_press_is_judged() -> None:
    found = judge(Study.of(compose(ring(HANDS))), ("load path",))
    assert [each.grade for each in found] == [Grade.STOP]
    assert "'centre' with 40 N" in found[0].says


def test_every_shipped_plan_and_gallery_piece_is_known() -> None:
    for name in plan_names():
        absent = {each for one in work_plan(name).operations for each in one.absent}
        assert absent <= TRADE_WORDS, name
    pressed_pieces = [each for each in gallery.PIECES if each.operation]
    assert pressed_pieces
    for piece in pressed_pieces:
        path = SHEETS / f"{piece.sheet}.json"
        made = preferred(piece.family, piece.options, sheet=path, operation=piece.operation).recipe
        assert pressed(made.workpiece, made.operation)


def test_a_trade_word_the_sheet_lacks_takes_nothing_away_and_the_plan_says_so() -> None:
    lacking = replace(ASIDE, absent=("calendar ring", "oscillating weight"))
    assert at_work(SHEET, lacking) == without(SHEET, {"calendar ring"}) != SHEET
    plan = readiness(solve(SHEET, plan_of(lacking), PrinterCard()))
    (reason,) = plan.operations[0].reasons
    assert "'oscillating weight'" in reason
    assert "nothing was taken away" in reason


def test_any_name_on_the_sheet_may_be_absent() -> None:
    subs = SHEET.sub_assemblies
    assert subs
    every = [each.name for each in (*SHEET.keep_clear, *SHEET.arbors, *SHEET.rests, *subs)]
    require_known(SHEET, replace(ASIDE, absent=tuple(every)))
    require_known(SHEET, replace(ASIDE, absent=tuple(k.name for k in subs[0].keep_clear)))


@pytest.mark.parametrize(
    ("operation", "words"),
    [
        (replace(HANDS, absent=("centre",)), "names it under 'absent'"),
        (replace(HANDS, presses=(Press(arbor=EVERY),), absent=("centre",)), "carries a hand"),
    ],
)
def test_what_is_not_fitted_cannot_be_pressed(operation: Operation, words: str) -> None:
    for work in (SHEET, fitted(SHEET, operation)):
        with pytest.raises(BadInput, match=words):
            pressed(work, operation)


def test_hands_are_not_pressed_on_a_movement_that_has_none_on_its_sheet() -> None:
    """By diameter and height alone nothing is known of its arbors."""
    with pytest.raises(BadInput, match="nothing may be pressed"):
        order("round", {"diameter": 26.0, "height": 4.6}, operation="hand-setting")
    made = order("round", {"diameter": 26.0, "height": 4.6}).recipe
    does = Operation(name="press", side_up=Side.DIAL, presses=EVERY_HAND)
    with pytest.raises(BadInput, match="nothing may be pressed"):
        compose(replace(made, operation=does))
    bare = replace(made.workpiece, assumed=())  # a sheet on which no arbor carries a hand
    with pytest.raises(BadInput, match="carries a hand"):
        compose(replace(made, workpiece=bare, operation=does))


def test_nothing_is_pressed_in_a_mould() -> None:
    case = read(SHEETS / "inv-case-38.json", Sheet)
    crown = Arbor(name="crown", at=Place(0.0, 0.0))
    rule = families.family("cushion")
    press = Operation(name="press", side_up=Side.DIAL, presses=(Press(arbor="crown"),))
    made = rule.recipe(replace(case, arbors=(crown,)), press, rule.Wish(), PrinterCard())
    with pytest.raises(Refused, match="nothing is worked on"):
        compose(made)


def test_the_hardest_press_is_said_for_each_arbor() -> None:
    """Not the usual force where more occurs, and the arbors that are meant by 'every hand'."""
    from nests.papers.report.holder import _purpose

    three = read(SHEETS / "inv-30-c.json", Sheet)
    most = Operation(
        name="hands", side_up=Side.DIAL, presses=(Press(arbor=EVERY, force=20.0, most=35.0),)
    )
    says = _purpose(ring(most, three))
    for name in ("centre", "small seconds", "minute recorder"):
        assert f"{name} with up to 35 N" in says


def test_a_recipe_counts_on_nothing_that_is_absent() -> None:
    """By hand a recipe may still have it on its sheet: a post under it carries nothing then."""
    path = SHEETS / "inv-26-a.json"
    made = order("hand-setting", {}, sheet=path, operation="hand-setting").recipe
    bare = replace(made, operation=replace(made.operation, absent=("barrel bridge",)))
    assert compose(made)
    with pytest.raises(BadInput, match="barrel bridge"):
        compose(bare)


@pytest.mark.slow
def test_a_sub_assembly_wished_for_is_what_the_operation_is_done_on(tmp_path: Path) -> None:
    """What it presses and what is absent is looked for there, and not on the movement."""
    work = tmp_path / "work.json"
    carriage = "tourbillon carriage"
    press = Operation(
        name="press", side_up=Side.BRIDGE, presses=(Press(arbor="pallets", force=12.0),),
        absent=("balance and hairspring",),
    )  # fmt: skip
    work.write_bytes(canonical(document(plan_of(press))))
    sheet = SHEETS / "inv-30-t.json"
    options = {"sub_assembly": carriage}
    made = order("cradle", options, sheet=sheet, operation="press", work=work).recipe
    assert pressed(made.workpiece, made.operation) == {"pallets": 12.0}
    assert "balance and hairspring" not in [each.name for each in made.workpiece.keep_clear]


def test_an_arbor_must_not_be_called_what_means_all_hands() -> None:
    odd = replace(SHEET, arbors=(*SHEET.arbors, replace(SHEET.arbors[1], name=EVERY)))
    assert any(EVERY in f.says for f in check_sheet(odd) if f.grade is Grade.STOP)


def test_a_keep_clear_may_begin_like_a_counted_thing() -> None:
    """'lug spring' is a name like any other, 'lug 1' the first lug."""
    spring = KeepClear(
        name="lug spring", side=Side.BRIDGE, from_height=-1.0, to_height=0.5,
        zone=Disc(centre=Place(0.0, 0.0), diameter=2.0),
    )  # fmt: skip
    made = ring(Operation(name="a", side_up=Side.DIAL), replace(SHEET, keep_clear=(spring,)))
    assert compose(replace(made, parts=(*made.parts, Relief(of="lug spring"))))


def test_the_drawer_asks_the_same(drawer: Path, plain: Recipe) -> None:
    kept = filed(plain)
    operation, _ = MISSPELT["arbor"]
    with pytest.raises(BadInput, match="centre"):
        find(drawer, SHEET, operation)
    with pytest.raises(BadInput, match="centre"):
        cross(kept, SHEET, operation)
    found = [f for f in cross(kept, SHEET, HANDS).findings if "'centre'" in f.says]
    assert any("40 N" in f.says for f in found)


# --- never dropped --------------------------------------------------------------------------

WORDS = [*(each.name for each in SHEET.arbors), EVERY, "center", "balance and hairspring", ""]
presses = st.builds(
    Press,
    arbor=st.sampled_from(WORDS),
    force=st.floats(0.5, 60.0).map(lambda n: round(n, 1)),
    most=st.none() | st.floats(0.5, 90.0).map(lambda n: round(n, 1)),
)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    several=st.lists(presses, min_size=1, max_size=4),
    up=st.sampled_from(list(Side)),
    absent=st.lists(st.sampled_from(["centre", "motion works", "calender ring"]), max_size=1),
    stock=st.booleans(),
)
def test_every_press_is_found_or_refused(
    several: list[Press], up: Side, absent: list[str], stock: bool
) -> None:
    """By arbor and force, in the load path of a holder and in the rules of support of the drawer;
    said here in another way than in the rule: press by press, by name."""
    sheet = SHEET if stock else replace(SHEET, plate=replace(SHEET.plate, thickness=None))
    operation = Operation(name="any", side_up=up, presses=tuple(several), absent=tuple(absent))
    plain = ring(Operation(name="any", side_up=up), sheet)
    hands = {each.name for each in SHEET.arbors if each.carries and each.name not in absent}

    there = {each.name for each in SHEET.arbors} - set(absent)
    odd = any(p.arbor not in there and not (p.arbor == EVERY and hands) for p in several)

    def checks() -> tuple[Finding, ...]:
        made = replace(plain, operation=operation)
        return judge(Study.of(compose(made)), ("load path",))

    def support() -> tuple[Finding, ...]:
        return cross(filed(plain), sheet, operation, bench=False).findings

    for room, misspelt in ((checks, False), (support, "calender ring" in absent)):
        found = unless_refused(room)
        if found is None:
            assert odd or misspelt
            continue
        assert not misspelt
        for press in several:
            for name in hands if press.arbor == EVERY and hands else {press.arbor}:
                hardest = max(
                    max(p.force, p.most or 0.0)
                    for p in several
                    if p.arbor == name or (p.arbor == EVERY and name in hands)
                )
                wanted = f"'{name}'", f"{hardest:g} N"
                assert any(all(word in f.says for word in wanted) for f in found), wanted


def unless_refused(room: Callable[[], tuple[Finding, ...]]) -> tuple[Finding, ...] | None:
    """What is found, or None where the use is refused."""
    try:
        return room()
    except BadInput:
        return None


@pytest.mark.slow
def test_a_plan_s_presses_stand_in_the_holders_it_finds() -> None:
    """Every press of a work plan has its post in the holder its operation is done in."""
    work = json.loads((data_folder("gallery") / "work_plans" / "three-hand.json").read_text())
    assert any(each.get("presses") for each in work["operations"])
    plan = work_plan("three-hand")
    job = solve(SHEET, plan, PrinterCard())
    for chosen in job.chosen:
        assert chosen.trial is not None
        recipe = chosen.trial.recipe
        assert recipe is not None
        own = pressed(recipe.workpiece, recipe.operation)
        for i in chosen.used:
            one = plan.operations[i]
            for name, force in pressed(at_work(SHEET, one), one).items():
                assert own[name] >= force
