"""Places by hand: a clock face has 30 degrees an hour, clockwise from 12 h seen from the dial."""

from __future__ import annotations

import math

import numpy as np
import pytest

from nests.places import Frame, Place, Side, at_hour, hours_between, read_place

HOURS = [
    (0.0, (0.0, 5.0)),
    (3.0, (5.0, 0.0)),
    (6.0, (0.0, -5.0)),
    (9.0, (-5.0, 0.0)),
    (1.0, (2.5, 4.330127)),
    (8.0, (-4.330127, -2.5)),
    (10.5, (-3.535534, 3.535534)),
]


@pytest.mark.parametrize(("hour", "xy"), HOURS)
def test_an_hour_is_a_place_and_back(hour: float, xy: tuple[float, float]) -> None:
    at = at_hour(hour, 5.0)
    assert (at.x, at.y) == pytest.approx(xy, abs=1e-6)
    assert at.radius == pytest.approx(5.0)
    assert Place(*xy).hour == pytest.approx(hour, abs=1e-6)


def test_an_hour_is_below_twelve() -> None:
    assert 0.0 <= Place(-1e-9, 5.0).hour < 12.0
    assert Place(0.0, 5.0).hour == 0.0


@pytest.mark.parametrize(
    ("one", "two", "apart"),
    [
        (1, 3, 2),
        (11, 1, 2),
        (0, 6, 6),
        (12, 0, 0),
        (5.5, 11.0, 5.5),
        (0.5, 11.75, 0.75),
        (13, 1, 0),
    ],
)
def test_hours_between_are_the_shorter_way(one: float, two: float, apart: float) -> None:
    assert hours_between(one, two) == pytest.approx(apart)
    assert hours_between(two, one) == pytest.approx(apart)


def test_distance_is_that_of_pythagoras() -> None:
    assert Place(1.0, 2.0).distance(Place(4.0, -2.0)) == 5.0
    assert Place(-3.0, 4.0).radius == 5.0


def test_what_is_read_from_the_bridge_side_is_mirrored_once() -> None:
    assert read_place(2.0, 3.0, Side.DIAL) == Place(2.0, 3.0)
    assert read_place(2.0, 3.0, Side.BRIDGE) == Place(-2.0, 3.0)
    assert math.copysign(1.0, read_place(0.0, 0.0, Side.BRIDGE).x) == 1.0
    for side in Side:  # no zero has a sign, which would print as -0.00
        at = read_place(-0.0, -0.0, side)
        turned = Frame(side, 7.0, 1.5).place(Place(0.0, 0.0))
        points = Frame(side, 7.0, 1.5).points(np.zeros((1, 2)))
        for zero in (at.x, at.y, turned.x, *points[0].tolist()):
            assert math.copysign(1.0, zero) == 1.0
    assert Side.DIAL.other is Side.BRIDGE
    assert Side.BRIDGE.other is Side.DIAL


def test_a_place_says_both_ways() -> None:
    assert Place(2.5, 4.330127).words() == "1.00 h, 5.00 mm (x 2.50, y 4.33)"


def test_heights_lie_where_a_depth_gauge_says() -> None:
    """Dial up on a seat at 7.0 with a rim of 1.5: its dial face lies at 8.5, bridges hang down."""
    dial, bridge = (Frame(up, 7.0, 1.5) for up in (Side.DIAL, Side.BRIDGE))
    assert dial.z(Side.DIAL, 0.4) == pytest.approx(8.9)
    assert dial.z(Side.DIAL, -0.4) == pytest.approx(8.1)
    assert dial.z(Side.BRIDGE, 2.0) == pytest.approx(5.0)
    assert bridge.z(Side.BRIDGE, 2.0) == pytest.approx(10.5)
    assert bridge.z(Side.DIAL, 0.4) == pytest.approx(6.6)


@pytest.mark.parametrize(("hour", "dial", "bridge"), [(0, 90, 90), (3, 0, 180), (1, 60, 120)])
def test_a_holder_angle_and_its_hour(hour: float, dial: float, bridge: float) -> None:
    for up, degrees in ((Side.DIAL, dial), (Side.BRIDGE, bridge)):
        frame = Frame(up, 7.0, 1.5)
        assert math.degrees(frame.angle(hour)) == pytest.approx(degrees)
        assert frame.hour(math.radians(degrees)) == pytest.approx(hour, abs=1e-9)


def test_places_and_points_are_carried_alike_and_back() -> None:
    points = np.array([(1.0, 2.0), (-3.0, 0.5)])
    for up, wanted in ((Side.DIAL, points), (Side.BRIDGE, points * (-1.0, 1.0))):
        frame = Frame(up, 7.0, 1.5)
        assert np.array_equal(frame.points(points), wanted)
        carried = [frame.place(Place(*xy)) for xy in points.tolist()]
        assert [(p.x, p.y) for p in carried] == [tuple(xy) for xy in wanted.tolist()]
        assert [frame.place(p) for p in carried] == [Place(*xy) for xy in points.tolist()]
