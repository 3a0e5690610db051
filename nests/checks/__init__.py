"""The checks, one file each; the registry is this folder.

A check is a module with one function `check(study) -> list[Finding]`. A new file here is a new
check, nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from pkgutil import iter_modules

from nests.checks._study import Study
from nests.finding import Finding, by_gravity


def names() -> tuple[str, ...]:
    """Names of the checks."""
    found = (each.name for each in iter_modules(__path__) if not each.name.startswith("_"))
    return tuple(sorted(found))


def judge(study: Study, only: Sequence[str] | None = None) -> tuple[Finding, ...]:
    """Findings of all checks (or of those named in `only`), gravest first."""
    out: list[Finding] = []
    for name in names() if only is None else only:
        out += import_module(f"{__name__}.{name}").check(study)
    return by_gravity(tuple(out))
