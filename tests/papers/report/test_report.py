"""The report says what was found, in letters any reader has, and the same bytes each time."""

from __future__ import annotations

import io
import itertools
import re
from collections.abc import Iterator
from typing import Any

import html5lib
import numpy as np
import pytest
from PIL import Image, ImageFont
from pypdf import PdfReader

from nests.finding import Grade
from nests.letters.fonts import own_folder
from nests.papers.picture.curve import TALL, WIDE
from nests.papers.picture.pages import PAGE
from nests.papers.picture.writing import SMALL, font
from nests.papers.report import page, paper
from nests.papers.report.blocks import Document, Folded, Heading, Listing, Paragraph, Picture, Table
from nests.papers.report.paper import ROOM, TALLEST
from nests.papers.report.wording import figure
from nests.papers.scenes import FIELD_PAGE
from nests.papers.typeset import shown


def squeezed(text: str) -> str:
    """Text without the breaks that a line or a cell puts in it."""
    return re.sub(r"[\s\-]+", "", text)


def text_of(pdf: bytes) -> str:
    """Text of a PDF as pypdf, a reader of its own, extracts it."""
    return squeezed("".join(p.extract_text() for p in PdfReader(io.BytesIO(pdf)).pages))


def test_page_is_valid_html(reported):
    """html5lib in strict mode raises on the first parse error (WHATWG HTML, parsing)."""
    html5lib.HTMLParser(strict=True).parse(page(reported[1]).decode())


def test_page_asks_for_nothing_outside_itself(reported):
    text = page(reported[1]).decode()
    assert not re.findall(r"""(?:src|href|url\()\s*=?\s*["']?(?!data:)[a-z]+:""", text)
    assert "<script" not in text
    assert "@import" not in text


def test_headings_go_down_one_step_at_a_time(reported):
    """WCAG 2.1, technique G141: headings in order of their level, one h1."""
    levels = [int(n) for n in re.findall(r"<h(\d)>", page(reported[1]).decode())]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b - a <= 1 for a, b in itertools.pairwise(levels))


def test_every_finding_stands_in_both(reported):
    pack, report = reported
    html = html5lib.parse(page(report).decode(), namespaceHTMLElements=False)
    on_page, on_paper = squeezed("".join(html.itertext())), text_of(paper(report))
    assert pack.findings
    for finding in pack.findings:
        for text in (finding.says[1:], finding.remedy, finding.origin):
            assert squeezed(text) in on_page
            assert squeezed(shown(text)) in on_paper


def test_a_holder_says_what_it_is_not_for(reported):
    pack, report = reported
    text = page(report).decode()
    kind = pack.holder.recipe.workpiece.kind
    for other in {"movement", "sub-assembly", "case"} - {kind}:
        assert re.search(rf"<li>Any .*{other}.*: kinds never mix", text), other


def test_same_bytes_each_time(reported):
    _, report = reported
    assert page(report) == page(report)
    assert paper(report) == paper(report)


def test_paper_names_the_page_and_the_recipe(reported):
    _, report = reported
    pages = PdfReader(io.BytesIO(paper(report))).pages
    for number, each in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in each.extract_text()
        assert "0123456789ab" in each.extract_text()


@pytest.mark.parametrize("text", ["<b>&\"'", "⌀ 26 ≤ 3 µm", "日本", "a" * 300])
def test_any_text_is_shown_as_it_is(text):
    table = Table("t", ("a", "b"), ((text, text),), (0.5, 0.5))
    report = Document(text, text, text, (Paragraph(text), table))
    html = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(
        page(report).decode()
    )
    assert [(p.text or "").replace("\xa0", " ") for p in html.iter("p")][1] == text
    assert squeezed(shown(text)) in text_of(paper(report))


def test_a_blank_to_fill_in_is_high_enough_for_a_pen(reported):
    """Acceptance list: 8 mm rows on paper (common practice, no source)."""
    tables = [b for b in reported[1].blocks if isinstance(b, Table) and b.blanks]
    assert tables
    assert all(row[k] == "" for t in tables for row in t.rows for k in t.blanks)


def tree(node: Any) -> Iterator[Any]:
    """Every element of the structure tree of a PDF (ISO 32000-1, 14.7), in order."""
    kids = node.get("/K", [])
    for kid in kids if isinstance(kids, list) else [kids]:
        each = kid.get_object()
        if isinstance(each, dict) and "/S" in each:
            yield each
            yield from tree(each)


def test_paper_is_tagged_and_has_an_outline(reported):
    """Headings, tables and pictures as such, every picture with words (PDF/UA-1, 7.2 to 7.4)."""
    _, report = reported
    reader = PdfReader(io.BytesIO(paper(report)), strict=True)
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    found = list(tree(reader.trailer["/Root"]["/StructTreeRoot"]))
    kinds = [each["/S"] for each in found]
    folded = [b for block in report.blocks if isinstance(block, Folded) for b in block.blocks]
    blocks = [*report.blocks, *folded]
    headings = [b for b in blocks if isinstance(b, Heading)]
    annexes = sum(isinstance(b, Folded) for b in blocks)
    assert kinds.count("/H1") == 1
    assert kinds.count("/H2") == sum(h.level == 2 for h in headings) + annexes
    assert kinds.count("/H3") == sum(h.level == 3 for h in headings)
    assert kinds.count("/Table") == sum(isinstance(b, Table) for b in blocks)
    figures = [each["/Alt"] for each in found if each["/S"] == "/Figure"]
    assert figures == [b.alt for b in blocks if isinstance(b, Picture)]

    def flat(entries: list[Any]) -> list[str]:
        return [t for e in entries for t in (flat(e) if isinstance(e, list) else [e.title])]

    assert set(flat(reader.outline)) >= {h.text for h in headings}


def written(pdf: bytes) -> list[list[tuple[float, float, str, float, bool]]]:
    """For each sheet x, y (mm from the upper left), text, size in pt, bold, as pypdf reads them."""
    out = []
    for sheet in PdfReader(io.BytesIO(pdf)).pages:
        rows: list[tuple[float, float, str, float, bool]] = []

        def note(text, turned, matrix, font, size, rows=rows):
            if text.strip():
                along, up = matrix[4], matrix[5]
                x = (along * turned[0] + up * turned[2] + turned[4]) * 25.4 / 72
                y = 297.0 - (along * turned[1] + up * turned[3] + turned[5]) * 25.4 / 72
                rows.append((x, y, text.strip(), size, "Bold" in font["/BaseFont"]))

        sheet.extract_text(visitor_text=note)
        out.append(rows)
    return out


def test_nothing_is_cut_off_at_the_edge_of_a_sheet(reported):
    """Every line ends left of the right margin by the widths that Pillow has of the font's letters,
    and stands above the foot."""
    for sheet in written(paper(reported[1])):
        for x, y, text, size, bold in sheet:
            assert x >= 15.9
            assert x + outside_width(text, size, bold) <= 194.3 or y > 282.0, text
            assert y <= 281.0 or 284.0 < y < 293.0, text


def outside_width(text: str, size: float, bold: bool) -> float:
    face = "Bold" if bold else "Regular"
    path = own_folder() / f"SourceSansPro-{face}.ttf"
    return ImageFont.truetype(str(path), 1000).getlength(text) * size / 1000 * 25.4 / 72


def test_no_heading_ends_a_sheet(reported):
    """Below every heading stands something else on the same sheet."""
    _, report = reported
    titles = {h.text for h in report.blocks if isinstance(h, Heading)}
    drawn = PdfReader(io.BytesIO(paper(report))).pages
    for sheet, page_ in zip(written(paper(report)), drawn, strict=True):
        body = [row for row in sheet if row[1] < 285.0]
        last = max(body, key=lambda row: row[1])
        assert last[2] not in titles or page_.images


def test_only_what_holds_is_folded(reported):
    """Whatever asks for something stands open: stop, mend and unknown are never folded."""
    pack, report = reported
    html = html5lib.parse(page(report).decode(), namespaceHTMLElements=False)
    folded = squeezed("".join(t for d in html.iter("details") for t in d.itertext()))
    for finding in pack.findings:
        assert (squeezed(finding.says[1:]) in folded) == (finding.grade is Grade.CLEAR)


@pytest.mark.parametrize(
    ("value", "said"),
    [(13380.4, "13380"), (4.4e-16, "0"), (0.0005773, "0.000577"), (20.0, "20"), (-0.002, "-0.002")],
)
def test_figures_have_no_exponent(value, said):
    assert figure(value) == said


def test_a_pen_table_is_not_parted():
    """The acceptance list with its signature on one sheet, wherever it begins."""
    rows = tuple((f"row {k}", "") for k in range(12))
    pen = Table("gauge", ("what", "reading"), rows, (0.5, 0.5), blanks=(1,))
    sign = Table("accepted", ("by", "date"), (("", ""),), (0.5, 0.5), blanks=(0, 1))
    for lines in range(0, 45, 4):
        blocks = (*[Paragraph("text")] * lines, Heading("Acceptance"), pen, sign)
        sheets = written(paper(Document("t", "s", "n", blocks)))
        holding = [
            k for k, s in enumerate(sheets) for row in s if row[2] in ("row 0", "by", "row 11")
        ]
        assert len(set(holding)) == 1


def png(mode: str, size: tuple[int, int]) -> bytes:
    out = io.BytesIO()
    generator = np.random.default_rng(3)
    wide, high = size
    drawn = generator.integers(0, 255, (high, wide, len(mode)), np.uint8)
    Image.fromarray(drawn[..., 0] if mode == "L" else drawn, mode).save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize("mode", ["RGB", "L", "RGBA"])
@pytest.mark.parametrize("size", [(40, 30), (300, 20), (20, 300)])
def test_a_picture_in_the_paper_is_the_picture(mode, size):
    """Pixel by pixel, as pypdf and Pillow read it back; glass is laid on white."""
    drawn = png(mode, size)
    made = paper(Document("t", "s", "n", (Picture(drawn, "words"),)))
    (image,) = PdfReader(io.BytesIO(made)).pages[0].images
    wanted = Image.open(io.BytesIO(drawn))
    if mode == "RGBA":
        wanted = Image.alpha_composite(Image.new("RGBA", size, "white"), wanted).convert("RGB")
    back = Image.open(io.BytesIO(image.data))
    if mode == "RGBA":  # glass is laid on the white of the sheet
        back = Image.alpha_composite(Image.new("RGBA", size, "white"), back.convert("RGBA"))
    back = back.convert(wanted.mode)
    assert np.array_equal(np.asarray(back), np.asarray(wanted))


def test_writing_in_pictures_can_be_read_on_paper():
    """Capitals as high as the smallest lettering of ISO 3098-1, 1.8 mm (from memory)."""
    _, top, _, base = font(100 * SMALL).getbbox("H", anchor="ls")  # free of whole pixels
    for wide, tall in (PAGE, FIELD_PAGE, (WIDE, TALL)):
        assert (base - top) / 100 * min(ROOM / wide, TALLEST / tall) >= 1.8


def test_no_line_of_a_paragraph_stands_alone():
    """A bullet stands beside its first line, and two lines at least on either side of a turn."""
    item = " ".join(["word"] * 45)  # three lines
    for above in range(28, 40):
        blocks = (*[Paragraph("text")] * above, Listing((item, item, item)))
        for sheet in written(paper(Document("t", "s", "n", blocks))):
            bullets = [row[1] for row in sheet if row[2].startswith("•")]
            lines_ = [row[1] for row in sheet if "word" in row[2]]
            assert all(any(abs(y - line) < 0.1 for line in lines_) for y in bullets)
            assert len(lines_) % 3 == 0


@pytest.mark.parametrize("pen", [False, True])
@pytest.mark.parametrize(
    ("rows", "letters"),
    [(20, 300), (18, 900), (22, 160), (12, 500), (3, 6000), (1, 9000), (60, 20)],
)
def test_a_table_of_any_size_stays_on_its_sheets(rows: int, letters: int, pen: bool) -> None:
    """Nothing below the foot, nothing left out: what is kept whole is never higher than a sheet."""
    cells = tuple(
        (f"begin{k} {'word ' * (letters // 5)}end{k}", "x", "" if pen else "y") for k in range(rows)
    )
    table = Table("t", ("a", "b", "c"), cells, (0.4, 0.3, 0.3), blanks=(2,) if pen else ())
    sheets = written(paper(Document("t", "s", "n", (Heading("H"), Paragraph("p"), table))))
    said = [row for sheet in sheets for row in sheet if "page" not in row[2]]
    assert max(y for _, y, *_ in said) <= 281.0
    text = " ".join(row[2] for row in said)
    assert all(f"begin{k}" in text and f"end{k}" in text for k in range(rows))


@pytest.mark.parametrize(
    "word", ["a" * 300, "W" * 120, "recipe-with_a.name/as/long/as/it/gets" * 5]
)
def test_a_word_that_is_wider_than_its_cell_is_broken(word: str) -> None:
    table = Table("t", ("a", "b"), ((word, "x"), ("y", word)), (0.3, 0.7))
    blocks = (Heading(word), Paragraph(word), Listing((word,)), table)
    made = paper(Document("t", "s", "n", blocks))
    for sheet in written(made):
        for x, _, text, size, bold in sheet:
            assert x + outside_width(text, size, bold) <= 194.5, text
    assert text_of(made).count(squeezed(word)) >= 4
