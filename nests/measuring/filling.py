"""A table read into the files of a folder: a record for each sheet, and the sheet, once whole."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from nests.documents.files import canonical
from nests.kinds import document
from nests.measuring.table import LARGEST, WrongTable, read
from nests.measuring.talk import whole
from nests.orders.pack import slug
from nests.units import BadInput


@dataclass(frozen=True)
class Filled:
    """Files by name, and a sentence for each sheet."""

    files: tuple[tuple[str, bytes], ...]
    says: tuple[str, ...]


def read_table(path: Path, *, date: str = "") -> Filled:
    """What comes of a table. Raises `WrongTable` with every cell that cannot be used, `BadInput`
    for a file that cannot be read."""
    try:
        size = path.stat().st_size
        content = path.read_bytes() if size <= LARGEST else b""
    except OSError as error:
        raise BadInput(f"{path} cannot be read: {error.strerror or error}.") from None
    if size > LARGEST:
        raise WrongTable([f"the table has {size} bytes; {LARGEST} are allowed."])
    files: dict[str, bytes] = {}
    says: list[str] = []
    for name, record in read(content, date=date).items():
        stem = _free(slug(name), files)
        files[f"{stem}.measured.json"] = canonical(document(record))
        try:
            made = whole(record)
        except BadInput as bad:
            says.append(f"{name}: {bad} Its answers are in {stem}.measured.json.")
            continue
        files[f"{stem}.json"] = canonical(document(made.sheet))
        taken = f" Taken by default: {'; '.join(made.defaults)}." if made.defaults else ""
        says.append(f"{name}: the sheet is {stem}.json.{taken}")
    return Filled(tuple(sorted(files.items())), tuple(says))


def _free(stem: str, files: dict[str, bytes]) -> str:
    """A name of a file that is not taken; names that a file cannot tell apart get a number."""
    names = [stem, *(f"{stem}-{k}" for k in range(2, len(files) + 3))]
    return next(each for each in names if f"{each}.measured.json" not in files)
