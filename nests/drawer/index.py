"""The index: a table of all seats of a drawer, so that a search need not read every document.

It is one file, `.index.npz`. A row holds as long as its document has the same stamp (see
`shelf.Stamp`); every other document is read again, by the one reader, against the schema, and so is
one that could not be used. Whatever is wrong with the file, it is made anew.
"""

from __future__ import annotations

import io
import os
import stat
import zipfile
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from math import inf
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nests.documents.reading import read_bounded
from nests.drawer.gauged import gauged
from nests.drawer.keys import keys
from nests.drawer.rules_reach import pusher_ways, stem_way
from nests.drawer.seats import seats, supports
from nests.drawer.shelf import Stamp, Stray, looked_in, read_holder
from nests.given.zones import Round
from nests.holder.recipe import CARRIES
from nests.kinds.kept import KeptHolder
from nests.units import BadInput

NAME = ".index.npz"
GRAIN = 50_000_000
"""ns; a document changed less than this before the index was written is read again, because a
second change within one tick of the file system's clock would not show."""

HOLDERS = np.dtype(
    [("name", "U16"), ("changed", "i8"), ("touched", "i8"), ("size", "i8"), ("inode", "i8"),
     ("last", "i8"), ("undoable", "i8"), ("deed", "i8"), ("undoing", "i8"), ("state", "U8"),
     ("sheet", "U16"), ("mark", "U16"), ("was", "U16")]
)  # fmt: skip
"""`sheet` and `mark`: keys of what the workpiece is called, and of what is engraved for it; `was`:
the id it had in the drawer it came from."""
SEATS = np.dtype(
    [("holder", "i4"), ("number", "i4"), ("carries", "U12"), ("up", "U6"), ("round", "?"),
     ("foot", "?"), ("bore", "f8"), ("takes", "f8"), ("room", "f8"), ("depth", "f8"),
     ("open", "?"), ("widest", "f8"), ("ledge", "?"), ("level", "f8"), ("opening", "f8"),
     ("tips", "i4"), ("pads", "?"), ("highest", "f8"),
     ("stem_hour", "f8"), ("stem_half", "f8"), ("stem_reach", "f8"), ("stem_floor", "f8")]
)  # fmt: skip
TIPS = np.dtype(
    [("seat", "i4"), ("x", "f8"), ("y", "f8"), ("below", "f8"), ("pad", "?"), ("screw", "?"),
     ("doubt", "f8")]
)  # fmt: skip
WAYS = np.dtype(
    [("seat", "i4"), ("hour", "f8"), ("radius", "f8"), ("aside", "f8"), ("before", "f8"),
     ("behind", "f8")]
)  # fmt: skip
FAULTS = np.dtype([("holder", "i4"), ("says", "U400")])
NO_SLOT = (0.0, -inf, 0.0, inf)
"""Hour, half width, reach and floor of a slot that takes no stem."""
TABLES = ("holders", "seats", "tips", "ways", "faults")
STAMP = ["changed", "touched", "size", "inode"]
LARGEST_INDEX = 200_000_000
"""Bytes; ten thousand holders take some 6 MB."""

Table = NDArray[np.void]


@dataclass(frozen=True)
class Index:
    """The tables: one row a document, a seat, the tip of a post or pad, a way to a pusher, and a
    document that cannot be used.

    Of a holder `last`, `undoable`, `deed` and `undoing` are the highest numbers of a change, of one
    that stands, of one that is no undoing or redoing, and of an undoing that was not taken back.
    `open` says that something on the list that concerns the seat was not gauged or tried. `widest`
    is the ⌀ of the circle of the same area as the bore, `level` where the rim lies above the bench,
    `highest` the height of the highest tip; `stem_...` and the columns of `ways` are those of
    `parts.answers.StemWay` and `rules_reach.PusherWay` (its `half` is `aside`). `below` is the
    depth of a tip under the level of its seat, `doubt` the uncertainty of its height as printed or
    gauged; x and y are in the holder frame. `strays` are files beside the documents that look like
    one; they are not kept, but looked at every time.
    """

    holders: Table
    seats: Table
    tips: Table
    ways: Table
    faults: Table
    strays: tuple[Stray, ...] = ()

    @property
    def last(self) -> int:
        """The highest number of a change in the drawer; 0 in an empty one."""
        return int(self.holders["last"].max(initial=0))

    @property
    def redoable(self) -> NDArray[np.int64]:
        """Rows of the holders with something to redo, the first to be redone first: what was
        undone after the last deed of the whole drawer, and stayed so."""
        undoing = self.holders["undoing"]
        rows = np.flatnonzero(undoing > self.holders["deed"].max(initial=0))
        return rows[np.argsort(-undoing[rows])]

    def name(self, row: int) -> str:
        """Name of a document."""
        return str(self.holders["name"][row])

    def unusable(self, *, copies: bool = True) -> tuple[str, ...]:
        """One sentence for every document that cannot be used; on request without those that are
        copies of one that can, byte for byte."""
        strays = (each.says for each in self.strays if copies or not each.same)
        return tuple(sorted((*(str(each["says"]) for each in self.faults), *strays)))


def fresh_index(folder: Path) -> Index:
    """The index of a drawer as it stands now; writes it where anything had changed.

    Raises `BadInput` where there is no drawer, or none that can be looked into.
    """
    (now, strays), (old, trust) = looked_in(folder), _load(folder / NAME)
    spoilt = set(old.faults["holder"].tolist())
    stamped = zip(old.holders["name"].tolist(), old.holders[STAMP].tolist(), strict=True)
    keep = np.array(
        [now.get(name) == stamp and max(stamp[:2]) < trust and row not in spoilt
         for row, (name, stamp) in enumerate(stamped)],
        dtype=bool,
    )  # fmt: skip
    known = set(old.holders["name"][keep].tolist())
    changed = sorted(set(now) - known)
    if not changed and bool(keep.all()):
        return replace(old, strays=strays)
    made = _merged(_kept(old, keep), [_rows(folder / name, now[name]) for name in changed])
    if any(not np.array_equal(a, b) for a, b in zip(_tables(made), _tables(old), strict=True)):
        _save(folder / NAME, made)
    return replace(made, strays=strays)


def _tables(index: Index) -> tuple[Table, ...]:
    return index.holders, index.seats, index.tips, index.ways, index.faults


def _rows(path: Path, stamp: Stamp) -> tuple[tuple[Any, ...], list[Any], str]:
    """The row of a document, its seats each with tips and ways, and what is wrong with it."""
    try:
        kept = read_holder(path)
        return _holder_row(kept, path.name, stamp), _seat_rows(kept), ""
    except BadInput as error:
        says = str(error) if path.name in str(error) else f"{path.name}: {error}"
        return (path.name, *stamp, 0, 0, 0, 0, "", "", "", ""), [], says


def _holder_row(kept: KeptHolder, name: str, stamp: Stamp) -> tuple[Any, ...]:
    last = (
        max((each.number for each in changes), default=0)
        for changes in (kept.standing, kept.deeds, kept.undoings)
    )
    called = keys(kept.recipe.workpiece)
    return name, *stamp, kept.now.number, *last, kept.now.state, *called, kept.was


def _seat_rows(kept: KeptHolder) -> list[Any]:
    """A row for every seat, with the rows of its tips and of its ways to pushers."""
    recipe, out = kept.recipe, []
    about = CARRIES[recipe.kind], recipe.side_up.value, isinstance(recipe.workpiece.outline, Round)
    tips, slot = supports(kept), stem_way(kept)
    way = None if slot is None else slot[1]
    stem = NO_SLOT if way is None else (way.hour, way.half, way.reach, way.floor)
    ways = [(w.hour, w.radius, w.half, w.before, w.behind) for w in pusher_ways(kept)]
    for number, seat in enumerate(seats(kept)):
        here = () if seat.in_foot else tips
        row = (number, *about, seat.in_foot, seat.bore, seat.takes, seat.level - seat.floor,
               seat.top - seat.level, _open(kept, number), seat.widest, seat.ledge is not None,
               seat.level, seat.opening, len(here), any(t.tip == "pad" for t in here),
               max((t.z for t in here), default=-inf),
               *(NO_SLOT if seat.in_foot else stem))  # fmt: skip
        under = [(t.at.x, t.at.y, seat.level - t.z, t.tip == "pad", t.tip == "screw",
                  t.doubt) for t in here]  # fmt: skip
        out.append((row, under, [] if seat.in_foot else ways))
    return out


def _open(kept: KeptHolder, seat: int) -> bool:
    """Whether something that concerns a seat is open; no list is without sizes and trials."""
    known = kept.now.readings
    return not (known.gauged and known.tried) or any(each.open for each in gauged(kept, seat))


def _kept(old: Index, keep: NDArray[np.bool_]) -> Index:
    """The rows of the documents that are kept, numbered anew."""
    if keep.all():
        return old
    renumbered = np.cumsum(keep) - 1

    def under(table: Table, key: str, kept: NDArray[np.bool_], new: NDArray[np.int64]) -> Table:
        out: Table = table[kept[table[key]]].copy()
        out[key] = new[out[key]]
        return out

    kept_seats = keep[old.seats["holder"]]
    return Index(
        old.holders[keep],
        under(old.seats, "holder", keep, renumbered),
        under(old.tips, "seat", kept_seats, np.cumsum(kept_seats) - 1),
        under(old.ways, "seat", kept_seats, np.cumsum(kept_seats) - 1),
        under(old.faults, "holder", keep, renumbered),
    )


def _merged(old: Index, fresh: Sequence[tuple[tuple[Any, ...], list[Any], str]]) -> Index:
    """The tables with the rows of freshly read documents behind them."""
    holders: list[tuple[Any, ...]] = []
    seat_rows: list[tuple[Any, ...]] = []
    tips: list[tuple[Any, ...]] = []
    ways: list[tuple[Any, ...]] = []
    faults: list[tuple[Any, ...]] = []
    for holder, own_seats, fault in fresh:
        number = len(old.holders) + len(holders)
        holders.append(holder)
        for row, under, reaching in own_seats:
            at = len(old.seats) + len(seat_rows)
            tips += [(at, *tip) for tip in under]
            ways += [(at, *way) for way in reaching]
            seat_rows.append((number, *row))
        if fault:
            faults.append((number, fault))
    return Index(
        _behind(old.holders, holders),
        _behind(old.seats, seat_rows),
        _behind(old.tips, tips),
        _behind(old.ways, ways),
        _behind(old.faults, faults),
    )


def _behind(table: Table, rows: Iterable[tuple[Any, ...]]) -> Table:
    return np.concatenate((table, np.array(list(rows), dtype=table.dtype)))


def _empty() -> Index:
    holders, seats, tips, ways, faults = (
        np.zeros(0, dtype=d) for d in (HOLDERS, SEATS, TIPS, WAYS, FAULTS)
    )
    return Index(holders, seats, tips, ways, faults)


_BROKEN = (BadInput, OSError, ValueError, KeyError, EOFError, MemoryError, NotImplementedError,
           RuntimeError, zipfile.BadZipFile)  # fmt: skip
"""What reading an index that is none may raise: of the system, of zipfile, of numpy."""


def _load(path: Path) -> tuple[Index, int]:
    """The index as written, and the time (ns) before which a document's stamp can be trusted."""
    try:
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            return _empty(), 0
        trust = about.st_mtime_ns - GRAIN
        content = io.BytesIO(read_bounded(path, LARGEST_INDEX))
        with zipfile.ZipFile(content) as packed:
            if any(each.compress_type != zipfile.ZIP_STORED for each in packed.infolist()):
                return _empty(), 0  # none of ours: it might unpack to anything
        with np.load(content, allow_pickle=False) as tables:
            found = [tables[name] for name in TABLES]
    except _BROKEN:
        return _empty(), 0
    made = Index(*found)
    return (made, trust) if _sound(made) else (_empty(), 0)


def _sound(index: Index) -> bool:
    """Whether tables from a file have the columns of today, and point into one another."""
    tables = _tables(index)
    dtypes = (HOLDERS, SEATS, TIPS, WAYS, FAULTS)
    if any(t.dtype != d or t.ndim != 1 for t, d in zip(tables, dtypes, strict=True)):
        return False
    owners = (
        (index.seats["holder"], len(index.holders)),
        (index.tips["seat"], len(index.seats)),
        (index.ways["seat"], len(index.seats)),
        (index.faults["holder"], len(index.holders)),
    )
    return all(not len(at) or (at.min() >= 0 and at.max() < many) for at, many in owners)


def _save(path: Path, index: Index) -> None:
    """Write the index at once; a drawer that cannot be written to does without."""
    content = io.BytesIO()
    np.savez(content, holders=index.holders, seats=index.seats, tips=index.tips, ways=index.ways,
             faults=index.faults)  # fmt: skip
    fresh = path.with_name(f"{NAME[:-4]}.npz.{os.getpid()}")
    try:
        fresh.write_bytes(content.getvalue())
        fresh.replace(path)
    except OSError:  # also where a writer swept the half-written file away
        with suppress(OSError):
            fresh.unlink(missing_ok=True)
