"""The search: what in the drawer fits a movement, best first, and where each stops.

First the index narrows thousands of seats by their sizes; then the few best are judged with the
movement in them, each from its own document.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from multiprocessing import get_context
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from nests.at_work import at_work, pressed
from nests.consistency import require_consistent
from nests.drawer.crossing import Crossing, cross
from nests.drawer.index import Index, fresh_index
from nests.drawer.shelf import read_holder
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

FEW = 4
"""Holders that are judged one after the other: a second process would not pay."""


@dataclass(frozen=True)
class Wanted:
    """What is searched for. `room` is the depth needed under the rim.

    `takes` is the ⌀ the seat should have been made for, with `tolerance`; where it is None the
    play of `across` in the bore decides. `jewels` are (n, 3): x, y in the holder frame, and how
    far the jewel's face lies below the rim face.
    """

    carries: Kind
    across: Length
    round: bool = True
    tolerance: Length | None = None
    up: Side | None = None
    room: Length = 0.0
    jewels: NDArray[np.float64] | None = None


@dataclass(frozen=True)
class Match:
    """One seat the first look found. `unsupported` counts pressed jewels with no tip beneath."""

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

    @property
    def id(self) -> str:
        """Id of the holder."""
        return self.name.removesuffix(".json")


@dataclass(frozen=True)
class Found:
    """What a search found: how many seats come into question, the best of them, those that were
    judged, and a sentence for each document that cannot be used."""

    count: int
    matches: tuple[Match, ...]
    judged: tuple[Crossing, ...]
    unusable: tuple[str, ...]


def wanted_for(sheet: Sheet, operation: Operation | None) -> Wanted:
    """What a movement needs, with the side up and the presses of an operation if one is given."""
    up = operation.side_up if operation is not None else None
    down = (up or Side.DIAL).other
    flat = Site(sheet, down.other, PrinterCard(), 0.01, Body())
    jewels = [
        (at.x, at.y, jewel.height)
        for name in (pressed(sheet, operation) if operation is not None else ())
        if (jewel := sheet.arbor(name).jewel(down)) is not None
        for at in (flat.frame.place(sheet.arbor(name).at),)
    ]
    return Wanted(
        carries=sheet.kind,
        across=flat.across + 2 * sheet.edge(down)[0],
        round=isinstance(sheet.outline, Round),
        up=up,
        room=sheet.height(down) if up is not None else 0.0,
        jewels=np.array(jewels, dtype=np.float64).reshape(-1, 3),
    )


def matches(index: Index, wanted: Wanted, most: int | None = None) -> tuple[int, tuple[Match, ...]]:
    """How many seats of an index come into question, and the best of them (or all), best first."""
    seats, states = index.seats, index.holders["state"][index.seats["holder"]]
    play = seats["bore"] - wanted.across
    good = (seats["carries"] == wanted.carries) & (seats["round"] == wanted.round)
    good &= states != "retired"
    if wanted.up is not None:
        good &= seats["up"] == wanted.up.value
    if wanted.tolerance is None:
        good &= (play >= TIGHTEST) & (play <= LOOSEST)
    else:
        good &= np.abs(seats["takes"] - wanted.across) <= wanted.tolerance + 1e-9
    rows = np.flatnonzero(good)
    unsupported = _unsupported(index, rows, wanted.jewels)
    lacking = np.maximum(wanted.room - seats["room"][rows], 0.0)
    order = np.lexsort(
        (
            index.holders["name"][seats["holder"][rows]],
            np.abs(play[rows] - 0.1).round(3),
            states[rows] == "worn",
            unsupported,
            (lacking > 0.0) | (play[rows] < 0.0),
        )
    )
    return (
        len(rows),
        tuple(
            Match(
                name=index.name(seats["holder"][row]),
                seat=int(seats["number"][row]),
                state=str(states[row]),  # type: ignore[arg-type]
                up=Side(str(seats["up"][row])),
                in_foot=bool(seats["foot"][row]),
                bore=float(seats["bore"][row]),
                takes=float(seats["takes"][row]),
                play=float(play[row]),
                lacking=float(lacking[k]),
                unsupported=int(unsupported[k]),
            )
            for k in order[:most]
            for row in (rows[k],)
        ),
    )


def _unsupported(
    index: Index, rows: NDArray[np.int64], jewels: NDArray[np.float64] | None
) -> NDArray[np.int64]:
    """For every seat in `rows` how many of the jewels have no tip beneath."""
    if jewels is None or not len(jewels):
        return np.zeros(len(rows), dtype=np.int64)
    among = np.zeros(len(index.seats), dtype=bool)
    among[rows] = True
    tips = index.tips[among[index.tips["seat"]]]
    out = np.zeros((len(index.seats), len(jewels)), dtype=bool)
    for column, (x, y, below) in enumerate(jewels):
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

    Without an operation each holder is judged for the one it was made for. Raises `BadInput`.
    """
    require_consistent(sheet)
    work = at_work(sheet, operation) if operation is not None else sheet
    wanted = wanted_for(work, operation)
    if tolerance is not None:
        wanted = replace(wanted, tolerance=tolerance)
    index = fresh_index(folder)
    count, best = matches(index, wanted, most)
    told = _told([(folder / match.name, match.seat, sheet, operation) for match in best])
    judged = sorted((each for each in told if isinstance(each, Crossing)), key=lambda c: c.rank)
    unusable = [*index.unusable(), *(each for each in told if isinstance(each, str))]
    return Found(count, best, tuple(judged), tuple(unusable))


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
    wanted = Wanted(carries=carries, across=diameter, tolerance=tolerance, up=up)
    return Found(*matches(index, wanted, most), (), index.unusable())


def listed(folder: Path) -> Iterator[tuple[str, State]]:
    """Every holder's id with its state, in the order of kinds and numbers."""
    rows = fresh_index(folder).holders
    rows = rows[rows["state"] != ""]
    ids = [str(name).removesuffix(".json") for name in rows["name"]]
    for key in sorted(range(len(ids)), key=lambda i: (ids[i][0], len(ids[i]), ids[i])):
        yield ids[key], str(rows["state"][key])  # type: ignore[misc]
