"""Whatever is typed, or stands in a cell: a record, or a sentence; never anything else."""

from __future__ import annotations

import csv
import io
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nests.kinds.measured import Measured
from nests.measuring import table
from nests.measuring.asking import waiting
from nests.measuring.placing import placed
from nests.measuring.sheet_of import sheet_of
from nests.measuring.talk import HELP, Turn, told, turned
from nests.units import BadInput
from tests.measuring.benches import HANDS, MORE_HANDS, measured, steps

BEFORE = [record for _, _, record in steps(HANDS)]
BITS = st.sampled_from(
    ["x", "y", "h", "3", "-1.2", "0", "from", "over", "between", "edge", "edge at 3 h", "centre",
     "at", "middle", ",", ", ", ";", "=", "±", "with", "micrometer", "none", "?", "on dial", "1e9",
     "nan", "balance", "pallet", "mass", "\u200b", "12,5", "99999999999999999999"]
)  # fmt: skip
TEXT = st.one_of(st.text(max_size=30), st.lists(BITS, max_size=9).map(" ".join))


@settings(max_examples=400, deadline=None, derandomize=True)
@given(st.sampled_from(BEFORE), TEXT)
def test_any_line(record, line):
    turn = turned(record, line)
    assert isinstance(turn, Turn)
    if turn.record == record:
        return
    placed(turn.record)
    waiting(turn.record, more=True)
    with suppress(BadInput):
        sheet_of(turn.record)


JUNK = (
    "",
    "x",
    "-1",
    "none",
    "?",
    "1e999",
    "9.4 over centre, 3 from edge",
    "=1+1",
    '"',
    "1;2",
    "1,2",
)


@pytest.mark.parametrize("junk", JUNK)
def test_any_cell(junk):
    rows = list(csv.reader(io.StringIO(table.written([measured(MORE_HANDS)]).decode("utf-8-sig"))))
    for r in range(1, len(rows), 4):
        for c in range(0, len(rows[0]), 3):
            changed = [list(row) for row in rows]
            changed[r][c] = junk
            out = io.StringIO()
            csv.writer(out).writerows(changed)
            with suppress(table.WrongTable):
                found = table.read(out.getvalue().encode())
                assert all(isinstance(each, Measured) for each in found.values())


def test_help_and_what():
    record = measured(HANDS)
    assert turned(record, "help").says == HELP
    assert turned(record, "what").says == told(record)
    assert len(told(record)) == 45
    assert turned(record, "stop").stop
    assert turned(record, "1.2").says[0].startswith("not taken: all is answered")
