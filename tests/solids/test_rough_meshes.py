"""Rough skins: what a library loses its way in does not end the check."""

import math

import pytest
import shapely
from manifold3d import Manifold

from nests.layers.overhangs import overhangs
from nests.layers.slices import slice_solid


def table():
    """A table of 24 × 24 mm, 2 high, on two walls that are 16 mm apart."""
    wall = Manifold.cube((4.0, 24.0, 10.0))
    return (
        wall
        + wall.translate((20.0, 0, 0))
        + Manifold.cube((24.0, 24.0, 2.0)).translate((0, 0, 10.0))
    )


def test_a_triangulation_that_fails_is_made_by_another_library(monkeypatch):
    """Clear width by hand: 16 mm."""
    stack = slice_solid(table(), 0.05)
    (before,) = overhangs(stack, math.radians(45.0))

    def lost(*_: object, **__: object) -> None:
        raise shapely.errors.GEOSException("LocateFailureException: Could not locate vertex.")

    monkeypatch.setattr(shapely, "delaunay_triangles", lost)
    (after,) = overhangs(stack, math.radians(45.0))
    assert before.span == pytest.approx(16.0, abs=0.01)
    assert after.span == pytest.approx(before.span, abs=1e-6)
    assert after.carried is before.carried
