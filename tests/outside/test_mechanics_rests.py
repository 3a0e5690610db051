"""Standing and beams against statics and structures texts."""

import math

import numpy as np
import pytest

from nests.mechanics.contact import solve_contact
from nests.mechanics.rests import resultant_place, slides, support_polygon, tipping_force
from tests.outside.mechanics_known import (
    beam_compliance,
    beam_contact,
    rigid_contact,
    rim_tipping_force,
)

SQUARE = np.array([[-10, -10], [10, -10], [10, 10], [-10, 10], [0, 0], [0, -10.0]])


def test_support_polygon_and_margin():
    square = support_polygon(SQUARE)
    assert len(square.corners) == 4
    assert square.margin((0, 0)) == pytest.approx(10)
    assert square.margin((7, 2)) == pytest.approx(3)
    assert square.margin((0, 12)) == pytest.approx(-2)
    # legs 12 and 9 along the axes, so 3x + 4y = 36 on the third side
    triangle = support_polygon([[0, 0], [12, 0], [0, 9]])
    assert triangle.margin((1, 2)) == pytest.approx(1.0)
    assert triangle.margin((5, 5)) == pytest.approx(0.2)
    assert triangle.margin((-1, 3)) == pytest.approx(-1.0)
    assert triangle.margin((9, 4)) == pytest.approx(-1.4)
    with pytest.raises(ValueError, match="out of line"):
        support_polygon([[0, 0], [1, 1], [2, 2]])
    with pytest.raises(ValueError, match="out of line"):
        support_polygon([[0, 0], [1, 1]])


def test_tipping_by_the_law_of_the_lever():
    """W = 2 N at 10 mm inside the edge, press 5 mm outside: 4 N; off centre: W·(10 - 4)/5."""
    square = support_polygon(SQUARE)
    assert tipping_force(square, 2.0, (0, 0), (15, 0)) == pytest.approx(4.0)
    assert tipping_force(square, 2.0, (4, 0), (15, 0)) == pytest.approx(2.4)
    assert tipping_force(square, 2.0, (0, 0), (9, 9)) == math.inf
    assert tipping_force(square, 2.0, (11, 0), (0, 0)) == 0.0
    # at the threshold the resultant lies on the edge
    place = resultant_place([2.0, 2.4], [[4, 0], [15, 0]])
    assert square.margin(place) == pytest.approx(0.0, abs=1e-12)


def test_rim_tipping_force_is_the_least_of_all_places_on_the_rim():
    triangle = support_polygon([[12, 0], [-6, 9], [-6, -11]])
    around = [
        tipping_force(triangle, 3.0, (0.5, 0.2), 14 * np.array([math.cos(t), math.sin(t)]))
        for t in np.linspace(0, 2 * math.pi, 7201)
    ]
    found = rim_tipping_force(triangle, 3.0, (0.5, 0.2), 14.0)
    assert found == pytest.approx(min(around), rel=1e-6)
    assert rim_tipping_force(support_polygon(SQUARE), 3.0, (0, 0), 9.0) == math.inf


def test_friction():
    assert slides(1.01, 5.0, 0.2)
    assert not slides(0.99, 5.0, 0.2)
    assert slides(0.1, -1.0, 0.2)
    with pytest.raises(ValueError, match="press"):
        resultant_place([1.0, -1.0], [[0, 0], [1, 0]])


def uniform(span, length, count=4000):
    """Even load on 0…length as many small ones at the middles of cells."""
    at = (np.arange(count) + 0.5) * length / count
    return np.full(count, span / count), at


def test_two_equal_spans_under_even_load():
    """Any structures text: 3/8, 10/8, 3/8 of w L (and not 5/8 at the ends)."""
    length, w = 40.0, 0.5
    forces, at = uniform(w * 2 * length, 2 * length)
    found = beam_contact([0, length, 2 * length], np.zeros(3), forces, at, 1e5)
    assert found.reaction == pytest.approx(w * length * np.array([3, 10, 3]) / 8, rel=1e-5)


def test_two_equal_spans_loaded_in_one():
    """Held both ways 13/32, 22/32, -3/32 P (structures text); pushing only, the far end lifts."""
    length, force, stiffness = 40.0, 16.0, 1e5
    supports = np.array([0, length, 2 * length])
    # held both ways: the same equations without the sign condition
    modes = np.column_stack([np.ones(3), supports])
    bent = beam_compliance(supports, [length / 2], stiffness)[:, 0] * force
    matrix = np.block(
        [[beam_compliance(supports, supports, stiffness), -modes], [modes.T, np.zeros((2, 2))]]
    )
    both_ways = np.linalg.solve(matrix, [*bent, force, force * length / 2])[:3]
    assert both_ways == pytest.approx(force * np.array([13, 22, -3]) / 32)
    found = beam_contact(supports, np.zeros(3), [force], [length / 2], stiffness)
    assert found.reaction == pytest.approx([force / 2, force / 2, 0.0])
    # the free arm leaves at the end slope P L²/16EI of the loaded span
    assert found.gap[2] == pytest.approx(force * length**2 / (16 * stiffness) * length)


@pytest.mark.parametrize("gap", [0.0, 0.1, 0.3, 2.0])
def test_middle_support_that_is_short(gap):
    """Superposition: R = max(0, (5 w l⁴/384 - g·EI)·48/l³) on a simple span l."""
    span, w, stiffness = 80.0, 0.5, 1e5 * 80
    forces, at = uniform(w * span, span)
    found = beam_contact([0, span / 2, span], [0, gap, 0], forces, at, stiffness)
    middle = (5 * w * span**4 / 384 - gap * stiffness) * 48 / span**3
    assert found.reaction[1] == pytest.approx(max(0.0, middle), rel=1e-5, abs=1e-9)
    assert found.reaction.sum() == pytest.approx(w * span)


def test_middle_support_that_sinks():
    """The same with a spring 1/k: R = w₀/(l³/48EI + 1/k)."""
    span, stiffness, k, force = 80.0, 8e6, 500.0, 20.0
    found = beam_contact(
        [0, span / 2, span], np.zeros(3), [force], [span / 2], stiffness, [0, 1 / k, 0]
    )
    own = span**3 / (48 * stiffness)
    assert found.reaction[1] == pytest.approx(force * own / (own + 1 / k))


def test_rigid_body_on_four_equal_springs():
    """Statics and symmetry: R = F/4 (1 ± x/a ± y/a) while all push; past that one lifts."""
    feet = np.array([[-10, -10], [10, -10], [10, 10], [-10, 10.0]])
    found = rigid_contact(feet, np.full(4, 1e-3), np.zeros(4), [8.0], [[3.0, 2.0]])
    assert found.reaction == pytest.approx(2 * (1 + (feet @ [3, 2]) / 100))
    lifted = rigid_contact(feet, np.full(4, 1e-3), np.zeros(4), [8.0], [[6.0, 6.0]])
    assert lifted.reaction == pytest.approx([0.0, 1.6, 4.8, 1.6])
    assert lifted.gap[0] > 0
    assert rigid_contact(feet, np.full(4, 1e-3), np.zeros(4), [8.0], [[10.1, 0]]).tips
    with pytest.raises(ValueError, match="some compliance"):
        rigid_contact(feet, np.zeros(4), np.zeros(4), [8.0], [[0, 0]])


def test_short_leg_rocks():
    """Four rigid legs, one short by g: three carry until it is reached (a table on the floor)."""
    feet = np.array([[-10, -10], [10, -10], [10, 10], [-10, 10.0]])
    found = rigid_contact(feet, np.full(4, 1e-6), [0, 0, 0.5, 0], [8.0], [[-1.0, -1.0]])
    assert found.reaction[2] == 0.0
    assert found.reaction == pytest.approx([0.8, 3.6, 0, 3.6])


def test_beam_needs_two_supports_about_its_load():
    assert beam_contact([0, 10], [0, 0], [1.0], [12.0], 1e5).tips
    one = solve_contact(np.zeros((1, 1)), np.ones((1, 1)), np.zeros(1), np.array([2.0]))
    assert one.reaction == pytest.approx([2.0])
