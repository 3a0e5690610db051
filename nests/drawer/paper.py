"""Map and labels of a drawer as one page to print: A4, no network, the same bytes each time.

A holder keeps its compartment for good: they are counted in the order of filing, and that of a
retired holder stays free.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from nests.kinds.kept import KeptHolder
from nests.letters.engraving import called
from nests.units import BadInput, Length

WIDE, HIGH, MARGIN = 210.0, 297.0, 12.0
LABEL_WIDE, LABEL_HIGH = 62.0, 27.0
"""mm; three by ten to a sheet."""
MODULE: Length = 0.7
"""mm, edge of a module of the code: 29 with the quiet zone make 20.3 mm."""
QUIET = 4
"""Modules of white round a code; ISO/IEC 18004:2015, 5.3.8."""
EM = 0.58
"""Width of a letter as a share of its height, on average, of a plain sans serif."""


def in_compartments(holders: Iterable[KeptHolder]) -> list[KeptHolder]:
    """The holders in the order of their compartments."""
    return sorted(holders, key=lambda kept: kept.history[0].number)


def drawer_page(
    holders: Sequence[KeptHolder], *, columns: int = 4, rows: int = 6, title: str = "Drawer"
) -> bytes:
    """HTML with a map of the compartments and a label for every holder that is not retired.

    Raises `BadInput` for a grid that does not fit on the paper.
    """
    if not (1 <= columns <= 8 and 1 <= rows <= 16):
        raise BadInput(f"the map is {columns} by {rows}; 1 to 8 columns and 1 to 16 rows fit.")
    placed = in_compartments(holders)
    share = columns * rows
    sheets = [
        _map(placed[i : i + share], i, columns, rows, title) for i in range(0, len(placed), share)
    ]
    used = [k for k in placed if k.now.state != "retired"]
    across, down = int((WIDE - 2 * 10.0) // LABEL_WIDE), int((HIGH - 2 * 10.0) // LABEL_HIGH)
    share = across * down
    sheets += [_labels(used[i : i + share], across, title) for i in range(0, len(used), share)]
    return _HTML.format(title=escape(title), sheets="\n".join(sheets)).encode()


def _map(holders: Sequence[KeptHolder], first: int, columns: int, rows: int, title: str) -> str:
    wide, high = (WIDE - 2 * MARGIN) / columns, (HIGH - 2 * MARGIN - 10.0) / rows
    out = [_text(MARGIN, MARGIN + 4.0, f"{title}: compartments {first + 1} to "
                 f"{first + columns * rows}", 5.0, WIDE - 2 * MARGIN, bold=True)]  # fmt: skip
    for place in range(columns * rows):
        x = MARGIN + place % columns * wide
        y = MARGIN + 10.0 + place // columns * high
        out.append(f'<rect x="{x:.2f}" y="{y:.2f}" width="{wide:.2f}" height="{high:.2f}"/>')
        lines = [(f"{first + place + 1}", 2.6, False)]
        if place < len(holders):
            lines += _cell(holders[place])
        for number, (text, size, bold) in enumerate(lines):
            step = high / 7.0
            out.append(_text(x + 1.5, y + (number + 1) * step, text, min(size, step), wide - 3.0,
                             bold=bold))  # fmt: skip
    return _sheet(f"{title}: map", out)


def _cell(kept: KeptHolder) -> list[tuple[str, float, bool]]:
    if kept.now.state == "retired":
        return [("free", 3.2, False), (f"{kept.id} is retired", 2.6, False)]
    recipe = kept.recipe
    worn = [("WORN", 3.0, True)] if kept.now.state == "worn" else []
    how = f"{recipe.side_up.value} up, {called(recipe.operation)}"
    return [(kept.id, 4.6, True), (called(recipe.workpiece), 3.0, True), (recipe.kind, 2.6, False),
            (how, 2.6, False), *worn]  # fmt: skip


def _labels(holders: Sequence[KeptHolder], across: int, title: str) -> str:
    out = []
    for place, kept in enumerate(holders):
        x = 10.0 + place % across * LABEL_WIDE
        y = 10.0 + place // across * LABEL_HIGH
        out += _label(kept, x, y)
    return _sheet(f"{title}: labels", out)


def _label(kept: KeptHolder, x: Length, y: Length) -> list[str]:
    recipe, inner = kept.recipe, LABEL_WIDE - 24.5
    code, size = code_path(kept.id, x + 2.0, y + (LABEL_HIGH - 29 * MODULE) / 2)
    left = x + 2.0 + size + 1.0
    lines = [(kept.id, 6.0, True, 7.0), (called(recipe.workpiece), 3.6, True, 12.0),
             (recipe.kind, 3.0, False, 16.3), (f"{recipe.side_up.value} side up", 3.0, False, 20.3),
             (called(recipe.operation), 3.0, False, 24.3)]  # fmt: skip
    frame = f'<rect x="{x:.2f}" y="{y:.2f}" width="{LABEL_WIDE:g}" height="{LABEL_HIGH:g}"/>'
    return [frame, f'<path class="code" d="{code}"/>', *(
        _text(left, y + at, text, height, inner, bold=bold) for text, height, bold, at in lines
    )]  # fmt: skip


def code_path(text: str, x: Length, y: Length) -> tuple[str, Length]:
    """Outline of the dark modules of a QR code (ISO/IEC 18004), and its edge with the quiet zone,
    in mm; x, y is the upper left corner of the quiet zone."""
    import segno

    matrix = segno.make_qr(text, error="m", boost_error=False).matrix
    edge = (len(matrix) + 2 * QUIET) * MODULE
    out = []
    for row, line in enumerate(matrix):
        column = 0
        while column < len(line):  # runs of dark modules as one box, so that no seam shows
            run = column
            while run < len(line) and line[run]:
                run += 1
            if run > column:
                at_x, at_y = x + (column + QUIET) * MODULE, y + (row + QUIET) * MODULE
                long = (run - column) * MODULE
                out.append(f"M{at_x:.2f} {at_y:.2f}h{long:.2f}v{MODULE:g}h-{long:.2f}z")
            column = max(run, column + 1)
    return "".join(out), edge


def _text(
    x: Length, y: Length, text: str, size: Length, room: Length, *, bold: bool = False
) -> str:
    """One line of text, pressed together where it is too long for its room."""
    shown = "".join(c if c.isprintable() else " " for c in text)
    squeeze = ""
    if len(shown) * size * EM > room:
        squeeze = f' textLength="{room:.2f}" lengthAdjust="spacingAndGlyphs"'
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size:.2f}"{weight}{squeeze}>'
        f"{escape(shown)}</text>"
    )


def _sheet(label: str, drawn: Sequence[str]) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {HIGH:g}" role="img" '
        f'aria-label="{escape(label)}">\n' + "\n".join(drawn) + "\n</svg>"
    )


_HTML = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
:root {{ color-scheme: light; }}
body {{ margin: 0; background: #fff; color: #111; }}
h1 {{ font: 1.2rem system-ui, sans-serif; margin: 1rem; }}
svg {{ display: block; width: 210mm; max-width: 100%; height: auto; break-after: page; }}
text {{ font-family: system-ui, sans-serif; fill: #111; }}
rect {{ fill: none; stroke: #555; stroke-width: .2; }}
.code {{ fill: #000; shape-rendering: crispEdges; }}
@page {{ size: A4; margin: 0; }}
@media print {{ h1 {{ display: none; }} svg {{ width: 210mm; height: 297mm; }} }}
</style>
</head>
<body>
<main>
<h1>{title}</h1>
{sheets}
</main>
</body>
</html>
"""
