"""A whole drawer as one file, and back: the same drawer gives the same bytes."""

from __future__ import annotations

import io
import tempfile
import zipfile
from pathlib import Path

from nests.documents.files import LARGEST, write_file
from nests.documents.folders import write_folder
from nests.documents.reading import is_file, lies_at, require_free
from nests.drawer.changing import Tell, silent
from nests.drawer.joining import join
from nests.drawer.shelf import is_own, looked_in, read_document, read_holder
from nests.kinds.kept import KeptHolder
from nests.units import BadInput

MOST_HOLDERS = 100_000
MOST_BYTES = 500_000_000
"""Bytes all documents of a file may have together, unpacked."""
AN_ENTRY = 200
"""Bytes, at most, of the table of a ZIP for one holder, and as many again before its document."""

_LONG_AGO = (1980, 1, 1, 0, 0, 0)


def export(folder: Path, target: Path, *, tell: Tell = silent) -> int:
    """Write every holder of a drawer, the retired too, into one new file; returns how many.

    The file is a ZIP without compression, so that its bytes hang on nothing but the documents. A
    document that cannot be used is left out and told. Raises `BadInput` if there is nothing but
    such documents, and if something lies at `target`.
    """
    require_free(target)
    names, strays = looked_in(folder)
    left_out = [each.says for each in strays]
    out, count = io.BytesIO(), 0
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as packed:
        for name in sorted(names):
            try:
                read_holder(folder / name)
                content = (folder / name).read_bytes()
            except BadInput as error:
                left_out.append(str(error) if name in str(error) else f"{name}: {error}")
                continue
            about = zipfile.ZipInfo(name, _LONG_AGO)
            about.create_system, about.external_attr = 3, 0o644 << 16
            packed.writestr(about, content)
            count += 1
    if left_out and not count:
        raise BadInput(f"nothing in {folder} can be exported: {left_out[0]}")
    write_file(target, out.getvalue())
    for says in left_out:
        tell(f"left out: {says}")
    return count


def import_drawer(source: Path, folder: Path, *, tell: Tell = silent) -> int:
    """Take the holders of such a file, or of one document, into a drawer, which is made if there is
    none; returns how many were taken.

    Every document is held against the schema before anything is written. A new drawer appears all
    at once; into one that is there they are taken by `joining.join`, which tells what became of
    each. Raises `BadInput` for a file that holds anything else.
    """
    if not is_file(source):
        why = "is not there" if lies_at(source) is None else "is no file"
        raise BadInput(f"{source} {why}; an exported drawer is needed.")
    if source.suffix.casefold() == ".json":
        return join(folder, (read_document(source),), source.name, tell)
    try:
        _require_small(source)
        with zipfile.ZipFile(source) as packed:
            documents = _unpacked(packed, source)
    except OSError as error:
        raise BadInput(f"{source} cannot be read: {error.strerror or error}.") from None
    except (zipfile.BadZipFile, zipfile.LargeZipFile, NotImplementedError, EOFError) as error:
        raise BadInput(f"{source} is no exported drawer: {error}.") from None
    holders = _held(documents)
    if lies_at(folder) is None:
        write_folder(folder, documents, replace=False)
        return len(documents)
    return join(folder, holders, source.name, tell)


def _held(documents: list[tuple[str, bytes]]) -> list[KeptHolder]:
    """The holders of the documents, each held against the schema."""
    out = []
    with tempfile.TemporaryDirectory() as bench:
        for name, content in documents:
            path = Path(bench) / name
            path.write_bytes(content)
            out.append(read_holder(path))
            path.unlink()
    return out


def _require_small(source: Path) -> None:
    """Raise `BadInput` for a file whose table of contents alone is more than a drawer may have.

    zipfile reads the whole table at once. Where it lies is told by the record at the end of the
    file, and in large ones by another before it (APPNOTE.TXT 6.3.10, 4.3.14 to 4.3.16).
    """
    with source.open("rb") as file:
        size = file.seek(0, 2)
        file.seek(max(0, size - 65_557))  # as long as record and comment may be
        tail = file.read()
        at = tail.rfind(b"PK\x05\x06")
        table = int.from_bytes(tail[at + 12 : at + 16], "little") if at >= 0 else 0
        if at >= 20 and tail[at - 20 : at - 16] == b"PK\x06\x07":
            file.seek(min(size, int.from_bytes(tail[at - 12 : at - 4], "little")))
            table = int.from_bytes(file.read(56)[40:48], "little")
    most = MOST_HOLDERS * AN_ENTRY
    if table > most:
        raise BadInput(f"{source} has a table of {table} bytes; at most {most} are taken.")
    if size > MOST_BYTES + 2 * most:
        raise BadInput(f"{source} has {size} bytes; at most {MOST_BYTES + 2 * most} are taken.")


def _unpacked(packed: zipfile.ZipFile, source: Path) -> list[tuple[str, bytes]]:
    """The documents by name. Nothing is believed that the file says about their size."""
    entries = packed.infolist()
    if len(entries) > MOST_HOLDERS:
        raise BadInput(f"{source} has {len(entries)} entries; at most {MOST_HOLDERS} are taken.")
    seen: set[str] = set()
    out: list[tuple[str, bytes]] = []
    left = MOST_BYTES
    for each in entries:
        if not is_own(each.filename):
            raise BadInput(
                f"{source} holds {each.filename!r}; an exported drawer has holders only."
            )
        if each.filename in seen:
            raise BadInput(f"{source} holds {each.filename} twice.")
        if each.flag_bits & 1:
            raise BadInput(f"{source}: {each.filename} is encrypted.")
        seen.add(each.filename)
        with packed.open(each) as entry:
            content = entry.read(min(LARGEST, left) + 1)
        left -= len(content)
        if len(content) > LARGEST or left < 0:
            raise BadInput(f"{source}: {each.filename} unpacks to more than a drawer may hold.")
        out.append((each.filename, content))
    return out
