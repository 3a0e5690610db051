"""Every check with every holder or job that prints what it reads."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import drawing_numbers
import report_numbers
from numbered_holders import CASES

EVERYTHING: list[tuple[Callable[[Any], None], Any]] = [
    (check, CASES[name])
    for room in (report_numbers, drawing_numbers)
    for check, names in room.CHECKS
    for name in names
]
