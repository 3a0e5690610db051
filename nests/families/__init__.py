"""The families, one file each: rules that write a recipe from a sheet.

A family module has a class `Wish`, whose fields are its options, and a function
`recipe(sheet, operation, wish, card) -> Recipe`. A new file here is a new family, nothing else.
"""

from __future__ import annotations

from importlib import import_module
from pkgutil import iter_modules
from typing import Protocol, cast

from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.recipe import Recipe
from nests.units import BadInput, Record


class Family(Protocol):
    """What a family module offers."""

    Wish: type[Record]

    @staticmethod
    def recipe(
        sheet: Sheet, operation: Operation | None, wish: Record, card: PrinterCard
    ) -> Recipe:
        """The recipe for a sheet. Raises `Refused` for a wrong use, `BadInput` for a bad sheet."""


def names() -> tuple[str, ...]:
    """Names of the families, as written on the command line."""
    found = (each.name for each in iter_modules(__path__) if not each.name.startswith("_"))
    return tuple(sorted(name.replace("_", "-") for name in found))


def family(name: str) -> Family:
    """The family of that name. Raises `BadInput` if there is none."""
    if name not in names():
        raise BadInput(f"there is no family '{name}'; there is {', '.join(names())}.")
    return cast(Family, import_module(f"{__name__}.{name.replace('-', '_')}"))
