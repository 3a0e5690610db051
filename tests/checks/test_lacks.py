"""What is not assessed names what lacks of the sheet, by a pointer that leads to a field of it."""

from __future__ import annotations

import json

import pytest

from nests.documents.files import data_folder
from nests.faces.page import fields
from nests.finding import Grade
from nests.given.sheet import Sheet
from nests.kinds import taken
from nests.orders.trying import tried


def stripped(name: str, *gone: str) -> dict:
    """A sheet of the workshop without what stands at some pointers."""
    data = json.loads((data_folder("gallery") / "sheets" / f"{name}.json").read_text())
    for pointer in gone:
        *above, last = pointer.split("/")[1:]
        here = data
        for key in above:
            here = here[int(key)] if isinstance(here, list) else here[key]
        here.pop(last, None)
    return data


CASES = [
    ("inv-26-a", "hand-setting", "hand-setting", ("/mass", "/bridges", "/keep_clear", "/stem"),
     {"/mass", "/bridges/thickness", "/keep_clear", "/nothing_fragile", "/stem"}),
    ("inv-26-a", "round", None, ("/rests",), {"/rests"}),
    ("inv-case-38", "case", None, ("/flank", "/lugs/0/droop"), {"/flank", "/lugs/0/droop"}),
]  # fmt: skip


@pytest.mark.parametrize(("name", "family", "operation", "gone", "lacks"), CASES)
def test_each_names_its_field(name, family, operation, gone, lacks):
    data = stripped(name, *gone)
    trial = tried(family, {}, sheet=taken(data, Sheet, "sheet"), operation=operation)
    open_ = [f for _, found in trial.found("bench") for f in found if f.grade is Grade.UNKNOWN]
    assert {pointer for each in open_ for pointer in each.lacks} >= lacks
    for each in open_:
        measured = each.remedy.startswith(("measure", "weigh"))
        assert each.lacks or not measured, each.says
        for pointer in each.lacks:
            node, _ = fields.at("sheet", data, pointer)
            assert node.meaning or node.kind in ("list", "object"), pointer
