"""Trying is bounded and is told of, also where nothing that may vary gives a holder."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nests.choosing import Case, choose, in_the_way, search
from nests.documents.files import data_folder
from nests.given.operation import USUAL
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.kinds import read

SHEET = read(data_folder("gallery") / "sheets" / "inv-26-a.json", Sheet)
COARSE = replace(PrinterCard(), smallest_gap=1.5)
"""A printer that closes every gap there is in a post with a pin."""
HANDS = USUAL.operation("hand-setting")


def test_no_more_is_judged_than_the_fact_is_worth(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "MOST_FOR_A_FACT", 2)
    composed, said = [], list[str]()
    compose = search.compose
    monkeypatch.setattr(search, "compose", lambda recipe: composed.append(1) or compose(recipe))
    assert in_the_way("hand-setting", Case(SHEET, HANDS, {}, COARSE), said.append) is None
    assert len(composed) == 2
    assert len(said) == 3
    assert said[-1].endswith("not found among 2 holders.")


def test_what_is_tried_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "MOST_LOOKS", 1)
    said: list[str] = []
    choose("hand-setting", SHEET, HANDS, {}, PrinterCard(), say=said.append)
    assert said == ["hand-setting as usual ..."]
