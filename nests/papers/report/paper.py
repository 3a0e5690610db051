"""A report on A4 paper, as PDF with real text, headings in its outline, and the page numbered.

A heading never ends a sheet; a row, a picture with its caption and the first lines of what follows
a heading stay together; no line of a paragraph stands alone.
"""

from __future__ import annotations

from collections.abc import Sequence

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
from nests.papers.report.grid import Grid, Row
from nests.papers.report.helvetica import has, winansi
from nests.papers.report.png_data import png_data
from nests.papers.report.sheets import UPRIGHT, Element, Sheets
from nests.papers.report.styles import (
    BODY,
    CELL,
    HEAD,
    HEAD_GREY,
    HEADINGS,
    LEAST_Y,
    MARGIN,
    MOST_Y,
    NOTE,
    PAD,
    ROOM,
    TALLEST,
    TITLE,
    Style,
)
from nests.papers.report.together import beginning, first_lines


def paper(report: Document) -> bytes:
    """PDF. The same report gives the same bytes."""
    writer = _Writer(Sheets(winansi(report.name)))
    writer.flow(TITLE.broken(report.title, ROOM), TITLE, writer.part("H1"))
    here, annex = parted(report.blocks)
    strange = lacking(texts(report), has)
    writer.write((Paragraph(report.subtitle), *([Paragraph(TOLD)] if strange else []), *here))
    if annex:
        writer.turn()
        writer.write(annex)
    return writer.sheets.finished(report.title)


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


class _Writer:
    """Blocks on sheets, from the top down; `y` is where the next one begins, in mm."""

    def __init__(self, sheets: Sheets) -> None:
        self.sheets = sheets
        self.turn()

    def turn(self) -> None:
        """Go on at the top of a new sheet."""
        self.sheets.turn()
        self.y = LEAST_Y

    def need(self, high: float) -> None:
        """A new sheet unless `high` mm are left on this one."""
        if self.y + high > MOST_Y and self.y > LEAST_Y:
            self.turn()

    def part(self, kind: str, alt: str = "") -> Element:
        """A further element of the document."""
        return self.sheets.root.add(kind, alt)

    def write(self, blocks: Sequence[Block]) -> None:
        """All of them in order."""
        for k, block in enumerate(blocks):
            if isinstance(block, Heading):
                self.heading(block, blocks[k + 1 :])
            elif isinstance(block, Paragraph):
                self.flow(BODY.broken(block.text, ROOM), BODY, self.part("P"))
                self.y += BODY.after
            elif isinstance(block, Listing):
                self.listing(block)
            elif isinstance(block, Picture):
                self.picture(block)
            elif isinstance(block, Table):
                self.table(block, blocks[k + 1 :])
            else:
                raise TypeError(f"{type(block).__name__} must be parted from the rest first")

    def flow(self, rows: Sequence[str], style: Style, of: Element, indent: float = 0.0) -> None:
        """Lines of one paragraph: two at least before and after a turn."""
        for k, row in enumerate(rows):
            left = len(rows) - k
            self.need((first_lines(left) if k == 0 else 2 if left == 2 else 1) * style.line)
            self.row(row, MARGIN + indent, style, of)

    def row(self, words: str, x: float, style: Style, of: Element) -> None:
        """A line at x, and down by one."""
        self.sheets.text(x, self.y + 0.75 * style.line, words, style.size, style.font, of)
        self.y += style.line

    def heading(self, block: Heading, after: Sequence[Block]) -> None:
        """With the beginning of what comes after it."""
        style = HEADINGS[block.level]
        rows = style.broken(block.text, ROOM)
        own = style.before + len(rows) * style.line + style.after
        self.need(own + beginning(after))
        if self.y > LEAST_Y:
            self.y += style.before
        self.sheets.entry(block.level - 2, block.text, self.y)
        self.flow(rows, style, self.part(f"H{block.level}"))
        self.y += style.after

    def listing(self, block: Listing) -> None:
        """Points with bullets."""
        listed = self.part("L")
        for item in block.items:
            point = listed.add("LI")
            rows = BODY.broken(item, ROOM - 5.0)
            self.need(first_lines(len(rows)) * BODY.line)
            bullet = self.y + 0.75 * BODY.line
            self.sheets.text(MARGIN + 1.0, bullet, "•", BODY.size, UPRIGHT, point.add("Lbl"))
            self.flow(rows, BODY, point.add("LBody"), 5.0)
            self.y += 0.6
        self.y += BODY.after

    def picture(self, block: Picture) -> None:
        """As wide as the text, unless it is too tall, with its words below."""
        png = png_data(block.png)
        wide = min(ROOM, TALLEST * png.wide / png.high)
        high = wide * png.high / png.wide
        rows = NOTE.broken(block.alt, ROOM)
        self.need(1.0 + high + 1.0 + len(rows) * NOTE.line)
        self.y += 1.0
        figure = self.part("Figure", block.alt)
        self.sheets.picture(MARGIN, self.y, wide, high, png, figure)
        self.y += high + 1.0
        self.flow(rows, NOTE, self.part("P"))
        self.y += 2.5

    def table(self, block: Table, after: Sequence[Block] = ()) -> None:
        """Rows whole, the head again on every sheet, no last row alone."""
        grid = Grid.of(block)
        caption = NOTE.broken(block.caption, ROOM)
        self.need(beginning((block, *after)))
        table = self.part("Table")
        self.flow(caption, NOTE, table.add("Caption"))
        self.y += NOTE.after
        self.cells(grid, grid.head, grid.head_high, table, head=True)
        for k, (cells, high) in enumerate(zip(grid.rows, grid.highs, strict=True)):
            last_two = k == len(grid.rows) - 2
            if self.y + high + (grid.highs[k + 1] if last_two else 0.0) > MOST_Y and k:
                self.turn()
                self.cells(grid, grid.head, grid.head_high, None, head=True)
            self.cells(grid, cells, high, table)
        self.y += 3.0

    def cells(
        self, grid: Grid, row: Row, high: float, table: Element | None, head: bool = False
    ) -> None:
        """One row; a head that is repeated (`table` is None) is furniture.

        What does not fit on a sheet by itself goes on on the next.
        """
        line = table.add("TR") if table is not None else None
        scopes = ["Column" if head else "" if k else "Row" for k in range(len(row))]
        own = [line and line.add("TH" if s else "TD", scope=s) for s in scopes]
        style, done, most = HEAD if head else CELL, 0, max(len(cell) for cell in row)
        while True:
            fit = max(1, int((MOST_Y - self.y - 2 * PAD) / style.line))
            part = [cell[done : done + fit] for cell in row]
            here = min(high, MOST_Y - self.y) if most > fit else high
            if head:
                self.sheets.fill(MARGIN, self.y, ROOM, here, HEAD_GREY)
            for x, cell, of in zip(grid.lefts, part, own, strict=True):
                for k, words in enumerate(cell):
                    at = self.y + PAD + (k + 0.75) * style.line
                    self.sheets.text(x + PAD, at, words, style.size, style.font, of)
            self.frame(grid, here)
            self.y += here
            done, most, high = done + fit, most - fit, high - fit * style.line
            if most <= 0:
                return
            self.turn()

    def frame(self, grid: Grid, high: float) -> None:
        """Rules above and below a row, and between its cells where a pen is to write."""
        for y in (self.y, self.y + high):
            self.sheets.rule(MARGIN, y, ROOM, 0.0)
        if grid.filled_in:
            for x in (*grid.lefts, MARGIN + ROOM):
                self.sheets.rule(x, self.y, 0.0, high)
