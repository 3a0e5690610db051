"""The holders of the drawer that a plan refused, with the cure where there is one."""

from __future__ import annotations

from nests.kinds.plan import Plan, RefusedHolder
from nests.papers.report.wording import sentence

TITLE = "Refused of the drawer"
MOST = 12
"""Reasons and names told on paper; the plan's document has all."""


def refused(plan: Plan) -> tuple[str, ...]:
    """A sentence or two for each reason, those with a cure first, and the names of those that their
    sizes rule out; nothing where nothing was refused."""
    out = [_line(each) for each in plan.refused[:MOST]]
    if len(plan.refused) > MOST:
        out.append(f"{len(plan.refused) - MOST} more reasons stand in plan.json.")
    if plan.too_far:
        more = len(plan.too_far) - MOST
        names = ", ".join(plan.too_far[:MOST])
        out.append(f"Ruled out by their sizes: {names}{f' and {more} more' if more > 0 else ''}.")
    return tuple(out)


def _line(each: RefusedHolder) -> str:
    about = f"for {', '.join(each.operations)}: {each.why}"
    if not each.cures:
        return f"{each.name} will not do {about}"
    cures = " ".join(f"{sentence(cure).rstrip('.')}." for cure in each.cures)
    return f"{each.name}: {cures[:1].lower()}{cures[1:]} As it is it will not do {about}"
