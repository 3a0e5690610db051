"""What lies at a path, and its bytes: no more of them than asked for, and no waiting for ever.

A path may lead anywhere: to a folder, a pipe nobody writes into, a device without an end, in a
circle. Each costs one sentence.
"""

from __future__ import annotations

import os
import select
import stat
import time
from collections.abc import Iterator
from pathlib import Path

from nests.units import BadInput

SILENCE = 5.0
"""Seconds a pipe may give nothing before it is given up."""
LONGEST = 30.0
"""Seconds after which a pipe must have come to its end."""
PAUSE = 0.02
AT_ONCE = 1 << 20


def lies_at(path: Path) -> os.stat_result | None:
    """What the system says of a path, its links followed; None where nothing is.

    Raises `BadInput` where that cannot be told: no permission, a name too long, a circle of links.
    """
    try:
        return path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return None
    except OSError as error:
        raise BadInput(f"{_shown(path)} cannot be read: {error.strerror or error}.") from None
    except ValueError as error:  # a zero byte in the path
        raise BadInput(f"{_shown(path)} cannot be read: {error}.") from None


def is_folder(path: Path) -> bool:
    """Whether a folder lies at a path. Raises `BadInput` as `lies_at` does."""
    about = lies_at(path)
    return about is not None and stat.S_ISDIR(about.st_mode)


def is_file(path: Path) -> bool:
    """Whether a file lies at a path, and no folder, pipe or device. Raises `BadInput` as above."""
    about = lies_at(path)
    return about is not None and stat.S_ISREG(about.st_mode)


def require_free(target: Path) -> None:
    """Raise `BadInput` if anything lies at `target`, also a link that leads nowhere."""
    if lies_at(target) is not None or target.is_symlink():
        raise BadInput(f"{_shown(target)} exists already; choose another name.")


def read_bounded(path: Path, most: int) -> bytes:
    """All bytes of a file or pipe, at most `most` of them. Raises `BadInput`."""
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        handle = os.open(path, flags)
    except OSError as error:
        raise BadInput(f"{_shown(path)} cannot be read: {error.strerror or error}.") from None
    except ValueError as error:
        raise BadInput(f"{_shown(path)} cannot be read: {error}.") from None
    try:
        about = os.fstat(handle)
        if stat.S_ISREG(about.st_mode) and about.st_size > most:
            raise _too_much(path, f"{about.st_size}", most)
        out = bytearray()
        parts = _at_hand(handle) if stat.S_ISREG(about.st_mode) else _arriving(handle, path)
        for part in parts:
            out += part
            if len(out) > most:
                raise _too_much(path, f"more than {most}", most)
    except OSError as error:
        raise BadInput(f"{_shown(path)} cannot be read: {error.strerror or error}.") from None
    finally:
        os.close(handle)
    return bytes(out)


def _shown(path: Path) -> str:
    """A path that does not fill the screen."""
    text = str(path)
    return text if len(text) <= 200 else f"{text[:90]}...{text[-90:]}"


def _too_much(path: Path, has: str, most: int) -> BadInput:
    return BadInput(f"{_shown(path)} has {has} bytes; at most {most} bytes are read.")


def _at_hand(handle: int) -> Iterator[bytes]:
    while part := os.read(handle, AT_ONCE):
        yield part


def _arriving(handle: int, path: Path) -> Iterator[bytes]:
    """What comes out of a pipe or device, until it ends or takes too long."""
    pipe = stat.S_ISFIFO(os.fstat(handle).st_mode)
    begun = heard = time.monotonic()
    came = False
    while True:
        part = _next(handle)
        now = time.monotonic()
        if part:
            yield part
            came, heard = True, now
        elif part is not None and (came or not pipe):
            return  # an empty pipe may still be waiting for its writer
        else:
            time.sleep(PAUSE)
        if now - heard > SILENCE:
            raise BadInput(f"{_shown(path)} has given nothing for {SILENCE:g} s; a file is needed.")
        if now - begun > LONGEST:
            raise BadInput(
                f"{_shown(path)} has not come to its end in {LONGEST:g} s; a file is needed."
            )


def _next(handle: int) -> bytes | None:
    """What is there now, empty at the end; None where there is nothing yet."""
    ready, _, _ = select.select([handle], [], [], PAUSE)
    try:
        return os.read(handle, AT_ONCE) if ready else None
    except BlockingIOError:
        return None
