"""The search: what in the drawer fits a movement, best first, and where each stops.

First the index narrows thousands of seats by their sizes, see `sizes`; then the few best are judged
with the movement in them, each from its own document.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from multiprocessing import get_context
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from nests.consistency import require_consistent
from nests.drawer.crossing import Crossing, cross
from nests.drawer.index import Index, fresh_index
from nests.drawer.shelf import read_holder
from nests.drawer.sizes import Needs, needs, ruled_out
from nests.families._posts import pressed_arbors
from nests.finding import Grade
from nests.jobs import at_work
from nests.kept import State
from nests.operation import Operation
from nests.parts.base import Site
from nests.parts.body import Body
from nests.places import Side
from nests.printer_card import PrinterCard
from nests.sheet import Kind, Sheet
from nests.units import BadInput, Length
from nests.zones import Round

TIGHTEST: Length = -0.1
"""mm of play on the ⌀; a seat this much too small may still prove wider when gauged."""
LOOSEST: Length = 1.0
"""mm of play on the ⌀ beyond which nothing is centred."""
UNDER: Length = 0.3
"""mm a tip may be beside an arbor, to count as under it in the first look."""
LEVEL: Length = 0.1
"""mm a tip may be short of a jewel or proud of it, to count in the first look."""

FURTHEST = 60
"""Seats judged at most while none does: half a minute."""
FEW = 4
"""Holders that are judged one after the other: a second process would not pay."""


@dataclass(frozen=True)
class Wanted:
    """What is searched for, `across` the rim in holders made for either side up.

    `tolerance` is that of the ⌀ the seat was made for; where it is None the play of the rim in the
    bore decides. `needs` are what an operation needs; `by_size` says that no movement is known.
    """

    carries: Kind
    across: Mapping[Side, Length]
    round: bool = True
    tolerance: Length | None = None
    up: Side | None = None
    needs: Needs | None = None
    by_size: bool = False


@dataclass(frozen=True)
class Match:
    """One seat the first look found. `unsupported` counts pressed jewels with no tip beneath;
    `ruled_out` says that its sizes alone stop it."""

    name: str
    seat: int
    state: State
    up: Side
    in_foot: bool
    bore: Length
    takes: Length
    play: Length
    lacking: Length
    unsupported: int
    ruled_out: bool

    @property
    def id(self) -> str:
        """Id of the holder."""
        return self.name.removesuffix(".json")


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


def wanted_for(sheet: Sheet, operation: Operation | None) -> Wanted:
    """What a movement needs, with the side up and the presses of an operation if one is given."""
    sites = {up: Site(sheet, up, PrinterCard(), 0.01, Body()) for up in Side}
    across = {up: s.across + 2 * sheet.edge(up.other)[0] for up, s in sites.items()}
    is_round = isinstance(sheet.outline, Round)
    if operation is None:
        return Wanted(carries=sheet.kind, across=across, round=is_round)
    up, pressed = operation.side_up, tuple(pressed_arbors(sheet, operation))
    asked = needs(sheet, operation, sites[up], pressed)
    return Wanted(carries=sheet.kind, across=across, round=is_round, up=up, needs=asked)


@dataclass(frozen=True)
class _Look:
    """The seats that come into question, best first: rows of the index with what is known."""

    rows: NDArray[np.int64]
    play: NDArray[np.float64]
    lacking: NDArray[np.float64]
    unsupported: NDArray[np.int64]
    ruled_out: NDArray[np.bool_]


def _look(index: Index, wanted: Wanted) -> _Look:
    seats, states = index.seats, index.holders["state"][index.seats["holder"]]
    across = np.where(
        seats["up"] == Side.DIAL.value, wanted.across[Side.DIAL], wanted.across[Side.BRIDGE]
    )
    play = seats["bore"] - across
    good = (seats["carries"] == wanted.carries) & (states != "retired")
    if wanted.up is not None:
        good &= seats["up"] == wanted.up.value
    if wanted.by_size:
        good &= seats["round"] == wanted.round
    if wanted.tolerance is not None:
        good &= np.abs(seats["takes"] - across) <= wanted.tolerance + 1e-9
    else:
        alike = seats["round"] & wanted.round
        good &= ~alike | ((play >= TIGHTEST) & (play <= LOOSEST))
        good &= alike | (seats["widest"] - across >= TIGHTEST)
    rows = np.flatnonzero(good)
    out = np.zeros(len(rows), dtype=np.bool_)
    if not wanted.by_size:
        out = ruled_out(index, rows, across[rows], wanted.round, wanted.needs)
        kept = ~out | (seats["round"][rows] == wanted.round)
        rows, out = rows[kept], out[kept]  # of another shape only what may fit
    height, jewels = (0.0, None) if (n := wanted.needs) is None else (n.height, n.jewels)
    unsupported = _unsupported(index, rows, jewels)
    lacking = np.maximum(height - seats["room"][rows], 0.0)
    order = np.lexsort(
        (
            index.holders["name"][seats["holder"][rows]],
            np.abs(play[rows] - 0.1).round(3),
            states[rows] == "worn",
            unsupported,
            (lacking > 0.0) | (play[rows] < 0.0),
            out,
        )
    )
    at = rows[order]
    return _Look(at, play[at], lacking[order], unsupported[order], out[order])


def matches(index: Index, wanted: Wanted, most: int | None = None) -> tuple[int, tuple[Match, ...]]:
    """How many seats of an index come into question, and the best of them (or all), best first."""
    look, seats = _look(index, wanted), index.seats
    return (
        len(look.rows),
        tuple(
            Match(
                name=index.name(seats["holder"][row]),
                seat=int(seats["number"][row]),
                state=str(index.holders["state"][seats["holder"][row]]),  # type: ignore[arg-type]
                up=Side(str(seats["up"][row])),
                in_foot=bool(seats["foot"][row]),
                bore=float(seats["bore"][row]),
                takes=float(seats["takes"][row]),
                play=float(look.play[k]),
                lacking=float(look.lacking[k]),
                unsupported=int(look.unsupported[k]),
                ruled_out=bool(look.ruled_out[k]),
            )
            for k, row in enumerate(look.rows[:most])
        ),
    )


def may_fit(index: Index, wanted: Wanted) -> dict[str, tuple[int, ...]]:
    """The numbers of the seats that their sizes do not rule out, by the name of the document; the
    best first, and so are the names."""
    look, out = _look(index, wanted), dict[str, list[int]]()
    rows = look.rows[~look.ruled_out]
    names = index.holders["name"][index.seats["holder"][rows]].tolist()
    for name, seat in zip(names, index.seats["number"][rows].tolist(), strict=True):
        out.setdefault(name, []).append(seat)
    return {name: tuple(seats) for name, seats in out.items()}


def _unsupported(
    index: Index, rows: NDArray[np.int64], jewels: NDArray[np.float64] | None
) -> NDArray[np.int64]:
    """For every seat in `rows` how many of the jewels have no tip beneath."""
    if jewels is None or not len(jewels):
        return np.zeros(len(rows), dtype=np.int64)
    among = np.zeros(len(index.seats), dtype=bool)
    among[rows] = True
    tips = index.tips[among[index.tips["seat"]] & ~index.tips["pad"]]
    out = np.zeros((len(index.seats), len(jewels)), dtype=bool)
    for column, (x, y, below, _) in enumerate(jewels):
        under = np.hypot(tips["x"] - x, tips["y"] - y) <= UNDER
        under &= np.abs(tips["below"] - below) <= LEVEL
        out[tips["seat"][under], column] = True
    return np.asarray((~out[rows]).sum(axis=1), dtype=np.int64)


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
    require_consistent(sheet)
    work = at_work(sheet, operation) if operation is not None else sheet
    wanted = wanted_for(work, operation)
    if tolerance is not None:
        wanted = replace(wanted, tolerance=tolerance)
    index = fresh_index(folder)
    count, best = matches(index, wanted)
    told: list[Crossing | str] = []
    for start in range(0, len(best), most):
        some = best[start : start + most]
        if start and (start >= FURTHEST or some[0].ruled_out or any(map(_usable, told))):
            break
        told += _told([(folder / match.name, match.seat, sheet, operation) for match in some])
    judged = sorted((each for each in told if isinstance(each, Crossing)), key=lambda c: c.rank)
    unusable = [*index.unusable(), *(each for each in told if isinstance(each, str))]
    left = sum(not each.ruled_out for each in best[len(told) :])
    return Found(count, best[: len(told)], tuple(judged), tuple(unusable), left)


def _usable(told: Crossing | str) -> bool:
    return isinstance(told, Crossing) and told.grade is not Grade.STOP


_Task = tuple[Path, int, Sheet, Operation | None]


def _told(tasks: list[_Task]) -> list[Crossing | str]:
    """What is found of each task; two at a time where a copy of this process can safely be made."""
    if len(tasks) < FEW or not hasattr(os, "fork") or threading.active_count() > 1:
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
    """The seats made for a diameter, as gauged or as drawn, nearest first; nothing is judged."""
    index = fresh_index(folder)
    across = dict.fromkeys(Side, diameter)
    wanted = Wanted(carries=carries, across=across, tolerance=tolerance, up=up, by_size=True)
    return Found(*matches(index, wanted, most), (), index.unusable())


def listed(folder: Path) -> Iterator[tuple[str, State]]:
    """Every holder's id with its state, in the order of kinds and numbers."""
    rows = fresh_index(folder).holders
    rows = rows[rows["state"] != ""]
    ids = [str(name).removesuffix(".json") for name in rows["name"]]
    for key in sorted(range(len(ids)), key=lambda i: (ids[i][0], len(ids[i]), ids[i])):
        yield ids[key], str(rows["state"][key])  # type: ignore[misc]
