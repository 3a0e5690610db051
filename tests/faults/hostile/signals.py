"""Signals, at several moments of several commands: nothing is half there, and nobody stays behind.

A signal may end the run as it likes. What must hold is that it says no traceback, that what stood
there stands, that a pack or plan is there as a whole or not at all, that no process is left, and
that the same line, typed again, succeeds and leaves nothing hidden.
"""

from __future__ import annotations

import os
import signal
import subprocess
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from nests.documents.folders import listed, not_ours
from nests.units import BadInput
from tests.faults.hostile.file_system import stands
from tests.faults.hostile.kept import FIRST, OWN, two
from tests.faults.hostile.row import Ran, Row, Run
from tests.faults.hostile.running import apart
from tests.faults.hostile.sources import GALLERY
from tests.faults.hostile.spoil import text
from tests.faults.hostile.typed import ROUND

SMALL = str(GALLERY / "sheets" / "inv-32-k.json")
PLAN = ("plan", "--sheet", SMALL, "--work", "work.json", "--out", "out")
ON = "INV 32-K auto works"


def _work(folder: Path) -> None:
    """A work plan of two looks at a sub-assembly, which takes some seconds."""
    looks = [{"name": f"look {side}", "side_up": side, "on": ON} for side in ("dial", "bridge")]
    plan = {"document": "work-plan", "edition": 1, "name": "short", "operations": looks}
    (folder / "work.json").write_bytes(text(plan))


HARD = ("SIGTERM", "SIGINT", "SIGHUP", "SIGKILL")
OTHERS = ("SIGQUIT", "SIGUSR1", "SIGALRM", "SIGXCPU", "SIGPIPE", "SIGABRT")
LIVED_WITH = ("SIGWINCH", "SIGCONT", "SIGURG")


def of_session(number: int) -> list[int]:
    """Living processes of a session, from the lists that Linux keeps."""
    out = []
    for each in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = each.read_text().rsplit(")", 1)[1].split()
        except OSError:
            continue
        if int(fields[3]) == number and fields[0] != "Z":
            out.append(int(each.parent.name))
    return out


def over(begun: subprocess.Popen[bytes]) -> bool:
    """Whether a process has ended; what it used is left to be asked for."""
    state = os.waitid(os.P_PID, begun.pid, os.WEXITED | os.WNOHANG | os.WNOWAIT)
    return state is not None


def _sent(name: str, after: float, whom: str) -> Callable[[subprocess.Popen[bytes], Path], str]:
    """Send a signal after some seconds to the run, all its session, or the last of its children."""

    def during(begun: subprocess.Popen[bytes], _: Path) -> str:
        number = getattr(signal, name)
        end = time.perf_counter() + 30.0
        if whom == "a child":
            while len(of_session(begun.pid)) < 3 and not over(begun):
                if time.perf_counter() > end:
                    return "has no child"
                time.sleep(0.02)
        time.sleep(after)
        if over(begun):
            return ""
        if whom == "all":
            os.killpg(begun.pid, number)
        else:
            children = [each for each in of_session(begun.pid) if each != begun.pid]
            os.kill(max(children) if whom == "a child" and children else begun.pid, number)
        return ""

    return during


def ended(name: str, after: float, whom: str = "the run") -> Run:
    """A run that gets a signal, is looked at, and is then done again."""

    def run(folder: Path, arguments: Sequence[str]) -> Ran:
        ran = apart(during=_sent(name, after, whom))(folder, arguments)
        code = min(ran.code, 2) if ran.code > 128 else ran.code
        broken = ran.broken or _left(folder)
        if not broken and ran.code not in (0, 1):
            again = apart()(folder, arguments)
            broken = _again(again) or _left(folder, hidden=True)
        return Ran(code, ran.said, ran.seconds, ran.peak, broken)

    return run


def _again(ran: Ran) -> str:
    """What went wrong when the line was typed again."""
    # the signal may have come when all was done
    fine = ran.code in (0, 1) or f"{FIRST} is retired (x)" in ran.said
    return ran.broken or ("" if fine else f"typed again it ends with {ran.code}: {ran.said[-200:]}")


def _left(folder: Path, *, hidden: bool = False, gallery: bool = False) -> str:
    """What is half there, or was left running."""
    time.sleep(0.3)  # a child may take a moment to hear that its parent has gone
    for each in Path("/proc").glob("[0-9]*/cwd"):
        try:
            there = each.resolve()
        except OSError:
            continue
        if there == folder.resolve() and each.parent.name != str(os.getpid()):
            return f"process {each.parent.name} is left running"
    out = folder / "out"
    whole = sorted((out / "packs").glob("[!.]*")) if gallery else [out]
    for each in (each for each in whole if each.exists()):
        try:
            known = listed(each)
        except BadInput as bad:
            return f"half there: {bad}"
        gone = [name for name in known if not (each / name).is_file()]
        if gone or not_ours(each, known):
            return f"half there: {gone or not_ours(each, known)}"
    stray = [each.name for each in folder.iterdir() if each.name.startswith(".")]
    return f"left behind: {stray}" if hidden and stray else ""


def rows() -> Iterator[Row]:
    """By command, signal and moment."""
    for name in HARD:
        for after in (0.3, 0.9):
            yield _row(f"make, after {after} s", name, ROUND, ended(name, after), _nothing)
            again = (*ROUND, "--replace")
            yield _row(f"make --replace, after {after} s", name, again, ended(name, after), stands)
        whom = "all" if name in ("SIGTERM", "SIGINT") else "the run"
        yield _row(f"plan, {whom}", name, PLAN, ended(name, 1.0, whom), _work)
        retire = ("retire", FIRST, "--reason", "x", "--drawer", "d")
        yield _row("retire, after 0.3 s", name, retire, ended(name, 0.3), two)
    for name in ("SIGKILL", "SIGTERM", "SIGSEGV"):
        yield _row("plan, a child", name, PLAN, ended(name, 0.3, "a child"), _work)
    for name in OTHERS:
        yield _row("make, after 0.6 s", name, ROUND, ended(name, 0.6), _nothing)
    for name in LIVED_WITH:
        yield _row("make, after 0.6 s", name, ROUND, ended(name, 0.6), _nothing, 0)
    for name in HARD[:2]:
        line = ("gallery", "--no-papers", "--out", "out")
        run = _gone(name)
        yield _row("gallery, at work", name, line, run, _nothing)


def _gone(name: str) -> Run:
    """A run of minutes that gets a signal and is not done again."""

    def run(folder: Path, arguments: Sequence[str]) -> Ran:
        ran = apart(during=_sent(name, 2.0, "all"))(folder, arguments)
        broken = ran.broken or _left(folder, gallery=True)
        return Ran(min(ran.code, 2), ran.said, ran.seconds, ran.peak, broken)

    return run


def _nothing(_: Path) -> None:
    return


def _row(
    field: str, name: str, line: Sequence[str], run: Run, before: Callable[[Path], object],
    code: int | None = None,
) -> Row:  # fmt: skip
    def plant(folder: Path) -> Sequence[str]:
        before(folder)
        return line

    adds = ("out", "out/*", *OWN, f"d/{FIRST}.json")
    return Row("signals", field, name, plant, run, code, (), adds)
