"""Cautions where the work can hurt someone, on the papers of that work."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from nests.documents.files import data_folder
from nests.given.operation import Operation, WorkPlan
from nests.given.sheet import Sheet
from nests.kinds import read
from nests.kinds.plan import Plan, PlannedHolder, PlannedOperation, State
from nests.papers.report import job_sheet
from nests.papers.report.blocks import Document, texts
from nests.places import Side

PRINTING = ("uv lamp", "dust of cured resin", "waste of resin and alcohol", "down the drain",
            "uncured resin", "isopropyl alcohol")  # fmt: skip
AT_THE_PRESS = r"at the press: eye protection"
README = (Path(__file__).parents[3] / "README.md").read_text("utf-8")


def said(document: Document) -> str:
    return " ".join(texts(document)).lower()


def test_a_report_has_those_of_printing_and_of_the_press(reported):
    words = said(reported[1])
    assert [each for each in PRINTING if each not in words] == []
    assert re.search(AT_THE_PRESS, words)


def sheet_of_a_job(state: State) -> Document:
    """Of one operation in one holder."""
    work = WorkPlan(name="job", operations=(Operation(name="look", side_up=Side.DIAL),))
    plan = Plan(
        sheet="INV 26-A", work="job", printer="bench", may_start=True, says="It may start.",
        holders=(PlannedHolder(name="look", state=state, side_up=Side.DIAL, used=("look",)),),
        operations=(PlannedOperation(name="look", side_up=Side.DIAL, holder="look", state=state),),
        weight=1, bound=1, proven=True,
    )  # fmt: skip
    sheet = read(data_folder("gallery") / "sheets" / "inv-26-a.json", Sheet)
    return job_sheet(plan, work, sheet, {}, "0")


@pytest.mark.parametrize(("state", "prints"), [("to print", True), ("in drawer", False)])
def test_a_job_sheet_has_those_of_printing_where_something_is_printed(state, prints):
    words = said(sheet_of_a_job(state))
    assert [each in words for each in PRINTING] == [prints] * len(PRINTING)
    assert re.search(AT_THE_PRESS, words)


def test_the_readme_has_them_too():
    cautions = README.split("## Cautions")[1].lower()
    for each in ("uv lamp", "dust of cured resin", "waste of resin and alcohol", "at the press"):
        assert f"**{each}" in cautions
