"""The recipe: a holder before it has a shape, complete enough to be made again bit by bit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from nests import parts as parts  # the variants of Part must be known before a recipe is read
from nests.given.at_work import fitted
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.parts.base import Part
from nests.parts.body import Body
from nests.parts.site import Site
from nests.places import Side
from nests.printing.pose import FLAT, Pose
from nests.units import Length, Record, mm, prose, said

HolderKind = Literal["movement holder", "sub-assembly cradle", "case holder", "cushion mould"]
CARRIES: dict[HolderKind, str] = {
    "movement holder": "movement",
    "sub-assembly cradle": "sub-assembly",
    "case holder": "case",
    "cushion mould": "case",
}
"""The one kind of workpiece each kind of holder takes."""
MOULD: HolderKind = "cushion mould"
"""No workpiece lies in it: a pad is cast, on which one is laid."""


@dataclass(frozen=True, kw_only=True)
class Recipe(Record):
    """Body and ordered parts, with the workpiece, the operation and the printer they are for."""

    name: str = said("name of the holder")
    kind: HolderKind = said("what it may carry", "movement holder")
    family: str = said("family that wrote it", "by hand")
    operation: Operation = said("what is done in it", Operation(name="general", side_up=Side.DIAL))
    workpiece: Sheet = said("the workpiece")
    printer: PrinterCard = said("the printer", PrinterCard())
    body: Body = said("the body", Body())
    pose: Pose = said("how it lies on the build plate", FLAT)
    parts: tuple[Part, ...] = said("parts, in the order in which they cut and add", ())
    chord_error: Length = mm(
        0.005, low=0.0005, high=0.1, meaning="how far a chord may leave its arc"
    )
    date: str = said("date of the recipe, year-month-day, as the person gives it", "")
    reasons: tuple[str, ...] = prose("why the family chose as it did", ())

    @property
    def side_up(self) -> Side:
        """Side of the workpiece that looks up."""
        return self.operation.side_up

    def site(self) -> Site:
        """The ground its parts stand on: the workpiece less what is not fitted."""
        work = fitted(self.workpiece, self.operation)
        return Site(work, self.side_up, self.printer, self.chord_error, self.body)
