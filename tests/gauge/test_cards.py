"""Cards that come with `nests`: every figure has an origin, and what is not known says so."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import pytest

from nests.consistency import check_card
from nests.documents.files import data_folder
from nests.finding import Grade
from nests.gauge.fitting import fit
from nests.gauge.plate import GaugePlate
from nests.given.printer_card import UNKNOWN, PrinterCard
from nests.kinds import read
from nests.parts.heights import level_within
from tests.gauge.printers import Printer
from tests.ordering import preferred as order

CARDS = sorted((data_folder("gallery") / "printers").glob("generic-*.json"))
ABOUT = {"name", "origins", "uncertainties", "readings", "correlations"}


@pytest.mark.parametrize("path", CARDS, ids=lambda path: path.stem)
def test_every_figure_says_where_it_comes_from(path: Path) -> None:
    card = read(path, PrinterCard)
    figures = {each.name for each in fields(card)} - ABOUT
    assert set(card.origins) == figures
    assert all(card.origins[name].strip() for name in figures)
    assert card.pixel == pytest.approx(int(path.stem.split("-")[2].removesuffix("um")) / 1000)


@pytest.mark.parametrize("path", CARDS, ids=lambda path: path.stem)
def test_what_is_unknown_is_told_and_nothing_contradicts(path: Path) -> None:
    card = read(path, PrinterCard)
    found = check_card(card)
    assert {each.grade for each in found} == {Grade.UNKNOWN}
    unknown = {name for name, origin in card.origins.items() if origin.startswith(UNKNOWN)}
    assert "inside_bias" in unknown
    assert "resin_price" in unknown
    told = [each.says for each in found]
    for name in unknown:
        assert any(f": {name} is not known" in says for says in told), name


def test_there_are_two_resins_in_three_pixel_sizes() -> None:
    assert len(CARDS) == 6


@pytest.mark.parametrize("path", CARDS[:3], ids=lambda path: path.stem)
def test_a_gauge_plate_is_drawn_for_each(path: Path) -> None:
    assert len(GaugePlate.of(read(path, PrinterCard)).rows) >= 75


def test_measuring_takes_the_place_of_what_was_unknown() -> None:
    card = read(CARDS[0], PrinterCard)
    made = fit(replace(Printer().read(1), printer=card.name), card).card
    left = {name for name, origin in made.origins.items() if origin.startswith(UNKNOWN)}
    assert not any("bias" in name or "slope" in name for name in left)
    assert left == {"build_x", "build_y", "build_z", "resin_price", "currency", "resin_left"}


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"uncertainties": {"inside_bais": 0.01}}, "uncertainties holds 'inside_bais'"),
        ({"uncertainties": {"inside_bias": -0.01}}, "uncertainties of 'inside_bias' is -0.01"),
        ({"readings": {"scatter": 0}}, "readings of 'scatter' is 0; allowed is 1 or more"),
        ({"correlations": {"inside_bias": 1.2}}, "allowed is -1 to 1"),
    ],
)
def test_what_cannot_be_said_of_a_figure_is_a_stop(changes: dict, says: str) -> None:  # type: ignore[type-arg]
    stops = [f.says for f in check_card(PrinterCard(**changes)) if f.grade is Grade.STOP]
    assert any(says in each for each in stops), stops


def test_doubt_is_that_of_offset_and_slope_together() -> None:
    """JCGM 100:2008, 5.2.2: u² = u0² + (d u1)² + 2 r u0 d u1."""
    card = PrinterCard(
        uncertainties={"inside_bias": 0.01, "inside_bias_slope": 0.001},
        correlations={"inside_bias": -0.8},
        inside_bias_apart=0.02,
    )
    wanted = (0.01**2 + 0.026**2 - 2 * 0.8 * 0.01 * 0.026) ** 0.5
    assert card.doubt("inside_bias", 26.0) == pytest.approx(wanted)
    assert card.bore_doubt(26.0) == pytest.approx(wanted + 0.01)
    assert PrinterCard().bore_doubt(26.0) == 0.0


def test_a_height_on_paper_counts_what_its_bias_is_known_to() -> None:
    """One face above the bench by offset and slope, one above another by the slope alone."""
    plain, known = PrinterCard(), PrinterCard(
        uncertainties={"height_bias": 0.012, "height_bias_slope": 0.002},
        correlations={"height_bias": -0.5},
    )  # fmt: skip
    sites = [
        order("round", {"diameter": 26.0, "height": 4.6}, printer=card).recipe.site()
        for card in (plain, known)
    ]
    alone = [level_within(site, 5.0) for site in sites]
    both = [level_within(site, 5.0, 6.5) for site in sites]
    wanted = (0.012**2 + 0.010**2 - 0.012 * 0.010) ** 0.5
    assert alone[1] - alone[0] == pytest.approx(wanted)
    assert both[1] - both[0] == pytest.approx(0.003)
