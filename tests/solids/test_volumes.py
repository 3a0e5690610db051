"""Distances of points from a plan, against shapely: polygons with holes, points on corners too."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from manifold3d import CrossSection

from nests.solids.volumes import FEW, plan_distances


@pytest.mark.parametrize("count", [1, FEW, FEW + 1, 300])
@pytest.mark.parametrize("seed", range(6))
def test_distances_are_those_of_shapely(seed: int, count: int) -> None:
    random = np.random.default_rng(seed)
    turn = np.sort(random.uniform(0.0, 2 * np.pi, 40))
    radius = random.uniform(4.0, 6.0, 40)
    edge = np.column_stack((radius * np.cos(turn), radius * np.sin(turn)))
    plan = CrossSection([edge]) - CrossSection.square((3.0, 2.0), center=True)
    points = np.round(random.uniform(-7.0, 7.0, (count, 2)), 1)
    points[:1] = (1.5, 1.0)  # a corner of the hole
    area = shapely.Polygon()
    for ring in plan.to_polygons():
        area = area.symmetric_difference(shapely.Polygon(ring))
    assert plan_distances(plan, points) == pytest.approx(
        shapely.distance(area, shapely.points(points)), abs=1e-12
    )
