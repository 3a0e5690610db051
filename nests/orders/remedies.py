"""Remedies: findings that a change of the recipe cures, and the change.

Each rule takes one finding and returns the changed recipe with a sentence, or None where it
cannot help. A rule never touches what the workpiece asks for: places, heights and seats follow
from the sheet. A vent that is in the way of something is moved before a size is changed; where no
rule helps against what stops the print, another pose is tried.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from nests.checks import judge, names
from nests.choosing import counted, judged
from nests.families import vent
from nests.finding import Finding, Grade
from nests.holder.compose import Holder, compose
from nests.holder.recipe import Recipe
from nests.parts.base import Part
from nests.places import Place
from nests.printing.search import DRAWN_UP, UNTOUCHED, search
from nests.study import Study
from nests.units import BadInput, dial_hour

ROUNDS = 4
"""A change may bring up the next finding; after so many rounds what is left is left."""
BAD = (Grade.STOP, Grade.MEND)
STEPS = 24
"""Hours at which a vent is tried on either side of where it is."""
CROWDED = ("composition", "gap", "wall")
"""What is found where a vent is in the way of something."""
VENTED = ("suction", "trapped resin")
"""What a vent is there for."""
POSED = frozenset({"overhang", "island", "suction", "trapped resin"})
"""What another pose may cure."""


@dataclass(frozen=True)
class Change:
    """A changed recipe and what was changed, in one sentence."""

    recipe: Recipe
    says: str


Rule: TypeAlias = Callable[[Holder, Finding], Change | None]


def apply(recipe: Recipe) -> tuple[Recipe, tuple[str, ...]]:
    """The recipe with every finding cured that a rule can cure, and what was changed.

    Raises `Refused` and `BadInput` where the recipe as given cannot be composed.
    """
    said: list[str] = []
    for _ in range(ROUNDS):
        holder = compose(recipe)
        findings = judge(Study.of(holder))
        change = (
            vent_moved(holder, findings, Grade.STOP)
            or first(holder, findings, Grade.STOP)
            or posed_anew(holder, findings)
            or first(holder, findings, Grade.MEND)
            or vent_moved(holder, findings, Grade.MEND)
        )
        if change is None:
            break  # else look again: it may have cured more, or brought up something
        recipe = change.recipe
        said.append(change.says)
    return recipe, tuple(said)


def first(holder: Holder, findings: Sequence[Finding], grade: Grade) -> Change | None:
    """The change for the first finding of a grade that has one."""
    for finding in own(holder, findings):
        rule = RULES.get(finding.check)
        if rule is None or finding.grade is not grade:
            continue
        change = rule(holder, finding)
        if change is not None and _helps(change.recipe, finding):
            return change
    return None


def vent_moved(
    holder: Holder, findings: Sequence[Finding], grade: Grade, about: Finding | None = None
) -> Change | None:
    """A vent that a finding of a grade blames, or one of them, at the nearest hour at which less is
    found."""
    asked = findings if about is None else (about,)
    blaming = [f for f in own(holder, asked) if f.grade is grade and f.check in CROWDED]
    blamed = {label for each in blaming for label in each.parts}
    recipe, before = holder.recipe, counted(findings)
    for index, each in enumerate(holder.laid[1:]):
        lies = each.part.lies(recipe.site()) if each.part.lets_out else None
        if lies is None or each.label not in blamed:
            continue
        for step in range(2, 2 * STEPS + 1):
            at = round((lies.hour + (-1) ** step * (step // 2) * 6.0 / STEPS) % 12.0, 2)
            moved = each.part.moved_to(at)
            if moved is None:
                break
            fresh = replace(
                recipe, parts=(*recipe.parts[:index], moved, *recipe.parts[index + 1 :])
            )
            stands = _no_worse(fresh, findings, grade)
            if stands and counted(judged(fresh).findings) < before:
                return Change(fresh, f"{each.label}: moved to {dial_hour(at)} h")
    return None


def _no_worse(recipe: Recipe, findings: Sequence[Finding], grade: Grade) -> bool:
    """Whether a recipe stands, and each of the checks that a vent matters to stops it no more often
    than among findings, and for a mend finds no more to mend; the quickest is asked first."""
    told = slice(1 if grade is Grade.STOP else 2)
    try:
        study = Study.of(compose(recipe))
        return all(
            counted(judge(study, (name,)))[told]
            <= counted([f for f in findings if f.check == name])[told]
            for name in (*CROWDED, *VENTED)
        )
    except BadInput:
        return False


def posed_anew(holder: Holder, findings: Sequence[Finding]) -> Change | None:
    """The best pose on the plate in which nothing of what a pose can cure stops the print."""
    before = {f.check for f in own(holder, findings) if f.grade is Grade.STOP}
    if not before & POSED:
        return None
    recipe = holder.recipe
    found = search(holder.solid, recipe.printer, DRAWN_UP if holder.contacts else UNTOUCHED)
    for figures in found.ranking:
        pose = figures.pose
        if pose == recipe.pose or pose.on_supports or figures.stopped(recipe.printer):
            continue
        fresh = replace(recipe, pose=pose)
        after = judge(Study.of(replace(holder, recipe=fresh)), names("printer"))
        stops = {f.check for f in own(holder, after) if f.grade is Grade.STOP}
        if stops <= before - POSED:
            return Change(
                fresh,
                f"pose: {recipe.pose.words()} to {figures.words()}; {found.tried} poses tried in "
                f"layers of {found.layer:g} mm, the next best is {found.after(figures).words()}",
            )
    return None


def own(holder: Holder, findings: Sequence[Finding]) -> list[Finding]:
    """The findings without those of loose bodies, which no change of the holder cures."""
    loose = {name for name, _ in holder.beside}
    return [each for each in findings if not loose.intersection(each.parts)]


def _helps(recipe: Recipe, finding: Finding) -> bool:
    """Whether a recipe stands, and the finding is gone from it or at least less grave."""
    try:
        found = judge(Study.of(compose(recipe)), (finding.check,))
    except BadInput:
        return False
    same = [f for f in found if f.parts == finding.parts and f.grade in BAD]
    return all(_lack(f) < _lack(finding) - 1e-3 for f in same)


def _lack(finding: Finding) -> float:
    """By how much a finding misses its limit."""
    if finding.value is None or finding.limit is None:
        return 0.0
    return abs(finding.value - finding.limit)


def _changed(holder: Holder, label: str, field: str, value: float) -> Change | None:
    """Set one field of the part with that label, inside the field's own limits."""
    index = next((i for i, each in enumerate(holder.laid) if each.label == label), None)
    if index is None:
        return None
    part, recipe = holder.laid[index].part, holder.recipe
    was = getattr(part, field)
    try:
        fresh = replace(part, **{field: round(value, 3)})
    except BadInput:
        return None
    unit = part.__dataclass_fields__[field].metadata["quantity"].unit
    says = f"{label}: {field.replace('_', ' ')} {was:g} to {round(value, 3):g} {unit}"
    if index == 0:
        return Change(replace(recipe, body=fresh), says)  # type: ignore[arg-type]
    parts: tuple[Part, ...] = (*recipe.parts[: index - 1], fresh, *recipe.parts[index:])
    return Change(replace(recipe, parts=parts), says)


def _resize(
    holder: Holder, finding: Finding, size: Callable[[Part], str], sign: float
) -> Change | None:
    """Change a size of one of the parts named by as much as is lacking, and a hair."""
    if finding.value is None or finding.limit is None:
        return None
    lack = sign * (finding.limit - finding.value + 0.05)
    parts = {each.label: each.part for each in holder.laid}
    for label in finding.parts:
        part = parts.get(label)
        field = size(part) if part is not None else ""
        if part is not None and field:
            change = _changed(holder, label, field, getattr(part, field) + lack)
            if change is not None:
                return change
    return None


def _thicker(part: Part) -> str:
    return part.thickens


def _wider(part: Part) -> str:
    return part.widens


def _narrower(part: Part) -> str:
    return part.narrows


def _wall(holder: Holder, finding: Finding) -> Change | None:
    if len(finding.parts) > 1:  # between two parts: cut less before building more
        less = _resize(holder, finding, _narrower, -2.0)
        if less is not None:
            return less
    return _resize(holder, finding, _thicker, 1.0)


def _gap(holder: Holder, finding: Finding) -> Change | None:
    return _resize(holder, finding, _wider, 1.0)


def _vent(holder: Holder, finding: Finding) -> Change | None:
    """A vent at the end of the void nearest the plate, where it meets nothing else."""
    site, recipe = holder.recipe.site(), holder.recipe
    level: Literal["foot", "floor"] = "foot" if site.floor <= 0.0 else "floor"
    near = Place(*finding.place[:2]).hour if finding.place is not None else 7.5
    for step in range(24):
        at = round((near + 7.5 + (step + 1) // 2 * (-1) ** step * 0.5) % 12.0, 2)
        for width in (2.0, 1.4, 1.0):
            fresh = replace(
                recipe,
                parts=(*recipe.parts, vent(at, level, width)),
            )
            if _cured(fresh, finding.check):
                return Change(fresh, f"a vent of {width:g} mm at {dial_hour(at)} h, on the {level}")
    return None


def _cured(recipe: Recipe, check: str) -> bool:
    """Whether a recipe stands, and neither this check nor a conflict of parts stops it."""
    try:
        found = judge(Study.of(compose(recipe)), ("composition", check, "wall"))
    except BadInput:
        return False
    return all(f.grade not in BAD for f in found)


def _foot(holder: Holder, finding: Finding) -> Change | None:
    if finding.limit is None or finding.parts != ("body",):
        return None
    card, pose = holder.recipe.printer, holder.recipe.pose
    edge = {0.0: "foot_chamfer", 180.0: "edge_chamfer"}.get(pose.lean)
    if edge is None:
        return None
    return _changed(holder, "body", edge, max(card.foot_spread, card.foot_height) + 0.1)


def _overhang(holder: Holder, finding: Finding) -> Change | None:
    """A level underside is as long as the card lets it be."""
    for each in holder.laid:
        if each.label in finding.parts and each.part.hangs:
            longest = holder.recipe.printer.longest_underside
            return _changed(holder, each.label, each.part.hangs, longest)
    return None


def _detail(holder: Holder, finding: Finding) -> Change | None:
    if finding.limit is None or len(finding.parts) != 1:
        return None
    part = next((e.part for e in holder.laid if e.label == finding.parts[0]), None)
    if part is None or not part.strokes:
        return _resize(holder, finding, _thicker, 1.0) or _resize(holder, finding, _wider, 1.0)
    return _changed(holder, finding.parts[0], "height", finding.limit)


RULES: dict[str, Rule] = {
    "wall": _wall,
    "gap": _gap,
    "suction": _vent,
    "trapped resin": _vent,
    "foot": _foot,
    "overhang": _overhang,
    "fine detail": _detail,
}
"""The rule for each check; one that is not here has no remedy in the recipe."""
