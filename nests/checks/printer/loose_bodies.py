"""Loose bodies: what is printed beside the holder is judged like the holder, in its own pose.

The pose is searched, see `nests.printing.search`; the files to print from hold the body in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from nests.finding import Finding, Grade
from nests.printing.search import Search
from nests.study import Study

NAME = "loose bodies"


def check(study: Study) -> list[Finding]:
    """What is not `clear` about each body by all other printing checks, and the pose chosen."""
    alike: dict[int, list[Study]] = {}  # by the search that bodies of one shape share
    searches = {id(found): found for _, found in study.loose}
    for body, found in study.loose:
        alike.setdefault(id(found), []).append(body)
    out: list[Finding] = []
    for key, bodies in alike.items():
        faults = _faults(bodies[0])
        out += [_told(each, body) for body in bodies for each in faults]
        out.append(_pose(bodies, searches[key]))
    return out


def _faults(body: Study) -> list[Finding]:
    from nests.checks import judge, names  # the registry, which this check is in itself

    others = [name for name in names("printer") if name != NAME]
    return [each for each in judge(body, others) if each.grade is not Grade.CLEAR]


def _told(finding: Finding, body: Study) -> Finding:
    says = f"{body.name}: {_where(finding)}"
    return replace(finding, parts=(body.name,), place=None, says=says)


def _where(finding: Finding) -> str:
    """The statement with its place, which is in the frame the body is drawn in, not the holder."""
    if finding.place is None:
        return finding.says
    x, y, z = finding.place
    return f"{finding.says[:-1]}, at x {x:.2f}, y {y:.2f}, z {z:.2f} mm of the body as drawn."


def _pose(bodies: Sequence[Study], found: Search) -> Finding:
    names = [body.name for body in bodies]
    each = f", {len(names)} alike, are each" if len(names) > 1 else " is"
    return Finding(
        check=NAME,
        grade=Grade.CLEAR,
        says=f"{' and '.join(names)}{each} printed {found.words()}",
        parts=tuple(names),
        value=found.best.height,
        unit="mm",
    )
