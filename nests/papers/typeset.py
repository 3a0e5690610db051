"""Typst at work: source and pictures go in, a PDF comes out, tagged and checked (PDF/UA-1).

A letter in none of the fonts is an error of typst, never a box; `has` asks it beforehand.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Literal

from nests.documents.files import reason
from nests.letters import fonts
from nests.letters.code_points import told
from nests.units import BadInput

STANDARD: Literal["ua-1"] = "ua-1"
FONT = '("Source Sans Pro", "DejaVu Sans Mono")'
"""The chain of fonts: ours, and the one in typst that has signs which ours lacks; what neither has
is looked for in those the user adds."""
SIGNS = frozenset("⌀‴⁗")
"""What the second of them is there for."""


def quoted(text: str) -> str:
    """A text as typst writes it in its source."""
    return json.dumps("".join(c if c.isprintable() else " " for c in text), ensure_ascii=False)


def compiled(source: str, pictures: Mapping[str, bytes]) -> bytes:
    """PDF of a source that shows `pictures` by their names. The same input, the same bytes.

    Raises `BadInput` for a font of the user that typst cannot use.
    """
    import typst

    with tempfile.TemporaryDirectory() as folder:
        main = Path(folder) / "main.typ"
        try:
            for name, content in pictures.items():
                (Path(folder) / name).write_bytes(content)
            main.write_text(source, "utf-8")
            made = typst.compile(
                str(main),
                root=folder,
                font_paths=_paths(),
                ignore_system_fonts=True,
                pdf_standards=[STANDARD],
            )
        except typst.TypstError as error:
            raise BadInput(f"the paper cannot be set: {' '.join(str(error).split())}.") from None
        except OSError as error:
            why = f"{folder} cannot be written: {reason(error)}"
            raise BadInput(f"the paper cannot be set: {why}.") from None
        return bytes(made)


def _paths() -> list[str]:
    return [str(fonts.own_folder()), *sorted({str(each.parent) for each in fonts.added()})]


def shown(text: str) -> str:
    """The text as it stands on paper, a letter that no font has as its code point."""
    return told(text, has)


def has(letter: str) -> bool:
    """Whether a letter can be set on paper; what is not printed is a space there."""
    return not letter.isprintable() or letter in SIGNS or fonts.has(letter)
