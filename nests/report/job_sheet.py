"""The job sheet: a whole work plan for the bench, operation by operation, with its holders."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from nests.operation import Operation, WorkPlan
from nests.plan import Plan, PlannedHolder
from nests.report import cautions
from nests.report.apart import ONE_OF_EACH, kept_apart, told_apart
from nests.report.blocks import Block, Document, Heading, Listing, Paragraph, Picture, Table
from nests.report.wording import counted, remarks, sentence
from nests.sheet import Sheet

STATES = {"in drawer": "in the drawer", "to print": "to print", "none": "NONE"}


def job_sheet(
    plan: Plan, work: WorkPlan, sheet: Sheet, pictures: Mapping[str, bytes], digest: str
) -> Document:
    """The binder of a job.

    `pictures` are PNGs of the holders by name, as far as there are some; `digest` identifies the
    plan. The operations of `work` stand in its order.
    """
    asked = {each.name: each for each in work.operations}
    open_facts = tuple(dict.fromkeys(fact for h in plan.holders for fact in h.open_facts))
    blocks: list[Block] = [
        Heading("May the job start?"),
        Paragraph(f"{_verdict(plan)} {plan.says}"),
        Heading("Before the first movement is touched"),
        Paragraph(cautions.FIRST),
        Listing((*cautions.BENCH, cautions.UNPROVED)),
        Heading("Operations in order"),
        _operations(plan, asked),
        Heading("Holders"),
        _holders(plan),
        *_still_open(open_facts),
        *_each(plan.holders, pictures),
    ]
    if plan.apart:
        blocks += [Heading("Why these cannot share a holder"), Listing(tuple(_apart(plan)))]
    return Document(
        title=f"Job sheet: {sheet.name}",
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


def _operations(plan: Plan, asked: Mapping[str, Operation]) -> Table:
    rows = []
    for number, each in enumerate(plan.operations, 1):
        operation = asked.get(each.name)
        on = f", on {each.on}" if each.on else ""
        says = f": {operation.says}" if operation is not None and operation.says else ""
        rows.append(
            (
                f"{number}. {each.name}{on}{says}",
                f"{each.side_up.value} up",
                _pressed(operation),
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


def _pressed(operation: Operation | None) -> str:
    if operation is None:
        return ""
    words = [f"{p.arbor}: up to {p.hardest:g} N" for p in operation.presses]
    words += ["stem"] if operation.stem else []
    words += ["pushers"] if operation.pushers else []
    words += ["turned over"] if operation.turned_over else []
    return "; ".join(words) or "nothing"


def _holders(plan: Plan) -> Table:
    return Table(
        "What must lie ready",
        ("Holder", "Where", "Used for", "Posts under", "Ready"),
        tuple(
            (
                each.name,
                STATES[each.state] + (f" ({each.pack})" if each.pack else ""),
                ", ".join(each.used) or "-",
                ", ".join(each.posts) or "no arbor",
                "",
            )
            for each in plan.holders
        ),
        (0.26, 0.20, 0.26, 0.18, 0.10),
        blanks=(4,),
    )


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
