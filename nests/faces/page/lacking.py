"""What a remark lacks, asked for beside it: a field, or an empty slip for what has several."""

from __future__ import annotations

from dataclasses import dataclass

from nests.faces.page import fields, slip
from nests.faces.page.slip import Row
from nests.faces.page.told import Remark
from nests.faces.page.work import Work
from nests.given.sheet import Sheet
from nests.places import Side
from nests.units import BadInput


@dataclass(frozen=True)
class Lack:
    """What is asked for: `at` its pointer, `row` its field, without one the word of an empty slip;
    `none` whether it can be that it was looked for and there is none."""

    at: str
    row: Row | None
    word: str
    none: bool = False


def lacks(remark: Remark, workpiece: Sheet | None, work: Work, side: Side) -> list[Lack]:
    """What may be typed beside a remark; nothing where sizes stand for a sheet."""
    if work.sheet is None or work.record is None:
        return []
    out = []
    for pointer in remark.lacks:
        try:
            there = on_sheet(pointer, workpiece or work.record, work.record)
            row = slip.row_at("sheet", "sheet", work.sheet, there, side)
        except BadInput:
            continue  # it is not on the sheet any more
        word = slip.one_of(there.rsplit("/", 1)[-1])
        out.append(Lack(f"sheet:{there}", row, word, there in work.record.assumed))
    return out


def on_sheet(pointer: str, workpiece: Sheet, sheet: Sheet) -> str:
    """A pointer on a workpiece as it was judged, less what was not fitted, as one on the sheet: a
    thing of a list is found by its name. Raises `BadInput` for one that is not there."""
    head, keys = "", fields.keys_of(pointer)
    whole = sheet
    if workpiece.name != sheet.name:
        names = [each.name for each in sheet.sub_assemblies]
        if workpiece.name not in names:
            raise BadInput(f"there is no '{workpiece.name}' on the sheet.")
        index = names.index(workpiece.name)
        head, whole = f"/sub_assemblies/{index}", sheet.sub_assemblies[index]
    if len(keys) > 1 and keys[1].isdigit():
        name = getattr(getattr(workpiece, keys[0])[int(keys[1])], "name", None)
        if name is not None:
            keys = tuple(whole.pointer(keys[0], name, "/".join(keys[2:])).split("/")[1:])
    return "/".join((head, *keys))
