"""Every number that is printed is the right one.

The numbers are read out of finished documents by the words beside them, and compared with what
sheet, operation, recipe, card, solid or a formula gives; `tests/mutants/figures.py` tells how many
wrong numbers would be found.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from all_checks import EVERYTHING


@pytest.mark.parametrize(
    ("check", "papers"),
    [
        pytest.param(check, papers, id=f"{check.__name__}-{papers.name.replace(' ', '-')}")
        for check, papers in EVERYTHING
    ],
)
def test_printed(check: Callable[[Any], None], papers: Any) -> None:
    check(papers)
