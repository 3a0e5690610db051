"""A record on the disk: whatever was answered is there before the next question is asked."""

from __future__ import annotations

from pathlib import Path

from nests.documents.files import canonical, write_file
from nests.kinds import document, read
from nests.kinds.measured import Measured
from nests.units import BadInput


class Kept:
    """The file of a record. What somebody else wrote into it meanwhile is never written over."""

    def __init__(self, path: Path) -> None:
        """Open it, or begin a new one. Raises `BadInput` for a file that is no record."""
        self.path = path
        self.record = read(path, Measured) if path.exists() else Measured()
        self._known = path.read_bytes() if path.exists() else None

    def keep(self, record: Measured) -> None:
        """Write it, all at once. Raises `BadInput`, also where the file was changed meanwhile."""
        there = self.path.read_bytes() if self.path.exists() else None
        if there != self._known:
            raise BadInput(
                f"{self.path} was changed by another program since it was read here; nothing is "
                "written over. Open it again."
            )
        if record == self.record and there is not None:
            return
        content = canonical(document(record))
        write_file(self.path, content)
        self.record, self._known = record, content
