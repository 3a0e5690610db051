"""How many movements nobody tuned get the holders they ought to get.

`python tests/workshop/table.py [COUNT [FIRST]]` judges every order of COUNT movements (1000 if none
is said) and prints a table by family, with the commonest reasons of what failed. A refusal is a
failure. Two processes; the result does not depend on how many.
"""

from __future__ import annotations

import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from movements import movement
from orders import Order, orders

from nests.choosing import choose
from nests.finding import Grade, worst
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.units import BadInput

EXPLAINED = False
"""Whether what is in the way of a refused holder is found out too, which takes seconds each."""


@dataclass(frozen=True)
class Outcome:
    """What became of an order: its grade, or none where it was refused or crashed, and why."""

    seed: int
    order: Order
    grade: Grade | None
    says: tuple[str, ...]
    seconds: float
    crashed: bool = False

    @property
    def printable(self) -> bool:
        """Whether it can be printed: no stop, and not refused."""
        return self.grade is not None and self.grade is not Grade.STOP


def served(seed: int, sheet: Sheet, order: Order) -> Outcome:
    """Try one order as the command line would."""
    begun = time.perf_counter()
    grade: Grade | None = None
    crashed = False
    try:
        best = choose(
            order.family, sheet, order.operation, order.options, PrinterCard(), explain=EXPLAINED
        )
        found, grade = best.findings, worst(best.findings)
        grave = (Grade.STOP, Grade.MEND, Grade.UNKNOWN)
        says = tuple(f"{f.check}: {f.says}" for f in found if f.grade in grave)
    except BadInput as error:
        says = (f"refused: {error}",)
    except Exception as error:  # a crash is counted, not hidden
        crashed, says = True, (f"crash: {type(error).__name__}: {error}",)
    return Outcome(seed, order, grade, says, time.perf_counter() - begun, crashed)


def of_seed(seed: int) -> list[Outcome]:
    """Every order of one movement."""
    sheet = movement(seed)
    return [served(seed, sheet, each) for each in orders(sheet)]


def outcomes(first: int, count: int) -> Iterator[Outcome]:
    """Every order of some movements, in the order of their seeds."""
    with ProcessPoolExecutor(2) as pool:
        for each in pool.map(of_seed, range(first, first + count), chunksize=4):
            yield from each


def table(found: list[Outcome]) -> str:
    """The table as the README has it."""
    rows: dict[str, list[Outcome]] = defaultdict(list)
    for each in found:
        rows[each.order.family].append(each)
    lines = ["| family | of | may be printed | without a mend |", "|---|---|---|---|"]
    for name, some in [*sorted(rows.items()), ("all", found)]:
        good = sum(each.printable for each in some)
        clean = sum(each.printable and each.grade is not Grade.MEND for each in some)
        lines.append(
            f"| {name} | {len(some)} | {good} ({100 * good / len(some):.1f} %) "
            f"| {clean} ({100 * clean / len(some):.1f} %) |"
        )
    return "\n".join(lines)


def main() -> None:
    """Print the table."""
    words = [int(each) for each in sys.argv[1:]]
    count, first = (words[0] if words else 1000), (words[1] if len(words) > 1 else 0)
    found = []
    for each in outcomes(first, count):
        found.append(each)
        if not each.printable or each.grade is Grade.MEND:
            print(f"{each.seed:5} {each.order.words}: {' | '.join(each.says)[:400]}")
    print(table(found))
    times = sorted(each.seconds for each in found)
    print(f"{sum(each.crashed for each in found)} crashes; median {times[len(times) // 2]:.2f} s, "
          f"worst {times[-1]:.2f} s")  # fmt: skip
    why = Counter(
        f"{each.order.family}: {each.says[0].split(':')[0]}" for each in found if not each.printable
    )
    for reason, number in why.most_common(20):
        print(f"{number:5} {reason}")


if __name__ == "__main__":
    main()
