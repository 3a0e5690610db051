"""Examination of one file, whatever it holds: a document or a mesh."""

from __future__ import annotations

from os.path import lexists
from pathlib import Path

from nests.checks import judge
from nests.consistency import (
    check_card,
    check_plan,
    check_recipe,
    check_sheet,
    require_recipe,
)
from nests.documents.files import canonical, write_file
from nests.finding import Finding, Grade, Refused
from nests.given.operation import WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import compose, refuse_wrong_kind
from nests.holder.recipe import Recipe
from nests.kinds import document, read, read_any
from nests.kinds.kept import KeptHolder
from nests.orders.remedies import apply
from nests.solids.foreign import KINDS, read_mesh
from nests.study import Study
from nests.units import BadInput, Record


def examine(path: Path) -> tuple[Finding, ...]:
    """Findings about a file. Raises `BadInput` when it cannot be used at all."""
    if path.suffix.lower() in KINDS:
        return judge(Study(read_mesh(path), PrinterCard(name="common practice")))
    return findings_of(read_any(path), path.name)


def findings_of(value: Record, name: str = "it") -> tuple[Finding, ...]:
    """Findings about a record, which goes by a `name`. Raises `BadInput` for a recipe that cannot
    be composed."""
    if isinstance(value, Sheet):
        return tuple(check_sheet(value))
    if isinstance(value, KeptHolder):
        return tuple(check_recipe(value.recipe))
    if isinstance(value, WorkPlan):
        return tuple(check_plan(value))
    if isinstance(value, PrinterCard):
        return tuple(check_card(value))
    if isinstance(value, Recipe):
        try:
            refuse_wrong_kind(value.kind, value.workpiece)
            require_recipe(value)
            return judge(Study.of(compose(value)))
        except Refused as refused:
            return (refused.finding,)
    return (
        Finding(
            check="schema",
            grade=Grade.CLEAR,
            says=f"{name} is a valid {type(value).__name__}.",
        ),
    )


def mend(path: Path) -> tuple[Path, tuple[str, ...]]:
    """Write the recipe beside `path` with every remedy applied, and say what was changed.

    Returns the path itself where no remedy applies. Raises `BadInput`; nothing is overwritten.
    """
    recipe = read(path, Recipe)
    refuse_wrong_kind(recipe.kind, recipe.workpiece)
    require_recipe(recipe)
    target = path.with_name(f"{path.stem}-mended.json")
    if lexists(target):
        raise BadInput(f"{target} exists already; move it away first.")
    changed, changes = apply(recipe)
    if not changes:
        return path, ()
    write_file(target, canonical(document(changed)))
    return target, changes
