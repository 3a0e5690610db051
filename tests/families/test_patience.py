"""Trying is bounded and is told of, also where nothing that may vary gives a holder."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nests.choosing import Case, NotFound, choose, in_the_way, search
from nests.documents.files import data_folder
from nests.finding import Grade
from nests.given.operation import USUAL
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.kinds import read
from nests.orders.order import order

SHEET = read(data_folder("gallery") / "sheets" / "inv-26-a.json", Sheet)
COARSE = replace(PrinterCard(), smallest_gap=1.5)
"""A printer that closes every gap there is in a post with a pin."""
HANDS = USUAL.operation("hand-setting")


def test_no_more_is_judged_than_the_fact_is_worth(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "MOST_FOR_A_FACT", 2)
    composed, said = [], list[str]()
    compose = search.compose
    monkeypatch.setattr(search, "compose", lambda recipe: composed.append(1) or compose(recipe))
    with pytest.raises(NotFound) as unknown:
        in_the_way("hand-setting", Case(SHEET, HANDS, {}, COARSE), said.append)
    assert len(composed) == len(said) == 2
    assert "not found among 2 holders" in str(unknown.value)


def test_what_is_not_known_is_told_apart_from_that_nothing_does(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """On the holder that is made with its stop, and in what a plan says."""
    monkeypatch.setattr(search, "MOST_FOR_A_FACT", 2)
    made = order("hand-setting", {}, sheet=SHEET, operation=HANDS, printer=COARSE)
    (note,) = (each for each in made.notes if each.check == "choosing")
    assert note.grade is Grade.UNKNOWN
    assert note.says.startswith("not assessed: which fact would have to be another")


def test_what_is_tried_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "MOST_LOOKS", 1)
    said: list[str] = []
    choose("hand-setting", SHEET, HANDS, {}, PrinterCard(), say=said.append)
    assert said == ["hand-setting as usual ..."]
