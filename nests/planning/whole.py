"""From files to files: a sheet and a work plan go in, a plan and the packs to print come out."""

from __future__ import annotations

from contextlib import closing
from hashlib import sha256
from pathlib import Path

from nests.consistency import require_consistent, require_on_sheet
from nests.documents.files import canonical
from nests.documents.folders import appearing, write_list
from nests.drawer.shelf import begin
from nests.given.operation import WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.recipe import Recipe
from nests.kinds import document, given
from nests.kinds.plan import Plan
from nests.letters.engraving import require_engravable
from nests.orders import pack
from nests.orders.order import card_in
from nests.papers.picture.writing import text_width
from nests.planning.chart import layout, png, svg
from nests.planning.coverage import as_page, as_text
from nests.planning.job import Job, Progress, solve
from nests.planning.kept import holders_in
from nests.planning.library import work_plan
from nests.planning.readiness import readiness
from nests.workers import each_done

WORKERS = 2


def job_from(
    sheet: Sheet | Path | str,
    work: WorkPlan | Path | str,
    *,
    printer: PrinterCard | Path | str | None = None,
    drawer: Path | str | None = None,
    seconds: float = 10.0,
    progress: Progress = lambda _: None,
) -> Job:
    """Read and solve; `work` is also the name of a plan that is there. Raises `BadInput`."""
    workpiece = given(sheet, Sheet)
    require_consistent(workpiece)
    card = card_in(printer)
    plan = work_plan(work)
    require_on_sheet(plan, workpiece)
    named = {each.on for each in plan.operations}
    subs = [each for each in workpiece.sub_assemblies if each.name in named]
    require_engravable((workpiece, *subs, *plan.operations))
    if drawer and begin(Path(drawer)):
        progress(f"there was no drawer at {drawer}; an empty one is begun.")
    existing = holders_in(Path(drawer), workpiece) if drawer else ()
    return solve(workpiece, plan, card, existing, seconds=seconds, progress=progress)


def files(plan: Plan) -> dict[str, bytes]:
    """The plan as document, text, page and picture."""
    chart = layout(plan, text_width)
    picture = png(chart)
    return {
        "plan.json": canonical(document(plan)),
        "plan.txt": as_text(plan).encode(),
        "plan.html": as_page(plan, picture),
        "coverage.svg": svg(chart),
        "coverage.png": picture,
    }


def write(
    job: Job,
    target: Path,
    *,
    papers: bool = False,
    workers: int = WORKERS,
    replace: bool = False,
    progress: Progress = lambda _: None,
) -> Plan:
    """Write the plan and the packs of what is to print as the folder `target`, all at once.

    With `replace` it takes the place of a plan that stands there as it was written, and of nothing
    else. Returns the plan. Raises `BadInput`; then nothing is written.
    """
    plan = readiness(job)
    with appearing(target, replace=replace) as fresh:
        (fresh / "packs").mkdir()
        for name, content in files(plan).items():
            (fresh / name).write_bytes(content)
        todo = [
            (chosen.trial.recipe, fresh / planned.pack, papers)
            for planned, chosen in zip(plan.holders, job.chosen, strict=True)
            if chosen.trial is not None and chosen.trial.recipe is not None
        ]
        if todo:
            with closing(each_done(_make, todo, workers)) as made:
                for number, (name, grade) in enumerate(made, 1):
                    progress(f"worked out {number} of {len(todo)} packs: {name}: {grade}")
        for name, content in _binder(job, plan, fresh).items():
            (fresh / name).write_bytes(content)
        write_list(fresh)
    return plan


def _binder(job: Job, plan: Plan, target: Path) -> dict[str, bytes]:
    """The job sheet, with the pictures of those holders whose packs have one."""
    from nests.papers import report

    drawn = {each.name: target / each.pack / "picture.png" for each in plan.holders if each.pack}
    pictures = {name: path.read_bytes() for name, path in drawn.items() if path.is_file()}
    digest = sha256(canonical(document(plan))).hexdigest()[:12]
    sheet = report.job_sheet(plan, job.work, job.sheet, pictures, digest)
    return {"job-sheet.html": report.page(sheet), "job-sheet.pdf": report.paper(sheet)}


def _make(recipe: Recipe, folder: Path, papers: bool) -> tuple[str, str]:
    built = pack.build(recipe, papers=papers)
    built.write(folder)
    return folder.name, built.grade.value
