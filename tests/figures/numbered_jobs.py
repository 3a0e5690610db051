"""Jobs whose plan and job sheet are read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from numbered_holders import BENCH, DIGEST, Papers, sheet_of
from read_papers import Page, pdf_pages, read_page

from nests.given.operation import Operation, Press, WorkPlan
from nests.kinds.plan import Plan
from nests.papers.report import job_sheet, page, paper
from nests.places import Side
from nests.planning.job import Answer, Existing, Job, solve
from nests.planning.readiness import readiness
from nests.planning.whole import files

AUTO = "INV 32-K auto works"
OFF = ("oscillating weight", "automatic works")
APART = Operation(name="apart", side_up=Side.BRIDGE, on=AUTO)
LOOK = Operation(name="look", side_up=Side.DIAL, on=AUTO)
CLOSE = replace(APART, name="close", says="screws driven home")
HANDS = Operation(
    name="hands",
    side_up=Side.DIAL,
    presses=(Press(arbor="centre", force=14.0, least=8.0, most=23.0),),
    absent=OFF,
)
UNSERVED = Operation(
    name="recorder", side_up=Side.BRIDGE, presses=(Press(arbor="hour recorder", force=7.0),)
)
"""There is no jewel under that arbor on the side that looks down."""


def _bridge_only(operation: Operation) -> Answer:
    serves = operation.side_up is Side.BRIDGE and operation.on == AUTO
    return Answer("" if serves else "it is for the bridge side up.")


@dataclass
class JobCase(Papers):
    """A job and what is printed about it."""

    operations: tuple[Operation, ...] = ()
    there: tuple[Existing, ...] = ()
    told: Callable[[Plan], Plan] = lambda plan: plan
    """What the plan is made to say before it is printed."""

    FINISHED = (
        "plan_json", "plan_txt", "plan_html", "coverage_svg", "job_html", "job_pdf",
    )  # fmt: skip

    @cached_property
    def job(self) -> Job:
        work = WorkPlan(name="a short job", operations=self.operations)
        return solve(sheet_of("inv-32-k"), work, BENCH, self.there)

    def _plan(self) -> Plan:
        return self.told(readiness(self.job))

    def _files(self) -> dict[str, bytes]:
        return files(self.get("plan"))

    def _plan_json(self) -> bytes:
        return self.get("files")["plan.json"]

    def _plan_txt(self) -> bytes:
        return self.get("files")["plan.txt"]

    def _plan_html(self) -> bytes:
        return self.get("files")["plan.html"]

    def _coverage_svg(self) -> bytes:
        return self.get("files")["coverage.svg"]

    def _binder(self) -> Any:
        return job_sheet(self.get("plan"), self.job.work, self.job.sheet, {}, DIGEST)

    def _job_html(self) -> bytes:
        return page(self.get("binder"))

    def _job_pdf(self) -> bytes:
        return paper(self.get("binder"))

    def _plan_page(self) -> Page:
        return read_page(self.get("plan_html"))

    def _job_page(self) -> Page:
        return read_page(self.get("job_html"))

    def _job_sheets(self) -> list[str]:
        return pdf_pages(self.get("job_pdf"))


def _unproved(plan: Plan) -> Plan:
    return replace(plan, proven=False, weight=200_000, bound=163_000)


JOBS = {
    each.name: each
    for each in (
        JobCase("job", operations=(APART, LOOK, CLOSE, HANDS)),
        JobCase(
            "job with a drawer",
            operations=(APART, LOOK, CLOSE, UNSERVED),
            there=(Existing("S7-X", _bridge_only),),
        ),
        JobCase("small job", operations=(LOOK,)),
        JobCase("job out of time", operations=(APART, LOOK), told=_unproved),
    )
}
