"""A cradle that finds no room for a pad says what there is, what is left and what is needed."""

from __future__ import annotations

import re

import pytest

from nests.families.cradle import Wish, recipe
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Rest, Sheet
from nests.given.zones import Disc, Ring, Round
from nests.holder.compose import compose
from nests.places import Place, Side
from nests.units import BadInput


def works(*rests: Rest) -> Sheet:
    return Sheet(
        name="WORKS", kind="sub-assembly", outline=Round(diameter=14.0), rim=1.0,
        bridge_height=0.5, rests=rests, nothing_fragile=True,
    )  # fmt: skip


def disc(diameter: float) -> Rest:
    zone = Disc(centre=Place(0.0, 4.0), diameter=diameter)
    return Rest(name="boss", side=Side.BRIDGE, height=0.2, zone=zone)


def refused(*rests: Rest) -> str:
    with pytest.raises(BadInput) as caught:
        compose(recipe(works(*rests), None, Wish(side_up="dial"), PrinterCard()))
    return str(caught.value)


def test_what_a_round_rest_leaves_is_said_with_what_would_do() -> None:
    says = refused(disc(0.9))
    across, left, inside, least = map(
        float,
        re.search(
            r"'boss' is ([\d.]+) mm wide, and ([\d.]+) mm .* stays ([\d.]+) mm .* so ([\d.]+) mm",
            says,
        ).groups(),
    )
    assert "bridge side" in says
    assert "a pad 0.6 mm wide" in says
    assert across == pytest.approx(0.9, abs=0.011)
    assert left == pytest.approx(across - 2 * inside, abs=0.021)
    assert left < 0.6
    compose(recipe(works(disc(least + 0.01)), None, Wish(side_up="dial"), PrinterCard()))


def test_a_ring_is_as_wide_as_between_its_edges() -> None:
    zone = Ring(outer=8.0, inner=6.6)
    says = refused(Rest(name="land", side=Side.BRIDGE, height=0.2, zone=zone))
    assert re.search(r"'land' is 0\.(69|70) mm wide", says), says


def test_without_a_rest_it_is_said_plainly() -> None:
    assert refused() == ("the sheet 'WORKS' has no rest on its bridge side; a cradle needs one.")
