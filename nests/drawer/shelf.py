"""The folder of documents: what lies in it, reading one, putting one in so that it stays."""

from __future__ import annotations

import os
import re
from contextlib import suppress
from pathlib import Path

from nests.documents.files import canonical, sync, write_file
from nests.holder.recipe import HolderKind
from nests.kinds import document, read
from nests.kinds.kept import LETTERS, KeptHolder, make_id, read_id
from nests.units import BadInput

_HALF_WRITTEN = re.compile(r"^\.(?:.+\.json|index\.npz)\.[0-9]+$")


def require_drawer(folder: Path) -> None:
    """Raise `BadInput` unless the folder is there."""
    if not folder.is_dir():
        raise BadInput(f"there is no drawer at {folder}; 'nests file' makes one.")


def stamps(folder: Path) -> dict[str, tuple[int, int]]:
    """Names of the documents with (time of change in ns, bytes), in no order."""
    require_drawer(folder)
    out: dict[str, tuple[int, int]] = {}
    with os.scandir(folder) as entries:
        for each in entries:
            if each.name.endswith(".json") and not each.name.startswith("."):
                try:
                    about = each.stat()
                except FileNotFoundError:  # taken away this moment
                    continue
                out[each.name] = about.st_mtime_ns, about.st_size
    return out


def path_of(folder: Path, holder_id: str) -> Path:
    """Where the document of a holder lies. Raises `BadInput` if there is none of that id."""
    require_drawer(folder)
    wanted = read_id(holder_id)
    path = folder / f"{wanted}.json"
    if not path.is_file():
        raise BadInput(f"there is no holder {wanted} in {folder}.")
    return path


def read_holder(path: Path) -> KeptHolder:
    """A holder from its document, held against the schema. Raises `BadInput`, naming the file."""
    kept = read(path, KeptHolder)
    require_named(kept, path.name)
    return kept


def every_holder(folder: Path) -> tuple[tuple[KeptHolder, ...], tuple[str, ...]]:
    """All holders, each held against the schema, and a sentence for each unusable document."""
    holders, unusable = [], []
    for name in sorted(stamps(folder)):
        try:
            holders.append(read_holder(folder / name))
        except BadInput as error:
            unusable.append(str(error) if name in str(error) else f"{name}: {error}")
    return tuple(holders), tuple(unusable)


def require_named(kept: KeptHolder, name: str) -> None:
    """Raise `BadInput` unless a document's name is that of the holder in it."""
    if name != f"{kept.id}.json":
        raise BadInput(f"{name}: the holder in it is {kept.id}; a copy must not lie beside it.")


def written(kept: KeptHolder) -> bytes:
    """The document of a holder."""
    return canonical(document(kept))


def put(folder: Path, kept: KeptHolder) -> None:
    """Write a holder's document; on return it is on the disk. Call it with the drawer locked."""
    write_file(folder / f"{kept.id}.json", written(kept))
    with suppress(OSError):  # some systems cannot sync a folder
        sync(folder)


def next_id(names: set[str], kind: HolderKind) -> str:
    """The first id after all those of this kind."""
    letter = LETTERS[kind]
    taken = [int(m[1]) for n in names if (m := re.match(rf"{letter}([0-9]+)-.\.json$", n))]
    return make_id(kind, max(taken, default=0) + 1)


def sweep(folder: Path) -> None:
    """Remove what a dead writer left half-written. Call it with the drawer locked."""
    for each in folder.iterdir():
        if _HALF_WRITTEN.match(each.name):
            each.unlink(missing_ok=True)
