"""What was drawn of a drawer, by the hashes of the files: only such a file may be drawn over.

The hashes lie in the drawer, in `.labels.json`. Who changes a file, or puts another in its place,
keeps it: its hash is not there.
"""

from __future__ import annotations

from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from nests.documents.files import canonical, read_json, write_file
from nests.documents.reading import is_file, lies_at, read_bounded
from nests.units import BadInput

NAME = ".labels.json"
LARGEST = 100_000_000
"""Bytes of a file that may be one of ours; ten thousand labels take some 20 MB."""
REMEMBERED = 200
"""Hashes that are kept, the latest."""


def require_own(folder: Path, target: Path) -> None:
    """Raise `BadInput` if something lies at `target` that was not drawn of this drawer as it is."""
    if lies_at(target) is None and not target.is_symlink():
        return
    if not is_file(target) or _hash(read_bounded(target, LARGEST)) not in _known(folder):
        raise BadInput(
            f"{target} exists already, and is not as labels of this drawer were written; choose "
            "another name."
        )


def write_own(folder: Path, target: Path, content: bytes) -> None:
    """Write what was drawn, so that it is known again. Raises `BadInput`."""
    require_own(folder, target)
    with suppress(BadInput):  # a drawer that cannot be written to does without
        known = [*_known(folder), _hash(content)][-REMEMBERED:]
        write_file(folder / NAME, canonical({"written": known}))
    write_file(target, content)


def _known(folder: Path) -> list[str]:
    try:
        known = read_json(folder / NAME).get("written") if is_file(folder / NAME) else None
    except BadInput:
        return []
    return [each for each in known if isinstance(each, str)] if isinstance(known, list) else []


def _hash(content: bytes) -> str:
    return sha256(content).hexdigest()
