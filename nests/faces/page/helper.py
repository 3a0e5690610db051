"""A helper: a process beside the server that works at one thing at a time, and is told to leave it.

It ends with the bench, however that ends. What is asked anew supersedes what it is at:
it looks up between two steps; one that takes too long for that is ended, and another begun.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import partial
from multiprocessing import get_context
from multiprocessing.connection import Connection
from threading import Lock, Thread
from typing import Any, TypeAlias

from nests.units import BadInput

Say: TypeAlias = Callable[[str], None]
Task: TypeAlias = Callable[[Any, Say], Iterator[Any]]
Told: TypeAlias = Callable[[int, str, Any], None]
CONTEXT = get_context("spawn")
DIED = (
    "a process that worked for this one ended of itself: by a fault of the program, which the "
    "terminal tells of, by hand, or for want of memory."
)


class Helper:
    """One process that does tasks; `told` hears (number, what, value) of each step of it, with what
    'step', 'words' (what it is at), 'fault' (sentences) or 'done'."""

    def __init__(self, told: Told) -> None:
        """Begin it at once: it takes a second to be ready."""
        self.told, self.lock, self.number = told, Lock(), -1
        self.left: Connection | None = None
        self._begin()

    def _begin(self) -> None:
        self.line, theirs = CONTEXT.Pipe()
        hears, self.holds = CONTEXT.Pipe(duplex=False)
        # no daemon: it may have children of its own; what it holds on to ends it
        self.process = CONTEXT.Process(target=_work, args=(theirs, hears))
        self.process.start()
        theirs.close()
        hears.close()
        Thread(target=self._hear, args=(self.line,), daemon=True).start()

    def ask(self, number: int, task: Task, value: Any) -> None:
        """Do this, instead of what it is at."""
        with self.lock:
            self.number = number
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

    def _hear(self, line: Connection) -> None:
        with suppress(EOFError, OSError):
            while True:
                self.told(*line.recv())
        with self.lock:  # and not while it is waited for: its number would be the next line's
            line.close()
        if line is self.line and line is not self.left:  # nobody let it go
            self.told(self.number, "fault", (DIED,))

    def _let_go(self) -> None:
        self.left = self.line
        self.holds.close()
        self.process.terminate()


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
            say = partial(_say, line, number)
            try:
                for step in task(value, say):
                    if line.poll():
                        break
                    line.send((number, "step", step))
                else:
                    line.send((number, "done", None))
            except BadInput as bad:
                line.send((number, "fault", bad.faults))


def _say(line: Connection, number: int, words: str) -> None:
    line.send((number, "words", words))
