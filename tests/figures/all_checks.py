"""Every check with every holder or job that prints what it reads."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import drawing_numbers
import job_numbers
import report_numbers
from numbered_holders import CASES
from numbered_jobs import JOBS

EVERYTHING: list[tuple[Callable[[Any], None], Any]] = [
    (check, papers[name])
    for room, papers in (
        (report_numbers, CASES),
        (drawing_numbers, CASES),
        (job_numbers, JOBS),
    )
    for check, names in room.CHECKS  # type: ignore[attr-defined]
    for name in names
]
