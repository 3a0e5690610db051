"""A report on A4 paper, as PDF with real text, headings in its outline, and the page numbered."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from nests.report.blocks import Block, Document, Heading, Listing, Paragraph, Picture, Table

if TYPE_CHECKING:
    from fpdf import FPDF

TEXT, SMALL, LINE = 10.0, 8.5, 5.0
"""Sizes of letters in pt, and the height of a line in mm."""
DATE = datetime(2000, 1, 1, tzinfo=UTC)
"""Stands where the format wants a date: the same report gives the same bytes."""
NEXT: dict[str, Any] = {"new_x": "LMARGIN", "new_y": "NEXT"}
"""Where the pen goes on after a paragraph."""
TALLEST = 105.0
"""mm; height of a picture on the page."""
_LATIN = {
    "⌀": "Ø", "−": "-", "–": "-", "—": "-", "→": "->", "≤": "at most ", "≥": "at least ",
    "≈": "about ", "√": "root ", "∞": "inf", "μ": "µ", "σ": "sigma", "α": "alpha", "ε": "epsilon",
    "’": "'", "“": '"', "”": '"', "…": "...", "′": "'", "″": '"', "‴": "'''",
}  # fmt: skip
"""Every reader has the standard letters; what lies outside them is said in them."""


def paper(report: Document) -> bytes:
    """PDF. The same report gives the same bytes."""
    pdf = _pages(report.name)
    pdf.set_title(_latin(report.title))
    pdf.add_page()
    pdf.set_font("Helvetica", "B", 17)
    pdf.multi_cell(0, 8, _latin(report.title), align="L", **NEXT)
    pdf.set_font("Helvetica", "", TEXT)
    pdf.multi_cell(0, LINE, _latin(report.subtitle), align="L", **NEXT)
    for block in report.blocks:
        _write(pdf, block)
    return bytes(pdf.output())


def _pages(foot: str) -> FPDF:
    from fpdf import FPDF

    class Pages(FPDF):
        def footer(self) -> None:
            self.set_y(-12)
            self.set_font("Helvetica", "", SMALL)
            self.cell(0, 5, f"{_latin(foot)} · page {self.page_no()} of {{nb}}", align="L")

    pdf = Pages(format="A4")
    pdf.set_margins(16, 16, 16)
    pdf.set_auto_page_break(True, margin=18)
    pdf.set_lang("en")
    pdf.set_creation_date(DATE)
    return pdf


def _write(pdf: FPDF, block: Block) -> None:
    if isinstance(block, Heading):
        _heading(pdf, block)
    elif isinstance(block, Paragraph):
        pdf.multi_cell(0, LINE, _latin(block.text), align="L", **NEXT)
        pdf.ln(1.5)
    elif isinstance(block, Listing):
        for item in block.items:
            pdf.cell(5, LINE, "-")
            pdf.multi_cell(0, LINE, _latin(item), align="L", **NEXT)
        pdf.ln(1.5)
    elif isinstance(block, Picture):
        _picture(pdf, block)
    else:
        _table(pdf, block)


def _heading(pdf: FPDF, block: Heading) -> None:
    if pdf.will_page_break(50 if block.level == 2 else 28):  # a heading does not end a page
        pdf.add_page()
    pdf.ln(4 if block.level == 2 else 2)
    pdf.start_section(_latin(block.text), level=block.level - 2)
    pdf.set_font("Helvetica", "B", 13 if block.level == 2 else 11)
    pdf.multi_cell(0, 7, _latin(block.text), align="L", **NEXT)
    pdf.set_font("Helvetica", "", TEXT)


def _picture(pdf: FPDF, block: Picture) -> None:
    from PIL import Image

    with Image.open(io.BytesIO(block.png)) as image:
        wide, high = image.size
        shown = image.convert("RGB")
    width = min(pdf.epw, TALLEST * wide / high)
    height = width * high / wide
    if pdf.will_page_break(height + 8):
        pdf.add_page()
    pdf.image(shown, w=width, alt_text=_latin(block.alt))
    pdf.set_font("Helvetica", "I", SMALL)
    pdf.multi_cell(0, LINE, _latin(block.alt), align="L", **NEXT)
    pdf.set_font("Helvetica", "", TEXT)


def _table(pdf: FPDF, block: Table) -> None:
    from fpdf.fonts import FontFace

    pdf.set_font("Helvetica", "I", SMALL)
    if pdf.will_page_break(20):
        pdf.add_page()
    pdf.multi_cell(0, LINE, _latin(block.caption), align="L", **NEXT)
    pdf.set_font("Helvetica", "", SMALL)
    more: dict[str, Any] = {"min_row_height": 8.0} if block.blanks else {}
    with pdf.table(
        col_widths=tuple(round(1000 * w) for w in block.widths),
        headings_style=FontFace(emphasis="BOLD", fill_color=(232, 232, 232)),
        line_height=4.2,
        padding=1.0,
        text_align="LEFT",
        v_align="TOP",
        **more,
    ) as table:
        for cells in (block.head, *block.rows):
            row = table.row()
            for text in cells:
                row.cell(_latin(text))
    pdf.ln(3)
    pdf.set_font("Helvetica", "", TEXT)


def _latin(text: str) -> str:
    """The text in the letters every reader has (Latin-1)."""
    told = "".join(_LATIN.get(c, c) for c in text)
    return re.sub(r"[^\x00-\xff]", "?", told)
