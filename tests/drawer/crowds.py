"""Drawers by chance: holders made for changed workpieces, so that many of them nearly fit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from numpy.random import Generator

from nests.drawer.shelf import written
from nests.families import family
from nests.given.at_work import at_work
from nests.given.operation import Operation, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.holder.recipe import Recipe
from nests.kinds.kept import Change, KeptHolder, Readings, make_id
from nests.parts.seat_below import SeatBelow
from nests.places import Place, Side
from nests.planning.demand import demand_of
from nests.planning.holders import Way, ways, write
from nests.units import BadInput

from .conftest import accepted, readings, sheet

CARD = PrinterCard()
AUTO = "INV 26-A auto works"
CENTRE = (Press(arbor="centre", force=20.0),)
OPERATIONS: dict[str, tuple[Operation, ...]] = {
    "inv-26-a": (
        Operation(name="hands", side_up=Side.DIAL, presses=CENTRE, stem=True),
        Operation(name="dial", side_up=Side.DIAL, stem=True),
        Operation(name="clean", side_up=Side.DIAL),
        Operation(name="train", side_up=Side.BRIDGE, stem=True),
        Operation(name="auto", side_up=Side.DIAL, on=AUTO),
    ),
    "inv-30-c": (
        Operation(name="chrono", side_up=Side.DIAL, stem=True, pushers=True),
        Operation(name="look", side_up=Side.BRIDGE, stem=True, turned_over=True),
        Operation(name="push", side_up=Side.BRIDGE, pushers=True),
    ),
    "inv-20-u": (
        Operation(name="hands", side_up=Side.DIAL, presses=CENTRE, stem=True),
        Operation(name="dial", side_up=Side.DIAL),
    ),
    "inv-17-t": (
        Operation(name="dial", side_up=Side.DIAL, stem=True),
        Operation(name="train", side_up=Side.BRIDGE),
    ),
}
"""What is searched for, by the name of the sheet."""


def changed(of: Sheet, chance: Generator) -> Sheet:
    """A workpiece like another: often its own self, else a little or plainly different."""
    seldom = 0.0 if chance.random() < 0.3 else 0.12

    def some(usual: float, *others: float) -> float:
        return float(chance.choice(others)) if chance.random() < seldom else usual

    def shifted(at: Place) -> Place:
        return Place(at.x + some(0.0, 0.2, 0.9), at.y + some(0.0, 0.1))

    about: dict[str, object] = {"name": f"{of.name} {chance.integers(10**6)}"}
    if of.stem is not None:
        hour = (of.stem.hour + some(0.0, 0.02, 0.04, 0.1, 3.0)) % 12.0
        stem = replace(of.stem, hour=hour, diameter=of.stem.diameter * some(1.0, 0.7))
        about["stem"] = stem if some(1.0, 0.0) else None
    if isinstance(of.outline, Round):
        wider = some(0.0, 0.05, 0.2, -0.15, 0.6, 1.5)
        about["outline"] = Round(diameter=of.outline.diameter + wider)
        if of.casing_ledge is not None:
            ledge = replace(of.casing_ledge, diameter=of.casing_ledge.diameter + wider)
            about["casing_ledge"] = ledge if some(1.0, 0.0) else None
    about["bridge_height"] = of.bridge_height + some(0.0, 0.3)
    arbors = []
    for arbor in of.arbors:
        jewels = [replace(j, height=j.height + some(0.0, 0.04, -0.3)) for j in arbor.jewels]
        arbors.append(replace(arbor, at=shifted(arbor.at), jewels=tuple(jewels)))
    about["arbors"] = tuple(arbors)
    about["pushers"] = tuple(
        replace(p, hour=p.hour + some(0.0, 0.02, 0.1, 0.8),
                lever_radius=p.lever_radius + some(0.0, 0.1, -0.3))
        for p in of.pushers
    )  # fmt: skip
    return replace(of, **about)  # type: ignore[arg-type]


def recipes(name: str, chance: Generator) -> Iterator[Recipe]:
    """Holders of any family for changed workpieces, without end."""
    of = sheet(name)
    operations = OPERATIONS[name]
    while True:
        work, operation = changed(of, chance), operations[int(chance.integers(len(operations)))]
        try:
            there = at_work(work, operation)
            found = list(ways(there, demand_of(work, operation)))
            way = found[int(chance.integers(len(found)))]
            if there.kind == "movement" and chance.random() < 0.2:
                way = Way("round" if isinstance(there.outline, Round) else "shaped")
            recipe = write(there, operation, way, CARD)
            if chance.random() < 0.1 and isinstance(there.outline, Round):
                rule = family("round")
                below = there.outline.diameter + float(chance.choice((0.0, 0.6)))
                recipe = rule.recipe(there, operation, rule.Wish(below=below), CARD)
                assert any(isinstance(p, SeatBelow) for p in recipe.parts)
        except BadInput:
            continue
        yield recipe


def kept_holder(number: int, recipe: Recipe, chance: Generator) -> KeptHolder:
    """A print of a recipe, come out a little otherwise; gauged and tried, or its seat, or not."""
    gauged = Readings()
    site = recipe.site()
    if chance.random() < 0.6 and isinstance(recipe.workpiece.outline, Round):
        out = recipe.workpiece.edge(site.side_down)[0]
        bore = site.across + 2 * out + 0.1 + float(chance.choice((0.0, 0.0, 0.0, 0.1, -0.15)))
        whole = number % 5 != 0
        gauged = (accepted if whole else _seat_alone)(recipe, [round(bore, 3)])
    filed = Change(number=number, did="filed", readings=gauged)
    return KeptHolder(id=make_id(recipe.kind, number), recipe=recipe, history=(filed,))


def _seat_alone(_: Recipe, seat: list[float]) -> Readings:
    return readings(seat)


def put(folder: Path, holders: list[KeptHolder]) -> None:
    """The documents of a drawer."""
    folder.mkdir()
    for each in holders:
        (folder / f"{each.id}.json").write_bytes(written(each))
