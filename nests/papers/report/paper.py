"""A report on A4 paper, as PDF with real text, tagged, with an outline, and the pages numbered.

Set by typst: a heading never ends a sheet; a row, and a picture with its caption, stay together; no
line of a paragraph stands alone. A table to be filled in with a pen stands on one sheet, with what
is signed below it.
"""

from __future__ import annotations

import math
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
SHORT = 90.0
"""mm; a table about as high as that is not parted."""
MOST_BY_PEN = 200.0
"""mm; what is filled in with a pen and about as high as that stands on one sheet, with its heading:
a sheet has 264 mm."""
LONGEST_ROW = 150.0
"""mm; a row about as high as that is not parted."""
LEAD, MOST_LED = 35.0, 400
"""mm of a heading and some lines before a table, and the letters of those lines."""
LETTER, LINE, PAD = 1.9, 4.1, 1.2
"""mm of a letter with what words leave at the end of a line, from line to line, and round the text
of a cell: on the large side, of 8.5 pt."""

LONG_WORD = 24
"""Letters from which a word may be broken anywhere, as it may be wider than its cell."""
STRUT = f"#box(height: {PEN - 2 * PAD:.1f}mm)]"
"""End of the last cell of a row to be filled in: no text, and as high as a pen needs."""

ABOVE = {2: "6.5mm", 3: "4.5mm"}
"""Room above a heading, by its level."""

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
#show heading.where(level: 2): set block(above: {ABOVE[2]}, below: 3mm)
#show heading.where(level: 3): set block(above: {ABOVE[3]}, below: 2.5mm)
#show table: set text(size: 8.5pt)
#show table.cell.where(y: 0): strong
#show regex("\\S{{{LONG_WORD},}}"): it => it.text.clusters().join(box(width: 0pt))
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
        first = together[0]
        above = f", above: {ABOVE[first.level]}" if isinstance(first, Heading) else ""
        yield from (
            [f"#block(breakable: false, width: 100%{above})[", *made, "]"]
            if len(together) > 1
            else made
        )


def _groups(blocks: Sequence[Block]) -> Iterator[list[Block]]:
    """Each block by itself, but tables for the pen that follow each other together, with heading
    and words before them, as far as one sheet holds them."""
    lead: list[Block] = []
    group: list[Block] = []
    high = 0.0
    for block in blocks:
        more = _high(block) if isinstance(block, Table) and block.blanks else 0.0
        if more and high + more + (LEAD if lead else 0.0) <= MOST_BY_PEN + LEAD:
            group, high = [*group, *lead, block], high + more
            lead = []
            continue
        if group:
            yield group
        group, high = [], 0.0
        if isinstance(block, Heading):
            yield from ([each] for each in lead)
            lead = [block]
        elif isinstance(block, Paragraph) and len(lead) == 1 and len(block.text) <= MOST_LED:
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
    long = max((_row_high(row, block) for row in block.rows), default=0.0)
    stroke = "0.4pt" if block.blanks else "(x: none, y: 0.4pt)"
    whole = "false" if _high(block) <= (MOST_BY_PEN if block.blanks else SHORT) else "true"
    yield f"#block(breakable: {whole}, width: 100%, below: 5mm)["
    yield f"#note[#{_said(block.caption)}]"
    yield f"#table(columns: ({columns},), stroke: {stroke}, inset: {PAD}mm,"
    yield "  align: left + horizon," if block.blanks else "  align: left + top,"
    yield f"  table.header({', '.join(_cell(words, 'fill: luma(91%)') for words in block.head)}),"
    more = "breakable: false" if long <= LONGEST_ROW else ""
    for row in block.rows:
        cells = [_cell(words, more) for words in row]
        cells[-1] = cells[-1][:-1] + STRUT if block.blanks else cells[-1]
        yield f"  {', '.join(cells)},"
    yield ")]"


def _cell(words: str, about: str) -> str:
    return f"table.cell({about})[#{_said(words)}]"


def _high(block: Table) -> float:
    """About how high a table is, mm, with its caption and head; rather more than less."""
    rows = math.fsum(_row_high(row, block) for row in (block.head, *block.rows))
    return rows + LINE * (1 + len(block.caption) * LETTER // ROOM) + 5.0


def _row_high(row: Sequence[str], block: Table) -> float:
    """About how high a row is, mm."""
    share = [ROOM * width / math.fsum(block.widths) - 2 * PAD for width in block.widths]
    lines = max(
        1 + int(len(words) * LETTER / max(mm, LETTER)) for words, mm in zip(row, share, strict=True)
    )
    return max(lines * LINE + 2 * PAD, PEN if block.blanks else 0.0)
