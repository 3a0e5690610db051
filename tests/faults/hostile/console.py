"""Faults of the console: where it goes, in which letters, and what stands around a run."""

from __future__ import annotations

import fcntl
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from tests.faults.hostile.kept import OWN, SECOND, two
from tests.faults.hostile.row import Ran, Row, Run
from tests.faults.hostile.running import PATIENCE, ROOT, apart
from tests.faults.hostile.sources import SHEET, sheet
from tests.faults.hostile.spoil import put, text
from tests.faults.hostile.typed import ROUND

CHECK = ("check", SHEET)
HELP = ("make", "round", "--help")
STREAMS: tuple[tuple[str, str, tuple[str, ...], int, str], ...] = (
    ("standard output", ">/dev/full", CHECK, 2, "cannot be written"),
    ("standard output and error", ">/dev/full 2>/dev/full", CHECK, 2, ""),
    ("standard error", "2>/dev/full", ("check", "none.json"), 2, ""),
    ("standard output", ">&-", CHECK, 0, ""),
    ("standard error", "2>&-", ("check", "none.json"), 2, ""),
    ("all streams", "<&- >&- 2>&-", ROUND, 0, ""),
    ("standard output of --help", ">/dev/full", HELP, 2, "cannot be written"),
    ("standard output of --json", ">/dev/full", ("check", "--json", SHEET), 2, "cannot be"),
    ("standard output", "| head -c 1 >/dev/null", CHECK, 0, ""),
    ("standard output", "| true", ROUND, 0, ""),
    ("standard input", "</dev/zero", ("drawer", "undo", "--drawer", "d"), 2, "--yes"),
    ("standard input", "</dev/full", CHECK, 0, "mend"),
    ("standard input", "<&-", ("drawer", "undo", "--drawer", "d"), 2, "--yes"),
)
"""Where a shell leads a stream."""
LETTERS = ("ascii", "cp1252", "cp437", "cp850", "latin-1", "koi8-r", "shift_jis", "utf-16",
           "cp1252:strict", "ascii:strict")  # fmt: skip
AROUND: dict[str, tuple[dict[str, str], tuple[str, ...], str]] = {
    "a locale of nobody": ({"LC_ALL": "xx_XX", "LANG": "xx"}, CHECK, "mend"),
    "a locale of plain letters": ({"LC_ALL": "C", "PYTHONUTF8": "0"}, CHECK, "mend"),
    "a terminal of nobody": ({"TERM": "nobody"}, HELP, "rim"),
    "no terminal": ({"TERM": "dumb"}, HELP, "rim"),
    "no columns": ({"COLUMNS": "0"}, HELP, "rim"),
    "one column": ({"COLUMNS": "1"}, HELP, "rim"),
    "columns below zero": ({"COLUMNS": "-5"}, HELP, "rim"),
    "a word of columns": ({"COLUMNS": "wide"}, HELP, "rim"),
    "no home": ({"HOME": ""}, ROUND, "5 files"),
    "a home that is no folder": ({"HOME": "/dev/null"}, ROUND, "5 files"),
    "no words to explain": ({"PYTHONOPTIMIZE": "2"}, ROUND, "5 files"),
    "every warning an error": ({"PYTHONWARNINGS": "error"}, CHECK, "mend"),
    "a clock of nobody": ({"TZ": "Nobody/Nowhere"}, ROUND, "5 files"),
    "fonts that are not there": ({"NESTS_FONTS": "/none"}, CHECK, "mend"),
    "a shell that completes": ({"_NESTS_COMPLETE": "bash_complete"}, CHECK, "mend"),
    "threads of nobody": ({"OPENBLAS_NUM_THREADS": "many"}, CHECK, "mend"),
}
"""What stands in the environment of a run; all are to be lived with."""
FONTS = ("/none", "/dev/zero", "/dev/null", SHEET, "broken.ttf", "pipe.ttf", "a:b:c", "\n")
PAPERS = (*ROUND[:-3], "--out", "out")


def _held(folder: Path, arguments: Sequence[str]) -> Ran:
    """A run into a pipe that takes nothing for a second and never waits."""
    reads, writes = os.pipe()
    fcntl.fcntl(writes, fcntl.F_SETFL, os.O_NONBLOCK)
    fcntl.fcntl(writes, fcntl.F_SETPIPE_SZ, 4096)
    start, said = time.perf_counter(), b""
    begun = subprocess.Popen(
        [sys.executable, "-m", "nests", *arguments], stdout=writes, stderr=subprocess.PIPE,
        cwd=folder, env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    os.close(writes)
    time.sleep(1.5)
    with os.fdopen(reads, "rb") as pipe:
        while part := pipe.read(1000):
            said += part
            time.sleep(0.01)
    try:
        _, error = begun.communicate(timeout=PATIENCE)
        broken = ""
    except subprocess.TimeoutExpired:
        begun.kill()
        _, error = begun.communicate()
        broken = "does not end"
    return Ran(begun.returncode, (said + error).decode(), time.perf_counter() - start, 0.0, broken)


def _flood(folder: Path) -> None:
    """A sheet of which much is to be said."""
    (folder / "long.json").write_bytes(
        text({**sheet(), "uncertainties": {f"/no/such/{k}": 0.1 for k in range(100)}})
    )


def _letters(folder: Path) -> None:
    (folder / "letters.json").write_bytes(put(sheet(), ("name",), "⌀ 時計 é ± 😀"))


def _fonts(folder: Path) -> None:
    (folder / "broken.ttf").write_bytes(b"\0\1\0\0" + bytes(100))
    os.mkfifo(folder / "pipe.ttf")


def rows() -> Iterator[Row]:
    """Streams, letters, surroundings."""
    for field, redirect, line, code, word in STREAMS:
        piped = redirect.startswith("|")
        run = _piped(redirect) if piped else apart(redirect=redirect)
        yield _row(field, redirect, line, run, code, word, two)
    yield _row("standard output", "a pipe that never waits", ("check", "--json", "long.json"),
               _held, 1, "uncertainties", _flood)  # fmt: skip
    for coding in LETTERS:
        run = apart(environment={"PYTHONIOENCODING": coding})
        yield _row(
            "letters of the console", coding, ("check", "letters.json"), run, 0, "", _letters
        )
        yield _row("letters of the console, --help", coding, HELP, run, 0, "", _letters)
    for what, (around, line, word) in AROUND.items():
        run = apart(environment=around)
        yield _row("surroundings", what, line, run, 0, word, _nothing)
    for fonts in FONTS:
        run = apart(environment={"NESTS_FONTS": fonts})
        yield _row("NESTS_FONTS", repr(fonts), PAPERS, run, None, "", _fonts)
    for what, line in {
        "of check": ("check", "caf\udce9.json"),
        "of --out": (*ROUND[:-1], "caf\udce9/x"),
        "of --date": (*ROUND, "--date", "caf\udce9"),
        "of a command": ("caf\udce9",),
        "of --sheet": ("make", "round", "--sheet=caf\udce9", "--out", "out"),
        "of --reason": ("retire", SECOND, "--reason", "caf\udce9", "--drawer", "d"),
    }.items():
        run = apart(environment={"PYTHONUTF8": "1"})
        yield _row("an argument that is no text", what, line, run, 2, "is no text", two)


def _row(
    field: str, what: str, line: Sequence[str], run: Run, code: int | None, word: str,
    before: Callable[[Path], object],
) -> Row:  # fmt: skip
    def plant(folder: Path) -> Sequence[str]:
        before(folder)
        return line

    adds = (*OWN, *(("out", "out/*") if "out" in line and code != 2 else ()))
    return Row("console", field, what, plant, run, code, (word,), adds)


def _nothing(_: Path) -> None:
    return


def _piped(redirect: str) -> Run:
    """A run whose reader goes away, with the code of the run and not of the reader."""
    script = f'set -o pipefail; "$@" {redirect}'
    return apart(before=("bash", "-c", script, "bash"))
