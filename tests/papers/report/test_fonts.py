"""Fonts in a chain: ours, what the user names, then code points; the same for paper and picture."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from pypdf import PdfReader

from nests.letters import fonts
from nests.papers.picture.writing import spell, text_width
from nests.papers.report import paper
from nests.papers.report.blocks import Document, Paragraph
from nests.papers.typeset import SIGNS, shown
from nests.units import BadInput

ODD = "ЯК 26 時計 Ø½ 11½‴"


def font_of(letters: str, path: Path) -> Path:
    """A font of squares, for the letters given."""
    names = [f"u{ord(c):04X}" for c in letters]
    pen = TTGlyphPen(None)
    for corner, draw in zip(((0, 0), (0, 700), (700, 700), (700, 0)), (
        pen.moveTo, pen.lineTo, pen.lineTo, pen.lineTo), strict=True):  # fmt: skip
        draw(corner)
    pen.closePath()
    square = pen.glyph()
    made = FontBuilder(1000, isTTF=True)
    glyphs = [".notdef", *names]
    made.setupGlyphOrder(glyphs)
    made.setupCharacterMap({ord(c): n for c, n in zip(letters, names, strict=True)})
    made.setupGlyf(dict.fromkeys(glyphs, square))
    made.setupHorizontalMetrics(dict.fromkeys(glyphs, (800, 50)))
    made.setupHorizontalHeader(ascent=800, descent=-200)
    called = {"familyName": "Squares", "styleName": "Regular", "psName": "Squares-Regular"}
    made.setupNameTable({**called, "fullName": "Squares Regular"})
    made.setupOS2()
    made.setupPost()
    made.save(path)
    return path


def text_of(pdf: bytes) -> str:
    return "".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf), strict=True).pages)


def document(text: str) -> Document:
    return Document("Title", "Subtitle", "name", (Paragraph(text),))


def test_what_no_font_has_is_a_code_point(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(fonts.VARIABLE, raising=False)
    assert shown(ODD) == "ЯК 26 [U+6642][U+8A08] Ø½ 11½‴"
    assert shown(ODD) in text_of(paper(document(ODD)))


def test_a_font_that_is_named_is_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(fonts.VARIABLE, str(font_of("時計", tmp_path / "squares.ttf")))
    assert shown(ODD) == ODD
    told = text_of(paper(document(ODD)))
    assert ODD in told
    assert "U+" not in told
    assert spell("時") == "時"
    assert text_width("時", 100.0) == pytest.approx(80.0)


@pytest.mark.parametrize("named", ["nothing.ttf", "words.txt", "broken.ttf"])
def test_a_font_that_is_none_is_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, named: str
) -> None:
    (tmp_path / "words.txt").write_text("words", "utf-8")
    (tmp_path / "broken.ttf").write_bytes(b"\x00\x01\x00\x00broken")
    monkeypatch.setenv(fonts.VARIABLE, str(tmp_path / named))
    with pytest.raises(BadInput, match=named):
        shown("時")


def test_signs_of_the_second_font_are_set() -> None:
    """Typst itself refuses a letter that it has no glyph of (PDF/UA-1, 7.21.8)."""
    text = " ".join(sorted(SIGNS))
    assert text in text_of(paper(document(text)))


@pytest.mark.parametrize("name", ["Часовой мастер", "Ωρολογοποιός"])
def test_a_cyrillic_and_a_greek_name_are_letters(name: str) -> None:
    assert name in text_of(paper(document(name)))
