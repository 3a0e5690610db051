"""One finding remedied by itself, by the rules that remedy all of them."""

from __future__ import annotations

from nests.checks import judge
from nests.finding import Finding, Grade
from nests.holder.compose import Holder, compose
from nests.holder.recipe import Recipe
from nests.orders.remedies import (
    BAD,
    CROWDED,
    POSED,
    RULES,
    Change,
    first,
    own,
    posed_anew,
    vent_moved,
)
from nests.study import Study


def may_cure(holder: Holder, finding: Finding) -> bool:
    """Whether there is a rule for a finding; whether it helps is known when it is tried."""
    ruled = finding.check in RULES or finding.check in CROWDED
    posed = finding.grade is Grade.STOP and finding.check in POSED
    return finding.grade in BAD and bool(own(holder, (finding,))) and (ruled or posed)


def remedied(recipe: Recipe, finding: Finding) -> Change | None:
    """The change that cures one finding and looks at no other; None where no rule helps.

    Raises `Refused` and `BadInput` where the recipe as given cannot be composed.
    """
    holder = compose(recipe)
    if not may_cure(holder, finding):
        return None
    change = first(holder, (finding,), finding.grade)
    if change is None and (finding.check in CROWDED or finding.check in POSED):
        findings = judge(Study.of(holder))
        change = vent_moved(holder, findings, finding.grade, about=finding)
        if change is None and finding.grade is Grade.STOP and finding.check in POSED:
            change = posed_anew(holder, findings)
    return change
