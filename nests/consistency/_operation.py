"""One operation: what is pressed and how hard, what is absent, and what its workpiece must have."""

from __future__ import annotations

from collections.abc import Iterator

from nests.consistency._looked import CHECK, LOGIC
from nests.consistency._names import alike, fault
from nests.finding import Finding, Grade
from nests.given.operation import Operation, Press

EVERY_HAND = "every hand"
USUAL_SHOCK = Operation.__dataclass_fields__["shock"].default


def stop(says: str, remedy: str) -> Finding:
    """A contradiction in a work plan, an operation, a card or a recipe."""
    return Finding(check=CHECK, grade=Grade.STOP, says=says, remedy=remedy, origin=LOGIC)


def mend(says: str, remedy: str) -> Finding:
    """What is hardly meant."""
    return Finding(check=CHECK, grade=Grade.MEND, says=says, remedy=remedy, origin=LOGIC)


def unknown(says: str, remedy: str) -> Finding:
    """What nothing looks at."""
    return Finding(check=CHECK, grade=Grade.UNKNOWN, says=f"not assessed: {says}", remedy=remedy)


def contradictions(where: str, operation: Operation) -> Iterator[Finding]:
    """Findings about an operation by itself; `where` says what it stands in."""
    name = f"{where}: the operation '{operation.name}'"
    if operation.on and (why := fault(operation.on)):
        yield stop(f"{name}: on {why}.", "write it as on the sheet")
    for index, press in enumerate(operation.presses):
        yield from _force(f"{name}: presses[{index}]", press)
    yield from _pressed(name, operation)
    yield from _absent(name, operation)
    if operation.shock != USUAL_SHOCK and not operation.turned_over:
        yield unknown(
            f"{name}: shock is {operation.shock:g}, but turned_over is false; a knock is looked at "
            "only while the workpiece is turned over.",
            "say turned_over true, or take shock away",
        )


def _force(name: str, press: Press) -> Iterator[Finding]:
    if press.least is not None and press.most is not None and press.least > press.most:
        yield stop(
            f"{name}: least is {press.least:g} N; it must be at most most, {press.most:g} N.",
            "exchange them",
        )
        return
    if press.force is None:
        return
    if press.least is not None and press.force < press.least:
        yield stop(
            f"{name}: force is {press.force:g} N; it must be at least least, {press.least:g} N.",
            "give the usual force",
        )
    if press.most is not None and press.force > press.most:
        yield stop(
            f"{name}: force is {press.force:g} N; it must be at most most, {press.most:g} N.",
            "give the usual force",
        )


def _pressed(name: str, operation: Operation) -> Iterator[Finding]:
    arbors = [each.arbor for each in operation.presses]
    for index, arbor in enumerate(arbors):
        if why := fault(arbor):
            yield stop(f"{name}: presses[{index}].arbor {why}.", "write it as on the sheet")
    for press in dict.fromkeys(operation.presses):  # of other forces it is another hand's press
        if (count := operation.presses.count(press)) > 1:
            yield mend(
                f"{name}: presses holds the same press on '{press.arbor}' {count} times; once is "
                "enough.",
                "say it once",
            )
    for one, two, how in alike(arbors):
        yield stop(f"{name}: presses hold {one} and {two}, {how}.", "write it as on the sheet")
    for one, two, how in alike({*arbors, EVERY_HAND}):
        if EVERY_HAND not in arbors and f"'{EVERY_HAND}'" in (one, two):
            other = one if two == f"'{EVERY_HAND}'" else two
            yield stop(
                f"{name}: presses hold {other}; it is written '{EVERY_HAND}' ({how}).",
                f"write '{EVERY_HAND}'",
            )
    for arbor in sorted(set(arbors) & set(operation.absent)):
        yield stop(
            f"{name}: absent holds '{arbor}', which is pressed; what is not fitted cannot be.",
            "take it out of one of the two",
        )


def _absent(name: str, operation: Operation) -> Iterator[Finding]:
    absent = operation.absent
    for index, each in enumerate(absent):
        if why := fault(each):
            yield stop(f"{name}: absent[{index}] {why}.", "write it as on the sheet")
    for each in sorted({n for n in absent if absent.count(n) > 1}):
        yield stop(
            f"{name}: absent holds '{each}' {absent.count(each)} times; once is allowed.",
            "name it once",
        )
    for one, two, how in alike(absent):
        yield stop(f"{name}: absent holds {one} and {two}, {how}.", "write it as on the sheet")
