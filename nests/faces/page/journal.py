"""The journal: every step of the work on the disk before it is shown, undone and done again.

The folder has `steps/`, one file for each step, and `place.json`, which says at which of them the
work is, which is the last, and the serial number of the state: each change makes a greater one, an
undo too, so that a tab that was not told of a change is known by the number it brings.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from nests.documents.files import canonical, read_json, write_file
from nests.drawer.lock import locked
from nests.faces.page.work import Work
from nests.units import BadInput

MOST_STEPS = 2000
"""Steps that are kept; older ones are let go."""
PATIENCE = 0.5
"""Seconds to wait for another program that holds the folder."""


class Journal:
    """The steps of one folder. It is held by one program at a time."""

    def __init__(self, folder: Path) -> None:
        """Open it, or begin one. Raises `BadInput`, also for a folder that is something else."""
        self.folder, self.steps = folder, folder / "steps"
        try:
            self.steps.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise BadInput(f"{folder} cannot be the bench: {error.strerror or error}.") from None
        place = self._place()
        self.at, self.last, self.serial = place["at"], place["last"], place["serial"]
        self.first = place["first"]
        self.work = self._read(self.at) if self.at else Work()

    def _place(self) -> dict[str, int]:
        path = self.folder / "place.json"
        found = read_json(path) if path.exists() else {}
        out = {key: found.get(key, 0) for key in ("first", "at", "last", "serial")}
        if not all(isinstance(n, int) and n >= 0 for n in out.values()):
            raise BadInput(f"{path} does not say where the work is; move the folder away.")
        return out

    def _read(self, number: int) -> Work:
        path = self._path(number)
        try:
            return Work.of(read_json(path))
        except BadInput as bad:
            raise BadInput(f"{path}: {bad}") from None

    def _path(self, number: int) -> Path:
        return self.steps / f"{number:06d}.json"

    @property
    def can_undo(self) -> bool:
        """Whether there is a step before this one."""
        return self.at > self.first

    @property
    def can_redo(self) -> bool:
        """Whether a step was undone and nothing was done since."""
        return self.at < self.last

    def keep(self, work: Work) -> None:
        """Keep a step; what was undone before it is let go. Raises `BadInput`."""
        write_file(self._path(self.at + 1), canonical(work.data()))
        at = self.at + 1
        first = max(self.first, at - MOST_STEPS)
        self._go(work, at, at, first)
        for old in range(max(1, first - 3), first):
            self._path(old).unlink(missing_ok=True)

    def undo(self) -> None:
        """Go back a step. Raises `BadInput` where there is none."""
        if not self.can_undo:
            raise BadInput("there is nothing to undo.")
        before = self.at - 1
        self._go(self._read(before) if before else Work(), before, self.last, self.first)

    def redo(self) -> None:
        """Do again what was undone. Raises `BadInput` where there is nothing."""
        if not self.can_redo:
            raise BadInput("there is nothing to do again.")
        self._go(self._read(self.at + 1), self.at + 1, self.last, self.first)

    def _go(self, work: Work, at: int, last: int, first: int) -> None:
        serial = self.serial + 1
        place: dict[str, Any] = {"first": first, "at": at, "last": last, "serial": serial}
        write_file(self.folder / "place.json", canonical(place))
        self.work, self.at, self.last, self.first, self.serial = work, at, last, first, serial
        self._lay_out()

    def _lay_out(self) -> None:
        """The documents at hand, for whoever goes on from the command line."""
        sheet = None if self.work.misfits else self.work.sheet  # as `measure sheet` keeps it back
        for name, found in (("sheet.json", sheet), ("recipe.json", self.work.recipe)):
            if found is None:
                (self.folder / name).unlink(missing_ok=True)
            else:
                write_file(self.folder / name, canonical(found))


@contextmanager
def held(folder: Path) -> Iterator[Journal]:
    """The journal of a folder, kept from other programs while it is open. Raises `BadInput`."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(f"{folder} cannot be the bench: {error.strerror or error}.") from None
    try:
        with locked(folder, PATIENCE):
            yield Journal(folder)
    except BadInput as bad:
        if "is being changed by another program" in str(bad):
            raise BadInput(f"{folder} is open on another bench; close that, or give another "
                           "folder.") from None  # fmt: skip
        raise


def usual_folder() -> Path:
    """The folder where none is given: nests-bench in the home folder."""
    return Path(os.path.expanduser("~")) / "nests-bench"
