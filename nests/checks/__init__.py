"""The checks, one file each; the registry is this folder with its two sides, printer and bench.

A check is a module with one function `check(study) -> list[Finding]`. A new file here is a new
check, nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib import import_module
from pkgutil import iter_modules
from types import ModuleType

from nests.checks import bench, printer
from nests.checks._study import Study
from nests.finding import Finding, by_gravity

SIDES: dict[str, ModuleType] = {"printer": printer, "bench": bench}
"""The sides a check may belong to; `composition` belongs to neither."""


@cache
def names(side: str | None = None) -> tuple[str, ...]:
    """Names of the checks of one side, or of all."""
    return tuple(sorted(_modules() if side is None else _of(SIDES[side])))


def judge(study: Study, only: Sequence[str] | None = None) -> tuple[Finding, ...]:
    """Findings of all checks (or of those named in `only`), gravest first."""
    modules = _modules()
    out: list[Finding] = []
    for name in names() if only is None else only:
        out += import_module(modules[name]).check(study)
    return by_gravity(tuple(out))


@cache
def _modules() -> dict[str, str]:
    """Full module name of every check."""
    import nests.checks as root

    return {k: v for package in (root, *SIDES.values()) for k, v in _of(package).items()}


def _of(package: ModuleType) -> dict[str, str]:
    found = (m.name for m in iter_modules(package.__path__) if not m.ispkg)
    return {n: f"{package.__name__}.{n}" for n in found if not n.startswith("_")}
