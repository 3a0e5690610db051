"""Holders to draw: those of the gallery, and the same families at other sizes."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any

from nests import families
from nests.documents.files import data_folder
from nests.families.round import stand_in
from nests.given.operation import USUAL
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import Holder, compose
from nests.kinds import read
from nests.orders import gallery
from nests.papers.drawing import Drawing, model
from nests.places import Place

ROOT = data_folder("gallery")
CARD = read(ROOT / "printers" / "bench-printer.json", PrinterCard)
PIECES = {piece.slug(): piece for piece in gallery.PIECES}
# one of each family, and of each way to hold or to push
FAMILIES = (
    "round-30-0-6-0-25-6",
    "inv-26-a-hand-setting",
    "inv-26-a-thin-dial",
    "inv-26-a-inspection-swing-tab-dial",
    "inv-20-u-inspection-dial",
    "inv-30-c-chronograph-slot",
    "inv-30-c-chronograph-plunger",
    "inv-30-c-chronograph-spring-lever",
    "inv-17-t-shaped",
    "inv-17-t-inspection-clip-dial",
    "inv-30-t-pressing-third-wheel-bridge",
    "inv-tc-12-cradle-dial",
    "inv-case-38-case-bridge",
    "inv-case-38-cushion",
)
SIZES = (0.97, 1.0, 1.08)


def wider(value: Any, by: float) -> Any:
    """A sheet with its lengths in plan multiplied; heights are kept, so that it stays sound."""
    if isinstance(value, Place):
        return Place(value.x * by, value.y * by)
    if isinstance(value, tuple):
        return tuple(wider(each, by) for each in value)
    if not is_dataclass(value) or isinstance(value, type):
        return value
    plan = {"lever_radius", "outer", "inner"}
    if type(value).__name__ in ("Round", "CasingLedge"):
        plan |= {"diameter"}
    if type(value).__name__ == "Corner":
        plan |= {"radius"}
    new = {}
    for each in fields(value):
        old = getattr(value, each.name)
        if each.name in plan and isinstance(old, float):
            new[each.name] = old * by
        elif not isinstance(old, str | float | int | dict):
            new[each.name] = wider(old, by)
    return replace(value, **new)


@cache
def holder(name: str, size: float = 1.0) -> Holder:
    """A holder of the gallery, its workpiece `size` times as wide."""
    piece = PIECES[name]
    rule = families.family(piece.family)
    operation = USUAL.operation(piece.operation) if piece.operation else None
    options = dict(piece.options)
    if piece.sheet:
        sheet = wider(read(ROOT / "sheets" / f"{piece.sheet}.json", Sheet), size)
    else:
        options["diameter"] *= size
        if "below" in options:
            options["below"] *= size
        sheet = stand_in(options["diameter"], options["height"])
    return compose(rule.recipe(sheet, operation, rule.Wish(**options), CARD))


@cache
def drawing(name: str, size: float = 1.0) -> Drawing:
    """Its drawing."""
    return model(holder(name, size))
