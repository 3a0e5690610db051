"""The folder of documents: what lies in it, reading one, putting one in so that it stays.

One reader for all: whoever reads a holder reads it here, against the schema. What cannot be used is
named and left out, and never keeps anybody from the others.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from nests.documents.files import FRESH, canonical, sync, write_file
from nests.documents.reading import is_file, is_folder, lies_at
from nests.holder.recipe import HolderKind
from nests.kinds import document, read
from nests.kinds.kept import LETTERS, KeptHolder, make_id, read_id
from nests.units import BadInput

Stamp = tuple[int, int, int, int]
"""Time of change and of the last change of anything about the file, in ns; bytes; number of the
file in its file system. The second cannot be set by hand: who changes a document and sets its time
back, or puts another of the same size in its place, is noticed (not on Windows, where it is the
time of creation)."""
NOTHING_KNOWN: Stamp = (-1, -1, -1, -1)
MOST_CHANGES = 100_000_000
"""Highest number of a change; a document with a higher one is spoilt, and would leave none for the
next change of the drawer."""
HIGHEST = 9_999_999
"""Number in an id."""
HIGHEST_INODE = 2**63 - 1
"""What a column of the index holds; some file systems number higher, and are cut to it."""

_HALF_WRITTEN = re.compile(rf"^\.(?:{FRESH}|(?:.+\.json|index\.npz)\.[0-9]+)$")
_OWN = re.compile(r"[A-Z][1-9][0-9]{0,6}-[0-9A-Z]\.json")
_NUMBERED = re.compile(r"([A-Z])([1-9][0-9]{0,6})-([0-9A-Z])(?![0-9A-Z])")


@dataclass(frozen=True)
class Stray:
    """A file beside the documents that is none of them, such as the second of one holder that a
    folder kept on two machines is left with. `same` says that it holds not a byte more."""

    name: str
    says: str
    same: bool = False


def require_drawer(folder: Path) -> None:
    """Raise `BadInput` unless the folder is there and can be looked into."""
    about = lies_at(folder)
    if about is None:
        raise BadInput(f"there is no drawer at {folder}; 'nests file' makes one.")
    if not stat.S_ISDIR(about.st_mode):
        raise BadInput(f"{folder} is no folder; a drawer is one.")
    if not os.access(folder, os.R_OK | os.X_OK):
        raise BadInput(f"{folder} cannot be looked into: Permission denied.")


def begin(folder: Path) -> bool:
    """Make a drawer where there is none; returns whether one was made. Raises `BadInput`."""
    if is_folder(folder):
        return False
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(f"{folder} cannot be a drawer: {error.strerror or error}.") from None
    return True


def stamps(folder: Path) -> dict[str, Stamp]:
    """Names of the documents, each with its stamp, in no order."""
    return _looked_in(folder)[0]


def is_own(name: str) -> bool:
    """Whether a file's name is that of a holder's document."""
    return _OWN.fullmatch(name) is not None


def looked_in(folder: Path) -> tuple[dict[str, Stamp], tuple[Stray, ...]]:
    """The documents by name with their stamps, and what else lies there and looks like one."""
    found, others = _looked_in(folder)
    return found, tuple(s for n in sorted(others) if (s := _stray(folder / n)) is not None)


def _looked_in(folder: Path) -> tuple[dict[str, Stamp], list[str]]:
    require_drawer(folder)
    out: dict[str, Stamp] = {}
    others: list[str] = []
    try:
        with os.scandir(folder) as entries:
            for each in entries:
                if is_own(each.name):
                    if (stamp := _stamp(each)) is not None:
                        out[each.name] = stamp
                elif ".json" in each.name.casefold() and not each.name.startswith("."):
                    others.append(each.name)
    except OSError as error:
        raise BadInput(f"{folder} cannot be looked into: {error.strerror or error}.") from None
    return out, others


def _stamp(entry: os.DirEntry[str]) -> Stamp | None:
    """The stamp of an entry; None where it was taken away this moment."""
    try:
        about = entry.stat()
    except OSError:  # gone, or a link to nowhere or in a circle: reading it says which
        return NOTHING_KNOWN if os.path.lexists(entry.path) else None
    return about.st_mtime_ns, about.st_ctime_ns, about.st_size, about.st_ino & HIGHEST_INODE


def _stray(path: Path) -> Stray | None:
    """What a file of another name is; None for one that is nobody's document."""
    try:
        kept = read_document(path)
    except BadInput as error:
        if path.suffix.casefold() != ".json":
            return None  # some file of the workshop
        return Stray(path.name, _named(path.name, error))
    own = path.with_name(f"{kept.id}.json")
    try:
        theirs = read_document(own)
    except BadInput:
        there = f"{own.name} cannot be used" if os.path.lexists(own) else f"{own.name} is not there"
        return Stray(path.name, f"{path.name}: the holder in it is {kept.id}, and {there}; "
                     f"if it is the right one, name it {own.name}.")  # fmt: skip
    first = f"{path.name} is a second document of {kept.id}"
    if theirs == kept:
        return Stray(path.name, f"{first}, the same as {own.name}, and can go.", same=True)
    if theirs.recipe == kept.recipe:
        differs = f"{_told(kept)} in it, and {_told(theirs)} in {own.name}"
    else:
        differs = f"of another holder ({kept.recipe.name}) than {own.name}"
    return Stray(path.name, f"{first}, {differs}; {own.name} counts, and the other is left "
                 "out; 'nests drawer import' takes it in under an id of its own.")  # fmt: skip


def _told(kept: KeptHolder) -> str:
    """How a holder stands, by its last change."""
    now = kept.now
    return f"{now.state} after {len(kept.history)} changes{f' to {now.date}' if now.date else ''}"


def path_of(folder: Path, holder_id: str) -> Path:
    """Where the document of a holder lies. Raises `BadInput` if there is none of that id."""
    require_drawer(folder)
    wanted = read_id(holder_id)
    path = folder / f"{wanted}.json"
    if not os.path.lexists(path):
        raise BadInput(f"there is no holder {wanted} in {folder}.")
    return path


def read_holder(path: Path) -> KeptHolder:
    """A holder from its document, held against the schema. Raises `BadInput`, naming the file."""
    kept = read_document(path)
    if path.name != f"{kept.id}.json":
        raise BadInput(
            f"{path.name}: the holder in it is {kept.id}; a copy must not lie beside it."
        )
    return kept


def read_document(path: Path) -> KeptHolder:
    """A holder from a document of whatever name. Raises `BadInput`, naming the file."""
    if not is_file(path):
        gone = lies_at(path) is None
        raise BadInput(f"{path.name} {'leads nowhere' if gone else 'is no file'}; "
                       "a holder's document is needed.")  # fmt: skip
    kept = read(path, KeptHolder)
    if kept.now.number > MOST_CHANGES:
        raise BadInput(f"{path.name}: number of its last change is {kept.now.number}; allowed is "
                       f"1 to {MOST_CHANGES}.")  # fmt: skip
    return kept


def every_holder(folder: Path) -> tuple[tuple[KeptHolder, ...], tuple[str, ...]]:
    """All holders, each held against the schema, and a sentence for each unusable document."""
    holders: list[KeptHolder] = []
    names, strays = looked_in(folder)
    unusable = [each.says for each in strays]
    for name in sorted(names):
        try:
            holders.append(read_holder(folder / name))
        except BadInput as error:
            unusable.append(_named(name, error))
    return tuple(holders), tuple(sorted(unusable))


def _named(name: str, error: BadInput) -> str:
    """What is wrong with a document, with its name."""
    return str(error) if name in str(error) else f"{name}: {error}"


def written(kept: KeptHolder) -> bytes:
    """The document of a holder."""
    return canonical(document(kept))


def put(folder: Path, kept: KeptHolder) -> None:
    """Write a holder's document; on return it is on the disk. Call it with the drawer locked.

    Raises `BadInput`, also for one that could not be read again.
    """
    if kept.now.number > MOST_CHANGES:
        raise BadInput(f"{folder} has a document with change {MOST_CHANGES}, the highest there is; "
                       "nothing can be numbered after it.")  # fmt: skip
    path = folder / f"{kept.id}.json"
    if os.path.lexists(path) and not is_file(path):
        raise BadInput(f"{path} is no file; {kept.id} cannot be written there.")
    write_file(path, written(kept))
    with suppress(OSError):  # some systems cannot sync a folder
        sync(folder)


def next_id(names: Iterable[str], kind: HolderKind) -> str:
    """The first id after all those of this kind, of whatever files bear one in their names."""
    letter = LETTERS[kind]
    taken = {0}
    for name in names:
        match = _NUMBERED.match(name.upper())
        if match is not None and match[1] == letter and make_id(kind, int(match[2])) == match[0]:
            taken.add(int(match[2]))
    after = max(taken) + 1
    if after > HIGHEST:  # somebody's slip of the pen: the lowest that nobody has
        after = next(n for n in range(1, HIGHEST + 1) if n not in taken)
    return make_id(kind, after)


def names_in(folder: Path) -> set[str]:
    """Names of all that is a document, or looks like one."""
    found, others = _looked_in(folder)
    return {*found, *others}


def sweep(folder: Path) -> None:
    """Remove what a dead writer left half-written. Call it with the drawer locked."""
    for each in folder.iterdir():
        if _HALF_WRITTEN.match(each.name) and each.is_file() and not each.is_symlink():
            each.unlink(missing_ok=True)
