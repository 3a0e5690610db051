"""The gallery: the packs of an invented workshop, built by one command."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from nests.documents.files import data_folder, write_file
from nests.finding import Grade
from nests.orders import pack
from nests.orders.order import Order, order
from nests.units import BadInput


@dataclass(frozen=True)
class Piece:
    """One holder of the gallery."""

    family: str
    sheet: str
    options: Mapping[str, Any]
    operation: str | None = None

    def slug(self) -> str:
        """Name of its folder."""
        words = [self.sheet, self.family]
        named = [v for v in self.options.values() if isinstance(v, str) or not self.sheet]
        return pack.slug(" ".join(map(str, [*words, *named])))


def _piece(family: str, sheet: str, operation: str | None = None, **options: Any) -> Piece:
    return Piece(family, sheet, options, operation)


PIECES = (
    _piece("round", "", diameter=26.0, height=4.6),
    _piece("round", "", diameter=30.0, height=6.0, below=25.6),
    _piece("round", "inv-26-a", side_up="bridge"),
    _piece("round", "inv-30-c", side_up="dial"),
    _piece("round", "inv-26-a", side_up="bridge", hour_marks="every hour", vice_flats=True),
    _piece("round", "inv-30-c", side_up="bridge", lid=True, tweezers=True, weight=20.0),
    _piece("hand-setting", "inv-26-a", "hand-setting"),
    _piece("thin", "inv-26-a", side_up="dial"),
    _piece("inspection", "inv-26-a", hold="clip", side_up="dial"),
    _piece("inspection", "inv-26-a", hold="swing tab", side_up="dial"),
    _piece("inspection", "inv-26-a", hold="clip", side_up="bridge", upper_feet=True),
    _piece("cradle", "inv-26-a", sub_assembly="INV 26-A auto works", side_up="bridge"),
    _piece("cradle", "inv-26-a", sub_assembly="INV 26-A auto works", side_up="dial"),
    _piece("hand-setting", "inv-30-c", "hand-setting"),
    _piece("chronograph", "inv-30-c", "chronograph-hands", pushed_by="slot"),
    _piece("chronograph", "inv-30-c", "chronograph-hands", pushed_by="plunger"),
    _piece("chronograph", "inv-30-c", "chronograph-hands", pushed_by="spring lever", wall=12.0),
    _piece("thin", "inv-20-u", "hand-setting", side_up="dial"),
    _piece("thin", "inv-20-u", side_up="bridge"),
    _piece("inspection", "inv-20-u", side_up="dial"),
    _piece("hand-setting", "inv-21-q", "hand-setting"),
    _piece("shaped", "inv-17-t", "hand-setting"),
    _piece("shaped", "inv-17-t", side_up="bridge"),
    _piece("inspection", "inv-17-t", hold="clip", side_up="dial"),
    _piece("chronograph", "inv-27-p", "chronograph-hands", pushed_by="slot"),
    _piece("hand-setting", "inv-28-s", "hand-setting"),
    _piece("hand-setting", "inv-43-w", "hand-setting"),
    _piece("hand-setting", "inv-13-l", "hand-setting"),
    _piece("shaped", "inv-12-r", "hand-setting"),
    _piece("pressing", "inv-30-t", arbor="third wheel", side_up="bridge", force=25.0),
    _piece("cradle", "inv-tc-12", side_up="dial"),
    _piece("cradle", "inv-tc-12", side_up="bridge"),
    _piece("case", "inv-case-38", side_up="bridge"),
    _piece("case", "inv-case-38", side_up="dial"),
    _piece("cushion", "inv-case-38"),
    _piece("case", "inv-case-39", side_up="bridge"),
    _piece("case", "inv-case-36-c", side_up="dial"),
    _piece("case", "inv-case-41-l", side_up="dial"),
)


def ordered(piece: Piece) -> Order:
    """The order of a piece: chosen and judged, its files not yet made."""
    root = data_folder("gallery")
    sheet = root / "sheets" / f"{piece.sheet}.json" if piece.sheet else None
    return order(
        piece.family,
        piece.options,
        sheet=sheet,
        operation=piece.operation,
        printer=root / "printers" / "bench-printer.json",
    )


def make_piece(piece: Piece, target: Path, papers: bool = True) -> tuple[str, Grade]:
    """Build one pack into `target`/packs and its pictures into `target`/pictures."""
    made = ordered(piece)
    built = pack.build(made.recipe, notes=made.notes, papers=papers, choice=made.choice)
    built.write(target / "packs" / piece.slug(), replace=True)
    if papers:
        for shown, end in (("picture.png", ""), ("exploded.png", "-exploded")):
            path = target / "pictures" / f"{piece.slug()}{end}.png"
            write_file(path, built.files[shown])
    return piece.slug(), built.grade


def make_all(
    target: Path, *, papers: bool = True, workers: int | None = None
) -> Iterator[tuple[str, Grade]]:
    """Build every pack, yielding each piece's name and grade in order as it is done."""
    try:
        (target / "packs").mkdir(parents=True, exist_ok=True)
        (target / "pictures").mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(f"{target} cannot be written: {error.strerror or error}.") from None
    count = workers or min(4, os.cpu_count() or 1)
    with ProcessPoolExecutor(count, mp_context=get_context("spawn")) as pool:
        waiting = [pool.submit(make_piece, piece, target, papers) for piece in PIECES]
        for each in waiting:
            yield each.result()
