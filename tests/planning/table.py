"""The README's table of whole jobs: every kind of work plan on an invented movement.

`python tests/planning/table.py` prints it. Seconds are of planning, judging and packing without
pictures, on two processes; CPU seconds count both.
"""

from __future__ import annotations

import resource
import tempfile
import time
from pathlib import Path

from nests.planning.whole import job_from, write

GALLERY = Path(__file__).parents[2] / "gallery"
JOBS = (
    ("inv-26-a", "three-hand"),
    ("inv-26-a", "automatic"),
    ("inv-26-a", "calendar"),
    ("inv-30-c", "chronograph"),
    ("inv-20-u", "ultra-thin"),
    ("inv-30-t", "tourbillon"),
    ("inv-32-k", "inv-32-k"),
)


def spent() -> float:
    """CPU seconds of this process and of those it has waited for."""
    return time.process_time() + sum(resource.getrusage(resource.RUSAGE_CHILDREN)[:2])


def line(sheet: str, work: str) -> str:
    """One row."""
    wall, cpu = time.perf_counter(), spent()
    with tempfile.TemporaryDirectory() as folder:
        job = job_from(
            GALLERY / "sheets" / f"{sheet}.json",
            work,
            printer=GALLERY / "printers" / "bench-printer.json",
        )
        plan = write(job, Path(folder))
    wall, cpu = time.perf_counter() - wall, spent() - cpu
    served = sum(each.state != "none" for each in plan.operations)
    resin = sum(each.volume or 0.0 for each in plan.holders) / 1000.0
    proved = "yes" if plan.proven else "no"
    return (
        f"| {work} on {job.sheet.name} | {len(plan.operations)} | {served} | {len(plan.holders)} "
        f"| {proved} | {resin:.0f} | {cpu:.0f} | {wall:.0f} |"
    )


if __name__ == "__main__":
    print("| work plan | operations | served | holders | proved least | resin, cm³ | CPU s | s |")
    print("|---|---|---|---|---|---|---|---|")
    for each in JOBS:
        print(line(*each), flush=True)
