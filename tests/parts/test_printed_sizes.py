"""Sizes that a part asks for beside a seat: drawn corrected, and known to what the card says.

The printers are simulated: what they truly do is known, and what a card says of them was read off
their gauge plate. What is drawn is measured on the solid with shapely.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely

from nests.gauge.fitting import fit
from nests.given.printer_card import PrinterCard
from nests.holder.compose import Holder, compose
from nests.parts.base import Part
from nests.parts.feature import Feature
from tests.gauge.printers import Printer
from tests.ordering import preferred as order

TRUE = Printer()
SHEET = Path(__file__).parents[2] / "gallery" / "sheets" / "inv-30-c.json"
WISH = {
    "diameter": 26.0, "height": 4.6, "vice_flats": True, "lid": True, "weight": 14.0,
    "weight_height": 3.0,
}  # fmt: skip
NAMES = {"vice-flats": "vice flats", "weight-recess": "weight recess", "lid-bore": "lid"}


KNOWN = PrinterCard(
    inside_bias=TRUE.bore_x[0], inside_bias_slope=TRUE.bore_x[1],
    outside_bias=TRUE.pin[0], outside_bias_slope=TRUE.pin[1],
)  # fmt: skip
"""A card that knows the printer without doubt."""


@cache
def holder() -> Holder:
    return compose(order("round", WISH, printer=KNOWN).recipe)


def part(made: Holder, tag: str) -> Part:
    return next(laid.part for laid in made.laid if laid.part.tag == tag)


def feature(made: Holder, name: str, card: PrinterCard) -> Feature:
    site = replace(made.recipe, printer=card).site()
    return next(f for f in part(made, NAMES[name]).features(site) if f.name == name)


@cache
def cards() -> tuple[PrinterCard, ...]:
    return tuple(fit(TRUE.read(seed), PrinterCard()).card for seed in range(500))


def printed(name: str, drawn: float) -> float:
    """What truly comes out of what is drawn, but for scatter."""
    offset, slope = TRUE.pin if name == "vice-flats" else TRUE.bore_x
    return drawn * (1.0 + slope) + offset


def drawn(made: Holder, name: str) -> float:
    """As it lies on the solid: between the flats, across the recess, inside the skirt."""
    if name == "lid-bore":
        laid = next(each for each in made.laid if each.part.tag == "lid")
        ((_, body),) = laid.shape.beside
        ring = body.slice(body.bounding_box()[5] - 0.8)  # in the skirt, past its mouth
        return 2 * min(_reach(loop) for loop in ring.to_polygons())
    if name == "weight-recess":
        ring = made.solid.slice(2.0)
        return 2 * min(_reach(loop) for loop in ring.to_polygons())
    flats = part(made, "vice flats")
    turn = made.recipe.site().frame.angle(flats.at)  # type: ignore[attr-defined]
    plan = made.solid.slice(flats.height - 0.5)  # type: ignore[attr-defined]
    outline = shapely.union_all([shapely.Polygon(loop) for loop in plan.to_polygons()])
    x = shapely.get_coordinates(outline.convex_hull) @ (np.cos(turn), np.sin(turn))
    return float(np.ptp(x))


def _reach(loop: np.ndarray) -> float:
    return float(shapely.LinearRing(loop).distance(shapely.Point(0.0, 0.0)))


@pytest.mark.parametrize("name", list(NAMES))
def test_it_is_drawn_so_that_it_comes_out_as_asked(name: str) -> None:
    """By a card that knows its printer without doubt, what is on the solid comes out as asked."""
    made = holder()
    asked = feature(made, name, KNOWN)
    assert printed(name, drawn(made, name)) == pytest.approx(asked.nominal, abs=0.006)
    assert asked.within == KNOWN.scatter


@pytest.mark.slow
@pytest.mark.parametrize("name", list(NAMES))
def test_it_comes_out_within_what_the_card_is_known_to(name: str) -> None:
    """Of 500 cards of one printer: what is drawn by each comes out, but for scatter, within what
    the ± on paper has beyond scatter, in 93 to 97 %."""
    made, held = holder(), []
    for card in cards():
        asked = feature(made, name, card)
        draw = card.outside if name == "vice-flats" else card.inside
        known = asked.within - card.scatter
        assert known > 0.0
        held.append(abs(printed(name, draw(asked.nominal)) - asked.nominal) <= known + 1e-9)
    assert 0.93 <= np.mean(held) <= 0.97


def test_rod_and_guide_of_a_plunger_count_what_the_bias_is_known_to() -> None:
    """JCGM 100:2008, 5.2.2, with offset and slope of no correlation: the root of the sum."""
    known = {"inside_bias": 0.012, "outside_bias": 0.009, "outside_bias_slope": 0.002}
    found = []
    for card in (PrinterCard(), PrinterCard(uncertainties=known)):
        recipe = order(
            "chronograph", {"pushed_by": "plunger"}, sheet=SHEET, operation="chronograph-hands",
            printer=card,
        ).recipe  # fmt: skip
        plunger = next(each for each in recipe.parts if each.tag == "plunger")
        found.append({f.name.split("-")[0]: f.within for f in plunger.features(recipe.site())})
    pin = plunger.pin  # type: ignore[attr-defined]
    assert found[1]["guide"] - found[0]["guide"] == pytest.approx(0.012)
    assert found[1]["rod"] - found[0]["rod"] == pytest.approx(np.hypot(0.009, 0.002 * pin))
