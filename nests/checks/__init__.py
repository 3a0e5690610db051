"""The checks, one file each; the registry is this folder with its two sides, printer and bench.

A check is a module with one function `check(study) -> list[Finding]`. A new file here is a new
check, nothing else. Its name is that of its file, with blanks: `load_path.py` is "load path". That
is its one spelling, in findings, reports and wherever a check is asked for by name.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib import import_module
from pkgutil import iter_modules
from types import ModuleType

from nests.checks import bench, printer
from nests.finding import Finding, by_gravity
from nests.study import Study

SIDES: dict[str, ModuleType] = {"printer": printer, "bench": bench}
"""The sides a check may belong to; `composition` belongs to neither."""


@cache
def names(side: str | None = None) -> tuple[str, ...]:
    """Names of the checks of one side, or of all."""
    return tuple(sorted(_modules() if side is None else _of(SIDES[side])))


def judge(study: Study, only: Sequence[str] | None = None) -> tuple[Finding, ...]:
    """Findings of all checks (or of those named in `only`), gravest first.

    Every finding bears the name of a check. Raises `ValueError` for a name that no check has,
    whether it is asked for or stands on a finding: that is a fault of the program.
    """
    out: list[Finding] = []
    for name in names() if only is None else only:
        out += import_module(_modules()[named(name)]).check(study)
    for each in out:
        named(each.check)
    return by_gravity(tuple(out))


def named(name: str) -> str:
    """A check's name as it is. Raises `ValueError` if no check has it."""
    if name not in names():
        raise ValueError(f"there is no check '{name}'; there is {', '.join(names())}.")
    return name


@cache
def _modules() -> dict[str, str]:
    """Full module name of every check, by its name."""
    import nests.checks as root

    return {k: v for package in (root, *SIDES.values()) for k, v in _of(package).items()}


def _of(package: ModuleType) -> dict[str, str]:
    found = (m.name for m in iter_modules(package.__path__) if not m.ispkg)
    return {n.replace("_", " "): f"{package.__name__}.{n}" for n in found if n[0] != "_"}
