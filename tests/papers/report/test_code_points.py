"""A name in letters a font lacks: real letters on the page, code points on paper, none lost."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import numpy as np
import pytest
from pypdf import PdfReader

from nests.documents.files import data_folder
from nests.holder.compose import compose
from nests.letters.code_points import TOLD
from nests.papers.drawing import model
from nests.papers.drawing.dxf import dxf
from nests.papers.drawing.lettering import glyph, width, written
from nests.papers.drawing.pdf import pdf
from nests.papers.drawing.svg import placed, svg
from nests.papers.report import holder_report, page, paper
from nests.papers.typeset import shown
from nests.study import Study
from tests.ordering import preferred as order

DOT = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8ffff"
    "3f0005fe02fe0def46b80000000049454e44ae426082"
)
"""A PNG of one white pixel."""
ODD = "ЯК 26 時計 Ø½ 11½‴"
ON_PAPER = "ЯК 26 [U+6642][U+8A08] Ø½ 11½‴"


@pytest.fixture(scope="module")
def holder():
    """A round holder of a workpiece, an operation and remarks in letters of the world."""
    path = data_folder("gallery") / "sheets" / "inv-26-a.json"
    made = order("round", {}, sheet=path).recipe
    work = replace(made.workpiece, name=ODD, mark="YAK 26", remarks="Été, größe; invented")
    return compose(replace(made, name=f"{ODD} round", workpiece=work))


@pytest.fixture(scope="module")
def report(holder):
    return holder_report(holder, Study.of(holder), (), {"Outside": DOT}, "0123456789ab")


def squeezed(text: str) -> str:
    return re.sub(r"\s", "", text)


def text_of(data: bytes) -> str:
    return "".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages)


def test_the_page_keeps_the_letters(report):
    told = page(report).decode().replace("\xa0", " ")
    assert f"{ODD} round" in told
    assert "U+042F" not in told


def test_the_paper_gives_code_points_and_says_so_once(report):
    told = squeezed(text_of(paper(report)))
    assert shown(ODD) == ON_PAPER
    assert squeezed(f"{ON_PAPER} round") in told
    assert told.count(squeezed(TOLD)) == 1
    assert squeezed("Été, größe") in told
    assert "??" not in told


def test_paper_without_strange_letters_says_nothing_of_them(holder):
    work = replace(holder.recipe.workpiece, name="INV 26-A")
    plain = compose(replace(holder.recipe, name="INV 26-A round", workpiece=work))
    made = holder_report(plain, Study.of(plain), (), {"Outside": DOT}, "0123456789ab")
    assert "U+" not in text_of(paper(made))


def test_no_letter_of_paper_becomes_a_question_mark():
    """All of the first plane but halves of letters: nothing but '?' itself is printed '?'."""
    asking = [c for c in map(chr, range(0xD800)) if "?" in shown(c)]
    assert asking == ["?"]
    assert shown("e\u0301 \U0001f550") == "é [U+1F550]"


def test_a_drawing_letters_code_points_and_its_file_keeps_the_letters(holder):
    drawing = model(holder)
    words = [text.words for text in drawing.texts]
    assert f"{ODD} round" in words
    title = next(text for text in drawing.texts if text.words == f"{ODD} round")
    shown = "ЯК 26 [U+6642][U+8A08] Ø½ 11½‴ round"
    for line, same in zip(placed(title), placed(replace(title, words=shown)), strict=True):
        assert np.allclose(line, same)
    assert sum(word == TOLD for word in words) == 1
    assert f'aria-label="{ODD} round"' in svg(drawing).decode()
    assert shown in text_of(pdf(drawing))
    assert "ЯК 26" in dxf(drawing).decode()


def test_no_letter_of_a_drawing_is_a_box():
    """A box of five points and four corners stood for what nobody drew."""
    for letter in "計\x1b🕐":
        assert written(letter) == written(f"[U+{ord(letter):04X}]")
        assert width(letter) == pytest.approx(width(f"[U+{ord(letter):04X}]"))
    halves = [x for line in written("½") for x, _ in line]
    assert len(written("½")) > 2
    assert min(halves) >= -0.05
    assert max(halves) <= glyph("½")[0] + 0.05
    assert len(written("‴")) == 3


def test_a_text_that_is_too_wide_is_told_by_its_ink(holder):
    """The room a letter takes is that of its code point, so that nothing runs over an edge."""
    title = next(t for t in model(holder).texts if t.words.endswith("round"))
    left, _, right, _ = title.box()
    strokes = [x for line in placed(title) for x, _ in line]
    assert left - 0.2 <= min(strokes)
    assert max(strokes) <= right + 0.2
