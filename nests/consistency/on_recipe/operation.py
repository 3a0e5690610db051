"""Name, date and operation of a recipe, and the workpiece the operation is done on."""

from __future__ import annotations

from collections.abc import Iterator

from nests.consistency._names import fault
from nests.consistency._operation import contradictions, stop
from nests.finding import Finding
from nests.holder.recipe import Recipe
from nests.units import BadInput, require_date


def look(recipe: Recipe) -> Iterator[Finding]:
    """What is done, on what, and when it was written."""
    if why := fault(recipe.name):
        yield stop(f"the recipe: name {why}.", "rename it")
    try:
        require_date(recipe.date)
    except BadInput as bad:
        yield stop(f"{recipe.name}: {bad}", "write the date as year-month-day")
    operation, workpiece = recipe.operation, recipe.workpiece
    if why := fault(operation.name):
        yield stop(f"{recipe.name}: operation.name {why}.", "rename it")
    yield from contradictions(recipe.name, operation)
    if operation.on and operation.on != workpiece.name:
        yield stop(
            f"{recipe.name}: operation.on is '{operation.on}', but the workpiece is "
            f"'{workpiece.name}'; a recipe carries the one the operation is done on.",
            "give the sub-assembly as workpiece, or another operation",
        )
