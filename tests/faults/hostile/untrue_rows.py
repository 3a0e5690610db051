"""Documents that hold to their schema and cannot be true: the collection in `untrue`."""

from __future__ import annotations

from collections.abc import Iterator

import untrue_plans
import untrue_sheets
from untrue import Untrue

from tests.faults.hostile.row import Row
from tests.faults.hostile.spoil import checked, text


def rows() -> Iterator[Row]:
    """Each contradiction once, by its field and what is planted."""
    kinds: tuple[tuple[str, tuple[Untrue, ...], int], ...] = (
        ("sheet", untrue_sheets.SHEETS, 1),
        ("work-plan", untrue_plans.PLANS, 1),
        ("printer", untrue_plans.CARDS, 1),
        ("recipe", untrue_plans.RECIPES, 2),
    )
    for kind, faults, code in kinds:
        for each in faults:
            content = lambda each=each: text(each.data())  # noqa: E731
            field = f"{kind}: {each.field}"
            yield checked("untrue", field, each.kind, content, *each.says, code=code)
