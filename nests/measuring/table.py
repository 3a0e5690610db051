"""Records as rows of a spreadsheet: a row for the whole and one for each thing, many sheets in one.

The columns are what the questions ask, with their units; a cell is an answer as it would be typed.
A table parted by semicolons (or tabs) has a decimal comma or point, one parted by commas a point.
A mark of byte order is understood. Every cell that cannot be used is named, and then nothing is
taken at all.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from nests.kinds.measured import Answer, Key, Measured, Thing
from nests.measuring.answers import answered
from nests.measuring.asking import holding, questions
from nests.measuring.bench import ALL, BY
from nests.measuring.placing import listed
from nests.measuring.tools import TOOLS
from nests.units import BadInput

LISTS: Mapping[str, Thing] = {
    "pushers": "pusher",
    "arbors": "arbor",
    "fragile": "fragile",
    "rests": "rest",
}
"""What is listed in the row of the whole; a row of its own lists a thing as well."""
HEAD = ("sheet", "thing", "name")
LARGEST = 5_000_000
"""Bytes a table may have; fifty calibres have some hundred thousand."""
_WORDS = ("text", "names", "some", "kind", "what")
_COMMA = re.compile(r"(?<=\d),(?=\d)")
_POINT = re.compile(r"(?<=\d)\.(?=\d)")


class WrongTable(BadInput):
    """A table that cannot be used; `faults` name every cell, one sentence each."""

    def __init__(self, faults: Sequence[str]) -> None:
        """Keep them all."""
        super().__init__(" ".join(faults))
        self.faults = tuple(faults)


def columns() -> dict[str, str]:
    """What is asked, by the heading of its column: the same words in plain letters, and a unit."""
    out: dict[str, str] = {}
    for each in ALL:
        unit = "h, mm" if each.form == "place" else each.unit
        name = f"{each.asks} ({unit})" if unit else each.asks
        if each.asks != "name" and each.asks not in out.values():
            out[name] = each.asks
    return out


def written(records: Sequence[Measured], *, decimal_comma: bool = False) -> bytes:
    """Records as a table, each as far as it was answered: parted by commas with a decimal point, or
    by semicolons with a decimal comma. Raises `BadInput` for one without a name, or two of one."""
    heads = columns()
    out = io.StringIO()
    pen = csv.writer(out, delimiter=";" if decimal_comma else ",", lineterminator="\r\n")
    pen.writerow([*HEAD, *heads])
    names = [record.text("whole", "", "name") for record in records]
    for record, name in zip(records, names, strict=True):
        if name is None or names.count(name) > 1:
            raise BadInput(
                f"a sheet of the table is called {name!r}; each needs a name of its own."
            )
        rows: dict[tuple[Thing, str], dict[str, str]] = {("whole", ""): {}}
        for each in holding(record):
            rows.setdefault((each.thing, each.of), {})[each.asks] = _cell(each, decimal_comma)
        for (thing, of), cells in rows.items():
            pen.writerow([name, thing, of, *(cells.get(asks, "") for asks in heads.values())])
    return ("\ufeff" + out.getvalue()).encode("utf-8")


def _cell(each: Answer, decimal_comma: bool) -> str:
    """An answer as it would be typed again."""
    ask = BY[each.thing, each.asks]
    if ask.form in _WORDS:
        return each.text
    usual = TOOLS.get(each.tool)
    more = f" ± {each.doubt:g}" if each.doubt is not None and each.doubt != usual else ""
    more += f" with {each.tool}" if each.tool not in ("", ask.tool) else ""
    text = f"{_COMMA.sub('.', each.text)}{more}"
    return _POINT.sub(",", text) if decimal_comma else text


@dataclass
class _Rows:
    """The cells of one sheet, by what they answer, each with its row and heading."""

    name: str
    cells: dict[Key, tuple[str, str]] = field(default_factory=dict)
    listed: dict[Thing, list[str]] = field(default_factory=dict)
    at: dict[tuple[Thing, str], int] = field(default_factory=dict)
    first: int = 0


def read(content: bytes, *, date: str = "") -> dict[str, Measured]:
    """The records of a table by the names of their sheets. Raises `WrongTable` with every fault."""
    if len(content) > LARGEST:
        raise WrongTable([f"the table has {len(content)} bytes; {LARGEST} are allowed."])
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise WrongTable(["the table is not UTF-8 text; save it as CSV in UTF-8."]) from None
    parted = max(";\t,", key=text.partition("\n")[0].count)
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=parted, strict=True))
    except csv.Error as error:
        raise WrongTable([f"the table cannot be read as CSV: {error}."]) from None
    faults: list[str] = []
    sheets = _gathered(rows, parted, faults)
    out = {each.name: _record(each, date, faults) for each in sheets}
    if faults:
        raise WrongTable(faults)
    return out


def _gathered(rows: list[list[str]], parted: str, faults: list[str]) -> list[_Rows]:
    """The cells of every sheet; what cannot be one is added to the faults."""
    heads, known = [each.strip() for each in rows[0]] if rows else [], columns()
    if tuple(heads[:3]) != HEAD:
        faults.append(f"row 1: the first columns are {', '.join(heads[:3]) or 'none'}; they are "
                      f"{', '.join(HEAD)}.")  # fmt: skip
        return []
    for each in heads[3:]:
        if each not in known or heads.count(each) > 1:
            faults.append(f"row 1, column '{each}': no such column, or twice; there are "
                          f"{', '.join(known)}.")  # fmt: skip
    sheets: dict[str, _Rows] = {}
    for number, row in enumerate(rows[1:], 2):
        if not any(cell.strip() for cell in row):
            continue
        name, thing, of = (*(cell.strip() for cell in row[:3]), "", "")[:3]
        where = f"row {number}"
        if len(row) > len(heads):
            faults.append(f"{where}: it has {len(row)} cells; the table has {len(heads)} columns.")
        if not name:
            faults.append(f"{where}, column 'sheet': empty; the name of a sheet is needed.")
        things = ("whole", *LISTS.values())
        if thing not in things:
            faults.append(f"{where}, column 'thing': '{thing}'; allowed is {', '.join(things)}.")
            continue
        if (thing == "whole") == bool(of):
            faults.append(
                f"{where}, column 'name': '{of}'; a name for a thing, none for the whole."
            )
            continue
        sheet = sheets.setdefault(name, _Rows(name, first=number))
        key: Thing = thing
        if of in sheet.listed.setdefault(key, []):
            faults.append(f"{where}: a second row of {thing} {of!r} on the sheet '{name}'.")
            continue
        sheet.listed[key].append(of)
        sheet.at[key, of] = number
        for head, cell in zip(heads[3:], row[3:], strict=False):
            asks, text = known.get(head, ""), cell.strip()
            at = f"{where}, column '{head}'"
            if not text or not asks:
                continue
            if (key, asks) not in BY:
                faults.append(f"{at}: '{text}'; it is not asked of a {thing}.")
            elif parted == "," and asks in _MEASURED and _COMMA.search(text):
                faults.append(f"{at}: '{text}'; a decimal point is needed in a table parted by "
                              "commas.")  # fmt: skip
            else:
                sheet.cells[key, of, asks] = (text, at)
    return list(sheets.values())


_MEASURED = {each.asks for each in ALL if each.form not in _WORDS}


def _record(rows: _Rows, date: str, faults: list[str]) -> Measured:
    """The record of a sheet: its cells as answers, in the order of the bench."""
    cells = {**_lists(rows), **rows.cells}
    cells["whole", "", "name"] = (rows.name, f"row {rows.first}, column 'sheet'")
    record = Measured()
    done: set[Key] = set()
    more = True
    while more:  # an answer may make more to be asked
        more = False
        for question in questions(record):
            if question.key not in cells or question.key in done:
                continue
            text, at = cells[question.key]
            done.add(question.key)
            more = True
            try:
                record = answered(record, question, text, date=date)
            except BadInput as bad:
                faults.append(f"{at}: {bad}")
    for asks, thing in LISTS.items():
        there = listed(record, asks) or ()
        faults += [
            f"row {rows.at[thing, name]}: the {thing} '{name}' is not named under '{asks}' of "
            f"'{rows.name}'."
            for name in rows.listed.get(thing, ())
            if (thing, name) in rows.at and " ".join(name.split()) not in there
        ]
    broken = any(at in fault for _, at in cells.values() for fault in faults)
    for key, (text, at) in cells.items():
        if key not in done and not broken:
            faults.append(f"{at}: '{text}'; it is not asked of it, by what the other cells say.")
    return record


def _lists(rows: _Rows) -> dict[Key, tuple[str, str]]:
    """The lists of things that have rows, and the arbors of which hands or a jewel's height are
    given as those that are pressed."""
    at = f"row {rows.first}"
    out: dict[Key, tuple[str, str]] = {}
    for asks, thing in LISTS.items():
        if names := rows.listed.get(thing):
            out["whole", "", asks] = (", ".join(names), at)
    pressed = [
        name
        for name in rows.listed.get("arbor", ())
        if any(("arbor", name, asks) in rows.cells for asks in ("hands", "height"))
    ]
    if pressed:
        out["whole", "", "pressed"] = (", ".join(pressed), at)
    return out
