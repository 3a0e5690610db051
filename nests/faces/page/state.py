"""What is shown on the bench at one time. Frozen; a change makes a new one."""

from __future__ import annotations

from dataclasses import dataclass

from nests.faces.page.work import Work
from nests.finding import Finding
from nests.measuring.unlocked import Standing
from nests.orders.shown import Piece
from nests.orders.trying import Trial
from nests.units import BadInput

OTHERS = (
    "meanwhile the family made a holder of other parts, which is shown now; what you just did was "
    "not taken; do it again if it is still wanted."
)
STALE = (
    "this page was behind: the work was changed from another page meanwhile. The newer state is "
    "shown, and what you just did was not taken; do it again if it is still wanted."
)


@dataclass(frozen=True)
class State:
    """What is shown: the work with its serial number, the holder, and how far judging has got.

    `faults` say why there is no holder of this work; then `trial` is the last there was. While
    `forming`, `trial` has the parts of the last one, and the family has not been asked yet. `told`
    holds the findings of each side that is done; `printing` is (done, of, name) while the printer's
    side is being looked at, None when it is done. `shape` numbers the shapes that were shown, and
    `pieces` lie in it. `standing` is what can be made by now of what is on the sheet, and `news`
    what of that is new since the last fact.
    """

    serial: int = 0
    work: Work = Work()
    trial: Trial | None = None
    faults: tuple[str, ...] = ()
    bench: tuple[Finding, ...] | None = None
    printer: tuple[Finding, ...] = ()
    printing: tuple[int, int, str] | None = None
    choosing: bool = False
    forming: bool = False
    chose: tuple[str, ...] = ()
    can_undo: bool = False
    can_redo: bool = False
    shape: int = 0
    pieces: tuple[Piece, ...] = ()
    standing: Standing | None = None
    news: tuple[str, ...] = ()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that is found so far."""
        notes = self.trial.notes if self.trial is not None else ()
        return (*notes, *(self.bench or ()), *self.printer)

    @property
    def done(self) -> bool:
        """Whether every check has been asked."""
        busy = self.forming or self.choosing
        return self.bench is not None and self.printing is None and not busy


class Behind(BadInput):
    """What was asked was asked of an older state."""
