"""Two drawers become one: every holder of both is kept, and what became of each is told.

An id is unique in a drawer only. Where one that comes in is another holder than the one of that id
that is there, both are kept and the one that comes in gets the next id; `was` keeps its old one, so
that the same file may come in again. Its changes are numbered after all that are there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from nests.drawer.changing import Tell, tell_of_ended, writing
from nests.drawer.index import Index
from nests.drawer.marking import require_own_mark
from nests.drawer.shelf import MOST_CHANGES, begin, names_in, next_id, put, read_holder
from nests.kinds.kept import Change, KeptHolder
from nests.units import BadInput


def join(folder: Path, incoming: Sequence[KeptHolder], source: str, tell: Tell) -> int:
    """Take holders into a drawer, which is made if there is none; returns how many were taken.

    One that is there already stays as it is, or is given what happened to it later. Nothing is
    written before all of it is known to fit; who dies in the middle may do it again. Raises
    `BadInput`, also for a mark that another calibre has in this drawer.
    """
    begin(folder)
    with writing(folder) as index:
        ready: list[KeptHolder] = []
        said: list[str] = []
        names = names_in(folder)
        reserved = {f"{each.id}.json" for each in incoming}
        for each in sorted(incoming, key=lambda kept: kept.history[0].number):
            found = next(_same(folder, index, each), None)
            if found is not None:
                later = _later(found, each, index.last)
                ready += [later] if later is not found else []
                said.append(_told_of_known(found, later, each))
                continue
            taken = replace(each, history=tuple(_after(index.last, c) for c in each.history))
            if f"{each.id}.json" in names:
                new = next_id(names | reserved, each.recipe.kind)
                said.append(f"{each.id} of {source} is another holder than {each.id} here; both "
                            f"are kept, it as {new}: give it a new label.")  # fmt: skip
                taken = replace(taken, id=new, was=each.id)
            if taken.now.state != "retired":
                require_own_mark(folder, index, taken.recipe)
            names.add(f"{taken.id}.json")
            ready.append(taken)
        for kept in ready:
            if kept.now.number > MOST_CHANGES:
                raise BadInput(
                    f"{kept.id} of {source} would have change {kept.now.number}; allowed is up to "
                    f"{MOST_CHANGES}. Nothing was taken."
                )
        for kept in ready:
            put(folder, kept)
        for says in said:
            tell(says)
        if ready:
            tell_of_ended(index, tell)
    return len(ready)


def _same(folder: Path, index: Index, each: KeptHolder) -> Iterator[KeptHolder]:
    """The holder that is there already, under the same id or one it was given when it came in."""
    rows = index.holders
    name = f"{each.id}.json"
    for row in (
        (rows["state"] != "") & ((rows["name"] == name) | (rows["was"] == each.id))
    ).nonzero()[0]:
        there = read_holder(folder / index.name(int(row)))
        if there.recipe != each.recipe:
            continue
        one, other = _plain(there), _plain(each)
        fewer = min(len(one), len(other))
        if one[:fewer] == other[:fewer]:
            yield there


def _plain(kept: KeptHolder) -> list[tuple[Change, int, int]]:
    """A history without the numbers of its drawer: what a change undoes or redoes by its place."""
    at = {each.number: place for place, each in enumerate(kept.history, 1)}
    return [
        (replace(each, number=1, undoes=each.undoes and 1, redoes=each.redoes and 1),
         at.get(each.undoes or 0, 0), at.get(each.redoes or 0, 0))
        for each in kept.history
    ]  # fmt: skip


def _after(last: int, change: Change) -> Change:
    """A change numbered after the last that is there."""
    return replace(
        change,
        number=change.number + last,
        undoes=change.undoes and change.undoes + last,
        redoes=change.redoes and change.redoes + last,
    )


def _later(there: KeptHolder, each: KeptHolder, last: int) -> KeptHolder:
    """The holder that is there, with what happened to it later in the drawer it comes from."""
    known = {b.number: a.number for a, b in zip(there.history, each.history, strict=False)}
    more = []
    for change in each.history[len(there.history) :]:
        known[change.number] = change.number + last
        more.append(
            replace(
                change,
                number=change.number + last,
                undoes=change.undoes and known[change.undoes],
                redoes=change.redoes and known[change.redoes],
            )
        )
    return replace(there, history=(*there.history, *more)) if more else there


def _told_of_known(found: KeptHolder, later: KeptHolder, each: KeptHolder) -> str:
    called = each.id if found.id == each.id else f"{each.id}, here {found.id},"
    more = len(later.history) - len(found.history)
    if more:
        return f"{called} is there already; {more} later changes are taken."
    return f"{called} is there already."
