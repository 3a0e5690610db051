"""The report says what was found, in letters any reader has, and the same bytes each time."""

from __future__ import annotations

import io
import itertools
import re

import html5lib
import pytest
from pypdf import PdfReader

from nests.report import page, paper
from nests.report.blocks import Document, Paragraph, Table
from nests.report.paper import _latin


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
            assert squeezed(_latin(text)) in on_paper


def test_a_holder_says_what_it_is_not_for(reported):
    pack, report = reported
    text = page(report).decode()
    kind = pack.holder.recipe.workpiece.kind
    for other in {"movement", "sub-assembly", "case"} - {kind}:
        assert re.search(rf"<li>any .*{other}.*: kinds never mix", text), other


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
    assert [p.text for p in html.iter("p")][1] == text
    assert squeezed(_latin(text)) in text_of(paper(report))


def test_a_blank_to_fill_in_is_high_enough_for_a_pen(reported):
    """Acceptance list: 8 mm rows on paper (common practice, no source)."""
    tables = [b for b in reported[1].blocks if isinstance(b, Table) and b.blanks]
    assert tables
    assert all(row[k] == "" for t in tables for row in t.rows for k in t.blanks)
