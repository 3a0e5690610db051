"""The search: what in the drawer fits a movement, best first, and where each stops.

First the index narrows thousands of seats by their sizes, see `look` and `sizes`; then the few best
are judged with the movement in them, each from its own document.
"""

from __future__ import annotations

import threading
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from multiprocessing import get_all_start_methods, get_context
from pathlib import Path

from nests.consistency import require_consistent
from nests.drawer.crossing import Crossing, cross
from nests.drawer.index import fresh_index
from nests.drawer.look import Match, Wanted, first_look, matches, shown, wanted_for
from nests.drawer.shelf import read_holder
from nests.finding import Grade
from nests.given.at_work import at_work
from nests.given.operation import Operation
from nests.given.sheet import Kind, Sheet
from nests.kinds.kept import State
from nests.places import Side
from nests.units import BadInput, Length

FURTHEST = 60
"""Seats judged at most while none does: half a minute."""
FEW = 4
"""Holders that are judged one after the other: a second process would not pay."""


@dataclass(frozen=True)
class Found:
    """What a search found: how many seats come into question, the best of them, those that were
    judged, a sentence for each document that cannot be used, and how many seats that their sizes do
    not rule out were not judged."""

    count: int
    matches: tuple[Match, ...]
    judged: tuple[Crossing, ...]
    unusable: tuple[str, ...]
    left: int = 0


def find(
    folder: Path,
    sheet: Sheet,
    operation: Operation | None = None,
    *,
    tolerance: Length | None = None,
    most: int = 10,
) -> Found:
    """What fits a movement: its `most` best seats, and what was found of each, best first.

    While none of them does without a `stop`, the next are judged, up to `FURTHEST`. Without an
    operation each holder is judged for the one it was made for. Raises `BadInput`.
    """
    if tolerance is not None:
        _require_length("tolerance", tolerance, tolerance >= 0.0)
    require_consistent(sheet)
    work = at_work(sheet, operation) if operation is not None else sheet
    wanted = wanted_for(work, operation)
    if tolerance is not None:
        wanted = replace(wanted, tolerance=tolerance)
    index = fresh_index(folder)
    look = first_look(index, wanted)
    best = shown(index, look, max(most, FURTHEST))
    told: list[Crossing | str] = []
    for start in range(0, len(best), most):
        some = best[start : start + most]
        if start and (some[0].ruled_out or any(map(_usable, told))):
            break
        told += _told([(folder / match.name, match.seat, sheet, operation) for match in some])
    judged = sorted((each for each in told if isinstance(each, Crossing)), key=lambda c: c.rank)
    unusable = [*index.unusable(), *(each for each in told if isinstance(each, str))]
    left = int((~look.ruled_out[len(told) :]).sum())
    return Found(len(look.rows), best[: len(told)], tuple(judged), tuple(unusable), left)


def _require_length(name: str, value: Length, possible: bool) -> None:
    if not possible:
        raise BadInput(f"{name} is {value:g} mm; a length above zero is needed.")


def _usable(told: Crossing | str) -> bool:
    return isinstance(told, Crossing) and told.grade is not Grade.STOP


_Task = tuple[Path, int, Sheet, Operation | None]


def _told(tasks: list[_Task]) -> list[Crossing | str]:
    """What is found of each task; two at a time where a copy of this process can safely be made."""
    if len(tasks) < FEW or "fork" not in get_all_start_methods() or threading.active_count() > 1:
        return [_judge(each) for each in tasks]
    first = _judge(tasks[0])  # alone: the copies find ready what it loaded and worked out
    with ProcessPoolExecutor(2, mp_context=get_context("fork")) as pool:
        return [first, *pool.map(_judge, tasks[1:])]


def _judge(task: _Task) -> Crossing | str:
    """A holder judged, without its solid, which cannot leave its process; or why it cannot be."""
    path, seat, sheet, operation = task
    try:
        return replace(cross(read_holder(path), sheet, operation, seat=seat), holder=None)
    except BadInput as error:
        return str(error) if path.stem in str(error) else f"{path.stem}: {error}"


def find_diameter(
    folder: Path,
    diameter: Length,
    tolerance: Length,
    *,
    carries: Kind = "movement",
    up: Side | None = None,
    most: int | None = None,
) -> Found:
    """The seats made for a diameter, as gauged or as drawn, nearest first; nothing is judged.

    Raises `BadInput`, also for sizes that nothing can have.
    """
    _require_length("diameter", diameter, diameter > 0.0)
    _require_length("tolerance", tolerance, tolerance >= 0.0)
    index = fresh_index(folder)
    across = dict.fromkeys(Side, diameter)
    wanted = Wanted(carries=carries, across=across, tolerance=tolerance, up=up, by_size=True)
    return Found(*matches(index, wanted, most), (), index.unusable())


def listed(folder: Path) -> tuple[tuple[tuple[str, State], ...], tuple[str, ...]]:
    """Every holder's id with its state, in the order of kinds and numbers; and a sentence for each
    document that cannot be used."""
    index = fresh_index(folder)
    rows = index.holders[index.holders["state"] != ""]
    ids = [str(name).removesuffix(".json") for name in rows["name"]]
    order = sorted(range(len(ids)), key=lambda i: (ids[i][0], len(ids[i]), ids[i]))
    return tuple((ids[k], str(rows["state"][k])) for k in order), index.unusable()  # type: ignore[misc]
