"""Operations of a work plan: there are some, and each has a name of its own."""

from __future__ import annotations

from collections.abc import Iterator

from nests.consistency._names import alike, fault
from nests.consistency._operation import contradictions, stop
from nests.finding import Finding
from nests.given.operation import WorkPlan


def look(plan: WorkPlan) -> Iterator[Finding]:
    """The plan, and every operation by itself."""
    if why := fault(plan.name):
        yield stop(f"the work plan: name {why}.", "rename it")
    if not plan.operations:
        yield stop(
            f"{plan.name}: the work plan has no operation; operations needs one or more.",
            "name what is done",
        )
    names = [each.name for each in plan.operations]
    for index, name in enumerate(names):
        if why := fault(name):
            yield stop(f"{plan.name}: operations[{index}].name {why}.", "rename it")
    for name in sorted({each for each in names if names.count(each) > 1}):
        yield stop(
            f"{plan.name}: operations: two operations have the name '{name}'; names are unique.",
            "rename one",
        )
    for one, two, how in alike(names):
        yield stop(f"{plan.name}: operations hold {one} and {two}, {how}.", "rename one")
    subs = [each.on for each in plan.operations if each.on]
    for one, two, how in alike(subs):
        yield stop(f"{plan.name}: on is {one} and {two}, {how}.", "write it as on the sheet")
    for each in plan.operations:
        yield from contradictions(plan.name, each)
