"""One result of one check, and how a list of them is judged."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nests.units import BadInput

MEMORY = "from memory; no published figure known"
"""Where a figure comes from that nothing is published of."""
PRACTICE = "common practice, no source"
"""Where a figure comes from that the trade goes by."""


class Grade(StrEnum):
    """How a finding weighs; the order of the members is the order of gravity."""

    CLEAR = "clear"
    """Holds, as measured at the stated resolution."""
    UNKNOWN = "unknown"
    """Not assessed; the finding names the missing fact."""
    MEND = "mend"
    """Works, but should change."""
    STOP = "stop"
    """Do not print, do not use."""

    @property
    def mark(self) -> str:
        """A shape for each grade, so that none is told by colour alone."""
        return {"clear": "=", "unknown": "?", "mend": "~", "stop": "#"}[self.value]


@dataclass(frozen=True, kw_only=True)
class Finding:
    """What one check found at one place.

    `value` and `limit` are numbers in `unit`; `place` is (x, y, z) in mm in the pose of use;
    `parts` are the labels of the recipe's parts that made it.
    """

    check: str
    grade: Grade
    says: str
    parts: tuple[str, ...] = ()
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    origin: str = ""
    place: tuple[float, float, float] | None = None
    remedy: str = ""

    def sentence(self) -> str:
        """Grade, statement and remedy in one line."""
        remedy = f" Remedy: {self.remedy}" if self.remedy else ""
        return f"{self.grade.value}: {self.says}{remedy}"


class Refused(BadInput):
    """A use the tool refuses outright; carries the `stop` finding with the reason."""

    def __init__(self, finding: Finding) -> None:
        """Keep the finding."""
        super().__init__(finding.says)
        self.finding = finding


def refuse(check: str, says: str, remedy: str = "") -> Refused:
    """Build the exception for a refused use."""
    return Refused(Finding(check=check, grade=Grade.STOP, says=says, remedy=remedy))


_GRAVITY = {grade: rank for rank, grade in enumerate(Grade)}


def worst(findings: tuple[Finding, ...]) -> Grade:
    """The gravest grade among the findings; `clear` for none."""
    return max((f.grade for f in findings), key=_GRAVITY.__getitem__, default=Grade.CLEAR)


def by_gravity(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings, gravest first; the order within a grade is kept."""
    return tuple(sorted(findings, key=lambda f: -_GRAVITY[f.grade]))
