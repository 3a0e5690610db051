"""What is done to a holder: filed, gauged, retired, brought back. Each change is one document."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from pathlib import Path

from nests.consistency import require_recipe
from nests.documents.reading import is_file, is_folder
from nests.drawer.changing import (
    Tell,
    changed,
    following,
    require_usable,
    silent,
    tell_of_ended,
    with_change,
    writing,
)
from nests.drawer.gauged import on_the_list
from nests.drawer.index import fresh_index
from nests.drawer.marking import require_own_mark
from nests.drawer.shelf import begin, names_in, next_id, put
from nests.drawer.typed import FORM, require_believed, require_plausible
from nests.drawer.wear import worn
from nests.finding import Finding, Grade, by_gravity
from nests.holder.compose import refuse_wrong_kind
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.kinds.kept import Change, KeptHolder, Readings, make_id
from nests.units import BadInput


def recipe_of(pack: Path) -> Recipe:
    """The recipe in a pack's folder, or in a file. Raises `BadInput`."""
    path = pack / "recipe.json" if is_folder(pack) else pack
    if is_folder(pack) and not is_file(path):
        raise BadInput(f"{pack} is no pack: there is no recipe.json in it.")
    recipe = read(path, Recipe)
    refuse_wrong_kind(recipe.kind, recipe.workpiece)
    require_recipe(recipe)
    return recipe


def file_holder(
    folder: Path, recipe: Recipe, gauged: Readings, *, date: str = "", note: str = "",
    by: str = "", believed: Collection[str] = (), tell: Tell = silent,
) -> KeptHolder:  # fmt: skip
    """Put a holder into a drawer, which is made if there is none. Returns it with its id.

    When this returns the holder is on the disk. Raises `BadInput`, also for a reading that cannot
    be of this holder, and for a mark that another calibre has in this drawer; `Doubtful` for one
    that can hardly be true, unless its name is `believed`.
    """
    filed = Change(number=1, did="filed", date=date, note=note, by=by, readings=gauged)
    kept = KeptHolder(id=make_id(recipe.kind, 1), recipe=recipe, history=(filed,))
    require_plausible(recipe, gauged)  # before anything is touched
    require_believed(recipe, gauged, believed)
    begin(folder)
    with writing(folder) as index:
        index = require_own_mark(folder, index, recipe)
        filed = replace(filed, number=index.last + 1)
        made_id = next_id(names_in(folder), recipe.kind)
        kept = replace(kept, id=made_id, history=(filed,))
        put(folder, kept)
        tell_of_ended(index, tell)
    return kept


def measure(
    folder: Path, holder_id: str, gauged: Readings, *, date: str = "", note: str = "",
    by: str = "", believed: Collection[str] = (), tell: Tell = silent,
) -> tuple[KeptHolder, tuple[Finding, ...]]:  # fmt: skip
    """Keep new readings. Beyond the limits of wear the holder stands as worn, until gauged again.

    Returns the holder and what is to be said of its readings. Raises `BadInput`, and `Doubtful` as
    `file_holder`.
    """
    if gauged.empty:
        raise BadInput(f"nothing was measured; {FORM}: 'nests drawer show' lists the names.")

    def change(kept: KeptHolder, number: int) -> Change:
        require_usable(kept, folder)
        require_plausible(kept.recipe, gauged)
        require_believed(kept.recipe, gauged, believed)
        made = replace(
            following(kept, number, date=date, note=note, by=by), state="in use", reason="",
            readings=gauged.over(kept.now.readings),
        )  # fmt: skip
        after = with_change(kept, made)
        beyond = [f for f in worn(after) if f.grade is Grade.MEND]
        if beyond:
            made = replace(made, state="worn", reason=" ".join(f.says for f in beyond))
        return made

    kept = changed(folder, holder_id, change, tell)
    return kept, told(kept)


def told(kept: KeptHolder) -> tuple[Finding, ...]:
    """What is to be said of a holder's readings: worn, outside its limits, still open."""
    return by_gravity((*worn(kept), *(f for f in on_the_list(kept) if f.grade is not Grade.CLEAR)))


def retire(
    folder: Path, holder_id: str, reason: str, *, date: str = "", note: str = "", by: str = "",
    tell: Tell = silent,
) -> KeptHolder:  # fmt: skip
    """Take a holder out of use; it is no longer found. Raises `BadInput`."""
    if not reason.strip():
        raise BadInput("a holder is retired for a reason; give --reason.")

    def change(kept: KeptHolder, number: int) -> Change:
        require_usable(kept, folder)
        return replace(
            following(kept, number, date=date, note=note, by=by), did="retired", state="retired",
            reason=reason,
        )  # fmt: skip

    return changed(folder, holder_id, change, tell)


def reinstate(
    folder: Path, holder_id: str, *, date: str = "", note: str = "", by: str = "",
    tell: Tell = silent,
) -> KeptHolder:  # fmt: skip
    """Bring a retired holder back into use, as it stood before. Raises `BadInput` if it is none."""

    def change(kept: KeptHolder, number: int) -> Change:
        before = kept.before_retiring
        if kept.now.state != "retired":
            raise BadInput(f"{kept.id} is {kept.now.state}; only a retired holder is brought back.")
        if before is None:
            raise BadInput(f"{kept.id} was never in use; file it again.")
        require_own_mark(folder, fresh_index(folder), kept.recipe)  # it may be another's by now
        return replace(
            following(kept, number, date=date, note=note, by=by), did="reinstated",
            state=before.state, reason=before.reason,
        )  # fmt: skip

    return changed(folder, holder_id, change, tell)
