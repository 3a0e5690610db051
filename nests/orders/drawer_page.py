"""Map and labels of a drawer on A4 paper, to print and cut out: PDF, the same bytes each time.

A holder keeps its compartment for good: they are counted in the order of filing, and that of a
retired holder stays free.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from nests.kinds.kept import KeptHolder
from nests.letters.engraving import called
from nests.papers.typeset import FONT, compiled, quoted, shown
from nests.units import BadInput, Length

WIDE, HIGH, MARGIN = 210.0, 297.0, 12.0
LABEL_WIDE, LABEL_HIGH, EDGE = 62.0, 27.0, 10.0
"""mm of a label and of what is left at the sides of the sheet; three by ten to a sheet."""
MODULE: Length = 0.7
"""mm, edge of a module of the code: 29 with the quiet zone make 20.3 mm."""
QUIET = 4
"""Modules of white round a code; ISO/IEC 18004:2015, 5.3.8."""
HEAD = f"""
#set page(paper: "a4", margin: 0mm)
#set text(font: {FONT}, lang: "en", hyphenate: false, top-edge: "baseline")
#let at(x, y, what) = place(top + left, dx: x * 1mm, dy: y * 1mm, what)
#let line(x, y, high, room, words, weight: "regular") = at(x, y, context {{
  let set_down = text(size: high * 1mm, weight: weight, words)
  let wide = measure(set_down).width
  scale(x: 100% * calc.min(1, room * 1mm / calc.max(wide, 0.1mm)), origin: left, reflow: true,
    box(width: wide, set_down))
}})
#let frame(x, y, wide, high) = at(x, y, rect(width: wide * 1mm, height: high * 1mm,
  stroke: 0.2mm + luma(33%)))
"""
"""A line is pressed together where it is too long for its room."""


def in_compartments(holders: Iterable[KeptHolder]) -> list[KeptHolder]:
    """The holders in the order of their compartments."""
    return sorted(holders, key=lambda kept: kept.history[0].number)


def drawer_page(
    holders: Sequence[KeptHolder], *, columns: int = 4, rows: int = 6, title: str = "Drawer"
) -> bytes:
    """PDF with a map of the compartments and a label for every holder that is not retired.

    Raises `BadInput` for a grid that does not fit on the paper.
    """
    if not (1 <= columns <= 8 and 1 <= rows <= 16):
        raise BadInput(f"the map is {columns} by {rows}; 1 to 8 columns and 1 to 16 rows fit.")
    placed = in_compartments(holders)
    share = columns * rows
    sheets = [
        _map(placed[i : i + share], i, columns, rows, title)
        for i in range(0, max(len(placed), 1), share)
    ]
    used = [each for each in placed if each.now.state != "retired"]
    across, down = (int((all_ - 2 * EDGE) // one) for all_, one in
                    ((WIDE, LABEL_WIDE), (HIGH, LABEL_HIGH)))  # fmt: skip
    share = across * down
    sheets += [_labels(used[i : i + share], across) for i in range(0, len(used), share)]
    codes = {_file(each.id): code_picture(each.id) for each in used}
    source = [f"#set document(title: {_said(title)}, date: none)", HEAD]
    for number, sheet in enumerate(sheets):
        source += ["#pagebreak()"] if number else []
        source += sheet
    return compiled("\n".join(source), codes)


def _map(
    holders: Sequence[KeptHolder], first: int, columns: int, rows: int, title: str
) -> Iterator[str]:
    wide, high = (WIDE - 2 * MARGIN) / columns, (HIGH - 2 * MARGIN - 10.0) / rows
    words = f"{title}: compartments {first + 1} to {first + columns * rows}"
    yield _line(MARGIN, MARGIN + 4.0, words, 5.0, WIDE - 2 * MARGIN, bold=True)
    for place in range(columns * rows):
        x = MARGIN + place % columns * wide
        y = MARGIN + 10.0 + place // columns * high
        yield f"#frame({x:.2f}, {y:.2f}, {wide:.2f}, {high:.2f})"
        lines = [(f"{first + place + 1}", 2.6, False)]
        if place < len(holders):
            lines += _cell(holders[place])
        for number, (text, size, bold) in enumerate(lines):
            step = high / 7.0
            yield _line(x + 1.5, y + (number + 1) * step, text, min(size, step), wide - 3.0,
                        bold=bold)  # fmt: skip


def _cell(kept: KeptHolder) -> list[tuple[str, float, bool]]:
    if kept.now.state == "retired":
        return [("free", 3.2, False), (f"{kept.id} is retired", 2.6, False)]
    recipe = kept.recipe
    worn = [("WORN", 3.0, True)] if kept.now.state == "worn" else []
    how = f"{recipe.side_up.value} up, {called(recipe.operation)}"
    return [(kept.id, 4.6, True), (called(recipe.workpiece), 3.0, True), (recipe.kind, 2.6, False),
            (how, 2.6, False), *worn]  # fmt: skip


def _labels(holders: Sequence[KeptHolder], across: int) -> Iterator[str]:
    for place, kept in enumerate(holders):
        x = EDGE + place % across * LABEL_WIDE
        yield from _label(kept, x, EDGE + place // across * LABEL_HIGH)


def _label(kept: KeptHolder, x: Length, y: Length) -> Iterator[str]:
    recipe, edge = kept.recipe, 29 * MODULE
    left = x + 3.0 + edge
    yield f"#frame({x:.2f}, {y:.2f}, {LABEL_WIDE}, {LABEL_HIGH})"
    yield (
        f"#at({x + 2.0:.2f}, {y + (LABEL_HIGH - edge) / 2:.2f}, image({quoted(_file(kept.id))}, "
        f"width: {edge:.2f}mm, alt: {_said(f'code of {kept.id}')}))"
    )
    lines = [(kept.id, 6.0, True, 7.0), (called(recipe.workpiece), 3.6, True, 12.0),
             (recipe.kind, 3.0, False, 16.3), (f"{recipe.side_up.value} side up", 3.0, False, 20.3),
             (called(recipe.operation), 3.0, False, 24.3)]  # fmt: skip
    for text, height, bold, below in lines:
        yield _line(left, y + below, text, height, LABEL_WIDE - edge - 4.2, bold=bold)


def _file(id_: str) -> str:
    return f"{id_}.svg"


def code_picture(text: str) -> bytes:
    """A QR code (ISO/IEC 18004) with its quiet zone, as SVG."""
    import io

    import segno

    out = io.BytesIO()
    segno.make_qr(text, error="m", boost_error=False).save(
        out, kind="svg", border=QUIET, light="white", scale=10, xmldecl=False, nl=False
    )
    return out.getvalue()


def _said(text: str) -> str:
    return quoted(shown(text))


def _line(
    x: Length, y: Length, text: str, size: Length, room: Length, *, bold: bool = False
) -> str:
    """Words whose feet stand at y."""
    weight = ', weight: "bold"' if bold else ""
    return f"#line({x:.2f}, {y:.2f}, {size:.2f}, {room:.2f}, {_said(text)}{weight})"
