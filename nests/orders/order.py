"""From what a person asks for to a recipe: the one place the faces call."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any, TypeVar

from nests import families
from nests.choosing import Case, Choice, NotFound, Say, choose, in_the_way, silent
from nests.consistency import require_card, require_consistent, require_plan
from nests.finding import Finding, Grade
from nests.given.at_work import at_work, by_kind_words
from nests.given.operation import USUAL, Operation, WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.stand_in import BySizes, require_no_press
from nests.holder.recipe import Recipe
from nests.kinds import given
from nests.units import LIGNE, BadInput, Record, require_date

R = TypeVar("R", bound=Record)


@dataclass(frozen=True)
class Order:
    """A recipe and the findings that arose before it was composed."""

    recipe: Recipe
    notes: tuple[Finding, ...] = ()
    choice: Choice | None = None
    """How it was chosen and judged, for whoever goes on with it; none for a recipe as preferred."""


def order(
    family: str,
    options: Mapping[str, Any],
    *,
    sheet: Sheet | Path | str | None = None,
    operation: Operation | str | None = None,
    work: WorkPlan | Path | str | None = None,
    printer: PrinterCard | Path | str | None = None,
    date: str = "",
    in_lignes: tuple[str, ...] = (),
    search: bool = True,
    progress: Say = silent,
) -> Order:
    """The best recipe a family can write. `options` are fields of its `Wish`, in mm and N.

    Without `search` it is the one the family prefers, neither judged nor varied.

    `date` is kept in the recipe: nothing here looks at a clock. `in_lignes` names the options that
    were typed in lignes; `progress` is told what is tried. Raises `BadInput` and `Refused`.
    """
    require_date(date)
    rule = families.family(family)
    known = [each.name for each in fields(rule.Wish)]
    for name in options:
        if name not in known:
            raise BadInput(
                f"the family '{family}' has no option '{name}'; it has {', '.join(known)}."
            )
    card, plan = card_in(printer), plan_in(work)
    chosen = plan.operation(operation) if isinstance(operation, str) else operation
    sub = options.get("sub_assembly")
    if chosen is not None and sub and chosen.on in ("", sub):  # once is enough
        chosen, options = replace(chosen, on=sub), {**options, "sub_assembly": None}
    wish = rule.Wish(**{k: v for k, v in options.items() if v is not None})
    if sheet is not None:
        if isinstance(wish, BySizes) and (sizes := wish.given()):
            raise BadInput(
                f"--{sizes[0].replace('_', '-')} is for a holder without a sheet; enter it on the "
                "sheet, or leave the sheet out."
            )
        workpiece = given(sheet, Sheet)
    else:
        workpiece = _stand_in(family, wish, chosen)
    require_consistent(workpiece)  # a family counts on it
    notes = tuple(_ligne_note(name, options[name]) for name in in_lignes)
    if chosen is not None:
        whole = workpiece.sub_assembly(chosen.on) if chosen.on else workpiece
        workpiece = at_work(workpiece, chosen)
        notes += tuple(map(_by_kind_note, by_kind_words(whole, chosen.absent)))
    asked = {k: v for k, v in options.items() if v is not None}
    if not search:
        made = families.written(family, workpiece, chosen, wish, card)
        return Order(replace(made, date=date), notes)
    best = choose(family, workpiece, chosen, asked, card, date=date, say=progress)
    if best.faults[0]:
        notes += _in_the_way(family, Case(workpiece, chosen, asked, card), progress)
    return Order(best.recipe, notes, best)


def _in_the_way(family: str, case: Case, progress: Say) -> tuple[Finding, ...]:
    """A note of the fact that would have to be another, where a stop is left whatever is varied, or
    that it is not known."""
    try:
        found = in_the_way(family, case, progress)
    except NotFound as unknown:
        says = f"not assessed: {unknown}, for a {family} holder without a stop."
        return (Finding(check="choosing", grade=Grade.UNKNOWN, says=says),)
    if found is None:
        return ()
    return (
        Finding(
            check="choosing",
            grade=Grade.MEND,
            says=f"nothing that may vary leaves the {family} holder without a stop; it would do "
            f"{found.says}.",
            remedy="measure again, or do it otherwise",
        ),
    )


def card_in(card: PrinterCard | Path | str | None) -> PrinterCard:
    """A printer card, also that in a file, or common practice. Raises `BadInput`, also for a card
    that cannot be true."""
    return PrinterCard() if card is None else _true(card, PrinterCard, require_card)


def plan_in(plan: WorkPlan | Path | str | None) -> WorkPlan:
    """A work plan, also that in a file, or the usual operations. Raises `BadInput`, also for a plan
    that cannot be true."""
    return USUAL if plan is None else _true(plan, WorkPlan, require_plan)


def _true(value: R | Path | str, cls: type[R], require: Callable[[R], None]) -> R:
    found = given(value, cls)
    try:
        require(found)
    except BadInput as bad:
        where = f"{Path(value).name}: " if isinstance(value, Path | str) else ""
        raise BadInput(*(f"{where}{each}" for each in bad.faults)) from None
    return found


def _stand_in(family: str, wish: Record, operation: Operation | None) -> Sheet:
    """The sheet that stands in for one, from the sizes among the options. Raises `BadInput`."""
    if not isinstance(wish, BySizes):
        raise BadInput(f"the family '{family}' needs --sheet FILE.")
    require_no_press(vars(wish))
    return wish.stand_in(wish.up(operation.side_up if operation else None))


def _by_kind_note(says: str) -> Finding:
    return Finding(check="operation", grade=Grade.CLEAR, says=says, origin="'what' on the sheet")


def _ligne_note(name: str, value: float) -> Finding:
    return Finding(
        check="measure",
        grade=Grade.MEND,
        value=value,
        unit="mm",
        origin="definition of the ligne",
        says=f"{name} was given in lignes: {value / LIGNE:.4g} ligne = {value:.2f} mm. A nominal "
        "size in lignes is often listed some tenths of a mm smaller; it is a prefill only.",
        remedy=f"measure the {name} and give it in mm",
    )
