"""The gallery: the packs of an invented workshop, built by one command."""

from __future__ import annotations

import os
from collections.abc import Generator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from nests.documents.files import canonical, data_folder, reason, write_file
from nests.documents.folders import LIST, listed, require_room, unchanged
from nests.finding import Grade
from nests.orders import pack
from nests.orders.order import Order, order
from nests.units import BadInput
from nests.workers import each_done


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


PICTURES = {"picture.png": "", "exploded.png": "-exploded"}
"""Pictures of a pack that stand beside the packs, too, and how their names end."""


def make_piece(piece: Piece, target: Path, papers: bool = True) -> tuple[str, Grade]:
    """Build one pack into `target`/packs and its pictures into `target`/pictures."""
    made = ordered(piece)
    built = pack.build(made.recipe, notes=made.notes, papers=papers, choice=made.choice)
    built.write(target / "packs" / piece.slug(), replace=True)
    if papers:
        for shown, end in PICTURES.items():
            path = target / "pictures" / f"{piece.slug()}{end}.png"
            write_file(path, built.files[shown])
    return piece.slug(), built.grade


def make_all(
    target: Path, *, papers: bool = True, workers: int | None = None
) -> Generator[tuple[str, Grade], None, None]:
    """Build every pack, yielding each piece's name and grade in order as it is done.

    Close it when it is left early. Raises `BadInput`, before anything is built if something stands
    there that was not written here, or was changed since.
    """
    try:
        (target / "packs").mkdir(parents=True, exist_ok=True)
        (target / "pictures").mkdir(parents=True, exist_ok=True)
        known = _require_ours(target)
    except OSError as error:
        raise BadInput(f"{target} cannot be written: {reason(error)}.") from None
    count = workers or min(4, os.cpu_count() or 1)
    yield from each_done(make_piece, [(piece, target, papers) for piece in PIECES], count)
    if papers:
        folder = target / "pictures"
        fresh = {name: (folder / name).read_bytes() for name in _pictures()}
        digests = {**known, **{name: sha256(each).hexdigest() for name, each in fresh.items()}}
        write_file(folder / LIST, canonical({"sha256": dict(sorted(digests.items()))}))


def _pictures() -> dict[str, tuple[str, str]]:
    """Every picture beside the packs, with its pack and its name there."""
    return {
        f"{piece.slug()}{end}.png": (piece.slug(), shown)
        for piece in PIECES
        for shown, end in PICTURES.items()
    }


def _require_ours(target: Path) -> dict[str, str]:
    """What the list of pictures says. Raises `BadInput` for a pack or picture that is not as it was
    written: a picture is known by that list, or by that of its pack if a run was ended early."""
    for piece in PIECES:
        require_room(target / "packs" / piece.slug(), replace=True)
    folder = target / "pictures"
    known = listed(folder) if (folder / LIST).is_file() else {}
    for name, (of, shown) in _pictures().items():
        path, packed = folder / name, target / "packs" / of
        if not os.path.lexists(path):
            continue
        digests = {known.get(name), listed(packed).get(shown) if packed.is_dir() else None}
        if not any(each and unchanged(path, each) for each in digests):
            raise BadInput(
                f"{path} was not written with the gallery, or was changed since; nothing is "
                "replaced: move it away or choose another folder."
            )
    return known
