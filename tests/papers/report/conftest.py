"""One report of every kind of holder, made once."""

from __future__ import annotations

import pytest

from nests.documents.files import data_folder
from nests.orders import gallery, pack
from nests.papers.report import Document, holder_report
from nests.study import Study
from tests.ordering import preferred as order

SHOWN = {"inv-26-a-hand-setting", "inv-30-c-chronograph-plunger", "inv-case-38-case-bridge",
         "inv-26-a-cradle-inv-26-a-auto-works-dial", "inv-case-38-cushion"}  # fmt: skip
PIECES = {p.slug(): p for p in gallery.PIECES if p.slug() in SHOWN}
DOT = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8ffff"
    "3f0005fe02fe0def46b80000000049454e44ae426082"
)
"""A PNG of one white pixel: the report is about words, pictures have tests of their own."""


def made(name: str) -> tuple[pack.Pack, Document]:
    piece, root = PIECES[name], data_folder("gallery")
    asked = order(
        piece.family,
        piece.options,
        sheet=root / "sheets" / f"{piece.sheet}.json",
        operation=piece.operation,
        printer=root / "printers" / "bench-printer.json",
    )
    built = pack.build(asked.recipe, notes=asked.notes, papers=False)
    study = Study.of(built.holder)
    pictures = {"Outside and cut": DOT}
    return built, holder_report(built.holder, study, built.findings, pictures, "0123456789ab")


@pytest.fixture(scope="session", params=sorted(SHOWN))
def reported(request: pytest.FixtureRequest) -> tuple[pack.Pack, Document]:
    return made(request.param)
