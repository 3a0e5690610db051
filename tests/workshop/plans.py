"""How many movements nobody tuned may be worked on, with the plans that come with the program.

`python tests/workshop/plans.py [COUNT [FIRST]]` solves the plans `three-hand` and `ultra-thin` for
each of COUNT movements (60 if none is said) and prints how many may start, and of the others what
stands in the way.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from itertools import product
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from movements import without_dial

from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.planning.job import solve
from nests.planning.library import work_plan
from nests.planning.readiness import readiness

PLANS = ("three-hand", "ultra-thin")


@dataclass(frozen=True)
class Started:
    """Whether a plan may start on a movement, how many holders it takes, and why not."""

    seed: int
    plan: str
    may_start: bool
    holders: int
    says: tuple[str, ...]
    seconds: float


def started(seed: int, plan: str) -> Started:
    """Solve a plan for a movement."""
    return on(without_dial(seed), seed, plan)


def on(sheet: Sheet, seed: int, plan: str) -> Started:
    """Solve a plan for the sheet of a movement."""
    begun = time.perf_counter()
    job = solve(sheet, work_plan(plan), PrinterCard())
    answer = readiness(job)
    says = tuple(each for reasons in job.alone.values() for each in reasons)
    took = time.perf_counter() - begun
    return Started(seed, plan, answer.may_start, len(job.chosen), says, took)


def all_started(first: int, count: int) -> Iterator[Started]:
    """Every plan of some movements, in the order of their seeds."""
    seeds, plans = zip(*product(range(first, first + count), PLANS), strict=True)
    with ProcessPoolExecutor(2) as pool:
        yield from pool.map(started, seeds, plans, chunksize=2)


def main() -> None:
    """Print how many may start."""
    words = [int(each) for each in sys.argv[1:]]
    count, first = (words[0] if words else 60), (words[1] if len(words) > 1 else 0)
    found = []
    for each in all_started(first, count):
        found.append(each)
        if not each.may_start:
            print(f"{each.seed:5} {each.plan}: {' | '.join(each.says)}", flush=True)
    for plan in PLANS:
        some = [each for each in found if each.plan == plan]
        good = [each for each in some if each.may_start]
        times = sorted(each.seconds for each in some)
        print(
            f"{plan}: {len(good)} of {len(some)} may start; "
            f"{sum(e.holders for e in good) / max(len(good), 1):.1f} holders on the mean; "
            f"median {times[len(times) // 2]:.1f} s, worst {times[-1]:.1f} s"
        )


if __name__ == "__main__":
    main()
