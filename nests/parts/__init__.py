"""The parts a recipe is made of, one file each; a new file here is a new part, nothing else."""

from __future__ import annotations

from collections.abc import Iterable
from importlib import import_module
from pkgutil import iter_modules
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from nests.parts.base import Part

for _module in sorted(each.name for each in iter_modules(__path__)):
    import_module(f"{__name__}.{_module}")


def by_tag(parts: Iterable[Part]) -> dict[str, list[int]]:
    """Which of some parts are of each kind, by their tags, for a register of them."""
    out: dict[str, list[int]] = {}
    for number, part in enumerate(parts):
        out.setdefault(part.tag, []).append(number)
    return out
