"""A holder tried while somebody is still at it: its shape at once, and each check by itself.

What is tried is what the family prefers, or a recipe as it stands; the pack is made by `pack`, and
by the same functions.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from nests.checks import judge, names
from nests.consistency import require_recipe
from nests.finding import Finding
from nests.given.at_work import fitted, pressed
from nests.given.operation import Operation, WorkPlan
from nests.given.sheet import Sheet
from nests.holder.compose import Holder, compose, refuse_wrong_kind
from nests.holder.recipe import Recipe
from nests.orders.order import order
from nests.orders.remedied import remedied
from nests.orders.remedies import apply
from nests.places import Place
from nests.study import Study
from nests.units import BadInput


@dataclass(frozen=True)
class Standing:
    """A post as it stands: number and label of its part, what it carries, its place on the
    movement, and the ⌀ of what meets it."""

    index: int
    label: str
    under: str
    at: Place
    wide: float


@dataclass(frozen=True)
class Trial:
    """A recipe with its solid, and what arose before it was composed."""

    recipe: Recipe
    notes: tuple[Finding, ...]
    study: Study

    @property
    def holder(self) -> Holder:
        """The recipe as a solid."""
        assert self.study.holder is not None
        return self.study.holder

    def found(self, side: str) -> Iterator[tuple[str, tuple[Finding, ...]]]:
        """Findings of one side, `bench` or `printer`, check by check, with the check's name; what
        contradicts itself in the composition is told with the bench."""
        first = ("composition", "consistency") if side == "bench" else ()
        for name in (*first, *names(side)):
            yield name, judge(self.study, (name,))

    def of_same_parts(self, other: Trial) -> bool:
        """Whether it is the same solid: of the same parts on the same workpiece, whatever was said
        when they were chosen."""
        mine, its = (replace(each.recipe, reasons=()) for each in (self, other))
        return mine == its

    @property
    def checks(self) -> int:
        """How many checks the printer's side has."""
        return len(names("printer"))

    def posts(self) -> tuple[Standing, ...]:
        """Its posts, in the order of the recipe."""
        site, out = self.recipe.site(), []
        for index, each in enumerate(self.holder.laid[1:]):
            post = each.part.post()
            if post is not None:
                at = site.frame.place(post.foothold(site).at)
                out.append(Standing(index, each.label, post.under, at, post.wide))
        return tuple(out)

    def presses(self) -> Mapping[str, float]:
        """N on each arbor that is pressed."""
        return pressed(self.recipe.workpiece, self.recipe.operation)


def tried(
    family: str,
    options: Mapping[str, Any],
    *,
    sheet: Sheet | None,
    operation: Operation | str | None,
    work: WorkPlan | None = None,
) -> Trial:
    """What a family prefers, composed. Raises `BadInput` and `Refused`."""
    made = order(family, options, sheet=sheet, operation=operation, work=work, search=False)
    # what it is made from was required to agree with itself there
    return Trial(made.recipe, made.notes, Study.of(compose(made.recipe)))


def stood(recipe: Recipe) -> Trial:
    """A recipe as it stands, composed. Raises `BadInput` and `Refused`."""
    refuse_wrong_kind(recipe.kind, recipe.workpiece)
    require_recipe(recipe)
    return Trial(recipe, (), Study.of(compose(recipe)))


def reread(recipe: Recipe, sheet: Sheet) -> Recipe:
    """A recipe on its workpiece as it is measured now: a movement, or the sub-assembly its
    operation is done on. Raises `BadInput`."""
    on = recipe.operation.on
    whole = sheet.sub_assembly(on) if on not in ("", sheet.name) else sheet
    return replace(recipe, workpiece=fitted(whole, recipe.operation))


def cured_of(recipe: Recipe, finding: Finding) -> tuple[Recipe, str]:
    """A recipe with the remedy of one finding applied, and what was changed. Raises `BadInput`
    where none applies."""
    change = remedied(recipe, finding)
    if change is None:
        raise BadInput(
            f"no change of the recipe alone cures this: {finding.says}"
            + (f" What would: {finding.remedy}." if finding.remedy else "")
        )
    return change.recipe, change.says


def cured(recipe: Recipe) -> tuple[Recipe, tuple[str, ...]]:
    """A recipe with every remedy applied that may be, and what was changed. Raises `BadInput` where
    no remedy applies."""
    fresh, says = apply(recipe)
    if not says:
        raise BadInput("no remedy applies: what is found is not of the recipe's own making.")
    return fresh, says
