"""Work plans by name: those that come with the program, or one's own file."""

from __future__ import annotations

from pathlib import Path

from nests.documents.files import data_folder
from nests.given.operation import WorkPlan
from nests.orders.order import plan_in
from nests.units import BadInput


def names() -> tuple[str, ...]:
    """Names of the work plans that come with the program."""
    return tuple(sorted(path.stem for path in _folder().glob("*.json")))


def work_plan(wanted: str) -> WorkPlan:
    """The work plan in a file, or the one of that name. Raises `BadInput` for neither, and for
    a plan that cannot be true."""
    path = Path(wanted)
    if not path.is_file() and wanted in names():
        path = _folder() / f"{wanted}.json"
    if not path.is_file():
        listed = ", ".join(names())
        raise BadInput(f"there is no file '{wanted}' and no work plan of that name; {listed}.")
    return plan_in(path)


def _folder() -> Path:
    return data_folder("gallery") / "work_plans"
