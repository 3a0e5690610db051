"""All rows: those written by hand, and those that the schemas write."""

from __future__ import annotations

from functools import cache

from tests.faults.hostile import (
    by_schema,
    console,
    drawers,
    figures,
    file_system,
    kept,
    meshes,
    signals,
    texts,
    typed,
    untrue_rows,
)
from tests.faults.hostile.row import Row

DOCUMENTS = (texts, figures, untrue_rows, typed, kept, drawers, meshes)
MACHINE = (file_system, console, signals)


@cache
def rows() -> tuple[Row, ...]:
    """Every row, in the order of the table."""
    by_hand = [row for each in (*DOCUMENTS, *MACHINE) for row in each.rows()]
    return (*by_hand, *by_schema.rows())
