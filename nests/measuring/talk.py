"""The talk at the bench: a line typed goes in, a record and what is to be said come out.

Nothing is read or shown here; a face does that, on the command line as well as on a page.
"""

from __future__ import annotations

from dataclasses import dataclass

from nests.kinds.measured import OPEN, Measured
from nests.measuring.answers import answered, redone, undone
from nests.measuring.asking import Question, by_label, holding, waiting
from nests.measuring.sheet_of import Made, sheet_of
from nests.measuring.unlocked import Standing, contradictions, news, standing
from nests.measuring.written_place import FORMS
from nests.units import BadInput

HELP = (
    f"a place is written as {FORMS}; a distance is 'from' middle to middle, 'over' with the jaws "
    "outside both, 'between' with the jaws inside, and from the edge also 'from edge at 3 h'",
    "answer as it was read, such as 26.02, 0.9 mm, 450um; behind it may stand ± 0.01 or with "
    "micrometer",
    f"{OPEN} passes a question over: it stays open, and the sheet says so",
    "undo and redo take answers back and do them again; LABEL = ANSWER changes any of them",
    "what lists what was answered; more asks also what is usually taken by default",
    "stop ends; the same command goes on later",
)


@dataclass(frozen=True)
class Turn:
    """What a line did: the record now, what is to be said, and how it goes on."""

    record: Measured
    says: tuple[str, ...] = ()
    more: bool = False
    stop: bool = False


def asked(record: Measured, more: bool = False) -> Question | None:
    """The question to be asked next; None when all is answered."""
    return next(iter(waiting(record, more=more)), None)


def put(question: Question) -> str:
    """A question as it is shown: what, with which tool, how."""
    unit = question.ask.unit if question.ask.form != "place" else ""
    by = ", ".join(each for each in (question.ask.tool, unit) if each)
    how = f" ({question.ask.how})" if question.ask.how else ""
    return f"{question.words}{how} [{by}]"


def turned(record: Measured, line: str, *, more: bool = False, date: str = "") -> Turn:
    """One line typed: an answer to the question that is asked next, or a word that does something.

    A line that cannot be used leaves the record as it is, and is answered by one sentence.
    """
    word = " ".join(line.split())
    try:
        if word == "stop":
            return Turn(record, more=more, stop=True)
        if word == "help":
            return Turn(record, HELP, more)
        if word == "more":
            return Turn(record, (), True)
        if word == "what":
            return Turn(record, told(record), more)
        if word == "undo":
            last = record.answers[-1].asks if record.answers else ""
            return Turn(undone(record), (f"undone: {last}",), more)
        if word == "redo":
            first = record.taken_back[0].asks if record.taken_back else ""
            return Turn(redone(record), (f"done again: {first}",), more)
        question, text = _meant(record, word, more)
        return Turn(answered(record, question, text, date=date), (), more)
    except BadInput as bad:
        return Turn(record, (f"not taken: {bad}",), more)


def told(record: Measured) -> tuple[str, ...]:
    """Every answer that holds, in the order of the bench."""
    return tuple(
        f"{f'{each.of}: ' if each.of else ''}{each.asks} = {each.text}"
        f"{f' ± {each.doubt:g} mm' if each.doubt is not None else ''}"
        for each in holding(record)
    )


def summed(record: Measured) -> tuple[str, ...]:
    """What to say at the end: what was taken by default, what is open, what lacks."""
    out = [f"{len(record.answers)} answers are kept."]
    try:
        made = sheet_of(record)
    except BadInput as bad:
        return (*out, str(bad))
    if made.defaults:
        out.append(f"taken by default: {'; '.join(made.defaults)}.")
    if made.open:
        out.append(f"passed over: {', '.join(made.open)}.")
    left = [each.label for each in waiting(record)]
    if left:
        out.append(f"still to be asked: {', '.join(left)}.")
    return tuple(out)


def whole(record: Measured) -> Made:
    """The sheet, if nothing that was begun lacks and nothing on it cannot be true. Raises
    `BadInput` with what does."""
    made = sheet_of(record)
    if made.lacks:
        raise BadInput(f"the sheet is not written; it lacks {', '.join(made.lacks)}.")
    if made.misfits:
        raise BadInput(f"the sheet is not written; {made.misfits[0]}")
    if stops := contradictions(made.sheet):
        raise BadInput(f"the sheet is not written; it cannot be true: {stops[0].says}")
    return made


def _meant(record: Measured, line: str, more: bool) -> tuple[Question, str]:
    """The question that a line answers, and the answer. Raises `BadInput`."""
    label, sign, text = line.partition("=")
    if sign:
        return by_label(record, label), text.strip()
    question = asked(record, more)
    if question is None:
        raise BadInput("all is answered; LABEL = ANSWER changes one, stop ends.")
    return question, line


def heard(before: Measured, after: Measured) -> tuple[str, ...]:
    """What an answer unlocked, what lacks now, and what cannot be, in sentences."""
    if before == after:
        return ()
    return news(standing(before) if before.answers else Standing(), standing(after))
