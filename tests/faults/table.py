"""Prints how the printing checks do on the labelled collection, by kind of fault.

Run as `python tests/faults/table.py`. *False* counts findings that nothing planted accounts for;
those on sound solids stand in the last rows.
"""

from __future__ import annotations

import sys
from pathlib import Path
from time import perf_counter

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2])]

from cases import KINDS, Case, Verdict, verdict  # noqa: E402
from printing import defective  # noqa: E402
from printing_sound import sound  # noqa: E402


def main() -> None:
    """Judge every case and print the table, then each miss and each false alarm."""
    start = perf_counter()
    faulty, whole = defective(), sound()
    results = [(case, verdict(case)) for case in (*faulty, *whole)]
    print(f"{'planted':<16}{'cases':>6}{'found':>7}{'missed':>8}{'false':>7}")
    for kind in (*KINDS, ""):
        _row(kind or "nothing", [(c, v) for c, v in results if c.kind == kind])
    print(f"\n{len(faulty)} defective, {len(whole)} sound, {perf_counter() - start:.0f} s")
    for case, found in results:
        if found.missed:
            print(f"missed: {case.kind}: {case.name}: {found.missed}. {case.known}")
        for each in found.false:
            where = f"{each.check} {each.place}"
            print(f"false: {case.kind}: {case.name}: {where}: {each.sentence()} {case.known}")


def _row(word: str, results: list[tuple[Case, Verdict]]) -> None:
    missed = sum(bool(v.missed) for _, v in results)
    false = sum(len(v.false) for _, v in results)
    found = f"{len(results) - missed:>7}{missed:>8}" if word != "nothing" else f"{'':>15}"
    print(f"{word:<16}{len(results):>6}{found}{false:>7}")


if __name__ == "__main__":
    main()
