"""Two writers, dead writers, and writers that die at a bad moment."""

from __future__ import annotations

import multiprocessing
import os
import random
import signal
import time
from pathlib import Path

import pytest

from nests.drawer import lock
from nests.drawer.filing import file_holder
from nests.drawer.lock import by_file, locked
from nests.drawer.shelf import every_holder, stamps
from nests.units import BadInput

from .conftest import readings

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are forked here")
FORK = multiprocessing.get_context("fork")
TEMPORARY = (".nests-", ".npz.")


def numbers(folder: Path) -> list[int]:
    holders, unusable = every_holder(folder)
    assert not unusable
    return sorted(change.number for kept in holders for change in kept.history)


def forked(work) -> int:
    """Run `work` in a child process and return how it ended."""
    child = FORK.Process(target=work)
    child.start()
    child.join()
    return child.exitcode


def test_two_writers_at_once(folder, plain):
    def work() -> None:
        for _ in range(15):
            file_holder(folder, plain, readings())

    pair = [FORK.Process(target=work) for _ in range(2)]
    for each in pair:
        each.start()
    for each in pair:
        each.join()
    assert [each.exitcode for each in pair] == [0, 0]
    assert numbers(folder) == list(range(1, 31))


def test_death_between_writing_and_renaming(folder, plain, monkeypatch):
    kept = file_holder(folder, plain, readings())

    def work() -> None:
        Path.replace = lambda self, target: os._exit(9)  # type: ignore[method-assign]
        file_holder(folder, plain, readings())

    assert forked(work) == 9
    left = [p.name for p in folder.iterdir() if any(t in p.name for t in TEMPORARY)]
    assert left, "the death came too early to leave anything half-written"
    assert set(stamps(folder)) == {f"{kept.id}.json"}
    assert numbers(folder) == [1]
    file_holder(folder, plain, readings())
    assert numbers(folder) == [1, 2]
    assert not [p.name for p in folder.iterdir() if any(t in p.name for t in TEMPORARY)]


def test_death_between_renaming_and_indexing(folder, plain, monkeypatch):
    def work() -> None:
        from nests.drawer import filing

        put = filing.put

        def put_and_die(*arguments: object) -> None:
            put(*arguments)  # type: ignore[arg-type]
            os._exit(9)

        filing.put = put_and_die  # type: ignore[assignment]
        file_holder(folder, plain, readings())

    assert forked(work) == 9
    file_holder(folder, plain, readings())
    assert numbers(folder) == [1, 2]


def test_a_writer_that_keeps_the_drawer(folder):
    folder.mkdir()
    with (
        locked(folder),
        pytest.raises(BadInput, match="being changed by another"),
        locked(folder, patience=0.05),
    ):
        pass


@pytest.mark.parametrize("way", [locked, by_file])
def test_only_one_holds_the_lock(folder, way):
    """Each of two processes adds one to a number in a file, read and written apart."""
    folder.mkdir()
    count = folder / "count"
    count.write_text("0")

    def work() -> None:
        for _ in range(40):
            with way(folder, 20.0):
                seen = int(count.read_text())
                time.sleep(0.0005)
                count.write_text(str(seen + 1))

    pair = [FORK.Process(target=work) for _ in range(2)]
    for each in pair:
        each.start()
    for each in pair:
        each.join()
    assert count.read_text() == "80"


def test_a_dead_writers_lock_file_is_set_aside(folder):
    folder.mkdir()
    (folder / ".locked").write_text("1 1")
    with pytest.raises(BadInput), by_file(folder, 0.05):
        pass
    long_ago = time.time() - lock.STALE - 1.0
    os.utime(folder / ".locked", (long_ago, long_ago))
    with by_file(folder, 0.05):
        assert (folder / ".locked").read_text() != "1 1"
    assert not list(folder.glob(".locked*"))


def test_a_lock_file_that_is_kept_alive_is_not_stale(folder, monkeypatch):
    folder.mkdir()
    monkeypatch.setattr(lock, "STALE", 0.2)
    with by_file(folder, 0.05) as refresh:
        for _ in range(5):
            time.sleep(0.1)
            refresh()
        with pytest.raises(BadInput), by_file(folder, 0.05):
            pass


@pytest.mark.slow
def test_two_hundred_kills(folder, plain, capsys):
    """Two processes file without pause; one after the other is killed at a random moment."""
    chance, begun = random.Random(20310517), time.perf_counter()
    acknowledged: set[str] = set()

    def work(end: int) -> None:
        while True:
            kept = file_holder(folder, plain, readings([26.08]))
            os.write(end, f"{kept.id}\n".encode())

    def started() -> tuple[multiprocessing.process.BaseProcess, int]:
        here, there = os.pipe()
        child = FORK.Process(target=work, args=(there,))
        child.start()
        os.close(there)
        return child, here

    running = [started(), started()]
    for _ in range(200):
        time.sleep(chance.uniform(0.0, 0.12))
        child, end = running.pop(0)
        os.kill(child.pid, signal.SIGKILL)
        child.join()
        with os.fdopen(end) as said:
            acknowledged |= {line.strip() for line in said if line.endswith("\n")}
        running.append(started())
    for child, end in running:
        child.kill()
        child.join()
        with os.fdopen(end) as said:
            acknowledged |= {line.strip() for line in said if line.endswith("\n")}

    file_holder(folder, plain, readings())
    holders, unusable = every_holder(folder)
    assert not unusable
    assert len(acknowledged) > 50
    assert acknowledged <= {kept.id for kept in holders}
    assert all(kept.recipe == plain for kept in holders)
    assert numbers(folder) == list(range(1, len(holders) + 1))
    assert not [p.name for p in folder.iterdir() if any(t in p.name for t in TEMPORARY)]
    with capsys.disabled():
        print(
            f"\n200 kills: {len(acknowledged)} holders acknowledged, {len(holders)} there, "
            f"{time.perf_counter() - begun:.0f} s"
        )
