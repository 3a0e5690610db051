"""The first look: which seats of a drawer come into question, from the index alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nests.drawer.index import Index
from nests.drawer.sizes import Needs, needs, ruled_out
from nests.given.at_work import pressed
from nests.given.operation import Operation
from nests.given.sheet import Kind, Sheet
from nests.given.zones import Round
from nests.kinds.kept import State
from nests.parts.body import bare_site
from nests.places import Side
from nests.units import Length

TIGHTEST: Length = -0.1
"""mm of play on the ⌀; a seat this much too small may still prove wider when gauged."""
LOOSEST: Length = 1.0
"""mm of play on the ⌀ beyond which nothing is centred."""
UNDER: Length = 0.3
"""mm a tip may be beside an arbor, to count as under it in the first look."""
NEAR_TIP: Length = 0.1
"""mm a tip may be short of a jewel or proud of it, to count in the first look."""


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


def wanted_for(sheet: Sheet, operation: Operation | None) -> Wanted:
    """What a movement needs, with the side up and the presses of an operation if one is given."""
    sites = {up: bare_site(sheet, up, 0.01) for up in Side}
    across = {up: s.across + 2 * sheet.edge(up.other)[0] for up, s in sites.items()}
    is_round = isinstance(sheet.outline, Round)
    if operation is None:
        return Wanted(carries=sheet.kind, across=across, round=is_round)
    up, under = operation.side_up, tuple(pressed(sheet, operation))
    asked = needs(sheet, operation, sites[up], under)
    return Wanted(carries=sheet.kind, across=across, round=is_round, up=up, needs=asked)


@dataclass(frozen=True)
class Look:
    """The seats that come into question, best first: rows of the index with what is known."""

    rows: NDArray[np.int64]
    play: NDArray[np.float64]
    lacking: NDArray[np.float64]
    unsupported: NDArray[np.int64]
    ruled_out: NDArray[np.bool_]


def first_look(index: Index, wanted: Wanted) -> Look:
    """The seats of an index that come into question."""
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
    return Look(at, play[at], lacking[order], unsupported[order], out[order])


def matches(index: Index, wanted: Wanted, most: int | None = None) -> tuple[int, tuple[Match, ...]]:
    """How many seats of an index come into question, and the best of them (or all), best first."""
    look = first_look(index, wanted)
    return len(look.rows), shown(index, look, most)


def shown(index: Index, look: Look, most: int | None) -> tuple[Match, ...]:
    """The best seats of a first look, or all."""
    seats = index.seats
    return tuple(
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
    )


def may_fit(index: Index, wanted: Wanted) -> dict[str, tuple[int, ...]]:
    """The numbers of the seats that their sizes do not rule out, by the name of the document; the
    best first, and so are the names."""
    look, out = first_look(index, wanted), dict[str, list[int]]()
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
        under &= np.abs(tips["below"] - below) <= NEAR_TIP
        out[tips["seat"][under], column] = True
    return np.asarray((~out[rows]).sum(axis=1), dtype=np.int64)
