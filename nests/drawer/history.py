"""Undoing and redoing: the last change of the whole drawer, whosever holder it was made to.

Nothing is taken out of a history: an undoing is a change of its own, and so is a redoing. What was
undone can be redone, the last undone first, until something else is done to any holder of the
drawer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from nests.drawer.changing import following, with_change, writing
from nests.drawer.index import Index, fresh_index
from nests.drawer.shelf import put, read_holder, require_drawer
from nests.kinds.kept import FILING_UNDONE, Change, KeptHolder
from nests.units import BadInput


@dataclass(frozen=True)
class Step:
    """One step through the history of a drawer: a holder, and the change that is undone or redone.

    Before the step `kept` is the holder as it stands, after it the holder as it stands then.
    """

    kept: KeptHolder
    change: Change

    def words(self) -> str:
        """Holder, change, when and by whom, as far as that is known."""
        change, recipe = self.change, self.kept.recipe
        parts = [f"'{change.did}' of {self.kept.id} ({recipe.name})", f"change {change.number}"]
        parts.append(change.date or "no date given")
        parts.append(f"by {change.by}" if change.by else "by whom is not known")
        parts += [f"reason: {change.reason}"] if change.reason else []
        parts += [f"note: {change.note}"] if change.note else []
        return ", ".join(parts)


def next_undo(folder: Path) -> Step:
    """What `undo` would undo now. Raises `BadInput` if nothing is left to undo."""
    require_drawer(folder)
    return _last(folder, fresh_index(folder))


def undo(folder: Path, *, date: str = "", by: str = "", only: int | None = None) -> Step:
    """Undo the last change of the drawer that still stands.

    A holder whose filing is undone is retired, so that its id, which may stand on a label, is never
    given again. Raises `BadInput` if nothing is left to undo, and if the last change is another
    than number `only`: somebody changed the drawer after it was said.
    """
    with writing(folder) as index:
        step = _last(folder, index)
        kept, last = step.kept, step.change
        if only is not None and last.number != only:
            raise BadInput(
                f"nothing was undone: the last change is now {step.words()}; the drawer was "
                "changed meanwhile."
            )
        before = kept.standing[:-1]
        undone = replace(
            before[-1] if before else last, number=index.last + 1, did="undone", date=date, by=by,
            note="", undoes=last.number, redoes=None,
        )  # fmt: skip
        if not before:
            undone = replace(undone, state="retired", reason=FILING_UNDONE)
        kept = with_change(kept, undone)
        put(folder, kept)
    return Step(kept, last)


def redo(folder: Path, *, date: str = "", by: str = "") -> Step:
    """Do again what was undone last; again, what was undone before that.

    Raises `BadInput` if there is nothing to redo, or something else was done since.
    """
    with writing(folder) as index:
        if not len(index.redoable):
            raise BadInput(_nothing_to_redo(folder, index))
        kept = read_holder(folder / index.name(int(index.redoable[0])))
        undoing = max(kept.undoings, key=lambda each: each.number)
        change = next(each for each in kept.history if each.number == undoing.undoes)
        kept = with_change(
            kept,
            replace(
                following(kept, index.last + 1, date=date, by=by), did="redone",
                redoes=undoing.number, state=change.state, reason=change.reason,
                readings=change.readings,
            ),
        )  # fmt: skip
        put(folder, kept)
    return Step(kept, change)


def _last(folder: Path, index: Index) -> Step:
    if not index.holders["undoable"].any():
        raise BadInput(f"there is nothing to undo in {folder}.")
    kept = read_holder(folder / index.name(int(np.argmax(index.holders["undoable"]))))
    return Step(kept, kept.standing[-1])


def _nothing_to_redo(folder: Path, index: Index) -> str:
    if index.holders["undoing"].any():
        row = int(np.argmax(index.holders["deed"]))
        kept = read_holder(folder / index.name(row))
        return (
            f"there is nothing to redo in {folder}: '{kept.deeds[-1].did}' of {kept.id} was done "
            "after the last undoing, and ended it."
        )
    return f"there is nothing to redo in {folder}: nothing was undone."
