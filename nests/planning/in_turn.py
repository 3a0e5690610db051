"""An operation whose presses no one holder carries, taken press by press.

A post that stands high enough to catch one jewel in time may push another one out while its
neighbour is pressed. Then each press is done in a holder that has posts for it alone, as far as
such a holder is found; which of them share one after all is for the family to find.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from nests.given.at_work import at_work, pressed
from nests.given.operation import EVERY, Operation, Press
from nests.given.sheet import Sheet


@dataclass(frozen=True)
class InTurn:
    """An operation that is done press by press: its index in the work plan and its name, what it
    is done as, and why no one holder would do."""

    index: int
    name: str
    parts: tuple[Operation, ...]
    why: tuple[str, ...]


def parts_of(turns: Iterable[InTurn], index: int, whole: Operation) -> tuple[Operation, ...]:
    """What an operation is done as: its parts if it is taken press by press, else itself."""
    return next((each.parts for each in turns if each.index == index), (whole,))


def press_by_press(sheet: Sheet, operation: Operation) -> tuple[Operation, ...]:
    """The operation with one press each, in the order of the sheet; arbors on one axis, which stand
    on one post, stay together. Nothing where there is no more than one. Raises as `pressed`."""
    work, down = at_work(sheet, operation), operation.side_up.other
    axes: dict[str, list[str]] = {}
    for name in pressed(work, operation):
        axes.setdefault(work.outermost(name, down).name, []).append(name)
    if len(axes) < 2:
        return ()
    return tuple(
        replace(
            operation,
            name=f"{operation.name}, {' and '.join(arbors)}",
            mark=f"{operation.engraved} {number}",
            presses=tuple(_presses(operation, arbors)),
        )
        for number, arbors in enumerate(axes.values(), 1)
    )


def _presses(operation: Operation, arbors: Iterable[str]) -> Iterable[Press]:
    """What the operation presses on these arbors alone, as hard as it says."""
    for name in arbors:
        for press in operation.presses:
            if press.arbor in (EVERY, name):
                yield replace(press, arbor=name)
