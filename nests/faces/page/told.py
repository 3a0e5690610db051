"""Findings on the page: sentences by grade, each with what it is about, so that it can be lit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from nests.finding import Finding, Grade, gathered
from nests.given.sheet import Sheet
from nests.orders import shown_plan
from nests.orders.remedied import may_cure
from nests.orders.trying import Trial
from nests.places import Side
from nests.units import BadInput

MEANS = {
    Grade.STOP: "do not print, do not use",
    Grade.MEND: "works, but should change",
    Grade.UNKNOWN: "not assessed: measure it",
    Grade.CLEAR: "holds",
}
"""What each grade says."""


@dataclass(frozen=True)
class Remark:
    """A finding in the margin: `lights` are names of parts and things, `at` the pointer of the
    first thing it is about, '' for none."""

    grade: str
    check: str
    says: str
    remedy: str
    origin: str
    lights: tuple[str, ...]
    at: str
    lacks: tuple[str, ...] = ()
    """Pointers on the workpiece of what would tell it; of two remarks that lack one, the first."""
    mends: bool = False
    """Whether there is a rule by which it may be cured."""


def remarks(
    findings: Sequence[Finding], sheet: Sheet | None, trial: Trial | None = None
) -> list[Remark]:
    """Findings as remarks, the gravest first; many of one kind as one. `trial` is the holder that
    they are about, if they are about one."""
    names = names_of(sheet)
    out: list[Remark] = []
    asked: set[str] = set()
    for each in gathered(findings):
        made = _remark(each, names)
        if trial is not None:
            made = replace(made, mends=may_cure(trial.holder, each))
        made = replace(made, lacks=tuple(at for at in made.lacks if at not in asked))
        asked.update(made.lacks)
        out.append(made)
    return out


def found(findings: Sequence[Finding], asked: Mapping[str, Any]) -> Finding:
    """The finding that a remark tells, by its check and its sentence. Raises `BadInput`."""
    for each in gathered(findings):
        if (each.check, each.says) == (asked.get("check"), asked.get("says")):
            return each
    raise BadInput("that is not found any more.")


def grouped(remarked: Sequence[Remark]) -> list[tuple[str, str, list[Remark]]]:
    """Remarks by grade, worst first, with what the grade means."""
    out = []
    for grade in reversed(Grade):
        some = [each for each in remarked if each.grade == grade.value]
        if some:
            out.append((grade.value, MEANS[grade], some))
    return out


def names_of(sheet: Sheet | None) -> dict[str, str]:
    """Pointers of the things of a sheet by their names."""
    if sheet is None:
        return {}
    found = {each.name: each.at for each in shown_plan.things(sheet, Side.DIAL)}
    return {name: at for name, at in found.items() if not name.startswith(("jewel of", "bush of"))}


def _remark(finding: Finding, names: dict[str, str]) -> Remark:
    text = f"{finding.says} {' '.join(finding.parts)}"
    about = [name for name in names if f"'{name}'" in text or f"under {name}" in text]
    about += [name for name in ("stem",) if name in names and "stem" in finding.says]
    lights = tuple(dict.fromkeys((*finding.parts, *about)))
    at = f"sheet:{names[about[0]]}" if about else ""
    return Remark(
        finding.grade.value, finding.check, finding.says, finding.remedy, finding.origin,
        lights, at, finding.lacks,
    )  # fmt: skip
