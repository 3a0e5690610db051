"""The form for the bench: one A4 page a side, its words those of the questions."""

from __future__ import annotations

import io

import pypdfium2
import pytest
from pypdf import PdfReader

from nests.measuring.bench import EACH_REST, PRESSED, STOCK, WHOLE
from nests.measuring.form import form
from tests.measuring.benches import HANDS, measured

ACROSS = 2 * (27.0 + 4.0) / 25.4 * 72
"""Points between the figures of 3 h and 9 h."""


@pytest.fixture(scope="module")
def paper() -> bytes:
    return form(measured(HANDS))


def words(page) -> str:
    return " ".join(page.extract_text().split())


def test_one_a4_page_a_side(paper):
    pages = PdfReader(io.BytesIO(paper)).pages
    assert len(pages) == 2
    for page in pages:
        wide, high = (float(each) / 72 * 25.4 for each in page.mediabox[2:])
        assert (wide, high) == (pytest.approx(210, abs=0.1), pytest.approx(297, abs=0.1))
    assert form(measured(HANDS)) == paper


def test_every_usual_question_stands_on_it(paper):
    dial, bridge = (words(page) for page in PdfReader(io.BytesIO(paper)).pages)
    for each in (*WHOLE, *STOCK):
        if each.usual and each.asks != "name":
            assert " ".join(each.says.split()) in dial + " " + bridge, each.asks
    for each in (*PRESSED, *EACH_REST):
        if each.usual:
            assert each.asks.split()[0] in bridge
    assert "dial side up" in dial
    assert "bridge side up" in bridge
    assert "INV 27-M" in dial
    assert "on dial" in dial


def test_the_hours_run_as_they_are_seen(paper):
    """3 h is on the right of the dial side, on the left of the bridge side."""
    document = pypdfium2.PdfDocument(paper)
    for page, right, left in zip(document, ("3", "9"), ("9", "3"), strict=True):
        text = page.get_textpage()
        at: dict[str, list[tuple[float, float]]] = {"3": [], "9": []}
        for index, letter in enumerate(text.get_text_range()):
            if letter in at:
                x0, y0, x1, y1 = text.get_charbox(index)
                at[letter].append(((x0 + x1) / 2, (y0 + y1) / 2))
        pairs = [
            (a, b) for a in at[right] for b in at[left]
            if abs(a[1] - b[1]) < 1.0 and abs(a[0] - b[0]) == pytest.approx(ACROSS, abs=2.0)
        ]  # fmt: skip
        assert len(pairs) == 1
        ((at_right, at_left),) = pairs
        assert at_right[0] > at_left[0]
