"""A seeded sample of wrong numbers: the checks of printed numbers find nearly all of them."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

BENCH = Path(__file__).parent / "figures.py"
SAMPLE = 40


@pytest.mark.long
def test_wrong_numbers_are_found() -> None:
    """In a process of its own: the modules that print are read with their numbers wrapped."""
    done = subprocess.run(
        [sys.executable, str(BENCH), "--sample", str(SAMPLE), "--seed", "26"],
        capture_output=True,
        text=True,
        cwd=BENCH.parent.parent.parent,
        check=False,
    )
    told = re.search(r"(\d+) wrong numbers .* ([\d.]+) %; (\d+) changed", done.stdout)
    assert told is not None, done.stderr
    wrong, share, silent = (float(each) for each in told.groups())
    assert wrong + silent == SAMPLE
    assert wrong >= 0.9 * SAMPLE
    assert share >= 95.0, done.stdout
    assert done.returncode == 0
