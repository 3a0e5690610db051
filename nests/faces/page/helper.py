"""A helper: a process beside the server that works at one thing at a time, and is told to leave it.

It ends with the bench, however that ends. What is asked anew supersedes what it is at:
it looks up between two steps; one that takes too long for that is ended, and another begun.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import suppress
from multiprocessing import get_context
from multiprocessing.connection import Connection
from threading import Lock, Thread
from typing import Any, TypeAlias

from nests.units import BadInput

Task: TypeAlias = Callable[[Any], Iterator[Any]]
Told: TypeAlias = Callable[[int, str, Any], None]
CONTEXT = get_context("spawn")


class Helper:
    """One process that does tasks; `told` hears (number, what, value) of each step of it, with what
    'step', 'fault' (sentences) or 'done'."""

    def __init__(self, told: Told) -> None:
        """Begin it at once: it takes a second to be ready."""
        self.told, self.lock = told, Lock()
        self._begin()

    def _begin(self) -> None:
        self.line, theirs = CONTEXT.Pipe()
        hears, self.holds = CONTEXT.Pipe(duplex=False)
        # no daemon: it may have children of its own; what it holds on to ends it
        self.process = CONTEXT.Process(target=_work, args=(theirs, hears))
        self.process.start()
        theirs.close()
        hears.close()
        Thread(target=_hear, args=(self.line, self.told), daemon=True).start()

    def ask(self, number: int, task: Task, value: Any) -> None:
        """Do this, instead of what it is at."""
        with self.lock:
            if not self.process.is_alive():
                self._begin()
            try:
                self.line.send((number, task, value))
            except OSError:
                self._begin()
                self.line.send((number, task, value))

    def leave(self) -> None:
        """End what it is at, whatever that is."""
        with self.lock:
            self._let_go()
            self._begin()

    def end(self) -> None:
        """End it for good."""
        with self.lock, suppress(OSError):
            self._let_go()
            self.process.join(2.0)

    def _let_go(self) -> None:
        self.line.close()
        self.holds.close()
        self.process.terminate()


def _hear(line: Connection, told: Told) -> None:
    with suppress(EOFError, OSError, TypeError):  # closed while it waits
        while True:
            told(*line.recv())


def _listen(hears: Connection) -> None:
    """End this process with what its parent holds, whatever it is at."""
    with suppress(EOFError, OSError):
        hears.recv_bytes()
    os._exit(1)


def _work(line: Connection, hears: Connection) -> None:
    """What the process does."""
    import signal

    Thread(target=_listen, args=(hears,), daemon=True).start()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the server ends it
    with suppress(EOFError, OSError):
        while True:
            number, task, value = line.recv()
            while line.poll():
                number, task, value = line.recv()
            try:
                for step in task(value):
                    if line.poll():
                        break
                    line.send((number, "step", step))
                else:
                    line.send((number, "done", None))
            except BadInput as bad:
                line.send((number, "fault", bad.faults))
            except Exception as error:  # told to who sits before the page; the bench goes on
                line.send((number, "fault", (f"this is a fault of the program: {error!r}.",)))
