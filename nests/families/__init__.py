"""The families, one file each: rules that write a recipe from a sheet.

A family module has a class `Wish`, whose fields are its options, a function
`recipe(sheet, operation, wish, card) -> Recipe`, and `offers(work, operation)`, which says whom it
would serve. A new file here is a new family, nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib import import_module
from pkgutil import iter_modules
from typing import Any, Literal, Protocol, cast

from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.recipe import Recipe
from nests.parts.base import Part
from nests.units import BadInput, Hour, Length, Record


@dataclass(frozen=True)
class Offer:
    """A family that would serve an operation on a workpiece, with options; of several the lowest
    `rank` is tried first: what is the least work to make and to use."""

    rank: int
    options: Mapping[str, Any] = field(default_factory=dict)


class Family(Protocol):
    """What a family module offers."""

    Wish: type[Record]

    @staticmethod
    def offers(work: Sheet, operation: Operation) -> tuple[Offer, ...]:
        """How it would serve an operation on the workpiece as it is then; not at all if it is not
        for that."""

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


def written(
    name: str, sheet: Sheet, operation: Operation | None, wish: Record, card: PrinterCard
) -> Recipe:
    """The recipe that a family writes, with what is wished for at the bench besides.

    Raises what `recipe` of the family does, and `Refused` for a comfort that finds no room.
    """
    from nests.families._comfort import ComfortWish, comforted

    made = family(name).recipe(sheet, operation, wish, card)
    return comforted(made, wish) if isinstance(wish, ComfortWish) else made


def offered(work: Sheet, operation: Operation) -> tuple[tuple[str, Offer], ...]:
    """Every family that would serve an operation, by name, the preferred first."""
    found = [(name, each) for name in names() for each in family(name).offers(work, operation)]
    return tuple(sorted(found, key=lambda pair: pair[1].rank))


def vent(at: Hour, level: Literal["floor", "foot"], width: Length) -> Part:
    """A vent by itself, for a recipe that exists; `width` in mm."""
    from nests.parts.vent import Vent

    return Vent(at=at, level=level, width=width)


def slot_to(pusher: str) -> Part:
    """A slot to a pusher by itself, for a recipe that exists."""
    from nests.parts.pusher_slot import PusherSlot

    return PusherSlot(pusher=pusher)
