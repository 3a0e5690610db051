"""Folders that appear all at once, and are replaced only where nothing of anybody else's is lost.

A folder that was written here holds a list of its files with their SHA-256 (FIPS 180-4). Only what
stands in the list and is as it was written may be removed. While a folder is replaced, the old and
the new stand beside it under hidden names; what a run that was ended leaves there is set right by
the next one.
"""

from __future__ import annotations

import os
import re
import shutil
import stat
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path

from nests.documents.files import canonical, read_json, reason, sync
from nests.units import BadInput

LIST = "contents.json"
"""Name of the list in a folder."""
PASSED_OVER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""What a desktop leaves in a folder that was looked at; common practice, no source."""
PATIENCE = 10.0
"""Seconds to wait for another run that exchanges folders beside; that takes some tenths."""
_BEFORE = ".before"
_LONGEST = 200
"""Bytes of a name that still has room for what is added to it, of the usual 255; from memory."""


def listing(files: Iterable[tuple[str, bytes]]) -> bytes:
    """The list of files and their contents."""
    return canonical({"sha256": {name: sha256(content).hexdigest() for name, content in files}})


def listed(folder: Path) -> dict[str, str]:
    """SHA-256 of every file that the list in a folder names. Raises `BadInput` without a list."""
    known = read_json(folder / LIST).get("sha256")
    if not isinstance(known, dict) or not all(isinstance(each, str) for each in known.values()):
        raise BadInput(f"{folder / LIST} is no list of files.")
    return known


def write_list(folder: Path) -> None:
    """Write the list of all that stands in a folder, in the order of names."""
    names = sorted(name for name in _within(folder) if name != LIST)
    (folder / LIST).write_bytes(listing((name, (folder / name).read_bytes()) for name in names))


def require_room(target: Path, *, replace: bool) -> None:
    """Raise `BadInput`, naming it, if something at `target` may not be replaced.

    What an earlier run left half done is set right first. An empty folder is room.
    """
    target = _real(target)
    with _alone(target.parent):
        _require_room(target, replace)


def _require_room(target: Path, replace: bool) -> None:
    try:
        _set_right(target)
        if not _there(target):
            return _require_writable(target.parent)
        if not target.is_dir() or any(target.iterdir()):
            if not replace:
                raise BadInput(f"{target} exists already; choose another folder or give --replace.")
            _require_ours(target)
        if target.samefile(os.curdir):  # it would go from under somebody's feet
            raise BadInput(
                f"{target} is the folder this was started in; choose another, or one below it."
            )
        _require_writable(target.parent)
    except OSError as error:
        raise BadInput(f"{target} cannot be written: {reason(error)}.") from None


@contextmanager
def appearing(target: Path, *, replace: bool) -> Iterator[Path]:
    """A new folder to write into, which stands at `target` all at once when the block has ended.

    If the block is left by an error nothing is there, and what stood there stands. An existing
    folder is replaced only with `replace`, and only if all of it is on its own list. Raises
    `BadInput`.
    """
    target = _real(target)
    require_room(target, replace=replace)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with _alone(target.parent):
            fresh = Path(tempfile.mkdtemp(prefix=_hidden(target), dir=target.parent))
            hold = _held(fresh)
    except OSError as error:
        raise BadInput(f"{target} cannot be written: {reason(error)}.") from None
    aside = fresh.with_name(fresh.name + _BEFORE)
    try:
        fresh.chmod(0o755)
        yield fresh
        for name in _within(fresh):
            sync(fresh / name)
        sync(fresh)
        with _alone(target.parent):
            _require_room(target, replace)  # minutes may have gone by
            kept = _exchanged(fresh, target, aside)
    except OSError as error:
        raise BadInput(f"{target} cannot be written: {reason(error)}.") from None
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
        if hold is not None:
            os.close(hold)
    if kept:
        raise BadInput(f"{target} is new; what was put into the old one meanwhile is in {aside}.")


def _exchanged(fresh: Path, target: Path, aside: Path) -> bool:
    """Put the new folder in the place of the old one; whether something is kept aside of that.
    Raises `OSError`; then the old one stands where it stood."""
    try:
        if target.exists():
            target.rename(aside)
        fresh.rename(target)
        sync(target.parent)
    finally:
        if aside.exists() and not os.path.lexists(target):
            aside.rename(target)
    return aside.exists() and not _removed(aside)


def write_folder(target: Path, files: Iterable[tuple[str, bytes]], *, replace: bool) -> None:
    """Write files into a folder that appears at `target` all at once, or not at all.

    Raises `BadInput`; what may be replaced is said at `appearing`.
    """
    with appearing(target, replace=replace) as fresh:
        for name, content in files:
            (fresh / name).write_bytes(content)


def not_ours(folder: Path, known: dict[str, str]) -> list[str]:
    """What in a folder is not on a list of it, or is not as it was written, by its path in it."""
    return [
        name
        for name in sorted(_within(folder))
        if name != LIST
        and Path(name).name not in PASSED_OVER
        and (name not in known or not unchanged(folder / name, known[name]))
    ]


def unchanged(path: Path, digest: str) -> bool:
    """Whether a plain file has this SHA-256."""
    return stat.S_ISREG(os.lstat(path).st_mode) and sha256(path.read_bytes()).hexdigest() == digest


def _require_ours(target: Path) -> None:
    if not target.is_dir() or not os.path.lexists(target / LIST):
        raise BadInput(
            f"{target} is not a pack that can be replaced: it has no {LIST}, which says what of it "
            "may be removed; move it away or choose another folder."
        )
    known = listed(target)
    strange = not_ours(target, known)
    if not strange:
        return
    some = ", ".join(f"'{name}'" for name in strange[:3])
    more = f" and {len(strange) - 3} more" if len(strange) > 3 else ""
    how = "was changed since" if strange[0] in known else "was not written with the rest"
    are = how.replace("was", "were" if len(strange) > 1 else "was")
    raise BadInput(
        f"{target} holds {some}{more}, which {are}; nothing is replaced: move that away or choose "
        "another folder."
    )


def _there(target: Path) -> bool:
    """Whether anything stands at a place. Raises `OSError` for a name that can be none."""
    try:
        os.lstat(target)
    except FileNotFoundError:
        return False
    return True


def _require_writable(folder: Path) -> None:
    """Raise `BadInput` before minutes of work are put into what cannot be kept."""
    while not _there(folder):
        folder = folder.parent
    if not folder.is_dir():
        raise BadInput(f"{folder} is not a folder; nothing can be written below it.")
    if not os.access(folder, os.W_OK | os.X_OK):
        raise BadInput(f"{folder} is a folder that nothing may be written into.")


def _within(folder: Path) -> Iterator[str]:
    """Every file below a folder, and every link, by its path with `/`."""
    for each in sorted(folder.iterdir()):
        if each.is_dir() and not each.is_symlink():
            yield from (f"{each.name}/{name}" for name in _within(each))
        else:
            yield each.name


def _removed(folder: Path) -> bool:
    """Remove what is on the list of a folder and as it was written; whether nothing else was."""
    try:
        if any(folder.iterdir()) and not_ours(folder, listed(folder)):
            return False
    except BadInput:
        return False
    shutil.rmtree(folder, ignore_errors=True)
    return True


def _set_right(target: Path) -> None:
    """Bring back what a run that was ended set aside, and remove what it had not finished."""
    try:
        beside = sorted(target.parent.iterdir())
    except OSError:
        return  # whoever writes there says why it cannot be
    pattern = re.compile(re.escape(_hidden(target)) + "[a-z0-9_]{8}")
    left = [each for each in beside if pattern.fullmatch(each.name.removesuffix(_BEFORE))]
    for each in left:
        fresh = each.with_name(each.name.removesuffix(_BEFORE))
        if fresh.exists() and _at_work(fresh):
            continue
        if each == fresh:
            shutil.rmtree(fresh, ignore_errors=True)
        elif not os.path.lexists(target):
            each.rename(target)
        else:
            _removed(each)


def _hidden(target: Path) -> str:
    """How the names begin of what stands beside a folder while it is written."""
    name = target.name
    if len(os.fsencode(name)) > _LONGEST:
        name = sha256(os.fsencode(name)).hexdigest()[:16]
    return f".{name}.nests-"


def _real(target: Path) -> Path:
    """Where a folder lies, its links followed. Raises `BadInput`."""
    try:
        return Path(os.path.realpath(target))
    except OSError as error:
        raise BadInput(f"{target} cannot be written: {reason(error)}.") from None


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """While it lasts no other run exchanges folders within this one. It waits for its turn, but not
    for ever on a run that stands still, and not where a file system knows no holds."""
    hold = _held(folder, PATIENCE)
    try:
        yield
    finally:
        if hold is not None:
            os.close(hold)


def _held(folder: Path, patience: float = 0.0) -> int | None:
    """A hold on a folder that ends with this process; None if another has it for longer than some
    seconds, or none has holds."""
    if sys.platform == "win32":
        return None
    import fcntl

    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return None
    end = time.monotonic() + patience
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return handle
        except OSError as error:
            if not isinstance(error, BlockingIOError) or time.monotonic() >= end:
                os.close(handle)
                return None
        time.sleep(0.01)


def _at_work(folder: Path) -> bool:
    """Whether a run is still writing into a folder; also if that cannot be known."""
    hold = _held(folder)
    if hold is None:
        return True
    os.close(hold)
    return False
