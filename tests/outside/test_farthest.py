"""The point of a region farthest from support, against grids of `shapely.distance`.

The region is a plate with holes all over, in rows that are shaken, so that its support has many
thousands of points: as in a layer of a rough mesh.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from nests.layers import amid, carriage
from nests.layers.amid import Farthest
from nests.layers.support import Support


def holed(count: int, seed: int, room: float = 0.0):
    """A square of 10 mm with count² holes, but for a disc of ⌀ `room` at a place of its own."""
    random = np.random.default_rng(seed)
    pitch = 10.0 / count
    centres = np.stack(np.meshgrid(*[np.arange(count) + 0.5] * 2), -1).reshape(-1, 2) * pitch
    centres += random.uniform(-0.2 * pitch, 0.2 * pitch, centres.shape)
    centres = centres[np.hypot(*(centres - (6.3, 3.1)).T) > room / 2]
    holes = shapely.union_all(shapely.buffer(shapely.points(centres), 0.25 * pitch, quad_segs=12))
    return shapely.difference(shapely.box(0.0, 0.0, 10.0, 10.0), holes)


def edges(region):
    """Ends of the edges of a region's holes, and of its outside, ring by ring."""
    rings = [shapely.get_coordinates(each) for each in shapely.get_rings(region)]
    start, end = (np.concatenate([each[cut] for each in rings]) for cut in (np.s_[:-1], np.s_[1:]))
    return start, end


def found(region) -> Farthest:
    start, end = edges(region)
    out = Farthest(region, Support(start, end), start[:1])
    out.look_amid(np.concatenate((start, end)))
    return out


@pytest.mark.parametrize("room", [0.0, 1.5])
def test_the_farthest_point_is_no_nearer_than_any_of_a_grid(room):
    region = holed(30, 7, room)
    best = found(region)
    steps = np.linspace(0.0, 10.0, 201)
    x, y = (each.ravel() for each in np.meshgrid(steps, steps))
    shapely.prepare(region)
    inside = shapely.intersects_xy(region, x, y)
    grid = shapely.points(x[inside], y[inside])
    edge = region.boundary
    sides = shapely.linestrings(np.stack(edges(region), axis=1))
    away = shapely.distance(sides[shapely.STRtree(sides).nearest(grid)], grid)
    assert shapely.distance(edge, shapely.Point(best.point)) == pytest.approx(best.distance)
    assert away.max() <= best.distance + amid.SQUARE
    assert best.distance <= away.max() + 0.036  # half the diagonal of the grid


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("room", [0.0, 0.8])
def test_setting_squares_aside_finds_the_same_with_few_points_at_a_time(monkeypatch, seed, room):
    region = holed(30, seed, room)
    whole = found(region)
    most = []
    triangulated = amid._circumcentres
    monkeypatch.setattr(amid, "CROWD", 2000)
    monkeypatch.setattr(
        amid, "_circumcentres", lambda each: (most.append(len(each)), triangulated(each))[1]
    )
    parted = found(region)
    assert parted.distance == pytest.approx(whole.distance, abs=1e-9)
    assert parted.point == pytest.approx(whole.point, abs=1e-6)
    samples = amid._thinned(np.concatenate(edges(region)))
    assert len(samples) > 15_000
    assert max(most) < len(samples) / 3


def test_points_are_as_far_from_runs_of_edges_as_shapely_says():
    start, end = edges(holed(6, 5))
    keep = np.random.default_rng(2).random(len(start)) > 0.1  # runs broken here and there
    support = Support(start[keep], end[keep])
    points = np.random.default_rng(3).uniform(-1.0, 11.0, (500, 2))
    lines = shapely.multilinestrings(np.stack((start[keep], end[keep]), axis=1).tolist())
    distance, foot = support.nearest(points)
    assert distance == pytest.approx(shapely.distance(lines, shapely.points(points)), abs=1e-12)
    assert np.hypot(*(points - foot).T) == pytest.approx(distance, abs=1e-12)
    assert shapely.length(support.lines).sum() == pytest.approx(shapely.length(lines))


def test_the_span_of_a_crowded_bridge_is_the_same(monkeypatch):
    region = holed(20, 4, 1.2)
    edge = carriage.PartEdge(shapely.box(-1.0, -1.0, 11.0, 11.0).boundary)
    whole = carriage.carriage(region, edge, 0.05)
    monkeypatch.setattr(amid, "CROWD", 1000)
    parted = carriage.carriage(region, edge, 0.05)
    assert parted.carried is whole.carried
    assert (parted.span, parted.free_end) == pytest.approx((whole.span, whole.free_end), abs=1e-9)
