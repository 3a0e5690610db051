"""What is done to a workpiece, and the work plan of one job."""

from __future__ import annotations

from dataclasses import dataclass

from nests.finding import MEMORY
from nests.letters.engraving import ALLOWED, engraved, require_mark
from nests.places import Side
from nests.units import BadInput, Record, prose, quantity, said

EVERY = "every hand"
"""Says of a press that it is on every arbor that carries a hand."""


@dataclass(frozen=True, kw_only=True)
class Press(Record):
    """Something pressed on, and how hard."""

    arbor: str = said(f"name of the arbor; '{EVERY}' for all that carry one")
    force: float | None = quantity(
        "N", None, 0.1, 300.0, "force of the press; none for what is usual for its hands", MEMORY
    )
    least: float | None = quantity("N", None, 0.1, 300.0, "least that occurs", MEMORY)
    most: float | None = quantity("N", None, 0.1, 300.0, "most that occurs", MEMORY)
    origin: str = prose("where force and range come from", MEMORY)

    @property
    def stated(self) -> float | None:
        """N; the most that is said to occur, which holders are made and judged for; None where
        nothing says so, see `at_work.pressed`."""
        return max((n for n in (self.force, self.most) if n is not None), default=None)

    def hardest(self, usual: float) -> float:
        """N; the most that occurs, where `usual` N are usual for what is pressed."""
        return max(usual, self.least or 0.0) if self.stated is None else self.stated


@dataclass(frozen=True, kw_only=True)
class Operation(Record):
    """One thing done to a workpiece."""

    name: str = said("name of the operation, unique in the work plan")
    mark: str = said(f"what is engraved for it: {ALLOWED}; none for the name itself", "")
    side_up: Side = said("side that looks up")
    says: str = prose("what is done", "")
    on: str = said("name of the sub-assembly it is done on; none for the sheet's own workpiece", "")
    presses: tuple[Press, ...] = said("what is pressed", ())
    stem: bool = said("whether the stem must be reachable", False)
    pushers: bool = said("whether the pushers must be reachable", False)
    absent: tuple[str, ...] = said(
        "names of keep-clears, arbors and rests of parts that are not fitted at that moment", ()
    )
    turned_over: bool = said("whether the holder is turned over with the workpiece in it", False)
    shock: float = quantity(
        "", 10.0, 1.0, 100.0, "times the weight that a knock comes to while turned over", MEMORY
    )

    def __post_init__(self) -> None:
        """Check limits, and that the mark can be engraved; raises `BadInput`."""
        super().__post_init__()
        require_mark(self.mark, f"the operation '{self.name}'")

    @property
    def engraved(self) -> str:
        """What is engraved for it: its mark, else its name. Raises `BadInput` for a name that
        cannot be engraved letter by letter."""
        return engraved(self, "operation")


@dataclass(frozen=True, kw_only=True)
class WorkPlan(Record):
    """The operations of one job, in order."""

    name: str = said("name of the job")
    operations: tuple[Operation, ...] = said("operations in order")

    def operation(self, name: str) -> Operation:
        """The operation of that name; raises `BadInput` if the plan has none."""
        for each in self.operations:
            if each.name == name:
                return each
        names = ", ".join(each.name for each in self.operations)
        raise BadInput(f"there is no operation '{name}' in '{self.name}'; there is {names}.")


EVERY_HAND = (Press(arbor=EVERY),)
"""All hands pressed on."""

USUAL = WorkPlan(
    name="usual operations (common practice, no source)",
    operations=(
        Operation(
            name="hand-setting",
            side_up=Side.DIAL,
            says="hour, minute and seconds hands pressed on",
            presses=EVERY_HAND,
            stem=True,
        ),
        Operation(
            name="chronograph-hands",
            side_up=Side.DIAL,
            says="all hands pressed on, started, stopped and set to zero",
            presses=EVERY_HAND,
            stem=True,
            pushers=True,
        ),
        Operation(
            name="train-work",
            side_up=Side.BRIDGE,
            says="train and bridges fitted",
            stem=True,
            absent=("dial",),
        ),
        Operation(
            name="dial-side-work",
            side_up=Side.DIAL,
            says="motion and calendar works fitted",
            stem=True,
            absent=("dial",),
        ),
        Operation(
            name="looking",
            side_up=Side.BRIDGE,
            says="looked at and timed in positions",
            stem=True,
            turned_over=True,
        ),
    ),
)
"""The plan in force when none is given."""
