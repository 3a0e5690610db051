"""Children end with their parent, however it ends, and what they were at is not half there."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from contextlib import closing
from multiprocessing import active_children
from pathlib import Path

import pytest

from nests.lengths import read_length
from nests.units import BadInput
from nests.workers import each_done

HERE = str(Path(__file__).parent)


def at_work(folder: str, busy: bool) -> None:
    """Says who it is, and works for a minute."""
    Path(folder, str(os.getpid())).touch()
    end = time.monotonic() + 60.0
    while time.monotonic() < end:
        if not busy:
            time.sleep(60.0)


def alive(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


def gone(processes: list[int], seconds: float = 10.0) -> bool:
    end = time.monotonic() + seconds
    while any(map(alive, processes)) and time.monotonic() < end:
        time.sleep(0.02)
    return not any(map(alive, processes))


def test_in_the_order_of_what_was_asked() -> None:
    with closing(each_done(pow, [(n, 2) for n in range(6)], 2)) as made:
        assert list(made) == [0, 1, 4, 9, 16, 25]
    assert active_children() == []
    assert signal.getsignal(signal.SIGTERM) is signal.SIG_DFL


def test_a_child_that_is_killed_costs_one_sentence() -> None:
    with (
        closing(each_done(signal.raise_signal, [(signal.SIGKILL,)] * 3, 2)) as made,
        pytest.raises(BadInput, match="ended from outside"),
    ):
        list(made)
    assert active_children() == []


def test_what_a_child_refuses_is_refused() -> None:
    with (
        closing(each_done(read_length, [("wide", "--diameter")], 2)) as made,
        pytest.raises(BadInput, match="--diameter is 'wide'"),
    ):
        list(made)


RUN = """
import sys
from contextlib import closing
from pathlib import Path
sys.path.insert(0, {here!r})
from nests.documents.folders import appearing
from nests.workers import each_done
from test_workers import at_work

if __name__ == "__main__":
    try:
        with (
            appearing(Path({target!r}), replace=False) as fresh,
            closing(each_done(at_work, [({pids!r}, {busy})] * 3, 2)) as made,
        ):
            (fresh / "half").write_text("half")
            list(made)
    except KeyboardInterrupt:
        sys.exit(130)
"""


@pytest.mark.parametrize("busy", [False, True])
@pytest.mark.parametrize(
    ("number", "everybody", "code"),
    [
        (signal.SIGTERM, False, 143),
        (signal.SIGTERM, True, 143),
        (signal.SIGHUP, True, 129),
        (signal.SIGINT, False, 130),
        (signal.SIGINT, True, 130),
        (signal.SIGKILL, False, -9),
    ],
)
def test_no_child_outlives_its_parent(
    tmp_path: Path, number: int, everybody: bool, code: int, busy: bool
) -> None:
    """A signal to the parent alone, or to all as a terminal sends it."""
    pids = tmp_path / "pids"
    pids.mkdir()
    script, target = tmp_path / "run.py", tmp_path / "out" / "job"
    script.write_text(RUN.format(here=HERE, target=str(target), pids=str(pids), busy=busy))
    run = subprocess.Popen(
        [sys.executable, script], stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    end = time.monotonic() + 30.0
    while len(list(pids.iterdir())) < 2 and time.monotonic() < end:
        time.sleep(0.02)
    children = [int(each.name) for each in pids.iterdir()]
    assert len(children) == 2
    assert all(map(alive, children))
    (os.killpg if everybody else os.kill)(run.pid, number)
    assert gone([run.pid, *children])
    said = run.communicate(timeout=10)[1]
    if not (everybody and number != signal.SIGINT):  # else either of two ends may come first
        assert run.returncode == code
        assert "Traceback" not in said
    assert not target.exists()
    if number != signal.SIGKILL:
        assert list(target.parent.iterdir()) == []


FEW = """
import resource, sys
from contextlib import closing
from nests.units import BadInput
from nests.workers import each_done

if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_NOFILE, ({few}, {few}))
    try:
        with closing(each_done(pow, [(2, 2)] * 3, 2)) as made:
            print(list(made))
    except BadInput as bad:
        print(bad)
"""


@pytest.mark.parametrize("few", [5, 8, 11, 14, 17, 60])
def test_where_no_child_can_be_started_it_is_said(tmp_path: Path, few: int) -> None:
    """A system with few files open at once, at every step of the start."""
    (tmp_path / "run.py").write_text(FEW.format(few=few))
    ran = subprocess.run(
        [sys.executable, tmp_path / "run.py"], capture_output=True, text=True, check=False,
        timeout=30,
    )  # fmt: skip
    says = "no other process can be started here: Too many open files.\n"
    assert (ran.returncode, ran.stderr) == (0, "")
    assert ran.stdout == ("[4, 4, 4]\n" if few == 60 else says)
