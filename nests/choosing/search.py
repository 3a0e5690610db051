"""The search through what may vary; bounded, and the same every time."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

from nests.checks import judge
from nests.choosing.facts import Case, Fact, NoHolder, fact
from nests.families import family, written
from nests.finding import Finding, Grade, Refused, by_gravity, refuse
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import Holder, compose
from nests.holder.recipe import Recipe
from nests.parts.base import Part
from nests.study import Study
from nests.units import BadInput

COMFORT = "comfort"
"""What a refusal of something that no operation needs is filed under."""
BAD = (Grade.STOP, Grade.MEND)
MOST_LOOKS = 16
"""Variants of parts that are looked at for one holder, by the checks that complained."""
MOST_JUDGED = 5
"""Recipes of other options that are judged in full for one holder, after the preferred one."""
MOST_FOR_A_MEND = 3
"""How many of those at most where one without a stop is found: a mend is lived with."""
MOST_FOR_A_FACT = 150
"""Recipes that are judged while the fact is looked for that stands in the way: about a minute."""

Say: TypeAlias = Callable[[str], None]
"""Takes words of progress."""


def silent(_: str) -> None:
    """Says nothing."""


@dataclass
class Patience:
    """What is left of the looks and judgements that one holder is worth."""

    looks: int = MOST_LOOKS
    judged: int = MOST_JUDGED


class NotFound(Exception):
    """The fact that stands in the way was not found among as many recipes as it is worth."""

    def __str__(self) -> str:
        """What is not known, for a sentence."""
        return (
            f"which fact would have to be another was not found among {MOST_FOR_A_FACT} holders "
            "that were tried"
        )


@dataclass
class Trying:
    """Who tries: what is said meanwhile, and how many recipes may be judged yet; None: any."""

    say: Say = silent
    left: int | None = None
    about: str = ""

    def judged(self, what: str) -> None:
        """Note that a recipe is judged. Raises `NotFound` where none may be."""
        if self.left is not None:
            if self.left == 0:
                raise NotFound
            self.left -= 1
        self.say(f"{self.about}{what} ...")


@dataclass(frozen=True)
class Choice:
    """A recipe with its study and findings; `changed` says in sentences what was varied."""

    recipe: Recipe
    study: Study
    findings: tuple[Finding, ...]
    changed: tuple[str, ...] = ()

    @property
    def holder(self) -> Holder:
        """The recipe as a solid."""
        assert self.study.holder is not None
        return self.study.holder

    @property
    def faults(self) -> tuple[int, int]:
        """How many findings stop it, and how many would have it changed."""
        return counted(self.findings)


def counted(findings: Sequence[Finding]) -> tuple[int, int]:
    """How many findings are a stop, and how many a mend."""
    grades = [each.grade for each in findings]
    return grades.count(Grade.STOP), grades.count(Grade.MEND)


def choose(
    name: str,
    sheet: Sheet,
    operation: Operation | None,
    options: Mapping[str, Any],
    card: PrinterCard,
    *,
    suits: Callable[[Recipe], bool] = lambda _: True,
    date: str = "",
    explain: bool = True,
    say: Say = silent,
) -> Choice:
    """The best holder a family can make; options that are given are never varied.

    `suits` may refuse what it prefers for parts it lacks, which no variation has; with `explain` it
    is found out which fact is in the way where there is none; `say` is told what is tried. Raises
    `NoHolder` where it writes none whatever is varied, with the reason of what it prefers and the
    fact that would have to be another; `Refused` for a wrong use, and `BadInput` for what cannot be
    used.
    """
    case = Case(sheet, operation, options, card)
    try:
        best = _best(name, case, Trying(say), suits)
    except BadInput as error:
        if not explain:
            raise
        raise _explained(name, case, error, suits, say) from None
    reasons = (*best.recipe.reasons, *(f"chosen by trying: {each}." for each in best.changed))
    recipe = replace(best.recipe, reasons=reasons, date=date)
    _require_no_harm(best)
    return replace(best, recipe=recipe, study=_under(recipe, best.study))


def _require_no_harm(best: Choice) -> None:
    """Raise `Refused` where a comfort brings a stop that the holder would not have without it."""
    extra = [each for each in best.recipe.parts if each.comfort]
    if not extra or not best.faults[0]:
        return
    stops = [each for each in by_gravity(best.findings) if each.grade is Grade.STOP]
    for comfort in dict.fromkeys(each.comfort for each in extra):
        kept = tuple(each for each in best.recipe.parts if each.comfort != comfort)
        without = judged(replace(best.recipe, parts=kept))
        if without.faults[0] < best.faults[0]:
            left = {each.says for each in without.findings}
            brought = next(each for each in stops if each.says not in left)
            raise refuse(
                COMFORT,
                f"--{comfort.replace('_', '-')} does harm here: {brought.says}",
                "a thicker wall or a higher body, or leave it out",
            )


def in_the_way(
    name: str,
    case: Case,
    say: Say = silent,
    suits: Callable[[Recipe], bool] = lambda _: True,
) -> Fact | None:
    """The fact that would have to be another for a holder without a stop, None where no one does;
    `say` is told what is tried. Raises `NotFound` where that is not known after as many recipes as
    it is worth."""
    trying = Trying(say, MOST_FOR_A_FACT, "looking for the fact that stands in the way: ")
    return fact(case, lambda changed: _best(name, changed, trying, suits).faults[0] == 0)


def _best(
    name: str, case: Case, trying: Trying, suits: Callable[[Recipe], bool] = lambda _: True
) -> Choice:
    """The best of what may vary. Raises what the family raises of what it prefers."""
    rule = family(name)
    best: Choice | None = None
    refused: BadInput | None = None
    patience = Patience()
    for more in _wishes(rule.Wish, case.options):
        most = MOST_JUDGED if best is None or best.faults[0] else MOST_FOR_A_MEND
        if MOST_JUDGED - patience.judged >= most:
            break
        try:
            wish = rule.Wish(**{**more, **case.options})
            recipe = written(name, case.sheet, case.operation, wish, case.card)
            if not suits(recipe):
                break  # nothing that varies adds a part
            patience.judged -= bool(more)
            trying.judged(f"{name} with {_words(more)}" if more else f"{name} as usual")
            found = mended(judged(recipe), patience, trying)
        except BadInput as error:
            refused = refused or error
            if isinstance(error, Refused) and error.finding.check == "kind":
                break  # a wrong use is one, whatever is varied
            continue
        if more:
            said = f"{_words(more)} instead of the usual"
            found = replace(found, changed=(*found.changed, said))
        if best is None or found.faults < best.faults:
            best = found
        if best.faults == (0, 0):
            break
    if best is not None:
        return best
    if refused is None:
        raise BadInput(f"the family '{name}' writes no holder that meets what is asked.")
    raise refused


def _words(options: Mapping[str, Any]) -> str:
    return ", ".join(f"{k.replace('_', ' ')} {_plain(v)}" for k, v in options.items())


def _explained(
    name: str, case: Case, error: BadInput, suits: Callable[[Recipe], bool], say: Say
) -> BadInput:
    """A refusal with the fact that would have to be another; a wrong use stays as it is."""
    if isinstance(error, Refused) and error.finding.check in ("kind", COMFORT):
        return error
    try:
        found = in_the_way(name, case, say, suits)
    except NotFound as unknown:
        found, says = None, f"Not assessed: {unknown}"
    else:
        says = "" if found is None else f"It would do {found.says}"
    if not says:
        return error
    finding = (
        error.finding
        if isinstance(error, Refused)
        else Finding(check="choosing", grade=Grade.STOP, says=str(error))
    )
    says = f"{finding.says.rstrip('.')}. {says}."
    return NoHolder(replace(finding, says=says), found)


def _under(recipe: Recipe, study: Study) -> Study:
    """The same solid under a recipe of the same parts, with what was worked out of it."""
    assert study.holder is not None
    fresh = replace(study, holder=replace(study.holder, recipe=recipe))
    known = {k: v for k, v in vars(study).items() if k not in vars(fresh)}
    vars(fresh).update(known)
    return fresh


def _wishes(wish: Any, given: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """The usual options, then one after another that may vary and was not given."""
    yield {}
    varies = [
        {field: value}
        for field, values in wish.varies.items()
        if given.get(field) is None
        for value in values
    ]
    yield from varies


def judged(recipe: Recipe, only: Sequence[str] | None = None) -> Choice:
    """A recipe composed and judged by all checks, or by some. Raises `BadInput`."""
    study = Study.of(compose(recipe))
    return Choice(recipe, study, judge(study, only))


def mended(choice: Choice, patience: Patience, trying: Trying) -> Choice:
    """The same holder with parts that are blamed varied, as far as that makes it better."""
    tried: set[tuple[Part, ...]] = set()
    while choice.faults != (0, 0):
        better = None
        blaming = [each for each in by_gravity(choice.findings) if each.grade in BAD]
        asked = tuple(sorted({"composition", *(each.check for each in blaming)}))
        for recipe, says in _variants(choice, blaming):
            if patience.looks == 0:
                return choice
            if recipe.parts in tried:
                continue
            tried.add(recipe.parts)
            patience.looks -= 1
            trying.judged(says.partition(", because")[0])
            try:
                looked = judged(recipe, asked)
                if looked.faults >= choice.faults:
                    continue
                whole = replace(looked, findings=judge(looked.study))
            except BadInput:
                continue
            if whole.faults < choice.faults:
                better = replace(whole, changed=(*choice.changed, says))
                break
        if better is None:
            return choice
        choice = better
    return choice


def _variants(choice: Choice, blaming: Sequence[Finding]) -> Iterator[tuple[Recipe, str]]:
    """What else the parts might be that findings blame, the gravest first."""
    holder = choice.holder
    site, seen = choice.recipe.site(), set()
    for finding in blaming:
        for label in finding.parts:
            index = next((i for i, each in enumerate(holder.laid) if each.label == label), 0)
            if index == 0 or (label, finding.check) in seen:  # the body, or nothing of the holder
                continue
            seen.add((label, finding.check))
            for fresh in holder.laid[index].part.variants(site):
                parts = choice.recipe.parts
                kept = () if fresh is None else (fresh,)
                yield (
                    replace(choice.recipe, parts=(*parts[: index - 1], *kept, *parts[index:])),
                    f"{label} {'left out' if fresh is None else _differs(parts[index - 1], fresh)},"
                    f" because {finding.says.rstrip('.')}",
                )


def _plain(value: object) -> str:
    """A value of an option in words."""
    return f"{value:g}" if isinstance(value, int | float) else str(value)


def _differs(old: Part, new: Part) -> str:
    """What of a part became another, in words."""
    out = []
    for name, field in type(old).__dataclass_fields__.items():
        was, now = getattr(old, name), getattr(new, name)
        if was != now and isinstance(now, int | float):
            unit = field.metadata["quantity"].unit
            out.append(f"{name.replace('_', ' ')} {now:g} {unit}".rstrip())
    return f"with {', '.join(out)}" if out else "in another form"
