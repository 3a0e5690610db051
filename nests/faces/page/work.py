"""The work at hand: what is drawn on the sheet of paper. Frozen; a step makes a new one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import nests
from nests.documents.files import data_folder
from nests.families import family
from nests.given.operation import Operation, WorkPlan
from nests.given.sheet import Sheet
from nests.kinds import read, taken
from nests.kinds.measured import Measured
from nests.measuring.on_sheet import balanced
from nests.orders.order import plan_in
from nests.planning.library import names, work_plan
from nests.units import BadInput

KEYS = ("sheet", "plan", "operation", "family", "options", "recipe", "did", "read")
LATER = {"read"}
"""What steps that were kept before it was there lack."""


@dataclass(frozen=True)
class Work:
    """Documents as they were typed, and what is asked for.

    `sheet` is None where sizes among the options stand for it; `plan` the name of a work plan that
    comes with the program, '' for the usual one; `recipe` a recipe as it stands, where what the
    family chose was overruled; `did` what the last step was; `read` what was read of places that
    were taken by distances.
    """

    sheet: Mapping[str, Any] | None = None
    plan: str = ""
    operation: str = ""
    family: str = ""
    options: Mapping[str, Any] = field(default_factory=dict)
    recipe: Mapping[str, Any] | None = None
    did: str = "a clean sheet of paper"
    read: Mapping[str, Any] | None = None

    @property
    def empty(self) -> bool:
        """Whether nothing is begun."""
        return self.sheet is None and not self.family

    @cached_property
    def record(self) -> Sheet | None:
        """The sheet as a value. Raises `BadInput`."""
        return None if self.sheet is None else taken(dict(self.sheet), Sheet, "sheet")

    @cached_property
    def readings(self) -> Measured:
        """What was read of places. Raises `BadInput`."""
        return Measured() if self.read is None else taken(dict(self.read), Measured, "readings")

    @cached_property
    def misfits(self) -> tuple[str, ...]:
        """Which reading of a place does not fit the others, in sentences. Raises `BadInput`."""
        if self.record is None or not self.readings.answers:
            return ()
        return balanced(self.record, self.readings).misfits

    def require_fits(self) -> None:
        """Raise `BadInput` where a reading does not fit: as a sheet of such readings is not written
        by `measure sheet`, no holder is made of it."""
        if self.misfits:
            raise BadInput(*self.misfits)

    @cached_property
    def work_plan(self) -> WorkPlan:
        """The work plan its operations are of. Raises `BadInput`."""
        if not self.plan:
            return plan_in(None)
        if self.plan not in names():  # a path must not come from a browser
            raise BadInput(f"there is no work plan '{self.plan[:40]}'; {', '.join(names())}.")
        return work_plan(self.plan)

    @cached_property
    def chosen(self) -> Operation | None:
        """The operation, if one is said. Raises `BadInput`."""
        return self.work_plan.operation(self.operation) if self.operation else None

    @cached_property
    def by_hand(self) -> nests.Recipe | None:
        """The recipe as it stands, if it was overruled. Raises `BadInput`."""
        return None if self.recipe is None else taken(dict(self.recipe), nests.Recipe, "recipe")

    def require(self) -> None:
        """Raise `BadInput` where a document or a name in it cannot be used."""
        _ = self.record, self.by_hand, self.work_plan, self.chosen, self.readings
        if self.family:
            family(self.family)

    def of_one_workpiece(self, other: Work) -> bool:
        """Whether two works are of one workpiece. Raises `BadInput`."""
        mine, its = self.record, other.record
        if mine is None or its is None:
            return False
        return (mine.name, mine.kind) == (its.name, its.kind)

    def of_one_family(self, other: Work) -> bool:
        """Whether the holder of this still says something beside the other."""
        return bool(other.family) and self.family == other.family

    def data(self) -> dict[str, Any]:
        """As JSON-ready data."""
        return {key: getattr(self, key) for key in KEYS}

    @classmethod
    def of(cls, data: Any) -> Work:
        """From data that `data` gave. Raises `BadInput`, also for documents that cannot be read."""
        if not isinstance(data, dict) or set(data) | LATER != set(KEYS):
            raise BadInput("this is no step of a bench.")
        made = cls(**data)
        made.require()
        return made


def workshop() -> tuple[str, ...]:
    """Names of the sheets of the invented workshop that come with the program."""
    return tuple(sorted(path.stem for path in (data_folder("gallery") / "sheets").glob("*.json")))


def of_workshop(name: str) -> dict[str, Any]:
    """The document of one of them. Raises `BadInput` for another name."""
    from nests.documents.files import read_json

    if name not in workshop():
        raise BadInput(f"there is no sheet '{name}' in the workshop; {', '.join(workshop())}.")
    path = data_folder("gallery") / "sheets" / f"{name}.json"
    read(path, Sheet)
    return read_json(path)
