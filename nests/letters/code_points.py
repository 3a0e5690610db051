"""Letters that a font lacks, on paper, in pictures and in drawings: their code points instead.

A letter that is left out, or stands as a box or a question mark, tells two names as one. The page
in a browser has fonts for all and keeps the letters.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable

TOLD = "Letters without a glyph are given as code points, such as [U+6642]."
"""Said once in a document that has one."""


def code_point(letter: str) -> str:
    """A letter by its number in Unicode, such as [U+6642]."""
    return f"[U+{ord(letter):04X}]"


def told(text: str, has: Callable[[str], bool]) -> str:
    """The text, every letter that the font has not given as its code point.

    Accents set behind their letter are joined with it first (NFC), as fonts have them.
    """
    return "".join(c if has(c) else code_point(c) for c in unicodedata.normalize("NFC", text))


def lacking(texts: Iterable[str], has: Callable[[str], bool]) -> bool:
    """Whether any of the texts has a letter that the font has not."""
    return any(not has(c) for text in texts for c in unicodedata.normalize("NFC", text))
