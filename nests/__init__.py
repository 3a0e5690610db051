"""Holders for watch movements: composed from a sheet, proved, printed, and found again.

The way through the house is one line long::

    sheet + operation -> family -> recipe -> compose -> holder -> checks -> pack

Every step is a pure function of frozen values. What others build on is here: `make` a holder,
`build` one from a recipe, `read` a document, `check` anything, `plan` a job, `find` in a drawer.
The command line calls these. A sheet, a printer card or a work plan is given as a value or as the
path of its document. Lengths are in mm, forces in N, hours those of the dial.

Input that cannot be used raises `BadInput`, a wrong use `Refused`; either says in one sentence why.
"""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nests.version import __version__

if TYPE_CHECKING:
    from collections.abc import Callable

    from nests.drawer.search import Found
    from nests.finding import Finding, Grade, Refused
    from nests.given.operation import Operation, Press, WorkPlan
    from nests.given.printer_card import PrinterCard
    from nests.given.sheet import Sheet
    from nests.holder.recipe import Recipe
    from nests.kinds.plan import Plan
    from nests.orders.pack import Pack
    from nests.units import BadInput, Record

__all__ = [
    "BadInput",
    "Finding",
    "Found",
    "Grade",
    "Operation",
    "Pack",
    "Plan",
    "Press",
    "PrinterCard",
    "Recipe",
    "Refused",
    "Sheet",
    "WorkPlan",
    "__version__",
    "build",
    "check",
    "find",
    "make",
    "plan",
    "read",
]

_HOME = {
    "BadInput": "units",
    "Finding": "finding",
    "Found": "drawer.search",
    "Grade": "finding",
    "Operation": "given.operation",
    "Pack": "orders.pack",
    "Plan": "kinds.plan",
    "Press": "given.operation",
    "PrinterCard": "given.printer_card",
    "Recipe": "holder.recipe",
    "Refused": "finding",
    "Sheet": "given.sheet",
    "WorkPlan": "given.operation",
}
"""Where the classes are, each loaded when it is asked for."""


def __getattr__(name: str) -> Any:
    """A class of the surface. Raises `AttributeError` for what is none."""
    if name in _HOME:
        return getattr(import_module(f"nests.{_HOME[name]}"), name)
    raise AttributeError(f"module 'nests' has no attribute '{name}'")


def make(
    sheet: Sheet | Path | str | None,
    family: str,
    *,
    operation: Operation | str | None = None,
    work: WorkPlan | Path | str | None = None,
    printer: PrinterCard | Path | str | None = None,
    papers: bool = True,
    date: str = "",
    in_lignes: tuple[str, ...] = (),
    progress: Callable[[str], None] = lambda _: None,
    **options: Any,
) -> Pack:
    """The best holder a family can make for a sheet, judged, with the files of its pack in memory.

    `operation` is one, or the name of one of the `work` plan (the usual operations, if none is
    given); without a `printer` card common practice stands for it; `options` are those of the
    family (`nests make FAMILY --help`), in mm and N, and also the sizes that stand for a sheet.
    `papers` asks for drawing, pictures and report; `in_lignes` names options that were measured in
    lignes, which is noted among the findings; `progress` is told what is tried. `Pack.write` puts
    it into a folder.
    """
    from nests.orders.order import order
    from nests.orders.pack import build as built

    made = order(
        family,
        options,
        sheet=sheet,
        operation=operation,
        work=work,
        printer=printer,
        date=date,
        in_lignes=in_lignes,
        progress=progress,
    )
    return built(made.recipe, notes=made.notes, papers=papers, choice=made.choice)


def build(recipe: Recipe | Path | str, *, papers: bool = True) -> Pack:
    """The holder of a recipe as it stands, judged, with the files of its pack in memory."""
    from nests.holder.recipe import Recipe
    from nests.kinds import given
    from nests.orders.pack import build as built

    return built(given(recipe, Recipe), papers=papers)


def read(path: Path | str) -> Record:
    """What a document holds: a sheet, work plan, printer card, recipe, kept holder or plan, or what
    was measured."""
    from nests.kinds import read_any

    return read_any(Path(path))


def check(
    what: Record | Path | str,
    *,
    unit: str | None = None,
    progress: Callable[[str], None] = lambda _: None,
) -> tuple[Finding, ...]:
    """Findings about a value, or about a file: a document, or a mesh drawn elsewhere.

    Meshes are read from STL, 3MF, OBJ, PLY, OFF and GLB, in the `unit` they are said to be drawn
    in: mm, um, cm, inch or m. A large one may take a minute; `progress` is told what is done.
    """
    from nests.orders.examine import examine, findings_of

    if isinstance(what, Path | str):
        return examine(Path(what), unit, progress)
    return findings_of(what)


def plan(
    sheet: Sheet | Path | str,
    work: WorkPlan | Path | str,
    *,
    drawer: Path | str | None = None,
    printer: PrinterCard | Path | str | None = None,
    progress: Callable[[str], None] = lambda _: None,
) -> Plan:
    """The smallest family of holders that covers a work plan, and whether the job may start.

    `work` is also the name of a plan that comes with `nests`; `drawer` the folder of the holders
    that are there already. Some seconds to minutes; `progress` is told what is being done.
    """
    from nests.planning.readiness import readiness
    from nests.planning.whole import job_from

    return readiness(job_from(sheet, work, drawer=drawer, printer=printer, progress=progress))


def find(
    drawer: Path | str,
    sheet: Sheet | Path | str,
    operation: Operation | None = None,
    *,
    most: int = 10,
) -> Found:
    """What in a drawer fits a movement, the best first, and what was found of each.

    Without an operation each holder is judged for the one it was made for.
    """
    from nests.drawer.search import find as search
    from nests.given.sheet import Sheet
    from nests.kinds import given

    return search(Path(drawer), given(sheet, Sheet), operation, most=most)
