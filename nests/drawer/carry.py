"""A whole drawer as one file, and back: the same drawer gives the same bytes."""

from __future__ import annotations

import re
import tempfile
import zipfile
from pathlib import Path

from nests.documents.files import LARGEST, write_file
from nests.documents.folders import write_folder
from nests.drawer.shelf import read_holder, stamps
from nests.units import BadInput

MOST_HOLDERS = 100_000
MOST_BYTES = 500_000_000
"""Bytes all documents of a file may have together, unpacked."""

_NAME = re.compile(r"[A-Z][1-9][0-9]{0,6}-[0-9A-Z]\.json")
_LONG_AGO = (1980, 1, 1, 0, 0, 0)


def export(folder: Path, target: Path) -> int:
    """Write every holder of a drawer, the retired too, into one new file; returns how many.

    The file is a ZIP without compression, so that its bytes hang on nothing but the documents.
    Raises `BadInput` if a document cannot be used: a part of a drawer is not a drawer.
    """
    import io

    if target.exists():
        raise BadInput(f"{target} exists already; choose another name.")
    names = sorted(stamps(folder))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as packed:
        for name in names:
            read_holder(folder / name)
            about = zipfile.ZipInfo(name, _LONG_AGO)
            about.create_system, about.external_attr = 3, 0o644 << 16
            packed.writestr(about, (folder / name).read_bytes())
    write_file(target, out.getvalue())
    return len(names)


def import_drawer(source: Path, folder: Path) -> int:
    """Make a new drawer from such a file; returns how many holders are in it.

    Every document is held against the schema before the folder appears, all at once. Raises
    `BadInput` for a file that holds anything else, and for a folder that is there already.
    """
    if folder.exists():
        raise BadInput(f"{folder} exists already; a drawer is imported into a new folder.")
    try:
        with zipfile.ZipFile(source) as packed:
            documents = _unpacked(packed, source)
    except OSError as error:
        raise BadInput(f"{source} cannot be read: {error.strerror or error}.") from None
    except (zipfile.BadZipFile, zipfile.LargeZipFile, NotImplementedError, EOFError) as error:
        raise BadInput(f"{source} is no exported drawer: {error}.") from None
    with tempfile.TemporaryDirectory() as bench:
        for name, content in documents:
            path = Path(bench) / name
            path.write_bytes(content)
            read_holder(path)
            path.unlink()
    write_folder(folder, documents, replace=False)
    return len(documents)


def _unpacked(packed: zipfile.ZipFile, source: Path) -> list[tuple[str, bytes]]:
    """The documents by name. Nothing is believed that the file says about their size."""
    entries = packed.infolist()
    if len(entries) > MOST_HOLDERS:
        raise BadInput(f"{source} has {len(entries)} entries; at most {MOST_HOLDERS} are taken.")
    seen: set[str] = set()
    out: list[tuple[str, bytes]] = []
    left = MOST_BYTES
    for each in entries:
        if not _NAME.fullmatch(each.filename):
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
