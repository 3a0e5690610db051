"""Work plans by name: those that come with the program, or one's own file."""

from __future__ import annotations

from os.path import isfile  # a name that can be none is no file
from pathlib import Path

from nests.documents.files import data_folder
from nests.given.operation import WorkPlan
from nests.orders.order import plan_in
from nests.units import BadInput


def names() -> tuple[str, ...]:
    """Names of the work plans that come with the program."""
    return tuple(sorted(path.stem for path in _folder().glob("*.json")))


def work_plan(wanted: WorkPlan | Path | str) -> WorkPlan:
    """A work plan, that in a file, or the one of that name. Raises `BadInput` for neither, and for
    a plan that cannot be true."""
    if isinstance(wanted, WorkPlan):
        return plan_in(wanted)
    path = Path(wanted)
    if not isfile(path) and str(wanted) in names():
        path = _folder() / f"{wanted}.json"
    if not isfile(path):
        listed = ", ".join(names())
        raise BadInput(f"there is no file '{wanted}' and no work plan of that name; {listed}.")
    return plan_in(path)


def _folder() -> Path:
    return data_folder("gallery") / "work_plans"
