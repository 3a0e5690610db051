"""Fonts for paper and pictures: one open font with Latin, Greek and Cyrillic, and what a user adds.

The environment variable `NESTS_FONTS` names further font files or folders of them, parted as `PATH`
is; what the first font lacks is looked for in those. A letter that is in none of them is given as
its code point, see `code_points`.
"""

from __future__ import annotations

import os
from functools import cache
from importlib.resources import files
from pathlib import Path

from nests.units import BadInput

VARIABLE = "NESTS_FONTS"
KINDS = (".ttf", ".otf", ".ttc", ".otc")


@cache
def own_folder() -> Path:
    """Folder of the font that comes with the program: Source Sans Pro, SIL Open Font License."""
    return Path(str(files("font_source_sans_pro"))) / "files"


@cache
def regular() -> Path:
    """File of its upright face."""
    return own_folder() / "SourceSansPro-Regular.ttf"


def added() -> tuple[Path, ...]:
    """The font files that the user names. Raises `BadInput` for a name that is none."""
    out: list[Path] = []
    for name in filter(None, os.environ.get(VARIABLE, "").split(os.pathsep)):
        path = Path(name)
        found = sorted(path.iterdir()) if path.is_dir() else [path]
        fonts = [each for each in found if each.suffix.lower() in KINDS and each.is_file()]
        if not fonts:
            raise BadInput(
                f"{VARIABLE} names {name}; a font file ({', '.join(KINDS)}) is needed, or a folder "
                "of them."
            )
        out += fonts
    return tuple(out)


def thin() -> Path:
    """File of its thinnest face, whose outlines are drawn with a pen."""
    return own_folder() / "SourceSansPro-ExtraLight.ttf"


@cache
def letters_of(path: Path) -> frozenset[int]:
    """Code points of the letters that a font file has. Raises `BadInput` for what is no font."""
    from fontTools.ttLib import TTCollection, TTFont, TTLibError

    try:
        if path.suffix.lower() in (".ttc", ".otc"):
            faces = list(TTCollection(path).fonts)
        else:
            faces = [TTFont(path, lazy=True)]
        return frozenset(code for face in faces for code in face.getBestCmap() or ())
    except (OSError, TTLibError, AssertionError, KeyError, ValueError) as error:
        raise BadInput(f"{path} is no font that can be read: {error}.") from None


@cache
def _ours() -> frozenset[int]:
    return letters_of(regular())


def has(letter: str) -> bool:
    """Whether a letter is in the font that comes with the program, or in one the user names."""
    return ord(letter) in _ours() or other(letter) is not None


def other(letter: str) -> Path | None:
    """The first font file of the user that has a letter which ours lacks; None if ours has it, or
    none does."""
    code = ord(letter)
    if code in _ours():
        return None
    return next((each for each in added() if code in letters_of(each)), None)
