"""What changes a drawer: filing, gauging again, retiring, undoing. Each change is one document."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from nests.compose import refuse_wrong_kind
from nests.consistency import require_recipe
from nests.drawer.index import fresh_index
from nests.drawer.lock import locked
from nests.drawer.seats import seats, supports
from nests.drawer.shelf import next_id, path_of, put, read_holder, require_drawer, stamps, sweep
from nests.drawer.wear import worn
from nests.finding import Finding, Grade
from nests.kept import FILING_UNDONE, Change, KeptHolder, Readings, make_id
from nests.kinds import read
from nests.recipe import Recipe
from nests.units import BadInput, Length

FAR_OFF: Length = 0.5
"""mm a reading may be away from the drawing before it is taken for a mistake; from memory."""


def readings(
    seat: Sequence[Length] = (),
    ledge: Length | None = None,
    posts: Mapping[str, Length] | None = None,
    mass: float | None = None,
    gauge: str = "",
) -> Readings:
    """Readings as typed. Raises `BadInput`."""
    return Readings(seat=tuple(seat), ledge=ledge, posts=dict(posts or {}), mass=mass, gauge=gauge)


def recipe_of(pack: Path) -> Recipe:
    """The recipe in a pack's folder, or in a file. Raises `BadInput`."""
    path = pack / "recipe.json" if pack.is_dir() else pack
    if pack.is_dir() and not path.is_file():
        raise BadInput(f"{pack} is no pack: there is no recipe.json in it.")
    recipe = read(path, Recipe)
    refuse_wrong_kind(recipe.kind, recipe.workpiece)
    require_recipe(recipe)
    return recipe


def file_holder(
    folder: Path, recipe: Recipe, gauged: Readings, *, date: str = "", note: str = ""
) -> KeptHolder:
    """Put a holder into a drawer, which is made if there is none. Returns it with its id.

    When this returns the holder is on the disk. Raises `BadInput`, also for a reading that cannot
    be of this holder.
    """
    filed = Change(number=1, did="filed", date=date, note=note, readings=gauged)
    kept = KeptHolder(id=make_id(recipe.kind, 1), recipe=recipe, history=(filed,))
    _require_plausible(kept)  # before anything is touched
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(f"{folder} cannot be a drawer: {error.strerror or error}.") from None
    _require_writable(folder)
    with locked(folder):
        sweep(folder)
        filed = replace(filed, number=fresh_index(folder).last + 1)
        made_id = next_id(set(stamps(folder)), recipe.kind)
        kept = replace(kept, id=made_id, history=(filed,))
        put(folder, kept)
        fresh_index(folder)
    return kept


def measure(
    folder: Path, holder_id: str, gauged: Readings, *, date: str = "", note: str = ""
) -> tuple[KeptHolder, tuple[Finding, ...]]:
    """Keep new readings. Beyond the limits of wear the holder stands as worn, until gauged again.

    Returns the holder and what is to be said about its wear. Raises `BadInput`.
    """
    if gauged.empty:
        raise BadInput("nothing was measured; give --seat, --ledge, --post or --mass.")

    def change(kept: KeptHolder, number: int) -> Change:
        _require_usable(kept)
        made = replace(
            _following(kept, number), did="measured", date=date, note=note, state="in use",
            reason="", readings=gauged.over(kept.now.readings),
        )  # fmt: skip
        after = _with(kept, made)
        _require_plausible(after)
        beyond = [f for f in worn(after) if f.grade is Grade.MEND]
        if beyond:
            made = replace(made, state="worn", reason=" ".join(f.says for f in beyond))
        return made

    kept = _changed(folder, holder_id, change)
    return kept, tuple(worn(kept))


def retire(
    folder: Path, holder_id: str, reason: str, *, date: str = "", note: str = ""
) -> KeptHolder:
    """Take a holder out of use; it is no longer found. Raises `BadInput`."""
    if not reason.strip():
        raise BadInput("a holder is retired for a reason; give --reason.")

    def change(kept: KeptHolder, number: int) -> Change:
        _require_usable(kept)
        return replace(
            _following(kept, number), did="retired", date=date, note=note, state="retired",
            reason=reason,
        )  # fmt: skip

    return _changed(folder, holder_id, change)


def undo(folder: Path, *, date: str = "") -> tuple[KeptHolder, Change]:
    """Undo the last change of the drawer that still stands; returns its holder and the change.

    The history keeps both. A holder whose filing is undone is retired, so that its id, which may
    stand on a label, is never given again. Raises `BadInput` if nothing is left to undo.
    """
    require_drawer(folder)
    _require_writable(folder)
    with locked(folder):
        sweep(folder)
        index = fresh_index(folder)
        if not index.holders["undoable"].any():
            raise BadInput(f"there is nothing to undo in {folder}.")
        name = index.name(int(np.argmax(index.holders["undoable"])))
        kept = read_holder(folder / name)
        *before, last = kept.standing
        undone = replace(
            before[-1] if before else last, number=index.last + 1, did="undone", date=date, note="",
            undoes=last.number,
        )  # fmt: skip
        if not before:
            undone = replace(undone, state="retired", reason=FILING_UNDONE)
        kept = _with(kept, undone)
        put(folder, kept)
        fresh_index(folder)
    return kept, last


def _changed(
    folder: Path, holder_id: str, change: Callable[[KeptHolder, int], Change]
) -> KeptHolder:
    require_drawer(folder)
    _require_writable(folder)
    with locked(folder):
        sweep(folder)
        kept = read_holder(path_of(folder, holder_id))
        kept = _with(kept, change(kept, fresh_index(folder).last + 1))
        put(folder, kept)
        fresh_index(folder)
    return kept


def _with(kept: KeptHolder, change: Change) -> KeptHolder:
    return replace(kept, history=(*kept.history, change))


def _following(kept: KeptHolder, number: int) -> Change:
    """A change after the last one that leaves everything as it is; `did` is still to be said."""
    return replace(kept.now, number=number, did="measured", note="", date="", undoes=None)


def _require_writable(folder: Path) -> None:
    if not os.access(folder, os.W_OK):
        raise BadInput(f"{folder} cannot be written to.")


def _require_usable(kept: KeptHolder) -> None:
    if kept.now.state == "retired":
        raise BadInput(f"{kept.id} is retired ({kept.now.reason}); 'nests drawer undo' undoes it.")


def _require_plausible(kept: KeptHolder) -> None:
    """Refuse a reading that belongs to another place, another holder or another zero."""
    gauged = kept.now.readings
    drawn = replace(kept, history=(replace(kept.history[0], readings=Readings()),))
    found = seats(drawn)
    if gauged.seat and not found:
        raise BadInput(f"a {kept.recipe.kind} has no seat to be gauged.")
    for each in gauged.seat:
        _near(each, found[0].bore, "seat", "gauge it again, or is it another holder?")
    if gauged.ledge is not None:
        if not found or found[0].ledge is None:
            raise BadInput(f"{kept.recipe.name} has no ledge to be gauged.")
        _near(gauged.ledge, found[0].ledge, "ledge", _FROM_BENCH)
    heights = {s.under: s.z for s in supports(drawn)}
    for name, height in gauged.posts.items():
        if name not in heights:
            there = ", ".join(sorted(heights)) or "none"
            raise BadInput(
                f"there is no post under '{name}' in {kept.recipe.name}; there is {there}."
            )
        _near(height, heights[name], f"post '{name}'", _FROM_BENCH)


_FROM_BENCH = "heights are read from the bench the holder stands on."


def _near(read: Length, drawn: Length, what: str, hint: str) -> None:
    if abs(read - drawn) > FAR_OFF:
        raise BadInput(f"{what} is {read:g} mm, but it is drawn {drawn:.2f} mm; {hint}")
