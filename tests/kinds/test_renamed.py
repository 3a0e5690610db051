"""What people name changes no verdict: a recipe under other names is judged the same.

Every holder of the gallery is judged again with another family, operation, holder and sheet name,
and with its arbors, rests, keep-clears and pushers called by words the program uses itself.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any

import pytest

from nests.checks import judge, names
from nests.documents.files import data_folder
from nests.finding import Grade
from nests.given.operation import EVERY, Operation
from nests.given.sheet import Sheet
from nests.holder.compose import compose
from nests.holder.recipe import MOULD, Recipe
from nests.load_path.supports import drawn
from nests.orders.gallery import PIECES, Piece
from nests.parts.clip import Clip
from nests.parts.ring_seat import RingSeat
from nests.study import Study
from tests.ordering import preferred as order
from tests.pieces import every

GALLERY = data_folder("gallery")
OURS = (
    "rim", "ring seat", "stake post under rim", "mark 'A'", "inspection", "body", "clip at 3 h",
    "shallow groove", "the rim face", "cradle", "stem", "holder", "workpiece", "plate", "lug",
)  # fmt: skip
"""Words of the program that a person may well take for a name."""


def recipe(piece: Piece) -> Recipe:
    sheet = GALLERY / "sheets" / f"{piece.sheet}.json" if piece.sheet else None
    card = GALLERY / "printers" / "bench-printer.json"
    made = order(piece.family, piece.options, sheet=sheet, operation=piece.operation, printer=card)
    return made.recipe


def other_titles(made: Recipe) -> Recipe:
    """Another name of family, operation, holder and sheet."""
    return replace(
        made,
        family="inspection" if made.family != "inspection" else "by hand",
        name="another",
        operation=replace(made.operation, name="inspection", says="turned over and pressed"),
        workpiece=replace(made.workpiece, name="cradle"),
    )


def other_names(made: Recipe) -> Recipe:
    """Everything named on the sheet, and all that refers to it, under another name."""
    sheet = made.workpiece
    named = (*sheet.rests, *sheet.arbors, *sheet.keep_clear, *sheet.pushers)
    olds = list(dict.fromkeys(each.name for each in named))
    names_ = dict(zip(olds, _enough(len(olds)), strict=True))

    def new(name: str) -> str:
        return names_.get(name, name)

    def renamed(part: Any) -> Any:
        known = {each.name for each in fields(part)}
        changes = {k: new(getattr(part, k)) for k in ("under", "pusher", "of") if k in known}
        return replace(part, **changes) if changes else part

    return replace(
        made,
        workpiece=_sheet(sheet, new),
        operation=_operation(made.operation, new),
        parts=tuple(map(renamed, made.parts)),
    )


def _enough(count: int) -> list[str]:
    return [word if not i else f"{word} {i}" for i in range(count) for word in OURS][:count]


def _sheet(sheet: Sheet, new: Callable[[str], str]) -> Sheet:
    def all_of(items: Any) -> Any:
        return tuple(replace(each, name=new(each.name)) for each in items)

    return replace(
        sheet,
        rests=all_of(sheet.rests),
        arbors=all_of(sheet.arbors),
        keep_clear=all_of(sheet.keep_clear),
        pushers=all_of(sheet.pushers),
    )


def _operation(operation: Operation, new: Callable[[str], str]) -> Operation:
    presses = tuple(
        each if each.arbor == EVERY else replace(each, arbor=new(each.arbor))
        for each in operation.presses
    )
    return replace(operation, presses=presses, absent=tuple(map(new, operation.absent)))


def graded(made: Recipe, only: tuple[str, ...]) -> Counter[tuple[str, Grade, float | None]]:
    return Counter(
        (each.check, each.grade, None if each.value is None else round(each.value, 6))
        for each in judge(Study.of(compose(made)), only)
    )


BENCH = ("composition", *names("bench"))
FIRST = {each.family: each for each in reversed(PIECES)}
"""The first of each family, which is slow in print; all others take long."""
IN_PRINT = [
    pytest.param(
        each, id=each.slug(), marks=pytest.mark.slow if each in FIRST.values() else pytest.mark.long
    )
    for each in PIECES
]


@pytest.mark.slow
@pytest.mark.parametrize("piece", every())
def test_at_the_bench_names_change_no_grade(piece: Piece) -> None:
    made = recipe(piece)
    plain = graded(made, BENCH)
    assert plain or made.kind == MOULD
    assert graded(other_titles(made), BENCH) == plain
    assert graded(other_names(other_titles(made)), BENCH) == plain


@pytest.mark.parametrize("piece", IN_PRINT)
def test_in_print_names_change_no_grade(piece: Piece) -> None:
    made = recipe(piece)
    plain = graded(made, names("printer"))
    assert plain
    assert graded(other_names(other_titles(made)), names("printer")) == plain


@pytest.mark.parametrize("turned", [True, False])
@pytest.mark.parametrize("family", ["inspection", "round", "by hand"])
def test_clips_too_weak_are_a_stop_whoever_wrote_them(family: str, turned: bool) -> None:
    """Whatever the operation is: clips all round are there to carry."""
    piece = next(each for each in PIECES if each.family == "inspection")
    made = recipe(piece)
    heavy = replace(
        made,
        family=family,
        workpiece=replace(made.workpiece, mass=60.0),
        operation=replace(made.operation, turned_over=turned),
    )
    stops = [f for f in judge(Study.of(compose(heavy)), ("hold",)) if f.grade is Grade.STOP]
    assert ["knock" in each.says for each in stops] == [True]


@pytest.mark.parametrize("family", ["inspection", "round"])
def test_nothing_falls_out_of_what_is_not_turned_over(family: str) -> None:
    """Without clips a holder is a ring: what is done in it decides, and not what it is called."""
    piece = next(each for each in PIECES if each.family == "inspection")
    made = recipe(piece)
    bare = replace(made, family=family,
                   parts=tuple(p for p in made.parts if not isinstance(p, Clip)))  # fmt: skip
    for turned, grades in ((True, [Grade.STOP]), (False, [])):
        does = replace(bare, operation=replace(bare.operation, turned_over=turned))
        found = judge(Study.of(compose(does)), ("hold",))
        assert [each.grade for each in found] == grades


def test_a_rest_named_rim_is_no_ledge() -> None:
    """Carried on posts the rim clears its ledge, whatever the rest over a post is called."""
    piece = next(each for each in PIECES if each.sheet == "inv-20-u" and each.family == "thin")
    lying = recipe(piece)
    parts = (replace(p, drop=0.2) if isinstance(p, RingSeat) else p for p in lying.parts)
    carried = replace(lying, parts=tuple(parts))
    for made in (carried, other_names(carried)):
        assert any(isinstance(p, RingSeat) and p.drop for p in made.parts)
        supports = drawn(made.site(), [(p.label(), p) for p in made.parts])
        assert not any(p.ledge is not None and p.drawn == 0.0 for p in supports)
    assert any(getattr(p, "under", "") == "rim" for p in other_names(recipe(piece)).parts)
