"""A holder for a demand: the families asked in order of preference, judged, reasons kept.

The order is that of the work of making and using the holder: a ring that carries the rim before
one with posts, an open slot before a plunger. A low movement is carried on posts first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from nests.choosing import Case, NotFound, choose, in_the_way
from nests.families import family, offered, written
from nests.finding import Finding, Grade, Refused, worst
from nests.given.at_work import at_work, pressed
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.recipe import Recipe
from nests.planning.demand import Demand
from nests.units import BadInput


@dataclass(frozen=True)
class Way:
    """A family with its options."""

    family: str
    options: Mapping[str, Any] = field(default_factory=dict)


def ways(work: Sheet, demand: Demand) -> tuple[Way, ...]:
    """Families that may serve a demand on a workpiece, the preferred first; they say it."""
    found = offered(work, demand.operation("asked", ""))
    return tuple(Way(name, each.options) for name, each in found)


@dataclass(frozen=True)
class Trial:
    """A holder that meets a demand, or the reasons why none does; `slides` says that every family
    refused it for a jewel that no post keeps in place, whatever is engraved."""

    recipe: Recipe | None = None
    volume: float = 0.0
    findings: tuple[Finding, ...] = ()
    reasons: tuple[str, ...] = ()
    slides: bool = False

    @property
    def grade(self) -> Grade:
        """The gravest grade among the findings."""
        return worst(self.findings) if self.recipe is not None else Grade.STOP

    @property
    def family(self) -> str:
        """The family that wrote its recipe."""
        return "" if self.recipe is None else self.recipe.family

    @property
    def posts(self) -> tuple[str, ...]:
        """The pressed arbors it has a post under."""
        return () if self.recipe is None else posts_under(self.recipe)


@dataclass
class Workshop:
    """The holders a sheet and a printer allow; each demand is tried once, and not at all where it
    asks no less than one that a jewel would not bear."""

    sheet: Sheet
    card: PrinterCard
    _known: dict[tuple[Demand, str, str], Trial] = field(default_factory=dict)

    def make(self, demand: Demand, name: str, mark: str = "") -> Trial:
        """The holder for a demand under a name, which is engraved unless there is a mark, judged
        by every check."""
        if (demand, name, mark) not in self._known:
            hopeless = (
                trial for (less, *_), trial in self._known.items()
                if trial.slides and demand.asks_no_less(less)
            )  # fmt: skip
            self._known[demand, name, mark] = next(hopeless, None) or self._first_that_holds(
                demand, name, mark
            )
        return self._known[demand, name, mark]

    def _first_that_holds(self, demand: Demand, name: str, mark: str) -> Trial:
        operation = demand.operation(name, "", mark)
        work = at_work(self.sheet, operation)
        reasons: list[str] = []
        slides: list[bool] = []
        for way in ways(work, demand):
            lacking: list[tuple[str, ...]] = []
            try:
                best = choose(
                    way.family, work, operation, way.options, self.card,
                    suits=partial(_lacks_nothing, lacking), explain=False,
                )  # fmt: skip
                faults = list(lacks(best.recipe))
                faults += [f.says for f in best.findings if f.grade is Grade.STOP]
                slides.append(False)
            except BadInput as bad:  # a refusal is one, too
                slides.append(isinstance(bad, Refused) and bad.finding.check == "load path")
                faults = [str(bad)] if not lacking or () in lacking else list(lacking[0])
            if not faults:
                return Trial(best.recipe, best.study.solid.volume(), best.findings)
            reasons += [f"{way.family}: {fault}" for fault in faults]
        return Trial(reasons=tuple(dict.fromkeys(reasons)), slides=bool(slides) and all(slides))

    def in_the_way(self, demand: Demand) -> tuple[str, ...]:
        """The fact that would have to be another for a demand without a holder, if one is found;
        else of which family it is not known."""
        operation = demand.operation("asked", "")
        work, unknown = at_work(self.sheet, operation), []
        for way in ways(work, demand):
            try:
                found = in_the_way(way.family, Case(work, operation, way.options, self.card))
            except NotFound as bad:
                unknown.append(f"{way.family}: not assessed: {bad}.")
                continue
            if found is not None:
                return (f"{way.family}: it would do {found.says}.",)
        return tuple(unknown)


def posts_under(recipe: Recipe) -> tuple[str, ...]:
    """The arbors pressed in the recipe's operation that it has a post under; with two on one axis
    the one whose jewel the post meets."""
    sheet, down = recipe.workpiece, recipe.side_up.other
    met = {sheet.outermost(n, down).name for n in pressed(sheet, recipe.operation)}
    return tuple(u for part in recipe.parts for u in part.serves().under if u in met)


def write(work: Sheet, operation: Operation, way: Way, card: PrinterCard) -> Recipe:
    """The recipe of a way for the workpiece as it is during the operation."""
    return written(way.family, work, operation, family(way.family).Wish(**way.options), card)


def _lacks_nothing(lacking: list[tuple[str, ...]], recipe: Recipe) -> bool:
    """Whether a recipe leaves nothing out, known without judging; what it leaves out is added."""
    lacking.append(lacks(recipe))
    return not lacking[-1]


def lacks(recipe: Recipe) -> tuple[str, ...]:
    """What a recipe leaves out of its own operation: support, hold, reach."""
    operation, sheet = recipe.operation, recipe.workpiece
    served = [part.serves() for part in recipe.parts]
    posts = {name for each in served for name in each.under}
    out = [
        f"no post under '{name}', which is pressed with {force:g} N"
        for name, force in pressed(sheet, operation).items()
        if sheet.outermost(name, recipe.side_up.other).name not in posts
    ]
    if operation.turned_over and not any(each.holds for each in served):
        out.append("nothing holds the workpiece when it is turned over")
    if operation.stem and not any(each.stem for each in served):
        out.append("no slot for the stem")
    if operation.pushers:
        reached = {name for each in served for name in each.pushers}
        out += [f"no way to the pusher '{p.name}'" for p in sheet.pushers
                if p.name not in reached and not sheet.through_the_crown(p)]  # fmt: skip
    if not any(each.carries for each in served):
        out.append("nothing carries the workpiece")
    return tuple(out)
