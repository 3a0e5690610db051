"""The bench: the work at hand, the holder as it is tried, and what has been found of it so far.

One for a server. A change is kept, then the shape is made and shown. Where only something on the
sheet was moved, it is first that of the parts that are there, at their new places; what the family
makes of it follows as soon as that is seen. The checks of the bench follow in a thread, those of
the printer in a helper, and where they find a fault, another helper lets the family choose.
Whatever a later change supersedes is left.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from threading import Condition, Event, RLock, Thread
from typing import Any

import nests
from nests.choosing import counted
from nests.faces.page import tasks, told
from nests.faces.page.changing import changed, mended
from nests.faces.page.helper import Helper
from nests.faces.page.journal import Journal
from nests.faces.page.state import OTHERS, STALE, Behind, State
from nests.faces.page.work import Work
from nests.finding import Finding
from nests.measuring.unlocked import Standing, news, whole
from nests.orders import shown
from nests.orders.trying import Trial, stood
from nests.units import BadInput

BROKE = "a fault of the program, which the terminal tells of, ended this."
PATIENCE = 0.5
"""Seconds for which judging waits until a page has the shape."""


class Bench:
    """The work on one journal."""

    def __init__(self, journal: Journal, drawer: Path) -> None:
        """`drawer` is the folder holders are filed in."""
        self.journal, self.drawer = journal, drawer
        self.lock, self.news = RLock(), Condition(RLock())
        self.state, self.version, self.closed = State(), 0, False
        self.last = self.state
        self.errand: dict[str, Any] = {}
        self.stands_for: Any = None
        self.planned: Any = None
        self.seen = Event()
        self.printing = Helper(self._printed)
        self.errands = Helper(self._ran)
        self.printing.ask(-1, tasks.ready, None)
        self.errands.ask(-1, tasks.ready, None)
        self.errand_number, self.errand_kind = 0, ""
        with self.lock:
            self._try(journal.work)

    # what the page asks

    def change(self, asked: Mapping[str, Any]) -> None:
        """Do what is asked, if it was asked by a page that knew the state. Raises `BadInput`."""
        with self.lock:
            if asked.get("serial") != self.journal.serial:
                raise Behind(STALE)
            self._require_formed(asked)
            match asked.get("do"):
                case "undo":
                    self.journal.undo()
                case "redo":
                    self.journal.redo()
                case "mend" if "says" in asked:
                    finding = told.found(self.state.findings, asked)
                    work = mended(self.journal.work, finding, self.state.trial)
                    self.journal.keep(work)
                case _:
                    work = changed(self.journal.work, asked, self.state.trial)
                    self.journal.keep(work)
            with self._minded(self.journal.serial):
                self._try(self.journal.work)

    def run(self, kind: str, asked: Any, task: Any) -> None:
        """Send a helper on an errand, instead of what it is at; `errand` tells of it."""
        with self.lock:
            if self.errand_kind:
                self.errands.leave()
            if self.state.choosing:
                self._show(replace(self.state, choosing=False))
            self.errand_number += 1
            self.errand_kind = kind
            if kind != "choosing":  # which nobody asked for: the pack that was taken is still told
                self._tell_errand({"kind": kind, "running": True, "words": ""})
            self.errands.ask(self.errand_number, task, asked)

    def leave(self) -> None:
        """End the errand that is run."""
        with self.lock:
            if self.errand_kind:
                self.errands.leave()
                if self.errand_kind != "choosing":
                    told = {"kind": self.errand_kind, "running": False, "words": "left off"}
                    self._tell_errand(told)
                self.errand_kind, self.errand_number = "", self.errand_number + 1
                if self.state.choosing:
                    self._show(replace(self.state, choosing=False))

    def wait(self, version: int, seconds: float) -> int:
        """The version of what is shown, once it is another than `version`, or after a while."""
        end = time.monotonic() + seconds
        with self.news:
            while self.version == version and not self.closed and time.monotonic() < end:
                self.news.wait(end - time.monotonic())
            return self.version

    def close(self) -> None:
        """End the helpers, and let go of who waits."""
        with self.news:
            self.closed = True
            self.news.notify_all()
        self.printing.end()
        self.errands.end()

    # what follows

    def _show(self, state: State) -> None:
        with self.news:
            self.state = state
            self.version += 1
            self.news.notify_all()

    def _try(self, work: Work) -> None:
        """Make the shape of a work, and have it judged."""
        if self.errand_kind in ("choosing", "planning"):
            self.leave()
        self.planned = None
        if not self.errand.get("running"):
            self.errand = {}  # a pack that was taken is of what was shown before
        journal, old = self.journal, self.state
        state = State(
            journal.serial, work, None, can_undo=journal.can_undo, can_redo=journal.can_redo,
            shape=old.shape, standing=old.standing if old.work.of_one_workpiece(work) else None,
        )  # fmt: skip
        if not old.forming:
            self.last = old
        last = self.last.trial if not self.last.faults else None
        near = None if last is None else tasks.moved(last, self.last.work, work)
        if near is None:
            self._settle(state, tasks.made(work))
            return
        self._draw(replace(state, trial=near, forming=True))
        self._beside(self._form, self.state)

    def _beside(self, what: Callable[..., None], state: State, *more: Any) -> None:
        """Do something about a state in a thread of its own."""

        def done() -> None:
            with self._minded(state.serial):
                what(state, *more)

        Thread(target=done, daemon=True).start()

    @contextmanager
    def _minded(self, serial: int) -> Iterator[None]:
        """That a fault of the program ended what is done for a state is told; it can be undone."""
        at, ended = self.journal, False
        try:
            yield
            ended = True
        finally:
            with self.lock:
                if not ended and at.serial == serial:
                    self._show(replace(
                        self.state, serial=serial, work=at.work, forming=False, printing=None,
                        faults=(BROKE,), can_undo=at.can_undo, can_redo=at.can_redo,
                    ))  # fmt: skip

    def _form(self, state: State) -> None:
        """What the family makes of a work of which a first shape is shown, once that is seen."""
        self.seen.wait(PATIENCE)
        if self.state.serial != state.serial:
            return
        made = tasks.made(state.work)
        with self.lock:
            if self.state.serial == state.serial and self.state.forming:
                self._settle(self.state, made)

    def formed(self) -> State:
        """The state, with what the family makes of the work; it is not waited for elsewhere."""
        with self.lock:
            if self.state.forming:
                self._settle(self.state, tasks.made(self.state.work))
            return self.state

    def _require_formed(self, asked: Mapping[str, Any]) -> None:
        """Let the family be asked first where that is not of the sheet alone; raise `Behind` where
        it is about a part and there are others now."""
        if str(asked.get("at", "")).startswith("sheet:"):
            return
        shape = asked.get("shape", self.state.shape)  # that the page was told of
        about = asked.get("do") == "mend" or str(asked.get("at", "")).startswith("recipe:")
        if self.formed().shape != shape and about:
            raise Behind(OTHERS)

    def _settle(self, state: State, made: Trial | BadInput | None) -> None:
        """Show what the family makes of a work, or why it makes nothing."""
        work = state.work
        first, state = state.trial, replace(state, forming=False)
        if isinstance(made, BadInput):
            kept = self.last.trial if self.last.work.of_one_family(work) else None
            self._draw(replace(state, faults=made.faults, trial=kept))
            self._unlock()
            if work.family and work.recipe is None:
                self._choose(work)
        elif made is None:
            found = () if work.record is None else nests.check(work.record)
            self._draw(replace(state, trial=None, bench=found))
            self._unlock()
        else:
            state = replace(state, trial=made, printing=(0, made.checks, ""))
            if first is not None and made.of_same_parts(first):
                self._show(state)
            else:
                self._draw(state)
            self._beside(self._look, self.state, made)

    def _draw(self, state: State) -> None:
        """Show a state, with another shape where it has another than is shown."""
        pieces = self.state.pieces
        if state.trial is not self.state.trial:
            self.seen.clear()
            pieces = () if state.trial is None else shown.pieces(state.trial.holder)
            state = replace(state, shape=state.shape + 1)
        self._show(replace(state, pieces=pieces))

    def _look(self, state: State, trial: Trial) -> None:
        """The bench's checks, one after the other, until the state is another; the shape is seen
        first, so that judging does not hold it up."""
        serial = state.serial
        out: tuple[Finding, ...] = ()
        self.seen.wait(PATIENCE)
        if self.state.serial != serial:
            return
        self.printing.ask(serial, tasks.printing, state.work)
        for _, found in trial.found("bench"):
            if self.state.serial != serial:
                return
            out += found
        with self.lock:
            if self.state.serial == serial:
                self._show(replace(self.state, bench=out))
                self._finish()

    def _printed(self, number: int, what: str, value: Any) -> None:
        """A step of the printer's side."""
        with self.lock:
            state = self.state
            if number != state.serial:
                return
            if what == "step" and value[0] == tasks.UNLOCKED:
                self._unlocked(value[1])
                return
            if state.printing is None:
                return
            if what == "step":
                done, of, name, found = value
                self._show(replace(state, printing=(done, of, name), printer=state.printer + found))
            elif what == "done":
                self._show(replace(state, printing=None))
                self._finish()
                self._unlock()
            elif what == "fault":
                self._show(replace(state, printing=None, faults=value))

    def _unlock(self) -> None:
        """Ask the families what can be made by now, where that is not known of this sheet: last of
        all, by the helper that looks at the print."""
        work = self.state.work
        known = work.sheet == self.stands_for and self.state.standing is not None
        if work.sheet is not None and not known:
            self.printing.ask(self.state.serial, tasks.unlocking, work)

    def _unlocked(self, found: Standing) -> None:
        """What can be made, as far as the families were asked; whole once all were."""
        sheet = self.state.work.record
        if sheet is None or not whole(found, sheet):
            return
        before = self.state.standing or Standing()
        self.stands_for = self.state.work.sheet
        self._show(replace(self.state, standing=found, news=news(before, found)))

    def _finish(self) -> None:
        """Where a fault is left and the family chose by itself, let it choose among more."""
        state = self.state
        if not state.done or state.work.recipe is not None or not state.work.family:
            return
        if counted(state.findings) != (0, 0):
            self._choose(state.work)

    def _choose(self, work: Work) -> None:
        if self.errand_kind in ("packing", "planning"):
            return
        self.run("choosing", work, tasks.choosing)
        self._show(replace(self.state, choosing=True))

    def _ran(self, number: int, what: str, value: Any) -> None:
        """A step of an errand."""
        with self.lock:
            if number != self.errand_number or not self.errand_kind:
                return
            kind = self.errand_kind
            if kind == "choosing":
                self._chosen(what, value)
            elif what == "words":
                self._tell_errand({"kind": kind, "running": True, "words": value})
            elif what == "step":
                if kind == "planning":
                    self.planned = value
                self._tell_errand({"kind": kind, "running": True, "step": value})
            else:
                step = self.errand.get("step")
                faults = value if what == "fault" else ()
                told = {"kind": kind, "running": False, "step": step, "faults": faults}
                self._tell_errand(told)
            if what not in ("step", "words"):
                self.errand_kind = ""

    def _chosen(self, what: str, value: Any) -> None:
        state = self.state
        if what == "fault":
            self._show(replace(state, choosing=False, faults=value if state.faults else ()))
        elif what == "step":
            recipe, found, changed_ = value
            trial = stood(recipe)
            self._show(replace(
                state, trial=trial, faults=(), bench=found, printer=(), chose=changed_,
                choosing=False, printing=None, shape=state.shape + 1,
                pieces=shown.pieces(trial.holder),
            ))  # fmt: skip

    def _tell_errand(self, told: dict[str, Any]) -> None:
        with self.news:
            self.errand = told
            self.version += 1
            self.news.notify_all()
