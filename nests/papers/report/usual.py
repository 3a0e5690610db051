"""What of a sheet stands at what its field is where nothing else is measured."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import MISSING, fields

from nests.given.sheet import Arbor, PlateStock, Sheet
from nests.papers.report.blocks import Block, Heading, Paragraph, Table
from nests.units import Quantity, Record

HEAD = "Taken as usual"
SAYS = (
    "Nothing else was given for these, or the very same; the holder is made and judged by them. "
    "Measure those that matter, and enter them on the sheet."
)


def usual(sheet: Sheet) -> list[tuple[str, str, str, str]]:
    """What, of which things, how much, and where that comes from, in the order of the sheet."""
    found: dict[tuple[str, str, str], list[str]] = {}
    for of, about, value in _usual(sheet, ""):
        figure = f"{value:g} {about.unit}".strip()
        found.setdefault((about.meaning, figure, about.origin or "the sheet's own"), []).append(of)
    rows = [
        (what, ", ".join(dict.fromkeys(filter(None, of))) or "the whole", figure, origin)
        for (what, figure, origin), of in found.items()
    ]
    if sheet.kind == "movement" and sheet.dial is None:
        rows.append(("the dial", "the whole", "none is on it", "the sheet's own"))
    return rows


def _usual(node: Record, of: str) -> Iterator[tuple[str, Quantity, float]]:
    for each in fields(node):
        value, about = getattr(node, each.name), each.metadata.get("quantity")
        if isinstance(value, float | int) and about is not None and not isinstance(value, bool):
            if each.default is not MISSING and value == each.default:
                yield of, about, float(value)
            continue
        inner = value if isinstance(value, tuple) else (value,)
        for thing in inner:
            if isinstance(thing, Record) and _counts(thing):
                name = getattr(thing, "name", "") or of or each.name.replace("_", " ")
                yield from _usual(thing, name)


def _counts(thing: Record) -> bool:
    """Whether anything is judged by it: not by a stock of unknown thickness, nor by an arbor that
    nothing can be pressed on; a sub-assembly is a workpiece of its own."""
    if isinstance(thing, PlateStock):
        return thing.thickness is not None
    if isinstance(thing, Arbor):
        return bool(thing.jewels)
    return not isinstance(thing, Sheet)


def taken_as_usual(sheet: Sheet) -> Iterator[Block]:
    """A heading and a table, where there is anything."""
    rows = tuple(usual(sheet))
    if rows:
        yield Heading(HEAD)
        yield Paragraph(SAYS)
        yield Table("What was taken as usual", ("What", "Of", "Taken as", "From"), rows,
                    (0.38, 0.22, 0.16, 0.24))  # fmt: skip
