"""One writer at a time in a drawer, also when a writer dies in the middle."""

from __future__ import annotations

import errno
import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from nests.units import BadInput

try:
    import fcntl
except ImportError:  # not a POSIX system
    fcntl = None  # type: ignore[assignment]

PATIENCE = 30.0
"""Seconds to wait for another writer."""
STALE = 60.0
"""Seconds after which a lock file nobody has touched is taken for a dead writer's."""
PAUSE = 0.01
Refresh = Callable[[], None]
"""To be called now and then during a long change, so that the lock is not taken for stale."""


@contextmanager
def locked(folder: Path, patience: float = PATIENCE) -> Iterator[Refresh]:
    """Hold the drawer for a change. Raises `BadInput` if another writer does not let go."""
    way = _by_system if fcntl is not None else by_file
    with way(folder, patience) as refresh:
        yield refresh


@contextmanager
def _by_system(folder: Path, patience: float) -> Iterator[Refresh]:
    """Lock kept by the system, which lets go when the process ends in whatever way."""
    try:
        handle = os.open(folder / ".lock", os.O_RDWR | os.O_CREAT, 0o666)
    except OSError as error:
        raise _no_lock(folder / ".lock", error) from None
    try:
        end = time.monotonic() + patience
        while True:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except OSError as error:
                if error.errno not in (errno.EAGAIN, errno.EACCES):
                    raise _no_lock(folder / ".lock", error) from None
            _wait(folder, end)
        yield lambda: None
    finally:
        os.close(handle)


@contextmanager
def by_file(folder: Path, patience: float) -> Iterator[Refresh]:
    """Lock by a file that only one process can create, where the system has no locks."""
    path, token = folder / ".locked", f"{os.getpid()} {time.monotonic_ns()}"
    end = time.monotonic() + patience
    while not _create(path, token):
        _clear_stale(path)
        _wait(folder, end)
    try:
        yield lambda: os.utime(path)
    finally:
        if _read(path) == token:  # else it was taken for stale, and is another's by now
            path.unlink(missing_ok=True)


def _no_lock(path: Path, error: OSError) -> BadInput:
    return BadInput(
        f"{path} cannot be the lock of the drawer: {error.strerror or error}. Nothing was changed; "
        "take away what lies there."
    )


def _create(path: Path, token: str) -> bool:
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    except FileExistsError:
        if path.is_dir():
            raise _no_lock(path, IsADirectoryError(errno.EISDIR, "Is a directory")) from None
        return False
    except OSError as error:
        raise _no_lock(path, error) from None
    with os.fdopen(handle, "w") as file:
        file.write(token)
    return True


def _clear_stale(path: Path) -> None:
    """Set aside a lock file nobody has touched for long; put it back if it was just renewed."""
    seen = _read(path)
    try:
        if time.time() - path.stat().st_mtime < STALE:
            return
        aside = path.with_name(f"{path.name}.{os.getpid()}")
        path.rename(aside)  # of several who see it stale, one succeeds
    except FileNotFoundError:
        return
    if _read(aside) != seen:
        with suppress(OSError):
            os.link(aside, path)
    aside.unlink(missing_ok=True)


def _read(path: Path) -> str:
    with suppress(OSError):
        return path.read_text()
    return ""


def _wait(folder: Path, end: float) -> None:
    if time.monotonic() > end:
        raise BadInput(f"the drawer {folder} is being changed by another program; try again.")
    time.sleep(PAUSE)
