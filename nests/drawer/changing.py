"""One change of a drawer: alone at it, one document written, and what it puts an end to told."""

from __future__ import annotations

import os
import shlex
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from nests.drawer.index import Index, fresh_index
from nests.drawer.lock import locked
from nests.drawer.shelf import path_of, put, read_holder, require_drawer, sweep
from nests.kinds.kept import Change, KeptHolder
from nests.units import BadInput

Tell = Callable[[str], object]
"""Is told, in a sentence, what else a change has done."""


def silent(says: str) -> None:
    """Tell nobody."""


@contextmanager
def writing(folder: Path) -> Iterator[Index]:
    """Hold a drawer for a change; gives its index as it stands before. Raises `BadInput`."""
    require_drawer(folder)
    require_writable(folder)
    with locked(folder):
        sweep(folder)
        yield fresh_index(folder)
        fresh_index(folder)


def changed(
    folder: Path, holder_id: str, change: Callable[[KeptHolder, int], Change], tell: Tell
) -> KeptHolder:
    """A holder after one more change, which is given its number and is on the disk."""
    with writing(folder) as index:
        kept = read_holder(path_of(folder, holder_id))
        kept = with_change(kept, change(kept, index.last + 1))
        put(folder, kept)
        tell_of_ended(index, tell)
    return kept


def with_change(kept: KeptHolder, change: Change) -> KeptHolder:
    """A holder with one more change in its history."""
    return replace(kept, history=(*kept.history, change))


def following(kept: KeptHolder, number: int, *, date: str, note: str = "", by: str = "") -> Change:
    """A change after the last one that leaves everything as it is; `did` is still to be said."""
    return replace(
        kept.now, number=number, did="measured", note=note, date=date, by=by, undoes=None,
        redoes=None,
    )  # fmt: skip


def tell_of_ended(before: Index, tell: Tell) -> None:
    """Say what could be redone before a new change, and can no longer be."""
    ids = [before.name(row).removesuffix(".json") for row in before.redoable]
    if ids:
        tell(f"what was undone of {', '.join(ids)} can no longer be redone.")


def require_writable(folder: Path) -> None:
    """Raise `BadInput` if nothing can be written into a folder."""
    if not os.access(folder, os.W_OK):
        raise BadInput(f"{folder} cannot be written to.")


def require_usable(kept: KeptHolder, folder: Path) -> None:
    """Raise `BadInput` if a holder is retired, with the command that brings it back."""
    if kept.now.state == "retired":
        raise BadInput(f"{kept.id} is retired ({kept.now.reason}); {brings_back(kept, folder)}")


def brings_back(kept: KeptHolder, folder: Path) -> str:
    """The command that brings this holder, and no other, back into use, at the end to be copied."""
    return f"to bring it back: nests reinstate {kept.id} --drawer {shlex.quote(str(folder))}"
