"""Examination of one file, whatever it holds: a document or a mesh."""

from __future__ import annotations

from collections.abc import Callable
from os.path import lexists
from pathlib import Path

from nests.checks import judge, names
from nests.consistency import (
    check_card,
    check_plan,
    check_recipe,
    check_sheet,
    require_recipe,
)
from nests.documents.files import canonical, write_file
from nests.documents.reading import lies_at
from nests.finding import Finding, Grade, Refused, by_gravity
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

MANY = 30_000
"""Triangles of a mesh from which on it is said beforehand how long it may take."""
BEGIN, SECONDS = 10.0, 0.25
"""Seconds, and seconds per thousand triangles, that a rough mesh takes at most; smooth ones take a
tenth. See `tests/benchmarks/rough_table.py`."""
LARGE = 1_500_000
"""Bytes of a mesh file from which on it is said that it is being read: `MANY` in a binary STL."""


def examine(
    path: Path, unit: str | None = None, progress: Callable[[str], None] = lambda _: None
) -> tuple[Finding, ...]:
    """Findings about a file. Raises `BadInput` when it cannot be used at all.

    `unit` is that of a mesh drawn elsewhere, one of `nests.solids.foreign.UNITS`; `progress` is
    told what is being done to a large one, and before how long it may take.
    """
    if path.suffix.lower() in KINDS:
        return _examined(path, unit, progress)
    if unit is not None:
        raise BadInput(f"{path.name} is a document, which has units of its own; a mesh has none.")
    return findings_of(read_any(path), path.name)


def _examined(path: Path, unit: str | None, progress: Callable[[str], None]) -> tuple[Finding, ...]:
    """Findings about a mesh drawn elsewhere."""
    about = lies_at(path)
    if about is not None and about.st_size > LARGE:
        progress(f"{path.name} has {about.st_size / 1e6:.1f} MB: reading it ...")
    study = Study(read_mesh(path, unit), PrinterCard(name="common practice"))
    count = study.solid.num_tri()
    if count <= MANY:
        return judge(study)
    progress(
        f"{path.name} has {count} triangles: this takes up to about "
        f"{BEGIN + SECONDS * count / 1000:.0f} s if its skin is rough, a tenth of that if it is "
        "smooth."
    )
    found: tuple[Finding, ...] = ()
    for number, name in enumerate(names(), 1):
        progress(f"check {number} of {len(names())}: {name} ...")
        found += judge(study, (name,))
    return by_gravity(found)


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
