"""An operation on a workpiece: what is not fitted then, what is pressed, and how hard.

This is the one rule of it. Families, checks, load path, drawer, planning and report ask here, so
that a press is either judged by all of them or refused; none is passed over.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator

from nests.given.absent import called_nothing, without
from nests.given.absent import names as names_on
from nests.given.dial import DIAL, HANDS
from nests.given.hands import usual
from nests.given.operation import EVERY, Operation, Press
from nests.given.sheet import Sheet
from nests.given.trade import TRADE_WORDS as TRADE_WORDS
from nests.given.trade import goes_with
from nests.units import BadInput


def at_work(sheet: Sheet, operation: Operation) -> Sheet:
    """The workpiece of an operation as it is then: the movement of `sheet` or the sub-assembly the
    operation is done on, less what is not fitted. Raises `BadInput` for an unknown sub-assembly,
    and as `require_known`."""
    work = sheet.sub_assembly(operation.on) if operation.on else sheet
    require_known(sheet, operation)
    return fitted(work, operation)


def fitted(workpiece: Sheet, operation: Operation) -> Sheet:
    """The workpiece an operation is done on, less what is not fitted then; it stays the same if
    that is asked again of what is left."""
    left = without(workpiece, not_fitted(workpiece, operation.absent))
    names = {name for name, _ in names_on(workpiece)}
    # a name went first: once what has it is gone, it must not come to mean a kind
    spoken = {kind for word in names.intersection(operation.absent) for kind in goes_with(word)}
    return called_nothing(left, spoken)


def not_fitted(workpiece: Sheet, absent: Iterable[str]) -> tuple[str, ...]:
    """The names on a workpiece of what is not fitted where these are absent, sorted.

    A name that is on the sheet means what has it, and hands go with their dial. Any other word of
    the trade means all that the sheet says is of that kind, or goes with it.
    """
    out: set[str] = set()
    known = names_on(workpiece)
    names = {name for name, _ in known}
    for word in absent:
        if word in names:
            out |= {word} | ({HANDS} & names if word == DIAL else set())
        else:
            out.update(by_kind(workpiece, word))
    return tuple(sorted(out))


def by_kind(workpiece: Sheet, word: str) -> tuple[str, ...]:
    """The names on a workpiece that a word under `absent` means by what the sheet says they are,
    sorted; none for a name that is on the sheet itself."""
    known = names_on(workpiece)
    if any(name == word for name, _ in known):
        return ()
    kinds = goes_with(word)
    whole = [each.name for each in workpiece.sub_assemblies if each.what in kinds]
    return tuple(sorted({name for name, what in known if what in kinds or name in whole}))


def by_kind_words(workpiece: Sheet, absent: Iterable[str]) -> tuple[str, ...]:
    """A sentence for every word under `absent` that was understood by kind."""
    out = []
    for word in dict.fromkeys(absent):
        found = by_kind(workpiece, word)
        if found and found != (HANDS,):
            names = " and ".join(f"'{each}'" for each in found)
            out.append(
                f"'{word}' is said to be absent and is no name on the sheet '{workpiece.name}'; by "
                f"what the sheet says that it is, {names} was taken away."
            )
    return tuple(out)


def pressed(workpiece: Sheet, operation: Operation) -> dict[str, float]:
    """Most force in N on each arbor that an operation presses, in the order of the sheet: as the
    press says, else what is usual for the hardest of the arbor's hands.

    Raises `BadInput` for a press on what the workpiece does not have, or not at that moment.
    """
    return {name: force for name, (force, _) in _hardest(workpiece, operation).items()}


def pressed_words(workpiece: Sheet, operation: Operation) -> list[str]:
    """What is pressed and how hard, the range that occurs and where both come from, for a sentence.
    Raises as `pressed`."""
    return [
        f"{name} with up to {force:g} N ({_whence(workpiece, name, press)})"
        for name, (force, press) in _hardest(workpiece, operation).items()
    ]


def _whence(workpiece: Sheet, name: str, press: Press) -> str:
    """The range of a press and its origin; of one that states no force, what is usual."""
    if press.stated is None:
        return usual(workpiece, workpiece.arbor(name)).words
    least = "" if press.least is None else f"from {press.least:g} N, "
    often = "" if press.most is None or press.force is None else f"mostly {press.force:g} N, "
    return f"{least}{often}{press.origin}"


def _hardest(workpiece: Sheet, operation: Operation) -> dict[str, tuple[float, Press]]:
    """The hardest press on each arbor and its force in N, in the order of the sheet."""
    _require_arbors_known(workpiece, operation)
    arbors = {each.name: each for each in fitted(workpiece, operation).arbors}
    carrying = [name for name, each in arbors.items() if each.carries]
    out: dict[str, tuple[float, Press]] = {}
    for press in operation.presses:
        names = carrying if press.arbor == EVERY else [press.arbor]
        if not names:
            raise BadInput(
                f"the operation '{operation.name}' presses every hand, and no arbor on the sheet "
                f"'{workpiece.name}' carries a hand; name what each arbor carries."
            )
        for name in names:
            if name not in arbors:
                _require_arbor(workpiece, operation, name)
            force = press.hardest(usual(workpiece, arbors[name]).force)
            if name not in out or force > out[name][0]:
                out[name] = force, press
    return {name: out[name] for name in arbors if name in out}


def require_known(sheet: Sheet, operation: Operation) -> None:
    """Raise `BadInput` for a press on an arbor that the workpiece of an operation does not have,
    or not at that moment, and for a name under `absent` that is neither on the sheet nor a trade
    word. An operation on an unknown sub-assembly is passed over; `at_work` refuses it."""
    works = [each for each in sheet.sub_assemblies if each.name == operation.on]
    for work in works if operation.on else [sheet]:
        _require_arbors_known(work, operation)
        for press in operation.presses:
            if press.arbor != EVERY:
                _require_arbor(work, operation, press.arbor)
    known = TRADE_WORDS.union(_names(sheet))
    faults = [
        f"the operation '{operation.name}' names '{name}' under 'absent', and neither has the "
        f"sheet '{sheet.name}' anything of that name nor is it a word of the trade; "
        f"{_or_rather(name, known)}"
        for name in operation.absent
        if name not in known
    ]
    if faults:
        raise BadInput(*faults)


def _require_arbors_known(work: Sheet, operation: Operation) -> None:
    if operation.presses and not work.arbors_known:
        raise BadInput(
            f"the operation '{operation.name}' presses {operation.presses[0].arbor}, and nothing "
            f"may be pressed on '{work.name}', of which a few sizes are known and no arbor; "
            "measure a sheet."
        )


def _require_arbor(work: Sheet, operation: Operation, name: str) -> None:
    if name in not_fitted(work, operation.absent) or name in operation.absent:
        raise BadInput(
            f"the operation '{operation.name}' presses '{name}' and names it under 'absent'; "
            "there is no arbor of that name then."
        )
    names = [each.name for each in work.arbors]
    if name not in names:
        raise BadInput(
            f"the operation '{operation.name}' presses '{name}', and there is no arbor of that "
            f"name on the sheet '{work.name}'; {_or_rather(name, [*names, EVERY])}"
        )


def _names(sheet: Sheet) -> Iterator[str]:
    """Every name on a sheet that may be said to be absent, on its sub-assemblies too."""
    yield from (name for name, _ in names_on(sheet))
    for sub in sheet.sub_assemblies:
        yield sub.name
        yield from _names(sub)


def _or_rather(name: str, known: Iterable[str]) -> str:
    """The nearest of the names that are known, whatever its capitals."""
    folded = {each.casefold(): each for each in sorted(known)}
    (near,) = difflib.get_close_matches(name.casefold(), list(folded), 1, 0.0)
    return f"the nearest name is '{folded[near]}'."
