"""Processes beside this one, for work that is done some at a time; none outlives what it is for.

A child listens to a line that only its parent holds. When the line ends, because the parent let go
of it or died, the child ends, whatever it is at.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from multiprocessing import get_context
from multiprocessing.connection import Connection
from threading import Thread, current_thread, main_thread
from typing import Any, TypeVar

from nests.units import BadInput

T = TypeVar("T")
ENDS = tuple(each for each in signal.Signals if each.name in ("SIGTERM", "SIGHUP"))
"""Signals that ask for the end of a program: told to end, and its terminal closed."""


def each_done(
    task: Callable[..., T], arguments: Sequence[tuple[Any, ...]], count: int
) -> Generator[T, None, None]:
    """What `task` gives for each of the arguments, in their order, `count` at a time.

    Close it when it is left early. Raises what the task raises, and `BadInput` if no child can be
    started or one was ended from outside.
    """
    context = get_context("spawn")
    try:
        hears, holds = context.Pipe(duplex=False)
    except OSError as error:
        raise _cannot_start(error) from None
    try:
        pool = ProcessPoolExecutor(count, context, initializer=_listen, initargs=(hears,))
    except OSError as error:
        hears.close()  # of the little there is, what is held is let go
        holds.close()
        raise _cannot_start(error) from None
    try:
        with _ended_in_order():
            with _not_interrupted():
                waiting = _begun(pool, task, arguments)
            for each in waiting:
                yield each.result()
            pool.shutdown()
    except BrokenProcessPool:
        raise BadInput(
            "a process that worked for this one was ended from outside, by hand or for want of "
            "memory; what it was at is not done: start again."
        ) from None
    finally:
        holds.close()
        pool.shutdown(cancel_futures=True)
        hears.close()


def _begun(
    pool: ProcessPoolExecutor, task: Callable[..., T], arguments: Sequence[tuple[Any, ...]]
) -> list[Future[T]]:
    try:
        return [pool.submit(task, *each) for each in arguments]
    except BrokenProcessPool:
        raise
    except (OSError, RuntimeError) as error:  # no process, no thread
        raise _cannot_start(error) from None


def _cannot_start(error: OSError | RuntimeError) -> BadInput:
    why = error.strerror if isinstance(error, OSError) else error
    return BadInput(f"no other process can be started here: {why or error}.")


def _listen(line: Connection) -> None:
    """End this process with the line."""

    def wait() -> None:
        with suppress(EOFError, OSError):
            line.recv_bytes()
        os._exit(1)

    Thread(target=wait, daemon=True).start()


@contextmanager
def _not_interrupted() -> Iterator[None]:
    """Children started meanwhile never hear an interrupt from the keyboard: the parent ends them.

    An interrupt of the parent waits until the block has ended.
    """
    if sys.platform == "win32":
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextmanager
def _ended_in_order() -> Iterator[None]:
    """Leave by `SystemExit` when told to end, so that children are ended and nothing is left half
    written; where somebody else sees to it, or outside the main thread, nothing is changed."""
    mine = [
        each
        for each in ENDS
        if current_thread() is main_thread() and signal.getsignal(each) is signal.SIG_DFL
    ]
    for each in mine:
        signal.signal(each, _leave)
    try:
        yield
    finally:
        for each in mine:
            signal.signal(each, signal.SIG_DFL)


def _leave(number: int, _: object) -> None:
    signal.signal(number, signal.SIG_IGN)  # once is enough
    sys.exit(128 + number)
