"""A drawing as PDF (ISO 32000-1), a page for each sheet, with real text.

The lettering is embedded as a font of strokes (type 3) with a map to Unicode, so the text can be
searched and copied, and looks the same everywhere. Nothing in the file depends on the clock.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from nests.papers.drawing.lettering import DESCENT, glyph, width
from nests.papers.drawing.values import (
    Arc,
    Dimension,
    Drawing,
    Fill,
    Hatch,
    Item,
    Pen,
    Point,
    Stroke,
    Text,
)
from nests.papers.pdf_file import PdfFile, pdf_text

POINT = 72.0 / 25.4
"""Points in a mm."""
INK = "0.06 0.08 0.09"
_EM = 1000.0
_FIRST, _MOST = 32, 200
"""First code of a font, and signs in it."""


def pdf(drawing: Drawing) -> bytes:
    """PDF of the sheets. The same drawing gives the same bytes."""
    signs = sorted({sign for text in drawing.texts for sign in text.words})
    codes = {sign: divmod(k, _MOST) for k, sign in enumerate(signs)}
    fonts = [signs[k : k + _MOST] for k in range(0, len(signs), _MOST)]
    wide, tall = (side * POINT for side in drawing.size)

    file = PdfFile()
    pages = file.reserve()
    names = [_font(file, font) for font in fonts]
    shown = " ".join(f"/F{k} {name} 0 R" for k, name in enumerate(names))
    kids = []
    for sheet in drawing.sheets:
        parts = [f"{POINT:.6f} 0 0 {POINT:.6f} 0 0 cm 1 J 1 j {INK} RG {INK} rg"]
        parts += [line for block in sheet for item in block.items for line in _item(item, codes)]
        content = file.stream("\n".join(parts).encode("ascii"))
        page = file.add(
            f"<< /Type /Page /Parent {pages} 0 R /MediaBox [0 0 {wide:.3f} {tall:.3f}] "
            f"/Resources << /Font << {shown} >> >> /Contents {content} 0 R >>"
        )
        kids.append(f"{page} 0 R")
    file.put(pages, f"<< /Type /Pages /Kids [{' '.join(kids)}] /Count {len(kids)} >>")
    catalog = file.add(
        f"<< /Type /Catalog /Pages {pages} 0 R /Lang (en) "
        "/ViewerPreferences << /DisplayDocTitle true >> >>"
    )
    info = file.add(f"<< /Title {pdf_text(drawing.title)} /Producer (nests) >>")
    return file.bytes(catalog, info)


def _font(file: PdfFile, signs: list[str]) -> int:
    """A font of strokes with these signs, coded from 32 upward."""
    made = [(f"g{k}", *glyph(sign)) for k, sign in enumerate(signs)]
    procs = []
    for name, advance, lines in made:
        drawn = " ".join(_path([(x * _EM, y * _EM) for x, y in line]) for line in lines)
        body = f"{advance * _EM:.0f} 0 d0 {_EM / 10:g} w 1 J 1 j {drawn} S"
        procs.append(f"/{name} {file.stream(body.encode('ascii'))} 0 R")
    pairs = "\n".join(
        f"<{_FIRST + k:02x}> <{sign.encode('utf-16-be').hex()}>" for k, sign in enumerate(signs)
    )
    # at most 100 pairs stand in one block
    rows = pairs.split("\n")
    blocks = [rows[k : k + 100] for k in range(0, len(rows), 100)]
    mapped = "\n".join(f"{len(b)} beginbfchar\n" + "\n".join(b) + "\nendbfchar" for b in blocks)
    to_unicode = file.stream(
        "/CIDInit /ProcSet findresource begin 12 dict begin begincmap\n"
        "/CMapName /Strokes def /CMapType 2 def\n"
        f"1 begincodespacerange <00> <ff> endcodespacerange\n{mapped}\n"
        "endcmap CMapName currentdict /CMap defineresource pop end end\n".encode("ascii")
    )
    widths = " ".join(f"{advance * _EM:.0f}" for _, advance, _ in made)
    order = " ".join(f"/{name}" for name, _, _ in made)
    low, right = -DESCENT * _EM, max(1100.0, *(advance * _EM for _, advance, _ in made))
    return file.add(
        "<< /Type /Font /Subtype /Type3 /Name /Strokes "
        f"/FontBBox [-100 {low:.0f} {right:.0f} 1400] "
        f"/FontMatrix [{1 / _EM:g} 0 0 {1 / _EM:g} 0 0] "
        f"/CharProcs << {' '.join(procs)} >> /Resources << >> "
        f"/Encoding << /Type /Encoding /Differences [{_FIRST} {order}] >> "
        f"/FirstChar {_FIRST} /LastChar {_FIRST + len(made) - 1} /Widths [{widths}] "
        f"/ToUnicode {to_unicode} 0 R >>"
    )


def _item(item: Item, codes: dict[str, tuple[int, int]]) -> list[str]:
    if isinstance(item, Stroke):
        return [_pen(item.pen), _path(item.points) + (" s" if item.closed else " S")]
    if isinstance(item, Arc):
        return [_pen(item.pen), _arc(item)]
    if isinstance(item, Fill):
        return [_path(item.points) + " f"]
    if isinstance(item, Hatch):
        return [_pen(item.pen), *(_path(line) + " S" for line in item.lines)]
    if isinstance(item, Dimension):
        parts: list[Item] = [*item.lines, *item.arrows, item.text]
        return [line for part in parts for line in _item(part, codes)]
    return _text(item, codes)


def _pen(pen: Pen) -> str:
    return f"{pen.width:g} w [{' '.join(f'{d:g}' for d in pen.dashes)}] 0 d"


def _path(points: Iterable[Point]) -> str:
    (x0, y0), *rest = points
    return f"{x0:.3f} {y0:.3f} m " + " ".join(f"{x:.3f} {y:.3f} l" for x, y in rest)


def _arc(arc: Arc) -> str:
    """Bézier curves of at most an eighth of a turn: off the circle by less than 1e-5 of it."""
    (cx, cy), r = arc.centre, arc.radius
    count = max(1, math.ceil((arc.last - arc.first) / 45.0))
    step = math.radians(arc.last - arc.first) / count
    pull = 4.0 / 3.0 * math.tan(step / 4.0)
    out = []
    for k in range(count):
        a = math.radians(arc.first) + k * step
        b = a + step
        x0, y0, x3, y3 = math.cos(a), math.sin(a), math.cos(b), math.sin(b)
        if k == 0:
            out.append(f"{cx + r * x0:.3f} {cy + r * y0:.3f} m")
        curve = (x0 - pull * y0, y0 + pull * x0, x3 + pull * y3, y3 - pull * x3, x3, y3)
        xy = [f"{(cx, cy)[i % 2] + r * v:.3f}" for i, v in enumerate(curve)]
        out.append(" ".join(xy) + " c")
    return " ".join(out) + " S"


def _text(text: Text, codes: dict[str, tuple[int, int]]) -> list[str]:
    along = -text.anchor * width(text.words) * text.height
    x, y = text.at
    place = (
        (0.0, 1.0, -1.0, 0.0, x, y + along) if text.turned else (1.0, 0.0, 0.0, 1.0, x + along, y)
    )
    matrix = " ".join(f"{v:.3f}" for v in place)
    runs: list[tuple[int, str]] = []
    for sign in text.words:
        font, code = codes[sign]
        if runs and runs[-1][0] == font:
            runs[-1] = (font, runs[-1][1] + f"{_FIRST + code:02x}")
        else:
            runs.append((font, f"{_FIRST + code:02x}"))
    shown = " ".join(f"/F{font} {text.height:g} Tf <{code}> Tj" for font, code in runs)
    return [f"[] 0 d BT {matrix} Tm {shown} ET"] if runs else []
