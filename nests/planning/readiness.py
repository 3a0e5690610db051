"""Readiness: may a job start with what is in the drawer and what is to be printed?

It may not when an operation has no holder, nor when anything about a holder is `unknown`, whichever
check says so: what was not assessed is not safe, and the fact to measure is named. With a `mend` it
may, and is told. A holder with a `stop` is in no family.
"""

from __future__ import annotations

from itertools import groupby

from nests.finding import Finding, Grade, worst
from nests.given.absent import unknown
from nests.given.at_work import by_kind, by_kind_words
from nests.given.dial import DIAL, HANDS
from nests.given.operation import Operation
from nests.holder.buying import lines
from nests.kinds.plan import Apart, InTurn, Plan, PlannedHolder, PlannedOperation, RefusedHolder
from nests.orders.pack import slug
from nests.papers.report.wording import sentence
from nests.planning.job import Chosen, Job, sentences


def readiness(job: Job) -> Plan:
    """The answer for a job, as a document."""
    holders = tuple(_holder(job, number, each) for number, each in enumerate(job.chosen, 1))
    operations = tuple(_operation(job, i, holders) for i in range(len(job.work.operations)))
    family = job.family
    lacking = [each for each in operations if each.state == "none"]
    open_facts = [each for each in holders if each.open_facts]
    return Plan(
        sheet=job.sheet.name,
        work=job.work.name,
        printer=job.card.name,
        may_start=not lacking and not open_facts,
        says=_paragraph(job, holders, lacking, open_facts),
        holders=holders,
        operations=operations,
        apart=_apart(job),
        failed=tuple(
            f"{_listed([job.work.operations[i].name for g in part for i in job.groups[g].members])}"
            ": each pair shares a holder, all of them do not."
            for part in family.failing
            if len(part) > 2
        ),
        weight=family.weight,
        bound=family.bound,
        proven=job.proven,
        unjudged=job.unjudged,
        refused=_refused(job),
        too_far=job.too_far,
        in_turn=_in_turn(job),
    )


def _holder(job: Job, number: int, chosen: Chosen) -> PlannedHolder:
    names = [each.name for each in job.work.operations]
    first = job.work.operations[chosen.serves[0]]
    known, printed = chosen.known, chosen.trial is not None
    return PlannedHolder(
        name=chosen.name,
        state="to print" if printed else "in drawer",
        engraved=_engraved(chosen),
        condition="" if chosen.answer is None else chosen.answer.condition,
        family=known.family,
        on=first.on,
        side_up=first.side_up,
        pack=f"packs/{number:02d}-{slug(chosen.name)}" if printed else "",
        volume=None if known.volume is None else round(known.volume, 1),
        serves=tuple(names[i] for i in chosen.serves),
        used=tuple(names[i] for i in chosen.used),
        posts=known.posts,
        grade=worst(known.findings).value,
        open_facts=_told(known.findings, Grade.UNKNOWN),
        to_buy=_to_buy(chosen),
        mends=_told(known.findings, Grade.MEND),
    )


def _engraved(chosen: Chosen) -> str:
    """What is engraved of the operation of a holder to print, where that is not its name."""
    recipe = chosen.trial.recipe if chosen.trial is not None else None
    return recipe.operation.engraved if recipe is not None and recipe.operation.mark else ""


def _to_buy(chosen: Chosen) -> tuple[str, ...]:
    """What is bought, cut and drilled for a holder to print."""
    recipe = chosen.trial.recipe if chosen.trial is not None else None
    return () if recipe is None else lines(recipe)


def _told(findings: tuple[Finding, ...], grade: Grade) -> tuple[str, ...]:
    """What the findings of a grade say and ask for, each once; of every check, whichever it is."""
    return tuple(
        dict.fromkeys(
            " ".join(sentences([f.says, *([sentence(f.remedy)] if f.remedy else [])]))
            for f in findings
            if f.grade is grade
        )
    )


def _operation(job: Job, i: int, holders: tuple[PlannedHolder, ...]) -> PlannedOperation:
    operation = job.work.operations[i]
    used = next((h for c, h in zip(job.chosen, holders, strict=True) if i in c.used), None)
    reasons = job.missing.get(i, ()) or job.alone.get(i, ())
    if used is not None:
        reasons = used.open_facts
    return PlannedOperation(
        name=operation.name,
        on=operation.on,
        side_up=operation.side_up,
        holder=used.name if used else "",
        state=used.state if used else "none",
        reasons=(*sentences(reasons), *_unmatched(job, operation)),
    )


def _unmatched(job: Job, operation: Operation) -> tuple[str, ...]:
    """Names under `absent` that were understood by kind; and those that mean nothing of the sheet:
    it is kept clear of all the same. A sheet without a dial is of a movement without one."""
    sheets = {each.name: each for each in job.sheet.sub_assemblies}
    work = sheets.get(operation.on, job.sheet)
    return by_kind_words(work, operation.absent) + tuple(
        f"'{name}' is said to be absent, but '{work.name}' has no keep-clear, arbor or rest of "
        "that name or kind; nothing was taken away."
        for name in unknown(work, operation.absent)
        if name not in (DIAL, HANDS) and not by_kind(work, name)
    )


def _paragraph(
    job: Job,
    holders: tuple[PlannedHolder, ...],
    lacking: list[PlannedOperation],
    open_facts: list[PlannedHolder],
) -> str:
    printed = sum(each.state == "to print" for each in holders)
    count, there = len(job.work.operations), len(holders) - printed
    out = [
        f"'{job.work.name}' on '{job.sheet.name}' has {_number(count, 'operation')}; "
        f"{_number(len(holders), 'holder')} serve{'s' if len(holders) == 1 else ''} "
        f"{count - len(lacking)} of them, {there} from the drawer and {printed} to print."
    ]
    out += [
        f"'{each.name}' is done press by press, as {_listed(list(each.parts))}, for no one holder "
        f"carries all its presses: {each.why}"
        for each in _in_turn(job)
    ]
    if not job.family.proven:
        out.append("Time ended before it was proved that no smaller family would do.")
    if job.unjudged:
        out.append(
            "A smaller family might do, for not all of the drawer was judged: "
            + " ".join(sentences(job.unjudged))
        )
    if lacking or open_facts:
        out.append("The job must not start.")
    elif printed:
        out.append("The job may start once these are printed and gauged.")
    else:
        out.append("The job may start.")
    for reasons, alike in groupby(
        sorted(lacking, key=lambda each: each.reasons), lambda each: each.reasons
    ):
        names = _listed([each.name for each in alike])
        out.append(f"There is no holder for {names}: {' '.join(reasons)}")
    for each in open_facts:
        out.append(f"For the holder '{each.name}' a fact is missing: {' '.join(each.open_facts)}")
    for each in holders:
        worn = "is worn and" if each.condition == "worn" else "works, but"
        if each.mends:
            out.append(f"The holder '{each.name}' {worn} should change: {' '.join(each.mends)}")
    return " ".join(out)


def _apart(job: Job) -> tuple[Apart, ...]:
    names = [each.name for each in job.work.operations]
    return tuple(
        Apart(
            first=tuple(names[i] for i in job.groups[g].members),
            second=tuple(names[i] for i in job.groups[h].members),
            says=says,
        )
        for (g, h), says in sorted(job.apart.items())
    )


def _in_turn(job: Job) -> tuple[InTurn, ...]:
    """What is done press by press, with the first reason why one holder would not do."""
    return tuple(
        InTurn(
            name=each.name,
            parts=tuple(part.name for part in each.parts),
            why=" ".join(sentences(each.why[:1])),
        )
        for each in job.in_turn
    )


def _refused(job: Job) -> tuple[RefusedHolder, ...]:
    """What of the drawer does not serve, each reason once; what can be cured first."""
    names, out = [each.name for each in job.work.operations], []
    for offer in job.refused:
        alike: dict[tuple[str, tuple[str, ...]], list[int]] = {}
        for g, answer in offer.refused:
            told = " ".join(sentences([answer.why_not]))
            alike.setdefault((told, answer.cures), []).extend(job.groups[g].members)
        out += [
            RefusedHolder(
                name=offer.holder.name,
                operations=tuple(names[i] for i in sorted(some)),
                why=why,
                cures=cures,
            )
            for (why, cures), some in alike.items()
        ]
    return tuple(sorted(out, key=lambda each: not each.cures))


def _number(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def _listed(names: list[str]) -> str:
    quoted = [f"'{name}'" for name in names]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} and {quoted[-1]}"
