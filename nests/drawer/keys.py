"""Keys of what a workpiece is called, as the index holds them."""

from __future__ import annotations

from hashlib import sha256

from nests.given.sheet import Sheet
from nests.letters.engraving import as_read

KEY = 16
"""Characters of a key: 64 bits, so that two of a drawer's names hardly ever share one."""


def keys(sheet: Sheet) -> tuple[str, str]:
    """Keys of the name of a workpiece and of what is engraved for it, as the index holds them."""
    return _key(sheet.name), _key(as_read(sheet))


def _key(text: str) -> str:
    return sha256(text.encode()).hexdigest()[:KEY] if text else ""
