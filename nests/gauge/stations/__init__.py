"""The things on a gauge plate, one file each; the registry is this folder.

A station is a module with one function `stations(ground)`. A new file here is a new thing on the
plate, nothing else; its rows are in the form, the table and the readings document by themselves.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from nests.gauge.specimen import Ground, Station


def all_stations(ground: Ground) -> tuple[Station, ...]:
    """Every station, in the order of the names of their files."""
    return tuple(each for name in _names() for each in import_module(name).stations(ground))


@cache
def _names() -> tuple[str, ...]:
    return tuple(f"{__name__}.{each.name}" for each in iter_modules(__path__))
