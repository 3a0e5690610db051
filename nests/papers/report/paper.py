"""A report on A4 paper, as PDF with real text, tagged, with an outline, and the pages numbered.

Set by typst: a heading never ends a sheet; a row, and a picture with its caption, stay together; no
line of a paragraph stands alone. A table to be filled in with a pen stands on one sheet, with what
is signed below it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from nests.letters.code_points import TOLD, lacking
from nests.papers.report.blocks import (
    Block,
    Document,
    Folded,
    Heading,
    Listing,
    Paragraph,
    Picture,
    Table,
    texts,
)
from nests.papers.typeset import FONT, compiled, has, quoted, shown

WIDE, HIGH, MARGIN = 210.0, 297.0, 16.0
"""mm of the sheet, and what is left at its sides."""
ROOM = WIDE - 2 * MARGIN
TALLEST = 105.0
"""mm; height of a picture on the page."""
PEN = 8.0
"""mm; least height of a row to be filled in with a pen: common practice, no source."""
SHORT = 20
"""Rows up to which a table is not parted."""
MOST_BY_PEN = 24
"""Rows to be filled in that one sheet holds under a heading and a sentence."""
LETTERS_A_MM = 0.62
"""Letters of a cell in a mm of a line, on average, of 8.5 pt."""
MOST_LINES = 35
"""Lines of a cell up to which its row is not parted."""

STRUT = f"#box(height: {PEN - 2 * 1.2:.1f}mm)]"
"""End of the last cell of a row to be filled in: no text, and as high as a pen needs."""

HEAD = f"""
#set page(paper: "a4", margin: (x: {MARGIN}mm, top: {MARGIN}mm, bottom: 17mm),
  footer: context text(size: 8pt, fill: luma(30%))[#NAME · page #counter(page).display() of
  #counter(page).final().first()])
#set text(font: {FONT}, size: 10pt, lang: "en", hyphenate: false, overhang: false)
#set par(leading: 0.62em, spacing: 0.75em)
#set list(indent: 1mm, body-indent: 2.4mm, spacing: 0.8em)
#show heading.where(level: 1): set text(size: 17pt)
#show heading.where(level: 2): set text(size: 13pt)
#show heading.where(level: 3): set text(size: 11pt)
#show heading.where(level: 2): set block(above: 6.5mm, below: 3mm)
#show heading.where(level: 3): set block(above: 4.5mm, below: 2.5mm)
#show table: set text(size: 8.5pt)
#show table.cell.where(y: 0): strong
#let note(words) = block(above: 2mm, below: 1.6mm, sticky: true, text(size: 8.5pt,
  style: "italic", words))
#let below(words) = block(above: 1.2mm, below: 4mm, text(size: 8.5pt, style: "italic", words))
"""


def paper(report: Document) -> bytes:
    """PDF. The same report gives the same bytes."""
    here, annex = parted(report.blocks)
    strange = lacking(texts(report), has)
    pictures: dict[str, bytes] = {}
    lines = [
        f"#set document(title: {_said(report.title)}, date: none)",
        HEAD.replace("#NAME", f"#{_said(report.name)}"),
        f"#heading(level: 1)[#{_said(report.title)}]",
        *_set((Paragraph(report.subtitle), *([Paragraph(TOLD)] if strange else []), *here),
              pictures),
    ]  # fmt: skip
    if annex:
        lines += ["#pagebreak(weak: true)", *_set(annex, pictures)]
    return compiled("\n".join(lines), pictures)


def parted(blocks: Sequence[Block]) -> tuple[list[Block], list[Block]]:
    """What stands in its place, and what the page folds, for the end: a word in its place says so.

    The annex begins on a sheet of its own, so that it need not be printed.
    """
    here: list[Block] = []
    annex: list[Block] = []
    for block in blocks:
        if isinstance(block, Folded):
            here.append(Paragraph(f"{block.summary}: at the end, under '{block.title}'."))
            annex += [Heading(block.title), *block.blocks]
        else:
            here.append(block)
    return here, annex


def _said(text: str) -> str:
    return quoted(shown(text))


def _set(blocks: Sequence[Block], pictures: dict[str, bytes]) -> Iterator[str]:
    """Blocks as typst source; what belongs on one sheet goes into one block."""
    for together in _groups(blocks):
        made = [line for block in together for line in _block(block, pictures)]
        yield from (["#block(breakable: false, width: 100%)[", *made, "]"] if len(together) > 1 else
                    made)  # fmt: skip


def _groups(blocks: Sequence[Block]) -> Iterator[list[Block]]:
    """Each block by itself, but tables for the pen that follow each other together, with heading
    and words before them, as far as one sheet holds them."""
    lead: list[Block] = []
    group: list[Block] = []
    rows = 0
    for block in blocks:
        more = len(block.rows) + 2 if isinstance(block, Table) and block.blanks else 0
        if more and rows + more <= MOST_BY_PEN:
            group, rows = [*group, *lead, block], rows + more
            lead = []
            continue
        if group:
            yield group
        group, rows = [], 0
        if isinstance(block, Heading):
            yield from ([each] for each in lead)
            lead = [block]
        elif isinstance(block, Paragraph) and lead:
            lead = [*lead, block]
        else:
            yield from ([each] for each in (*lead, block))
            lead = []
    if group:
        yield group
    yield from ([each] for each in lead)


def _block(block: Block, pictures: dict[str, bytes]) -> Iterator[str]:
    if isinstance(block, Heading):
        yield f"#heading(level: {block.level})[#{_said(block.text)}]"
    elif isinstance(block, Paragraph):
        yield f"#par[#{_said(block.text)}]"
    elif isinstance(block, Listing):
        yield f"#list({', '.join(f'[#{_said(item)}]' for item in block.items)})"
    elif isinstance(block, Picture):
        yield from _picture(block, pictures)
    elif isinstance(block, Table):
        yield from _table(block)
    else:
        raise TypeError(f"{type(block).__name__} must be parted from the rest first")


def _picture(block: Picture, pictures: dict[str, bytes]) -> Iterator[str]:
    """As wide as the text, unless it is too tall, with its words below."""
    name = f"picture{len(pictures)}.png"
    pictures[name] = block.png
    wide, high = (int.from_bytes(block.png[k : k + 4], "big") for k in (16, 20))
    across = min(ROOM, TALLEST * wide / high)
    yield "#block(breakable: false, width: 100%)["
    yield f'#image("{name}", alt: {_said(block.alt)}, width: {across:.3f}mm)'
    yield f"#below[#{_said(block.alt)}]]"


def _table(block: Table) -> Iterator[str]:
    """Rows whole, the head again on every sheet; rules below each row, and between cells where a
    pen is to write."""
    columns = ", ".join(f"{share:g}fr" for share in block.widths)
    long = max((_lines_of(row, block.widths) for row in block.rows), default=1)
    keep = len(block.rows) <= (MOST_BY_PEN - 2 if block.blanks else SHORT)
    stroke = "0.4pt" if block.blanks else "(x: none, y: 0.4pt)"
    whole = "false" if keep and long <= MOST_LINES else "true"
    yield f"#block(breakable: {whole}, width: 100%, below: 5mm)["
    yield f"#note[#{_said(block.caption)}]"
    yield f"#table(columns: ({columns},), stroke: {stroke}, inset: 1.2mm,"
    yield "  align: left + horizon," if block.blanks else "  align: left + top,"
    yield f"  table.header({', '.join(_cell(words, 'fill: luma(91%)') for words in block.head)}),"
    more = "breakable: false" if long <= MOST_LINES else ""
    for row in block.rows:
        cells = [_cell(words, more) for words in row]
        cells[-1] = cells[-1][:-1] + STRUT if block.blanks else cells[-1]
        yield f"  {', '.join(cells)},"
    yield ")]"


def _cell(words: str, about: str) -> str:
    return f"table.cell({about})[#{_said(words)}]"


def _lines_of(row: Sequence[str], widths: Sequence[float]) -> int:
    """About how many lines the longest cell of a row has."""
    share = [ROOM * width / sum(widths) for width in widths]
    return max(
        int(len(words) / max(LETTERS_A_MM * mm, 1.0)) + 1
        for words, mm in zip(row, share, strict=True)
    )
