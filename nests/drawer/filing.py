"""What is done to a holder: filed, gauged, retired, brought back. Each change is one document."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from nests.compose import refuse_wrong_kind
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
from nests.drawer.seats import seats, supports
from nests.drawer.shelf import next_id, put, stamps
from nests.drawer.wear import worn
from nests.finding import Finding, Grade
from nests.kept import Change, KeptHolder, Readings, make_id
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
    return recipe


def file_holder(
    folder: Path, recipe: Recipe, gauged: Readings, *, date: str = "", note: str = "",
    by: str = "", tell: Tell = silent,
) -> KeptHolder:  # fmt: skip
    """Put a holder into a drawer, which is made if there is none. Returns it with its id.

    When this returns the holder is on the disk. Raises `BadInput`, also for a reading that cannot
    be of this holder.
    """
    filed = Change(number=1, did="filed", date=date, note=note, by=by, readings=gauged)
    kept = KeptHolder(id=make_id(recipe.kind, 1), recipe=recipe, history=(filed,))
    _require_plausible(kept)  # before anything is touched
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(f"{folder} cannot be a drawer: {error.strerror or error}.") from None
    with writing(folder) as index:
        filed = replace(filed, number=index.last + 1)
        made_id = next_id(set(stamps(folder)), recipe.kind)
        kept = replace(kept, id=made_id, history=(filed,))
        put(folder, kept)
        tell_of_ended(index, tell)
    return kept


def measure(
    folder: Path, holder_id: str, gauged: Readings, *, date: str = "", note: str = "",
    by: str = "", tell: Tell = silent,
) -> tuple[KeptHolder, tuple[Finding, ...]]:  # fmt: skip
    """Keep new readings. Beyond the limits of wear the holder stands as worn, until gauged again.

    Returns the holder and what is to be said about its wear. Raises `BadInput`.
    """
    if gauged.empty:
        raise BadInput("nothing was measured; give --seat, --ledge, --post or --mass.")

    def change(kept: KeptHolder, number: int) -> Change:
        require_usable(kept, folder)
        made = replace(
            following(kept, number, date=date, note=note, by=by), state="in use", reason="",
            readings=gauged.over(kept.now.readings),
        )  # fmt: skip
        after = with_change(kept, made)
        _require_plausible(after)
        beyond = [f for f in worn(after) if f.grade is Grade.MEND]
        if beyond:
            made = replace(made, state="worn", reason=" ".join(f.says for f in beyond))
        return made

    kept = changed(folder, holder_id, change, tell)
    return kept, tuple(worn(kept))


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
        return replace(
            following(kept, number, date=date, note=note, by=by), did="reinstated",
            state=before.state, reason=before.reason,
        )  # fmt: skip

    return changed(folder, holder_id, change, tell)


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
