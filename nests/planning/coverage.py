"""The coverage table, operation by holder, as text and as a page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from nests.kinds.plan import Plan, PlannedHolder, PlannedOperation
from nests.papers.report import blocks
from nests.papers.report.apart import ONE_OF_EACH, kept_apart, told_apart
from nests.papers.report.page import page
from nests.papers.report.refused import TITLE, refused
from nests.papers.report.wording import sentence

Mark = Literal["used", "can", "not"]
LETTER: dict[Mark, str] = {"used": "X", "can": "o", "not": "."}
LEGEND = "X: done in it; o: could be done in it; .: cannot be done in it"


@dataclass(frozen=True)
class Row:
    """One operation: its name, on what and which side up, a mark for each holder, its state."""

    name: str
    where: str
    marks: tuple[Mark, ...]
    state: str


def rows(plan: Plan) -> tuple[Row, ...]:
    """The table's rows in the order of the work plan."""
    out = []
    for each in plan.operations:
        marks: list[Mark] = [
            "used" if each.name in h.used else "can" if each.name in h.serves else "not"
            for h in plan.holders
        ]
        where = f"{each.on or 'movement'}, {each.side_up.value} up"
        out.append(Row(each.name, where, tuple(marks), each.state))
    return tuple(out)


def holder_line(number: int, holder: PlannedHolder) -> str:
    """A holder in one line."""
    about = [holder.on or "movement", f"{holder.side_up.value} up"]
    about += [holder.family] if holder.family else []
    about += [f"{holder.volume / 1000:.1f} cm³"] if holder.volume else []
    about += [f"posts under {', '.join(holder.posts)}"] if holder.posts else []
    about += ["worn"] if holder.condition == "worn" else []
    if holder.grade != "clear":
        about += [f"grade {holder.grade}" + (", see its findings" if holder.pack else "")]
    return f"{number} {holder.name} ({holder.state}): {'; '.join(about)}"


def as_text(plan: Plan) -> str:
    """The table and what follows from it, for a terminal or a plain file."""
    table = rows(plan)
    wide = max(len(row.name) for row in table)
    where = max(len(row.where) for row in table)
    heads = " ".join(f"{n:>2}" for n in range(1, len(plan.holders) + 1))
    lines = [plan.says, "", f"{'operation':{wide}}  {'on':{where}}  {heads}  holder"]
    for row in table:
        marks = " ".join(f"{LETTER[mark]:>2}" for mark in row.marks)
        lines.append(f"{row.name:{wide}}  {row.where:{where}}  {marks}  {row.state}")
    lines += ["", LEGEND, "", *(holder_line(n, h) for n, h in enumerate(plan.holders, 1)), ""]
    lines.append(verdict(plan))
    if told := refused(plan):
        lines += ["", f"{TITLE}:", *told]
    return "\n".join(lines) + "\n"


def verdict(plan: Plan) -> str:
    """What is proved about the size of the family."""
    if plan.proven:
        return "Proved: fewer holders to print would not serve what these serve."
    if plan.unjudged:
        return f"Not proved: not all of the drawer was judged. {' '.join(plan.unjudged)}"
    share = 100.0 * (plan.weight - plan.bound) / plan.weight if plan.weight else 0.0
    return f"Not proved: time ended; a family might weigh up to {share:.1f} % less."


def as_page(plan: Plan, picture: bytes) -> bytes:
    """The same as one self-contained page, with every why-not."""
    heads = ("operation", "on", *(str(n) for n in range(1, len(plan.holders) + 1)), "holder")
    narrow = min(0.08, 0.6 / max(len(plan.holders), 1))
    widths = (0.18, 0.26, *[narrow] * len(plan.holders), 0.13)
    table = tuple(
        (row.name, row.where, *(LETTER[mark] for mark in row.marks), row.state)
        for row in rows(plan)
    )
    apart = tuple(
        (", ".join(first), ", ".join(second), sentence(each.says))
        for each in kept_apart(told_apart(plan))
        for first, second in each.sets
    )
    content: list[blocks.Block] = [
        blocks.Paragraph(plan.says),
        blocks.Paragraph(verdict(plan)),
        blocks.Heading("Coverage"),
        blocks.Table(LEGEND, heads, table, widths),
        blocks.Picture(picture, "Coverage: operations by holders, the same marks as in the table"),
        blocks.Heading("Holders"),
        blocks.Listing(tuple(holder_line(n, h) for n, h in enumerate(plan.holders, 1))),
    ]
    if told := refused(plan):
        content += [blocks.Heading(TITLE), blocks.Listing(told)]
    served = [each for each in plan.operations if each.holder]
    unserved = [each for each in plan.operations if not each.holder]
    for title, some in (("What stands in the way", unserved), ("What is still open", served)):
        reasons = _reasons(some)
        if reasons:
            content += [blocks.Heading(title), blocks.Listing(reasons)]
    if plan.apart or plan.failed:
        content.append(blocks.Heading("Why they do not share a holder"))
    if plan.apart:
        content.append(blocks.Paragraph(ONE_OF_EACH))
    if apart:
        heads = ("operations", "with", "why not")
        why = "Kept apart for another reason, each of the first from each of the second"
        content.append(blocks.Table(why, heads, apart, (0.25, 0.25, 0.5)))
    if plan.failed:
        content.append(blocks.Listing(plan.failed))
    return page(
        blocks.Document(
            title=f"{plan.sheet}: plan",
            subtitle=f"{plan.work}; printer: {plan.printer}",
            name=f"{plan.sheet} plan",
            blocks=tuple(content),
        )
    )


def _reasons(operations: Iterable[PlannedOperation]) -> tuple[str, ...]:
    """Each reason once, after the operations it is given for."""
    alike: dict[str, list[str]] = {}
    for each in operations:
        for reason in each.reasons:
            alike.setdefault(reason, []).append(each.name)
    return tuple(f"{', '.join(names)}: {reason}" for reason, names in alike.items())
