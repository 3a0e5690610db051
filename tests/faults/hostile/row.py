"""A row of the table: a fault, what must be said of it, and how it is held against the program.

A row plants its fault in an empty folder and gives the line to be typed there. Code and words are
stated beforehand. What stands in the folder before the run must stand there after it, byte for
byte; only what the row itself asks for (`adds`) may come to it or change.
"""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fnmatch import fnmatch
from pathlib import Path
from tempfile import TemporaryDirectory

ENOUGH = 60.0
"""Seconds from which on a run counts as hanging."""
MEMORY = 1000.0
"""MB a run may take at most."""
FLOOD = 30_000
"""Letters from which on what is said is a flood; twenty sentences are told at most."""
NOTED = 50_000_000
"""Bytes of a file up to which it is hashed; of a longer one size and time of change are kept."""
ENDS_WITH = (0, 1, 2)


@dataclass(frozen=True)
class Ran:
    """A run: its code (negative for a signal), what was said on both streams, and what it cost.

    `broken` is what went wrong besides, such as a child that was left running.
    """

    code: int
    said: str
    seconds: float
    peak: float
    broken: str = ""


Plant = Callable[[Path], Sequence[str]]
Run = Callable[[Path, Sequence[str]], Ran]


@dataclass(frozen=True)
class Row:
    """A fault. `field` is what it is in, `mechanism` what is done to it.

    `code` is None where a signal may end the run. `names` must all be said. `adds` are patterns of
    what may come to the folder or change in it. `needs` says why a row cannot be tried here.
    """

    kind: str
    field: str
    mechanism: str
    plant: Plant
    run: Run
    code: int | None = 2
    names: tuple[str, ...] = ()
    adds: tuple[str, ...] = ()
    needs: Callable[[], str] = field(default=lambda: "")

    @property
    def title(self) -> str:
        """How it is called in the table."""
        return f"{self.field}: {self.mechanism}"

    def expected(self) -> str:
        """What is stated beforehand, in few words."""
        code = "any" if self.code is None else str(self.code)
        return f"{code} {', '.join(self.names)}".rstrip()


@dataclass(frozen=True)
class Verdict:
    """How a row did; `misses` is empty where all was as stated."""

    row: Row
    ran: Ran
    misses: tuple[str, ...]


def verdict(row: Row, folder: Path) -> Verdict:
    """Plant the fault in an empty folder, run the line there, and hold the run against the row."""
    arguments = row.plant(folder)
    before = listed(folder)
    ran = row.run(folder, arguments)
    after = listed(folder)
    misses = [ran.broken] if ran.broken else []
    if row.code is None:
        misses += [f"ended with {ran.code}"] if ran.code > 2 and ran.code < 128 else []
    elif ran.code != row.code:
        misses.append(f"ended with {ran.code}")
    if "Traceback" in ran.said:
        misses.append("traceback")
    misses += [f"does not say {each!r}" for each in row.names if each not in ran.said]
    if len(ran.said) > FLOOD:
        misses.append(f"says {len(ran.said)} letters")
    if ran.seconds > ENOUGH:
        misses.append(f"took {ran.seconds:.0f} s")
    if ran.peak > MEMORY:
        misses.append(f"took {ran.peak:.0f} MB")
    for name in sorted(before.keys() | after.keys()):
        if before.get(name) == after.get(name) or any(fnmatch(name, each) for each in row.adds):
            continue
        what = "lost" if name not in after else "left behind" if name not in before else "changed"
        misses.append(f"{what}: {name}")
    return Verdict(row, ran, tuple(misses))


def tried(row: Row) -> Verdict:
    """A row in a folder of its own, which any user of the machine may look into."""
    with TemporaryDirectory(prefix="nests-row-", ignore_cleanup_errors=True) as bench:
        folder = Path(bench) / "here"
        folder.mkdir()
        for each in (Path(bench), folder):
            each.chmod(0o755)
        return verdict(row, folder)


def listed(folder: Path) -> dict[str, str]:
    """What stands below a folder by its path, and what is in it."""
    out: dict[str, str] = {}
    for where, folders, files in os.walk(folder):
        for name in (*folders, *files):
            path = Path(where, name)
            out[path.relative_to(folder).as_posix()] = _is(path)
    return out


def _is(path: Path) -> str:
    """What stands at a path, its content hashed."""
    about = path.lstat()
    kind = stat.S_IFMT(about.st_mode)
    if kind == stat.S_IFLNK:
        return f"link to {os.readlink(path)}"
    if kind != stat.S_IFREG:
        return f"mode {about.st_mode:o}"
    if about.st_size > NOTED:
        return f"{about.st_size} bytes of {about.st_mtime_ns}"
    return hashlib.sha256(path.read_bytes()).hexdigest()
