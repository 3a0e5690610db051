"""Seconds that the whole pack of each piece of the gallery takes on one core, as a markdown table.

    python tests/benchmarks/pack_table.py [runs]

The wall clock of `nests make` as a user types it, start of Python and all, bound to one core; the
least of the runs, because whatever else the machine does only adds. Target: 5 s.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from nests.documents.files import data_folder
from nests.orders.gallery import PIECES, Piece


def words(piece: Piece) -> Iterator[str]:
    """What is typed after `nests make`."""
    root = data_folder("gallery")
    yield piece.family
    yield from ("--printer", str(root / "printers" / "bench-printer.json"))
    if piece.sheet:
        yield from ("--sheet", str(root / "sheets" / f"{piece.sheet}.json"))
    if piece.operation:
        yield from ("--operation", piece.operation)
    for name, value in piece.options.items():
        yield from (f"--{name.replace('_', '-')}", str(value))


def seconds(piece: Piece, runs: int) -> float:
    """The least wall time of its pack."""
    times = []
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(runs):
            make = [sys.executable, "-m", "nests", "make", *words(piece)]
            start = time.perf_counter()
            subprocess.run(
                [*make, "--out", f"{folder}/pack", "--replace"], check=True, capture_output=True
            )
            times.append(time.perf_counter() - start)
    return min(times)


if __name__ == "__main__":
    os.sched_setaffinity(0, {max(os.sched_getaffinity(0))})
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    print("| holder | s |\n|---|---:|")
    for piece in PIECES:
        print(f"| {piece.slug()} | {seconds(piece, runs):.2f} |", flush=True)
