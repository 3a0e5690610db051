"""What can be made with what is known of a workpiece by now: the families themselves are asked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from nests.consistency import check_sheet
from nests.families import family, offered, written
from nests.finding import Finding, Grade
from nests.given.at_work import at_work
from nests.given.operation import USUAL, Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.kinds.measured import Measured
from nests.measuring.asking import MOVEMENT
from nests.measuring.placing import listed
from nests.measuring.sheet_of import lacking, sheet_of
from nests.places import Side
from nests.planning.demand import missing_facts
from nests.planning.holders import lacks
from nests.units import BadInput

CARRYING = Operation(
    name="carrying", side_up=Side.DIAL, says="cleaned, looked at, carried about", absent=("dial",)
)
"""The least that a holder is for."""
ASKED: tuple[Operation, ...] = (CARRYING, *USUAL.operations)
"""The operations of which it is said whether there is a holder for them."""


@dataclass(frozen=True)
class State:
    """Whether a holder can be made for an operation: the family that writes it, or what lacks."""

    operation: str
    family: str = ""
    lacks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Standing:
    """What a record stands for by now: what cannot be true of it, and what can be made."""

    states: tuple[State, ...] = ()
    untrue: tuple[str, ...] = ()
    lacks: tuple[str, ...] = ()
    """What there is no sheet without."""


def standing(record: Measured) -> Standing:
    """What can be made now for each usual operation that concerns the workpiece, else what lacks.

    A family writes its recipe for it, with all that it looks at when it chooses; whether every
    check is content with the solid is found when the holder is made.
    """
    if short := lacking(record):
        return Standing(lacks=short)
    try:
        made = sheet_of(record)
    except BadInput as bad:
        return Standing(untrue=(str(bad),))
    if stops := contradictions(made.sheet):
        return Standing(untrue=tuple(dict.fromkeys((*made.misfits, *(e.says for e in stops)))))
    asked = tuple(each for each in ASKED if _concerns(record, each))
    return Standing(_states(_Same(made.sheet), asked), untrue=made.misfits)


def concerning(sheet: Sheet) -> tuple[Operation, ...]:
    """The operations that are asked for on a sheet."""
    return ASKED if sheet.kind == MOVEMENT else (CARRYING,)


def whole(found: Standing, sheet: Sheet) -> bool:
    """Whether all that concerns a sheet was asked."""
    return bool(found.untrue) or len(found.states) == len(concerning(sheet))


def standings(sheet: Sheet) -> Iterator[Standing]:
    """What a sheet stands for, operation by operation, each time with one more; the last is whole.

    A sheet does not tell what was looked for and is not there from what was never looked for, as a
    record does: every usual operation on a movement is asked for.
    """
    if stops := contradictions(sheet):
        yield Standing(untrue=tuple(each.says for each in stops))
        return
    so_far: tuple[State, ...] = ()
    for each in concerning(sheet):
        so_far += _states(_Same(sheet), (each,))
        yield Standing(so_far)


def news(before: Standing, after: Standing) -> tuple[str, ...]:
    """What an answer changed, in sentences: what was unlocked, what lacks now, what cannot be."""
    out = [f"cannot be: {each}" for each in after.untrue if each not in before.untrue]
    if after.lacks and after.lacks != before.lacks:
        out.append(f"nothing can be made yet; a sheet lacks {', '.join(after.lacks)}.")
    groups: dict[State, list[str]] = {}
    for each in after.states:
        if each not in before.states:
            groups.setdefault(replace(each, operation=""), []).append(each.operation)
    return (*out, *(words(each, names) for each, names in groups.items()))


def words(state: State, operations: Sequence[str]) -> str:
    """A sentence about operations of which the same is true."""
    names = ", ".join(operations)
    if state.family:
        return f"{names}: {state.family} holder can be made."
    lack = "lacks" if len(operations) == 1 else "lack"
    return f"{names} {lack}: {' '.join(state.lacks) or 'a family that is for it.'}"


def contradictions(sheet: Sheet) -> tuple[Finding, ...]:
    """What of a sheet cannot be true."""
    return tuple(each for each in check_sheet(sheet) if each.grade is Grade.STOP)


class _Same:
    """A sheet that is told from another by what stands on it, so that it is asked about once."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet, self.words = sheet, repr(sheet)

    def __hash__(self) -> int:
        return hash(self.words)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.words == self.words


def _concerns(record: Measured, operation: Operation) -> bool:
    """Whether an operation has to do with it: not with what was looked for, and is not there."""
    if operation is not CARRYING and record.text("whole", "", "kind") not in (None, MOVEMENT):
        return False
    pushed = not operation.pushers or listed(record, "pushers") != ()
    return pushed and not (operation.presses and listed(record, "pressed") == ())


@lru_cache(maxsize=16)
def _states(same: _Same, asked: tuple[Operation, ...]) -> tuple[State, ...]:
    return tuple(_state(same.sheet, each) for each in asked)


def _state(sheet: Sheet, operation: Operation) -> State:
    facts = missing_facts(sheet, operation)
    if facts:
        return State(operation.name, lacks=facts)
    reasons: list[str] = []
    try:
        work = at_work(sheet, operation)
        ways = offered(work, operation)
    except BadInput as bad:
        return State(operation.name, lacks=(str(bad),))
    for name, offer in ways:
        try:
            wish = family(name).Wish(**offer.options)
            left: Iterable[str] = lacks(written(name, work, operation, wish, PrinterCard()))
        except BadInput as bad:
            left = (str(bad),)
        if not (told := list(left)):
            return State(operation.name, name)
        reasons += told
    return State(operation.name, lacks=tuple(dict.fromkeys(reasons)))
