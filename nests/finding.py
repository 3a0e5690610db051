"""One result of one check, and how a list of them is judged."""

from __future__ import annotations

import re
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from nests.units import BadInput, unsigned_zeros

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
    `parts` are the labels of the recipe's parts that made it; `lacks` are JSON Pointers (RFC 6901)
    of what of the workpiece's sheet would tell what is not assessed.
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
    lacks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """No zero that came of rounding has a sign."""
        object.__setattr__(self, "says", unsigned_zeros(self.says))
        object.__setattr__(self, "remedy", unsigned_zeros(self.remedy))

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


FEW = 3
"""Findings of one kind that are told one by one; chosen, no source."""
_NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?")


def gathered(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Findings for people to read: more than `FEW` of one kind are told as one.

    It is the worst of them, with their count and the first places. Of one kind are findings of one
    check, grade and parts whose statements differ only in numbers. The order is that of the first
    of each kind.
    """
    kinds: dict[Hashable, list[Finding]] = {}
    for each in findings:
        words = _NUMBER.sub("#", each.says)
        kinds.setdefault((each.check, each.grade, each.parts, words), []).append(each)
    out: list[Finding] = []
    for alike in kinds.values():
        out += alike if len(alike) <= FEW else [_as_one(alike)]
    return by_gravity(tuple(out))


def _as_one(alike: list[Finding]) -> Finding:
    """The worst of findings of one kind, which says how many they are and where the first lie."""
    first = alike[0]
    if first.value is None:
        worst_one = first
    elif first.limit is not None and first.value < first.limit:
        worst_one = min(alike, key=lambda each: each.value or 0.0)
    else:
        worst_one = max(alike, key=lambda each: each.value or 0.0)
    places = [each.place for each in alike if each.place is not None][:FEW]
    at = ", ".join("(" + ", ".join(f"{c:.2f}" for c in place) + ")" for place in places)
    where = f"; the first lie at {at} mm" if at else ""
    says = f"{worst_one.says[:-1]}; that is the worst of {len(alike)} such places{where}."
    return replace(worst_one, says=says)
