"""The job sheet: a whole work plan for the bench, operation by operation, with its holders."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from nests.given.at_work import at_work, pressed
from nests.given.operation import Operation, WorkPlan
from nests.given.sheet import Sheet
from nests.kinds.plan import Plan, PlannedHolder
from nests.letters.engraving import called
from nests.papers.report import cautions
from nests.papers.report.apart import ONE_OF_EACH, kept_apart, told_apart
from nests.papers.report.blocks import Block, Document, Heading, Listing, Paragraph, Picture, Table
from nests.papers.report.refused import TITLE, refused
from nests.papers.report.wording import counted, remarks, sentence
from nests.units import BadInput

STATES = {"in drawer": "in the drawer", "to print": "to print", "none": "NONE"}


def job_sheet(
    plan: Plan, work: WorkPlan, sheet: Sheet, pictures: Mapping[str, bytes], digest: str
) -> Document:
    """The binder of a job.

    `pictures` are PNGs of the holders by name, as far as there are some; `digest` identifies the
    plan. The operations of `work` stand in its order.
    """
    asked = {each.name: each for each in work.operations}
    prints = any(each.state == "to print" for each in plan.holders)
    open_facts = tuple(dict.fromkeys(fact for h in plan.holders for fact in h.open_facts))
    blocks: list[Block] = [
        Heading("May the job start?"),
        Paragraph(f"{_verdict(plan)} {plan.says}"),
        Heading("Before the first movement is touched"),
        Paragraph(cautions.FIRST),
        Listing(
            (
                *(cautions.RESIN if prints else ()),
                *cautions.bench(sheet),
                cautions.UNPROVED,
            )
        ),
        Heading("Operations in order"),
        _operations(plan, asked, sheet),
        Heading("Holders"),
        _holders(plan),
        *_to_buy(plan.holders),
        *_still_open(open_facts),
        *_should_change(plan.holders),
        *_refused(plan),
        *_each(plan.holders, pictures),
    ]
    if plan.apart:
        blocks += [Heading("Why these cannot share a holder"), Listing(tuple(_apart(plan)))]
    return Document(
        title=f"Job sheet: {called(sheet)}",
        subtitle=f"{sentence(work.name)}; {counted(len(work.operations), 'operation')} in "
        f"{counted(len(plan.holders), 'holder')}.{remarks(sheet.remarks)}",
        name=f"{sheet.name} · {work.name} · plan {digest}",
        blocks=tuple(blocks),
    )


def _verdict(plan: Plan) -> str:
    if not plan.may_start:
        return "NO: do not start."
    missing = any(each.state == "to print" for each in plan.holders)
    return "Yes, on a condition." if missing else "Yes."


def _operations(plan: Plan, asked: Mapping[str, Operation], sheet: Sheet) -> Table:
    rows = []
    for number, each in enumerate(plan.operations, 1):
        operation = asked.get(each.name)
        named = each.name if operation is None else called(operation)
        on = f", on {each.on}" if each.on else ""
        says = f": {operation.says}" if operation is not None and operation.says else ""
        rows.append(
            (
                f"{number}. {named}{on}{says}",
                f"{each.side_up.value} up",
                _pressed(operation, sheet),
                each.holder or f"{STATES['none']}: {' '.join(each.reasons)}",
                "",
            )
        )
    return Table(
        "Tick each when it is done",
        ("Operation", "Side", "Pressed and reached", "Holder", "Done"),
        tuple(rows),
        (0.32, 0.11, 0.22, 0.25, 0.10),
        blanks=(4,),
    )


def _pressed(operation: Operation | None, sheet: Sheet) -> str:
    if operation is None:
        return ""
    try:
        forces = pressed(at_work(sheet, operation), operation)
    except BadInput:  # there is no holder for it; the plan says why
        words = [f"{e.arbor}: {_newtons(e.stated)}" for e in operation.presses]
    else:
        words = [f"{name}: {_newtons(force)}" for name, force in forces.items()]
    words += ["stem"] if operation.stem else []
    words += ["pushers"] if operation.pushers else []
    words += ["turned over"] if operation.turned_over else []
    return "; ".join(words) or "nothing"


def _newtons(force: float | None) -> str:
    return "as usual for what it carries" if force is None else f"up to {force:g} N"


def _holders(plan: Plan) -> Table:
    return Table(
        "What must lie ready",
        ("Holder", "Where", "Used for", "Posts under", "Ready"),
        tuple(
            (
                each.name + (f" (engraved {each.engraved})" if each.engraved else ""),
                _where(each),
                ", ".join(each.used) or "-",
                ", ".join(each.posts) or "no arbor",
                "",
            )
            for each in plan.holders
        ),
        (0.26, 0.20, 0.26, 0.18, 0.10),
        blanks=(4,),
    )


def _where(holder: PlannedHolder) -> str:
    """Where a holder is, how it stands and how it was judged."""
    about = STATES[holder.state] + (f" ({holder.pack})" if holder.pack else "")
    about += ", WORN" if holder.condition == "worn" else ""
    return f"{about}; grade {holder.grade}"


def _should_change(holders: tuple[PlannedHolder, ...]) -> Iterable[Block]:
    told = tuple(f"{each.name}: {mend}" for each in holders for mend in each.mends)
    if told:
        yield Heading("Works, but should change")
        yield Listing(told)


def _refused(plan: Plan) -> Iterable[Block]:
    if told := refused(plan):
        yield Heading(TITLE)
        yield Listing(told)


def _to_buy(holders: tuple[PlannedHolder, ...]) -> Iterable[Block]:
    told = tuple(f"{each.name}: {line}" for each in holders for line in each.to_buy)
    if told:
        yield Heading("To buy, cut and drill")
        yield Listing(told)


def _still_open(facts: tuple[str, ...]) -> Iterable[Block]:
    if facts:
        yield Heading("Not assessed: measure first")
        yield Listing(facts)


def _each(holders: tuple[PlannedHolder, ...], pictures: Mapping[str, bytes]) -> Iterable[Block]:
    shown = [each for each in holders if each.name in pictures]
    if shown:
        yield Heading("Each holder")
    for each in shown:
        yield Heading(sentence(each.name), 3)
        yield Paragraph(f"{sentence(each.side_up.value)} side up; grade {each.grade}.")
        yield Picture(pictures[each.name], f"{sentence(each.name)}: outside, and cut")


def _apart(plan: Plan) -> Iterable[str]:
    """Each reason once, with what it keeps apart."""
    yield ONE_OF_EACH
    for each in kept_apart(told_apart(plan)):
        sets = (f"{', '.join(first)} from {', '.join(second)}" for first, second in each.sets)
        yield f"{sentence(each.says)} It keeps apart {'; '.join(sets)}."
