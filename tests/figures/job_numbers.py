"""What a plan and a job sheet print, against work plan, sheet, and the solids to be printed."""

from __future__ import annotations

import json
import re
from collections.abc import Callable

import pytest
from numbered_holders import DIGEST, exported
from numbered_jobs import JobCase
from read_papers import Page, close, number_after, number_before, numbers, squeezed

from nests.holder.compose import compose
from nests.orders.pack import slug
from nests.papers.typeset import shown
from nests.planning.job import Chosen

CHECKS: list[tuple[Callable[[JobCase], None], tuple[str, ...]]] = []
"""Each check, and the jobs that print what it reads."""

EVERY = ("job", "job with a drawer", "small job", "job out of time")


def of(*names: str) -> Callable[[Callable[[JobCase], None]], Callable[[JobCase], None]]:
    """Marks a check as one for these jobs."""

    def kept(check: Callable[[JobCase], None]) -> Callable[[JobCase], None]:
        CHECKS.append((check, names))
        return check

    return kept


def volumes(case: JobCase) -> list[float | None]:
    """mm³ of resin in each holder to print, by trimesh; None for one that is there."""
    return [
        None
        if each.trial is None or each.trial.recipe is None
        else float(exported(compose(each.trial.recipe).solid).volume)
        for each in case.job.chosen
    ]


def texts_of_answer(case: JobCase) -> list[str]:
    """The answer's paragraph, wherever it stands."""
    plan, text = json.loads(case.get("plan_json")), case.get("plan_txt").decode()
    plan_page, job_page = case.get("plan_page"), case.get("job_page")
    on_page = [t for t in plan_page.texts if "operation" in t and "of them" in t]
    on_sheet = [t for t in job_page.texts if "operation" in t and "of them" in t]
    assert len(on_page) == len(on_sheet) == 1
    return [plan["says"], text.split("\n")[0], on_page[0], on_sheet[0]]


@of(*EVERY)
def how_many(case: JobCase) -> None:
    """Operations, holders, those from the drawer and those to print, in every document."""
    job = case.job
    served = {i for each in job.chosen for i in each.used}
    to_print = sum(each.trial is not None for each in job.chosen)
    for text in texts_of_answer(case):
        assert number_before("operation", text) == len(job.work.operations)
        assert number_before("holder", text) == len(job.chosen)
        assert number_before("of them", text) == len(served)
        assert number_before("from the drawer", text) == len(job.chosen) - to_print
        assert number_before("to print", text) == to_print
        if json.loads(case.get("plan_json"))["may_start"]:  # on a condition, if on one
            assert ("printed" in text[text.index("may start") :]) == (to_print > 0)
    subtitle = case.get("job_page").texts[1]
    assert number_before("operation", subtitle) == len(job.work.operations)
    assert number_before("holder", subtitle) == len(job.chosen)
    assert ("holders" in subtitle) == (len(job.chosen) != 1)
    assert ("operations" in subtitle) == (len(job.work.operations) != 1)


@of(*EVERY)
def holders(case: JobCase) -> None:
    """Each holder's number, side up and resin, in text, page, picture and document."""
    plan, text = json.loads(case.get("plan_json")), case.get("plan_txt").decode()
    listed = case.get("plan_page").under["Holders"]
    svg = case.get("coverage_svg").decode()
    for number, (chosen, volume) in enumerate(zip(case.job.chosen, volumes(case), strict=True), 1):
        up = case.job.work.operations[chosen.serves[0]].side_up.value
        told = plan["holders"][number - 1]
        assert told["name"] == chosen.name
        assert told["side_up"] == up
        (line,) = [t for t in text.split("\n") if t.startswith(f"{number} {chosen.name}")]
        (item,) = [t for t in listed if t.startswith(f"{number} {chosen.name}")]
        assert squeezed(item) == squeezed(line)
        assert f"{number} {chosen.name}" in svg
        assert f"{up} up" in line
        if volume is None:
            assert "cm³" not in line
            assert told.get("volume") is None
            continue
        close(number_before("cm³", line), volume / 1000.0, 1, 1e-3)
        assert f"{number_before('cm³', line):.1f} cm³" in svg
        assert told["volume"] == pytest.approx(volume, rel=1e-4, abs=0.06)
        assert told["pack"] == f"packs/{number:02d}-{slug(chosen.name)}"


@of(*EVERY)
def table(case: JobCase) -> None:
    """The table's columns are the holders by number, its rows the operations with their side."""
    text = case.get("plan_txt").decode().split("\n")
    head = next(line for line in text if line.startswith("operation"))
    count = len(case.job.chosen)
    assert numbers(head) == list(range(1, count + 1))
    page = case.get("plan_page")
    heads = [t for t in page.texts if re.fullmatch(r"\d+", t)]
    assert heads == [str(k + 1) for k in range(count)]
    (rows,) = [t for caption, t in page.tables.items() if caption.startswith("X:")]
    for k, operation in enumerate(case.job.work.operations):
        line = text[text.index(head) + 1 + k]
        assert line.startswith(operation.name)
        assert f"{operation.side_up.value} up" in line
        assert rows[k][0] == operation.name
        assert f"{operation.side_up.value} up" in rows[k][1]
        used = ["X" if k in each.used else "o" if k in each.serves else "."
                for each in case.job.chosen]  # fmt: skip
        assert rows[k][2:-1] == used
        assert re.findall(r" ([Xo.])(?= )", line + " ") == used
    told = json.loads(case.get("plan_json"))["operations"]
    assert [t["side_up"] for t in told] == [o.side_up.value for o in case.job.work.operations]


@of("job out of time")
def share(case: JobCase) -> None:
    """How much less a family might weigh: 200 against 163 is 18.5 %."""
    text, page = case.get("plan_txt").decode(), case.get("plan_page")
    (said,) = [t for t in page.texts if t.startswith("Not proved")]
    for each in (text[text.index("Not proved") :], said):
        close(number_before("%", each), 18.5, 1)


def lying_ready(chosen: Chosen) -> str:
    """What a holder is called, and what is read on it where that is not its name in capitals."""
    if chosen.trial is None:
        return chosen.name
    *_, letters = [text for part in chosen.trial.recipe.parts if (text := part.engraves())]
    told = "" if letters == chosen.name.upper() else f" (engraved {letters})"
    return chosen.name + told


@of(*EVERY)
def operations(case: JobCase) -> None:
    """The job sheet's rows: number, side, and every press with the most force that occurs."""
    page: Page = case.get("job_page")
    rows = page.table("Tick each")
    assert len(rows) == len(case.job.work.operations)
    for number, (row, operation) in enumerate(zip(rows, case.job.work.operations, strict=True), 1):
        assert row[0].startswith(f"{number}. {operation.name}")
        assert row[1] == f"{operation.side_up.value} up"
        for press in operation.presses:
            assert press.force is not None, "a case states what is pressed"
            most = max(press.force, press.most or press.force)
            assert number_after(press.arbor, row[2]) == pytest.approx(most)
            assert "N" in row[2]
    ready = page.table("What must lie ready")
    assert [r[0] for r in ready] == [lying_ready(each) for each in case.job.chosen]
    for number, (row, chosen) in enumerate(zip(ready, case.job.chosen, strict=True), 1):
        if chosen.trial is not None:
            assert f"packs/{number:02d}-" in row[1]


@of(*EVERY)
def job_on_paper(case: JobCase) -> None:
    """Every text of the job sheet with a number stands on paper, too, and the sheets count."""
    sheets = case.get("job_sheets")
    text = ""
    for number, each in enumerate(sheets, 1):
        foot = re.findall(rf"plan {DIGEST} · page (\d+) of (\d+)", each)
        assert foot == [(str(number), str(len(sheets)))]
        text += each[: each.rindex(f"{shown(case.get('binder').name)} · page")]
    on_paper = squeezed(text)
    for each in case.get("job_page").texts:
        if numbers(each) and DIGEST not in each:
            assert squeezed(shown(each)) in on_paper, each
