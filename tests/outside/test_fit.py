"""The fit of a seat: worked ISO fits, closed forms of its probability, and its measured bore.

Worked fits: engineering handbooks (25 H7/g6, 50 H8/f7). The sum of uniform laws: P. S. de Laplace;
here as areas of triangles and corners of cubes, which need no book.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold
from scipy.integrate import trapezoid
from scipy.stats import norm

from nests.checks.bench.fit import check
from nests.finding import Grade
from nests.given.printer_card import PrinterCard
from nests.given.sheet import CasingLedge, Sheet
from nests.given.zones import Corner, Path, Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.mechanics.tolerance import Spread, clearance
from nests.parts.body import Body
from nests.parts.ring_seat import RingSeat
from nests.places import Place, Side
from nests.solids.solid import triangles
from nests.study import Study
from nests.study.fitted import _from_edge, section
from nests.units import BadInput


def study(
    seat: RingSeat, outline=None, card: PrinterCard | None = None, chord=0.005, **sheet
) -> Study:
    """A body with one seat for a workpiece of 1.5 mm rim."""
    work = Sheet(name="X", outline=outline or Round(diameter=26.0), rim=1.5, **sheet)
    card = card or PrinterCard()
    recipe = Recipe(
        name="X", workpiece=work, printer=card, body=Body(), parts=(seat,), chord_error=chord
    )
    return Study.of(compose(recipe))


@pytest.mark.parametrize(
    ("nominal", "fit", "hole", "shaft", "least", "most"),
    [
        # hole and shaft: tolerances in µm, ISO 286-1 table 1; least and most: handbooks
        (25.0, "H7/g6", 21, 13, 7, 41),
        (50.0, "H8/f7", 39, 25, 25, 89),
    ],
)
def test_worked_fits_through_the_report(nominal, fit, hole, shaft, least, most):
    """A printer that scatters as the hole may, and a rim as uncertain as the shaft may be."""
    tight, loose = check(
        study(
            RingSeat(fit=fit),
            Round(diameter=nominal),
            PrinterCard(scatter=hole / 2000),
            uncertainty=shaft / 2000,
        )
    )
    assert tight.value == pytest.approx(least, abs=2e-3)
    assert loose.value == pytest.approx(most, abs=2e-3)
    assert loose.limit == pytest.approx(most, abs=2e-3)
    assert f"{fit} asks for {least} to {most} µm" in tight.says
    assert f"at worst {least} to {most} µm" in tight.says
    assert (tight.grade, loose.grade) == (Grade.CLEAR, Grade.CLEAR)


@pytest.mark.parametrize(
    ("play", "scatter", "measuring"), [(0.02, 0.03, 0.02), (0.03, 0.05, 0.01), (0.0, 0.03, 0.02)]
)
def test_interference_of_two_uniform_laws(play, scatter, measuring):
    """P(X + Y < -c), X and Y even on ±a and ±b: the area of the rectangle beyond a line."""
    a, b, c = max(scatter, measuring), min(scatter, measuring), play
    wanted = (a + b - c) ** 2 / (8 * a * b) if c > a - b else (a - c) / (2 * a)
    case = study(RingSeat(play=play), card=PrinterCard(scatter=scatter), uncertainty=measuring)
    law = case.fitted[0].law
    assert law.interference == pytest.approx(wanted, rel=1e-4)
    assert check(case)[0].grade is Grade.STOP


def test_three_uniform_laws_are_two_corners_of_a_cube():
    """A shaped edge is uncertain on either side: P(|sum of three on ±1| > 2) = 1/24."""
    corners = tuple(Corner(at=Place(x, y)) for x, y in ((9, 7), (-9, 7), (-9, -7), (9, -7)))
    case = study(
        RingSeat(play=0.06), Path(corners=corners), PrinterCard(scatter=0.03), uncertainty=0.03
    )
    below = case.fitted[0].law.interference
    assert 2 * below == pytest.approx(1 / 24, rel=1e-3)


@pytest.mark.parametrize("play", [0.0, 0.02, 0.25, 0.3])
def test_report_against_monte_carlo(play):
    """Bores and rims drawn at random, 400 000 of each, seeded."""
    case = study(RingSeat(play=play), uncertainty=0.03, card=PrinterCard(scatter=0.04))
    law = case.fitted[0].law
    random, count = np.random.default_rng(286), 400_000
    bores = 26.0 + play + random.uniform(-0.04, 0.04, count)
    rims = 26.0 + random.uniform(-0.03, 0.03, count)
    for found, seen in ((law.interference, bores < rims), (law.loose, bores - rims > 0.3)):
        assert abs(found - seen.mean()) < 4 * math.sqrt(0.25 / count)


def test_normal_and_uniform_law_against_numerical_convolution():
    """Normal scatter and uniform uncertainty, convolved on a grid with scipy's normal law."""
    half, deviation, play = 0.02, 0.015, 0.03
    bores = [Spread(26.0 + play, 0.0), Spread(0.0, 3 * deviation, "normal", 3.0)]
    law = clearance(bores, [Spread(26.0, half)], 0.06)
    at = np.linspace(-half, half, 200_001)
    below = trapezoid(norm.cdf(-play + at, 0.0, deviation), at) / (2 * half)
    above = trapezoid(norm.sf(0.06 - play + at, 0.0, deviation), at) / (2 * half)
    assert law.interference == pytest.approx(below, rel=1e-7)
    assert law.loose == pytest.approx(above, rel=1e-7)


@settings(max_examples=30, deadline=None)
@given(
    diameter=st.floats(8.0, 45.0),
    play=st.floats(0.0, 0.4),
    bias=st.floats(-0.3, 0.3),
    slope=st.floats(-0.01, 0.01),
    chord=st.sampled_from([0.0005, 0.005, 0.05, 0.1]),
)
def test_bore_is_measured_as_drawn_and_prints_as_asked(diameter, play, bias, slope, chord):
    """However coarse the chords are: they go round the bore and never steal of its play."""
    card = PrinterCard(inside_bias=bias, inside_bias_slope=slope)
    case = study(RingSeat(play=play), Round(diameter=diameter), card, chord)
    found = case.fitted[0]
    assert found.drawn == pytest.approx((diameter + play - bias) / (1 + slope) - diameter, abs=1e-6)
    assert found.printed == pytest.approx(play, abs=1e-6)


def test_bore_round_a_flange_and_steps_below():
    """A flange that looks down is what the bore takes; each step takes a workpiece of its own."""
    flange = CasingLedge(diameter=26.8, height=0.4, side=Side.BRIDGE)
    seat = RingSeat(play=0.1, steps=(22.0, 18.0))
    work = Sheet(
        name="X", outline=Round(diameter=26.0), rim=1.5, casing_ledge=flange,
        uncertainties={"/casing_ledge/diameter": 0.04},
    )  # fmt: skip
    recipe = Recipe(name="X", workpiece=work, body=Body(under=3.0), parts=(seat,))
    found = Study.of(compose(recipe)).fitted
    assert [each.bore.size for each in found] == [pytest.approx(26.8), 22.0, 18.0]
    assert [each.drawn for each in found] == pytest.approx([0.1] * 3, abs=1e-6)
    assert found[0].measuring == (0.04,)


def test_shaped_edge_is_measured_along_itself():
    """Rectangle: the bore stands off by half the play on all four sides, whatever the axis."""
    corners = tuple(Corner(at=Place(x, y)) for x, y in ((12, 5), (12, -9), (-7, -9), (-7, 5)))
    card = PrinterCard(inside_bias=-0.08)
    case = study(RingSeat(play=0.14), Path(corners=corners), card)
    found = case.fitted[0]
    assert found.drawn == pytest.approx(0.22, abs=1e-6)
    assert found.printed == pytest.approx(0.14, abs=1e-6)
    said = "the bore is drawn 220 µm larger than the edge and should measure 140 µm"
    assert said in check(case)[0].says


@pytest.mark.parametrize(
    ("seat", "outline", "words"),
    [
        (RingSeat(fit="H7/p6"), Round(diameter=26.0), "p6"),
        (RingSeat(fit="JS7/h6"), Round(diameter=26.0), "may interfere"),
        (RingSeat(fit="H7"), Round(diameter=26.0), "a hole and of a shaft"),
        (RingSeat(fit="g6/H7"), Round(diameter=26.0), "a hole and of a shaft"),
        (
            RingSeat(fit="H7/g6"),
            Path(corners=tuple(Corner(at=Place(x, y)) for x, y in ((9, 7), (-9, 7), (0, -7)))),
            "round bores",
        ),
    ],
)
def test_fits_that_cannot_be_are_refused_in_a_sentence(seat, outline, words):
    with pytest.raises(BadInput, match=words):
        study(seat, outline)


def test_much_play_is_to_be_mended_and_a_class_the_printer_cannot_hold_too():
    assert check(study(RingSeat(play=0.4)))[1].grade is Grade.MEND
    coarse = check(study(RingSeat(fit="H7/g6")))
    assert [each.grade for each in coarse] == [Grade.STOP, Grade.MEND]
    assert all(each.remedy for each in coarse)


def test_a_mesh_and_a_mould_have_no_fit():
    solid = study(RingSeat()).solid
    assert check(Study(solid, PrinterCard())) == []


def test_the_sentences_say_the_sizes_that_were_measured() -> None:
    """A bore drawn 26.16 for a card that prints 60 µm too small, with 0.10 mm of play on 26.00."""
    card = PrinterCard(inside_bias=-0.06, scatter=0.02)
    case = study(RingSeat(play=0.10), card=card, uncertainty=0.01)
    tight, loose = check(case)
    assert "the bore is drawn ⌀ 26.160 mm and should measure 26.100 mm" in tight.says
    assert "the edge is ⌀ 26.000 mm. Clearance on the ⌀ 100 µm" in tight.says
    assert "at worst 70 to 130 µm" in tight.says
    # three even laws of half widths 20 and 10 µm: root of the sum of squares 22.4 µm
    assert "by root sum of squares 78 to 122 µm" in tight.says
    assert "printed scatter ± 20 µm" in tight.origin
    assert (tight.value, tight.limit) == (70.0, 0.0)
    assert tight.remedy == ""
    assert (loose.value, loose.limit) == (130.0, 300.0)
    assert "has at most 130 µm of play on the ⌀; more than 300 µm in 0 %" in loose.says


def test_much_play_is_said_to_the_micrometre_with_the_shares_that_count() -> None:
    """0.90 mm of play, even laws of half widths 20 and 10 µm."""
    tight, loose = check(
        study(RingSeat(play=0.9), card=PrinterCard(scatter=0.02), uncertainty=0.01)
    )
    assert "Clearance on the ⌀ 900 µm, at worst 870 to 930 µm" in tight.says
    assert "by root sum of squares 878 to 922 µm" in tight.says
    assert (loose.value, loose.grade) == (930.0, Grade.MEND)
    assert "stop above 1 %, mend above 0.01 % of prints" in tight.origin
    assert "mend above 5 % of prints" in loose.origin


def test_a_level_cuts_a_cone_where_similar_triangles_say() -> None:
    """Radius 4 at the foot, 1 at 6 mm: at 2 mm it is 3, at every corner of its circle."""
    cone = triangles(Manifold.cylinder(6.0, 4.0, 1.0, 48))
    lines = section(cone, np.ones(len(cone.faces), dtype=bool), 2.0)
    ends = lines.reshape(-1, 2)
    on_edges = np.hypot(*ends.T)
    assert on_edges.max() == pytest.approx(3.0)
    assert on_edges.min() >= 3.0 * math.cos(math.pi / 48) - 1e-9
    assert len(section(cone, np.ones(len(cone.faces), dtype=bool), 7.0)) == 0


def test_distance_to_a_shaped_edge_is_the_least_and_the_deepest() -> None:
    """A square of 20 mm: lines 0.3, 0.2 and 0.05 mm off it; then two corners inside it."""
    corners = tuple(Corner(at=Place(x, y)) for x, y in ((10, -10), (10, 10), (-10, 10), (-10, -10)))
    case = study(RingSeat(play=0.2), Path(corners=corners))
    site = case.holder.recipe.site()
    bore = case.fitted[0].bore
    off = [
        ((10.3, -5.0), (10.3, 5.0)),
        ((-5.0, 10.2), (5.0, 10.2)),
        ((-10.05, -1.0), (-10.05, 1.0)),
    ]
    least, at = _from_edge(np.array(off), bore, site)
    assert least == pytest.approx(0.05, abs=1e-6)
    assert at[0] == pytest.approx(-10.05)
    inside = [*off, ((9.9, 2.0), (10.3, 2.0)), ((0.0, 9.6), (0.0, 10.2))]
    deepest, at = _from_edge(np.array(inside), bore, site)
    assert deepest == pytest.approx(-0.4, abs=1e-6)
    assert tuple(at) == pytest.approx((0.0, 9.6))


OVAL = PrinterCard(
    scatter=0.024, inside_bias=-0.03, inside_bias_apart=0.014, inside_slope_apart=0.001,
    uncertainties={"inside_bias": 0.016},
)  # fmt: skip


@pytest.mark.parametrize("play", [0.04, 0.05, 0.07])
def test_a_printer_whose_x_and_y_differ_jams_where_it_is_narrow(play: float) -> None:
    """Prints by lot: each oval by as much, along x and y; a rim goes in if the narrower of both
    lets it. The card knows the difference, so it is no chance."""
    made = study(RingSeat(play=play), card=OVAL, uncertainty=0.02)
    (seat,) = made.fitted
    assert "x and y differ by 40 µm, so it is oval" in check(made)[0].says
    assert "bias known to ± 16 µm" in check(made)[0].origin
    drawn, n, rng = 26.0 + seat.drawn, 400_000, np.random.default_rng(11)
    middle = OVAL.comes_out(drawn) + sum(rng.uniform(-half, half, n) for half in (0.024, 0.016))
    apart = 0.014 + 0.001 * drawn
    x, y, rim = middle + apart / 2, middle - apart / 2, 26.0 + rng.uniform(-0.02, 0.02, n)
    assert seat.law.interference == pytest.approx(np.mean(np.minimum(x, y) < rim), abs=0.002)
    loose = np.mean(np.maximum(x, y) - rim > seat.bore.most)
    assert (seat.law.loose or 0.0) == pytest.approx(loose, abs=0.002)
    assert seat.oval == pytest.approx(OVAL.oval(drawn), abs=1e-9)
    assert seat.law.centre == pytest.approx(play, abs=1e-6)
    assert seat.law.worst.lower == pytest.approx(play - apart / 2 - 0.06, abs=2e-4)
    assert seat.law.worst.upper == pytest.approx(play + apart / 2 + 0.06, abs=2e-4)


def test_room_in_an_oval_bore_is_that_of_its_two_widths() -> None:
    """By shapely: the largest circle in the exact ellipse is as wide as its narrower axis, and a
    rim may shift along the wider one by what that leaves, or less by 5 % at most."""
    drawn = 26.1
    middle, off = OVAL.comes_out(drawn), OVAL.oval(drawn)
    assert off == pytest.approx((0.014 + 0.001 * drawn) / 2)
    turn = np.linspace(0.0, 2 * np.pi, 20_000, endpoint=False)
    wide, narrow = (middle + off) / 2, (middle - off) / 2
    ellipse = shapely.Polygon(np.column_stack((wide * np.cos(turn), narrow * np.sin(turn))))
    inscribed = shapely.maximum_inscribed_circle(ellipse, tolerance=1e-6).length
    assert 2 * inscribed == pytest.approx(middle - off, abs=1e-4)
    rim = 26.0
    centres = ellipse.buffer(-rim / 2, quad_segs=5000).bounds
    shift = centres[2] - centres[0]
    assert 0.95 * (middle + off - rim) <= shift <= middle + off - rim + 1e-4


def test_figures_are_told_to_a_nanometre_and_places_to_a_tenth_of_a_micrometre() -> None:
    """Of a bore that is not round numbers: what is beyond is noise of chords and kernels."""
    card = PrinterCard(
        scatter=0.0234567, uncertainties={"inside_bias": 0.0123, "inside_bias_slope": 0.0017}
    )
    case = study(RingSeat(play=0.1234321), Round(diameter=25.98765), card, uncertainty=0.0198765)
    (seat,) = case.fitted
    # both at their ends (JCGM 100:2008, 5.2.2 without correlation), at the ⌀ that is drawn
    drawn = 25.98765 + 0.1234321
    assert seat.known == pytest.approx(math.hypot(0.0123, 0.0017 * drawn), abs=1e-7)
    least = 1000 * (0.1234321 - 0.0234567 - 0.0198765 - seat.known)
    tight = check(case)[0]
    assert tight.value == pytest.approx(least, abs=2e-3)
    assert tight.value == round(tight.value or 0.0, 3) != round(tight.value or 0.0, 2)
    assert seat.place == tuple(round(each, 4) for each in seat.place)
