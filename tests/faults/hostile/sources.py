"""True documents of the invented workshop, to be spoilt."""

from __future__ import annotations

import json
from functools import cache

from nests.documents.files import canonical, data_folder
from nests.families import family
from nests.given.operation import USUAL
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.kinds import document, read
from nests.kinds.kept import Change, KeptHolder, make_id
from tests.faults.hostile.spoil import Data

GALLERY = data_folder("gallery")
SHEET = str(GALLERY / "sheets" / "inv-26-a.json")
CARD = str(GALLERY / "printers" / "bench-printer.json")
PLAN = str(GALLERY / "work_plans" / "usual.json")


@cache
def _shipped(folder: str, name: str) -> bytes:
    return (GALLERY / folder / f"{name}.json").read_bytes()


def sheet(name: str = "inv-26-a") -> Data:
    """A sheet of the gallery."""
    return json.loads(_shipped("sheets", name))  # type: ignore[no-any-return]


def work(name: str = "usual") -> Data:
    """A work plan."""
    return json.loads(_shipped("work_plans", name))  # type: ignore[no-any-return]


def card() -> Data:
    """A printer card."""
    return json.loads(_shipped("printers", "bench-printer"))  # type: ignore[no-any-return]


@cache
def _recipe(made: str, of: str) -> bytes:
    rule = family(made)
    workpiece = read(GALLERY / "sheets" / f"{of}.json", Sheet)
    operation = USUAL.operations[0] if made == "hand-setting" else None
    return canonical(document(rule.recipe(workpiece, operation, rule.Wish(), PrinterCard())))


def recipe(made: str = "round", of: str = "inv-26-a") -> Data:
    """A recipe as its family prefers it."""
    return json.loads(_recipe(made, of))  # type: ignore[no-any-return]


def holder(number: int = 1, made: str = "round", of: str = "inv-26-a") -> Data:
    """A holder of a drawer with one change, with its own id."""
    from nests.documents.schema import record
    from nests.holder.recipe import Recipe

    kept = record(Recipe, {k: v for k, v in recipe(made, of).items() if k not in _HEAD})
    first = Change(number=number, did="filed", date="2031-05-17", state="in use")
    return document(KeptHolder(id=make_id(kept.kind, number), recipe=kept, history=(first,)))


_HEAD = ("document", "edition")
