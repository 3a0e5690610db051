"""Consistency: can what a document says be true?

What contradicts itself is a `stop` that names the field, what it was and what is allowed; what is
only missing, and what no check looks at, is `unknown`. Each thing looked at is one file with one
function `look`; the registries are the folders `on_sheet`, `on_plan`, `on_card` and `on_recipe`. A
new file there is a new thing looked at, nothing else.

Limits follow from the document itself, unless a finding's origin says otherwise.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import cache
from importlib import import_module
from pkgutil import iter_modules
from types import ModuleType

from nests.consistency import on_card, on_plan, on_recipe, on_sheet
from nests.consistency._looked import ASSUMED, CHECK, UNLOOKED, Looked
from nests.finding import Finding, Grade, worst
from nests.given.operation import WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.recipe import Recipe
from nests.units import BadInput

GROUND = ("outline", "zones")
"""Looked at first: what is measured on shapes means nothing while these contradict themselves."""


def check_sheet(sheet: Sheet) -> list[Finding]:
    """Findings about a sheet and its sub-assemblies. Raises nothing."""
    out = _of_one_sheet(sheet) or [_clear(f"{sheet.name}: the sheet agrees with itself.")]
    for sub in sheet.sub_assemblies:
        out += check_sheet(sub)
    return out


def unlooked(sheet: Sheet) -> list[Finding]:
    """What is given on a sheet, its sub-assemblies left aside, and nothing looks at, and what was
    assumed."""
    return [each for each in _of_one_sheet(sheet) if each.origin in (UNLOOKED, ASSUMED)]


def check_plan(plan: WorkPlan) -> list[Finding]:
    """Findings about a work plan by itself, whatever sheet it is used for. Raises nothing."""
    out = list(_all(on_plan, plan))
    return out or [_clear(f"{plan.name}: the work plan agrees with itself.")]


def check_card(card: PrinterCard) -> list[Finding]:
    """Findings about a printer card. Raises nothing."""
    out = list(_all(on_card, card))
    return out or [_clear(f"{card.name}: the printer card agrees with itself.")]


def check_recipe(recipe: Recipe) -> list[Finding]:
    """Findings about a recipe, its workpiece, operation and printer card. Raises nothing.

    Parts are looked at only on a workpiece that agrees with itself.
    """
    out = [each for each in check_sheet(recipe.workpiece) if each.grade is not Grade.CLEAR]
    out += _all(on_card, recipe.printer)
    if worst(tuple(out)) is not Grade.STOP:
        out += _all(on_recipe, recipe)
    return out or [_clear(f"{recipe.name}: the recipe agrees with itself.")]


def require_consistent(sheet: Sheet) -> None:
    """Raise `BadInput` with every contradiction on a sheet, if it has one."""
    _require(check_sheet(sheet))


def require_plan(plan: WorkPlan) -> None:
    """Raise `BadInput` with every contradiction in a work plan, if it has one."""
    _require(check_plan(plan))


def require_on_sheet(plan: WorkPlan, sheet: Sheet) -> None:
    """Raise `BadInput` if a work plan is done on sub-assemblies that the sheet does not have, each
    told once with its first operation."""
    names = [each.name for each in sheet.sub_assemblies]
    lacking = {each.on: each.name for each in reversed(plan.operations) if each.on}  # the first
    faults = [
        f"{plan.name}: the operation '{first}': on is '{on}'; sub-assemblies on the sheet "
        f"'{sheet.name}': {', '.join(names) or 'none'}."
        for on, first in reversed(lacking.items())
        if on not in names
    ]
    if faults:
        raise BadInput(*faults)


def require_card(card: PrinterCard) -> None:
    """Raise `BadInput` with every contradiction on a printer card, if it has one."""
    _require(check_card(card))


def require_recipe(recipe: Recipe) -> None:
    """Raise `BadInput` with every contradiction in a recipe, if it has one."""
    _require(check_recipe(recipe))


def _of_one_sheet(sheet: Sheet) -> list[Finding]:
    looked, modules = Looked(sheet), dict(_looks(on_sheet))
    out: list[Finding] = []
    for name in GROUND:
        out += modules.pop(name)(looked)
        if worst(tuple(out)) is Grade.STOP:
            return out
    for look in modules.values():
        out += look(looked)
    return out


def _all(folder: ModuleType, about: object) -> Iterator[Finding]:
    for look in _looks(folder).values():
        yield from look(about)


@cache
def _looks(folder: ModuleType) -> dict[str, Callable[[object], Iterable[Finding]]]:
    names = sorted(each.name for each in iter_modules(folder.__path__))
    found = (name for name in names if not name.startswith("_"))
    return {name: import_module(f"{folder.__name__}.{name}").look for name in found}


def _require(findings: Iterable[Finding]) -> None:
    stops = [each.says for each in findings if each.grade is Grade.STOP]
    if stops:
        raise BadInput(*stops)


def _clear(says: str) -> Finding:
    return Finding(check=CHECK, grade=Grade.CLEAR, says=says)
