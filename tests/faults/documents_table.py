"""Prints how the program does with hostile or broken documents and with faults of the machine.

Run as `python tests/faults/documents_table.py`, with `--kind meshes` for one kind, `--every 10` for
a sample, `--misses` for nothing but those. Each row states beforehand the code and what must be
said; a miss is anything else, a traceback, a loss, a hang over 60 s, or more than 1 GB. Ends with 1
if there is a miss.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from time import perf_counter

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2])]

from tests.faults.hostile.everything import rows  # noqa: E402
from tests.faults.hostile.row import ENOUGH, MEMORY, Row, Verdict, tried  # noqa: E402


def main() -> int:
    """Try every row and print it, then the totals and each miss."""
    asked = _asked()
    chosen = [each for each in rows() if not asked.kind or each.kind in asked.kind]
    chosen = chosen[:: asked.every]
    start = perf_counter()
    print(f"{'row':<78}{'expected':<44}{'found':<7}{'s':>6}{'MB':>6}")
    results: list[Verdict] = []
    kept_out: list[tuple[Row, str]] = []
    for row in chosen:
        if why := row.needs():
            kept_out.append((row, why))
            continue
        done = tried(row)
        results.append(done)
        if done.misses or not asked.misses:
            print(_line(done), flush=True)
    _totals(results, perf_counter() - start)
    for row, why in kept_out:
        print(f"not tried here: {row.kind}: {row.title}: {why}")
    missed = [each for each in results if each.misses]
    for each in missed:
        print(f"miss: {each.row.kind}: {each.row.title}: {'; '.join(each.misses)}")
        print("".join(f"    {line[:200]}\n" for line in each.ran.said.splitlines()[:4]), end="")
    return 1 if missed else 0


def _asked() -> argparse.Namespace:
    reader = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    reader.add_argument("--kind", action="append", help="only rows of this kind")
    reader.add_argument("--every", type=int, default=1, help="only every so manieth row")
    reader.add_argument("--misses", action="store_true", help="print only rows that miss")
    return reader.parse_args()


def _line(done: Verdict) -> str:
    row, ran = done.row, done.ran
    found = f"{ran.code}{' MISS' if done.misses else ''}"
    title = f"{row.kind}: {row.title}".encode("ascii", "backslashreplace").decode()
    return (
        f"{title[:76]:<78}{row.expected()[:42]!r:<44}{found:<7}{ran.seconds:>6.2f}{ran.peak:>6.0f}"
    )


def _totals(results: list[Verdict], seconds: float) -> None:
    print(f"\n{'kind':<20}{'rows':>6}{'as stated':>11}{'missed':>8}{'slowest s':>11}{'most MB':>9}")
    kinds = list(dict.fromkeys(each.row.kind for each in results))
    for kind in (*kinds, ""):
        of = [each for each in results if not kind or each.row.kind == kind]
        if not of:
            continue
        missed = sum(bool(each.misses) for each in of)
        slowest, most = max(e.ran.seconds for e in of), max(e.ran.peak for e in of)
        print(f"{kind or 'all':<20}{len(of):>6}{len(of) - missed:>11}{missed:>8}"
              f"{slowest:>11.1f}{most:>9.0f}")  # fmt: skip
    print(f"{seconds:.0f} s; allowed are {ENOUGH:.0f} s and {MEMORY:.0f} MB a row")


if __name__ == "__main__":
    sys.exit(main())
