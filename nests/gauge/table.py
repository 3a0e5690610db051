"""The readings of a gauge plate as a table (CSV): the rows are exactly those of the document."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

from nests.documents.reading import read_bounded
from nests.kinds import read as read_record
from nests.kinds.gauge_readings import GaugeReadings, GaugeRow
from nests.lengths import read_length
from nests.units import BadInput

HEAD = ("name", "what", "axis", "drawn", "height", "read 1", "read 2", "read 3", "good or bad")
TOP = ("printer", "layer", "tool", "date", "note")
"""Rows above the head of the rows: what the whole plate has."""
LARGEST = 1_000_000
_COMMA = re.compile(r"(?<=\d),(?=\d)")
_POINT = re.compile(r"(?<=\d)\.(?=\d)")
READINGS = 3


def written(readings: GaugeReadings, *, decimal_comma: bool = False) -> bytes:
    """The readings as a table: parted by commas with a decimal point, or by semicolons with a
    decimal comma."""
    out = io.StringIO()
    pen = csv.writer(out, delimiter=";" if decimal_comma else ",", lineterminator="\r\n")

    def number(value: float) -> str:
        text = f"{value:.10g}"
        return _POINT.sub(",", text) if decimal_comma else text

    for name in TOP:
        value = getattr(readings, name)
        # a note is one cell on one line here
        pen.writerow([name, number(value) if name == "layer" else " ".join(str(value).split())])
    most = max((len(row.read) for row in readings.rows), default=0)
    reads = [f"read {k + 1}" for k in range(max(READINGS, most))]
    pen.writerow([*HEAD[:5], *reads, HEAD[-1]])
    for row in readings.rows:
        cells = [number(each) for each in row.read]
        cells += [""] * (len(reads) - len(cells))
        high = number(row.height) if row.sort == "foot" else ""
        pen.writerow([row.name, row.sort, row.axis, number(row.drawn), high, *cells, row.tried])
    return ("\ufeff" + out.getvalue()).encode("utf-8")


def read(path: Path) -> GaugeReadings:
    """Readings from a document or a table. Raises `BadInput`, a sentence for each fault."""
    if path.suffix.lower() != ".csv":
        return read_record(path, GaugeReadings)
    return parsed(read_bounded(path, LARGEST), path.name)


def parsed(content: bytes, source: str) -> GaugeReadings:
    """Readings from the content of a table. Raises `BadInput`, a sentence for each fault."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput(f"{source} is not UTF-8 text; save it as CSV in UTF-8.") from None
    parted = max(";\t,", key=text.count)
    try:
        lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=parted, strict=True))
    except csv.Error as error:
        raise BadInput(f"{source} cannot be read as CSV: {error}.") from None
    begin = next((k for k, line in enumerate(lines) if line[:4] == list(HEAD[:4])), None)
    if begin is None:
        raise BadInput(f"{source}: no row begins with {', '.join(HEAD[:4])}; the rows follow it.")
    top = {line[0].strip(): line[1].strip() for line in lines[:begin] if len(line) > 1}
    faults: list[str] = []
    rows = []
    heads = [each.strip() for each in lines[begin]]
    for count, line in enumerate(lines[begin + 1 :], begin + 2):
        if any(cell.strip() for cell in line):
            try:
                rows.append(_row(line, heads, parted))
            except BadInput as bad:
                faults += [f"{source}, row {count}: {each}" for each in bad.faults]
    try:
        layer = read_length(_plain(top.get("layer", ""), parted), "layer").mm
    except BadInput as bad:
        faults += [f"{source}: {each}" for each in bad.faults]
    if faults:
        raise BadInput(*faults)
    about = {name: top.get(name, "") for name in TOP if name != "layer"}
    try:
        return GaugeReadings(layer=layer, rows=tuple(rows), **about)
    except BadInput as bad:
        raise BadInput(*(f"{source}: {each}" for each in bad.faults)) from None


def _row(line: list[str], heads: list[str], parted: str) -> GaugeRow:
    cells = dict(zip(heads, (each.strip() for each in line), strict=False))
    if len(line) > len(heads):
        raise BadInput(f"it has {len(line)} cells; the table has {len(heads)} columns.")
    name, sort = cells.get("name", ""), cells.get("what", "")
    reads = [(head, cell) for head, cell in cells.items() if head.startswith("read") and cell]
    sizes = tuple(read_length(_plain(cell, parted), f"{name}, {head}").mm for head, cell in reads)
    tried = cells.get(HEAD[-1], "").casefold()
    if tried not in ("", "good", "bad"):
        raise BadInput(f"{name}, {HEAD[-1]} is '{tried}'; good, bad or nothing is needed.")
    drawn = _number(_plain(cells.get("drawn", ""), parted), f"{name}, drawn")
    height = _number(_plain(cells.get("height", "") or "0", parted), f"{name}, height")
    try:
        return GaugeRow(
            name=name,
            sort=sort,  # type: ignore[arg-type]
            axis=cells.get("axis", ""),  # type: ignore[arg-type]
            drawn=drawn,
            height=height,
            read=sizes,
            tried=tried,  # type: ignore[arg-type]
        )
    except BadInput as bad:
        faults = (each if each.startswith(name) else f"{name}, {each}" for each in bad.faults)
        raise BadInput(*faults) from None


def _plain(cell: str, parted: str) -> str:
    """A number with a point, whichever the table has."""
    if parted == "," and _COMMA.search(cell):
        raise BadInput(f"'{cell}'; a decimal point is needed in a table parted by commas.")
    return _COMMA.sub(".", cell)


def _number(cell: str, name: str) -> float:
    try:
        return float(cell)
    except ValueError:
        raise BadInput(f"{name} is '{cell}'; a number is needed.") from None
