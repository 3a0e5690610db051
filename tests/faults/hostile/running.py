"""A line of the command line, run in this process or in one of its own, and what it cost.

In this process the highest memory is that of the run, with what the process holds already. Of a
process of its own it is what the system counted for it, which is at least what this one held when
it was started.
"""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from pathlib import Path

from tests.faults.hostile.row import ENOUGH, Ran, Run

ROOT = Path(__file__).parents[3]
PATIENCE = ENOUGH + 10.0


class HangError(BaseException):
    """A run that has not ended in time; the program cannot take it for a fault of its own."""


def inside(folder: Path, arguments: Sequence[str]) -> Ran:
    """A line in this process, with the folder as the current one; its memory is what it takes
    beyond what the process holds."""
    from nests.faces.cli import main

    said = io.TextIOWrapper(io.BytesIO(), "utf-8", "backslashreplace", write_through=True)
    before, code, broken = Path.cwd(), 0, ""
    held = _held()
    _forget_peak()
    start = time.perf_counter()
    try:
        os.chdir(folder)
        with redirect_stdout(said), redirect_stderr(said), _in_time():
            main(list(arguments))
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else int(left.code is not None)
    except HangError:
        code, broken = -signal.SIGALRM, "does not end"
    except Exception:  # whatever it is, it would be a traceback
        code, broken = 3, f"traceback: {traceback.format_exc(limit=-2)}"
    finally:
        os.chdir(before)
    seconds = time.perf_counter() - start
    text = said.buffer.getvalue().decode("utf-8", "replace")  # type: ignore[attr-defined]
    return Ran(code, text, seconds, max(_peak() - held, 0.0), broken)


@contextmanager
def _in_time() -> Iterator[None]:
    """Leave by `HangError` after a while, where the system can."""
    if not hasattr(signal, "setitimer"):
        yield
        return

    def ring(_: int, __: object) -> None:
        raise HangError

    before = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, PATIENCE)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)


def _forget_peak() -> None:
    """Let the system count the highest memory anew (Linux, proc(5): clear_refs)."""
    try:
        Path("/proc/self/clear_refs").write_text("5")
    except OSError:
        return


def _peak() -> float:
    """MB, the highest since it was forgotten; 0 where the system does not tell."""
    return _told("VmHWM")


def _held() -> float:
    """MB that the process holds now; 0 where the system does not tell."""
    return _told("VmRSS")


def _told(name: str) -> float:
    try:
        lines = Path("/proc/self/status").read_text().splitlines()
    except OSError:
        return 0.0
    return next(float(each.split()[1]) for each in lines if each.startswith(name)) / 1000


def apart(
    *,
    redirect: str = "",
    environment: Mapping[str, str] | None = None,
    beforehand: Callable[[], None] | None = None,
    during: Callable[[subprocess.Popen[bytes], Path], str] | None = None,
    python: Sequence[str] = (),
    before: Sequence[str] = (),
) -> Run:
    """A way to run a line in a process of its own, as a shell would with `redirect` behind it.

    `beforehand` is called in the new process before the program, `before` stands before the line,
    and `during` sees it while it runs and says what went wrong.
    """

    def run(folder: Path, arguments: Sequence[str]) -> Ran:
        shell = ["sh", "-c", f'exec "$@" {redirect}', "sh"]
        line = [*before, *shell, sys.executable, *python, "-m", "nests"]
        given = {**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1",
                 **(environment or {})}  # fmt: skip
        start = time.perf_counter()
        with tempfile.TemporaryFile() as said:
            begun = subprocess.Popen(
                [*line, *arguments], stdin=subprocess.DEVNULL, stdout=said, stderr=said,
                cwd=folder, env=given, preexec_fn=beforehand, start_new_session=True,
            )  # fmt: skip
            broken = "" if during is None else during(begun, folder)
            code, peak, ended = _ended(begun, start + PATIENCE)
            said.seek(0)
            text = said.read().decode("utf-8", "backslashreplace")
        return Ran(code, text, time.perf_counter() - start, peak, broken or ended)

    return run


def _ended(begun: subprocess.Popen[bytes], end: float) -> tuple[int, float, str]:
    """Code and highest MB of a process when it has ended; it is killed at the end of patience."""
    broken = ""
    while True:
        number, status, cost = os.wait4(begun.pid, os.WNOHANG)
        if number:
            break
        if time.perf_counter() > end and not broken:
            broken = "does not end"
            os.killpg(begun.pid, signal.SIGKILL)
        time.sleep(0.01)
    begun.returncode = os.waitstatus_to_exitcode(status)
    return begun.returncode, cost.ru_maxrss / 1000, broken
