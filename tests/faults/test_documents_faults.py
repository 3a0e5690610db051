"""A sample of the table of hostile documents and faults of the machine, and how broad it is."""

from __future__ import annotations

from collections import Counter

import pytest
from documents_table import rows

from tests.faults.hostile.everything import DOCUMENTS, MACHINE
from tests.faults.hostile.row import Row, tried

ALL = rows()
FAST = ("text", "figures", "untrue", "typed", "kept", "drawers", "meshes", "schema")
"""Kinds whose rows run in this process, most in a few milliseconds."""
LARGE = ("million", "thousand", "more than a document", "random", "a path too long")
"""Words of rows that take a second or more."""


def _sample() -> list[Row]:
    """Every tenth row that is fast, and the first of every mechanism of those written by hand."""
    seen: set[str] = set()
    out = []
    for number, row in enumerate(each for each in ALL if each.kind in FAST):
        first = row.kind not in ("untrue", "figures", "schema") and row.mechanism not in seen
        seen.add(row.mechanism)
        if (number % 10 == 0 or first) and not any(each in row.mechanism for each in LARGE):
            out.append(row)
    return out


def test_a_sample_of_the_rows_is_as_stated() -> None:
    """The whole is the command beside it: `python tests/faults/documents_table.py`."""
    missed = [(each.row.title, each.misses) for each in map(tried, _sample()) if each.misses]
    assert missed == []


def test_no_two_rows_share_field_and_mechanism() -> None:
    twice = [
        each for each, many in Counter((r.field, r.mechanism) for r in ALL).items() if many > 1
    ]
    assert twice == []


def test_the_table_is_broad() -> None:
    assert sum(1 for each in DOCUMENTS for _ in each.rows()) >= 300
    assert sum(1 for each in MACHINE for _ in each.rows()) >= 40
    assert all(each.code in (0, 1, 2, None) for each in ALL)


@pytest.mark.parametrize("kind", ["file system", "console", "signals"])
def test_rows_of_the_machine_say_what_may_come(kind: str) -> None:
    """Where a run is refused nothing may come to the folder but what a drawer keeps for itself."""
    refused = [each for each in ALL if each.kind == kind and each.code == 2]
    assert all(not any(add.startswith("out") for add in each.adds) for each in refused)
