"""The families, one file each: rules that write a recipe from a sheet.

A family module has a class `Wish`, whose fields are its options, and a function
`recipe(sheet, operation, wish, card) -> Recipe`. A new file here is a new family, nothing else.
"""

from __future__ import annotations

from importlib import import_module
from pkgutil import iter_modules
from typing import Literal, Protocol, cast

from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.recipe import Recipe
from nests.parts.base import Part
from nests.units import BadInput, Hour, Length, Record


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


def vent(at: Hour, level: Literal["floor", "foot"], width: Length) -> Part:
    """A vent by itself, for a recipe that exists; `width` in mm."""
    from nests.parts.vent import Vent

    return Vent(at=at, level=level, width=width)


def slot_to(pusher: str) -> Part:
    """A slot to a pusher by itself, for a recipe that exists."""
    from nests.parts.pusher_slot import PusherSlot

    return PusherSlot(pusher=pusher)
