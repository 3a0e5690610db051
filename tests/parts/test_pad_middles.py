"""Where a pad of any plan is taken to carry: always on the pad, as shapely sees its plan."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from manifold3d import CrossSection

from nests.parts.cradle import _places

PLANS = {
    "square": [(0, 0), (2, 0), (2, 2), (0, 2)],
    # the middle of the bounds of the next two lies on an edge, or on a corner
    "right triangle": [(0, 0), (2, 0), (0, 2)],
    "angle": [(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)],
    "kite": [(0, 11.23), (-8.64, 0), (0, -11.23), (8.64, 0)],
    "bow": [(0, 0), (3, 0), (3, 3), (2, 3), (2, 1), (1, 1), (1, 3), (0, 3)],
}


@pytest.mark.parametrize("name", PLANS)
def test_a_pad_carries_on_itself(name: str) -> None:
    """Turned by quarters, drawn at several sizes, and moved where sums are not exact."""
    for quarter in range(4):
        for size in (0.1, 1.0, 1 / 3):
            for off in ((0.0, 0.0), (0.1, 7.3), (-1 / 3, 1e-3)):
                turned = np.array(PLANS[name], dtype=np.float64)
                for _ in range(quarter):
                    turned = np.column_stack((-turned[:, 1], turned[:, 0]))
                ring = turned * size + off
                places = list(_places(CrossSection([ring])))
                plan = shapely.Polygon(ring).buffer(1e-6 * size)
                assert places
                assert all(plan.covers(shapely.Point(place)) for place in places)


def test_a_pad_that_has_its_middle_carries_there() -> None:
    for name in ("square", "kite"):
        ring = np.array(PLANS[name], dtype=np.float64)
        middle = (ring.min(axis=0) + ring.max(axis=0)) / 2
        assert list(_places(CrossSection([ring]))) == [pytest.approx(tuple(middle))]
