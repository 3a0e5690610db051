"""Every number that is printed is the right one.

The numbers are read out of finished documents by the words beside them, and compared with what
sheet, operation, recipe, card, solid or a formula gives; `tests/mutants/figures.py` tells how many
wrong numbers would be found.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
import report_numbers
from numbered_holders import CASES, Case


@pytest.mark.parametrize(
    ("check", "name"),
    [
        pytest.param(check, name, id=f"{check.__name__}-{name.replace(' ', '-')}")
        for check, names in report_numbers.CHECKS
        for name in names
    ],
)
def test_report(check: Callable[[Case], None], name: str) -> None:
    check(CASES[name])
