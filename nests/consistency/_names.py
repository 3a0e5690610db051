"""Names that a person cannot tell apart, and names that are none.

Two names are alike when they differ in case, in blanks, in what is not seen, or in letters of
other scripts that look the same. The letters are a part, from memory, of the confusables of
Unicode Technical Standard 39; what NFKC (Unicode Standard Annex 15) makes one is alike too.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable
from functools import lru_cache
from itertools import combinations

_PAIRS = (
    ("АВЕКМНОРСТУХІЈЅԚԜҺ", "ABEKMHOPCTYXIJSQWH"),  # Cyrillic
    ("аеорсухіјѕԁһԛԝ", "aeopcyxijsdhqw"),
    ("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧ", "ABEZHIKMNOPTYX"),  # Greek
    ("οανρυιγϲϳ", "oavpuiycj"),
    ("օսհցո", "ouhgn"),  # Armenian
    ("ıɑɡ‐‑‒–—−’‘ʼ`´", "iag------'''''"),
)
LOOKS = str.maketrans({a: b for these, those in _PAIRS for a, b in zip(these, those, strict=True)})
DIGITS = str.maketrans({"1": "l", "I": "l", "|": "l", "0": "o", "O": "o"})
UNSEEN = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u3164\uffa0") | {
    chr(code) for code in (*range(0x180B, 0x180F), *range(0xFE00, 0xFE10))
}
"""Letters that leave no mark, beside those of the category Cf."""
REMEMBERED = 2048
"""Names whose bare form is kept: a sheet is looked at after each change of it."""


def fault(name: str) -> str:
    """Why a name is none, to follow its field; '' if it is one."""
    if not _bare(name):
        return f"is {spelt(name)}; a name that can be seen is needed"
    return ""


def alike(names: Iterable[str]) -> list[tuple[str, str, str]]:
    """Pairs of different names that look alike, as they are spelt, and how they differ."""
    told: dict[tuple[str, str], str] = {}
    different = sorted(set(names))
    for key, how in _KEYS:
        groups: dict[str, list[str]] = {}
        for name in different:
            groups.setdefault(key(name), []).append(name)
        for group in groups.values():
            for pair in combinations(group, 2):
                told.setdefault(pair, f"{how}; names must be told apart")
    return [(spelt(one), spelt(two), how) for (one, two), how in sorted(told.items())]


def spelt(name: str) -> str:
    """A name in quotation marks, with the code points of what is not seen or looks like another."""
    odd = [c for c in name if _unseen(c) or (c.isspace() and c != " ") or ord(c) in LOOKS]
    if not odd:
        return f"'{name}'"
    shown = "".join(c for c in name if not _unseen(c))
    return f"'{shown}' (with {', '.join(dict.fromkeys(f'U+{ord(c):04X}' for c in odd))})"


@lru_cache(maxsize=REMEMBERED)
def _bare(name: str) -> str:
    """A name as NFKC has it, without what is not seen, its blanks single."""
    return _single(unicodedata.normalize("NFKC", name))


@lru_cache(maxsize=REMEMBERED)
def _single(name: str) -> str:
    return " ".join("".join(c for c in name if not _unseen(c)).split())


def _unseen(letter: str) -> bool:
    return unicodedata.category(letter) == "Cf" or letter in UNSEEN


def _seen(name: str) -> str:
    return _bare(name).translate(LOOKS)


_KEYS: tuple[tuple[Callable[[str], str], str], ...] = (
    (_single, "which differ only in blanks or in what is not seen"),
    (lambda name: _single(name).casefold(), "which differ only in capitals"),
    (lambda name: _seen(name).casefold(), "which look alike"),
    (lambda name: _seen(name).translate(DIGITS).casefold(), "which look alike"),
)
"""What two names have in common, and how they then differ."""
