"""What is seen, against closed forms of silhouettes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from picture_shapes import Solid, body, disc, seen_area

from nests.papers.picture import View, render
from nests.papers.picture.colours import GHOST, PAPER
from nests.papers.picture.meshes import build_scene
from nests.papers.picture.painting import paint
from nests.papers.picture.rays import aim, trace
from nests.papers.picture.values import FINE
from nests.places import at_hour


@pytest.mark.parametrize("elevation", [-90, -25, 0, 10, 36, 60, 90])
def test_shadow_of_a_cylinder(elevation: float) -> None:
    """Projected: an ellipse of pi r^2 sin e and a rectangle 2 r h cos e (elementary geometry)."""
    rise = math.radians(elevation)
    r, h = 6.0, 9.0
    expected = math.pi * r * r * abs(math.sin(rise)) + 2 * r * h * math.cos(rise)
    assert seen_area([body(disc(h, r))], View(2.0, rise)) == pytest.approx(expected, rel=2e-3)


def test_shadow_of_a_sphere() -> None:
    """Pi r^2 from everywhere."""
    ball = body(Solid.sphere(7.0, 400))
    for view in (View(1.3, 0.2), View(8.0, 1.0)):
        assert seen_area([ball], view) == pytest.approx(math.pi * 49.0, rel=2e-3)


def test_painted_silhouette_is_the_closed_form_and_half_a_line() -> None:
    """From below there is no shadow: all that is not paper is body, or the outline's outer half."""
    view, size, r, h = View(4.0, -0.6), (500, 420), 6.0, 9.0
    solid = body(disc(h, r))
    camera = aim([solid], view, size)
    image = np.asarray(render([solid], view=View(4.0, -0.6, scale=camera.scale), size=size))
    drawn = int((image != PAPER).any(axis=2).sum())
    area = math.pi * r * r * math.sin(0.6) + 2 * r * h * math.cos(0.6)
    # Ramanujan's second formula for the half ellipses at both ends, and the two sides.
    a, b = r, r * math.sin(0.6)
    k = 3 * ((a - b) / (a + b)) ** 2
    edge = math.pi * (a + b) * (1 + k / (10 + math.sqrt(4 - k))) + 2 * h * math.cos(0.6)
    least = area * camera.scale**2
    assert least < drawn < least + 2.0 * edge * camera.scale


def test_what_is_seen_lies_where_it_projects() -> None:
    """The middle of a ball's cells is the projection of its centre, to a tenth of a pixel."""
    ball = body(Solid.sphere(3.0, 200).translate((7, -4, 5)))
    camera = aim([ball, body(disc(4, 12))], View(2.0, 0.7), (500, 420))
    y, x = np.nonzero(trace(build_scene([ball]), camera).triangle >= 0)
    middle = np.array([x.mean() + 0.5, y.mean() + 0.5]) / FINE
    assert middle == pytest.approx(camera.project(np.array([[7.0, -4.0, 5.0]]))[0], abs=0.1)


def test_thin_wall_between_nodes_is_whole() -> None:
    """A fin 1.5 pixels wide is never lost to the coarse first pass."""
    fin = body(Solid.cube((0.15, 10, 10), True))
    far = body(Solid.cube((42, 1, 1), True).translate((0, 0, 8)), name="bar")
    camera = aim([fin, far], View(6.0, 0.0), (500, 420))
    scene = build_scene([fin, far])
    seen = scene.body[trace(scene, camera).triangle] == 0
    assert 1.2 < 0.15 * camera.scale < 1.8
    area = seen.sum() / (FINE * camera.scale) ** 2
    assert area == pytest.approx(1.5, rel=0.5 / (0.15 * camera.scale))
    rows = seen.any(axis=1)
    assert rows.sum() == pytest.approx(10 * FINE * camera.scale, abs=2)


@pytest.mark.parametrize("hour", [0.0, 3.0, 4.5, 9.0, 11.9])
def test_the_eye_stands_at_its_hour(hour: float) -> None:
    """`places.at_hour` and the camera agree: the place at the hour is nearest to the eye."""
    right, up, toward = View(hour, 0.3).axes()
    near, three_on = at_hour(hour, 1.0), at_hour(hour - 3.0, 1.0)
    assert np.array([near.x, near.y, 0.0]) @ toward == pytest.approx(math.cos(0.3))
    assert np.array([three_on.x, three_on.y, 0.0]) @ right == pytest.approx(1.0)
    assert np.cross(right, up) == pytest.approx(toward)


def test_workpiece_is_a_translucent_outline() -> None:
    """A ghost tints what is behind it, and casts no shadow on it."""
    base, block = body(disc(3, 15)), body(disc(4, 6, 5.0), ghost=True)
    view = View(6.0, 1.0, scale=14.0)
    # The ghost moves the fit, so both are aimed by the bodies together.
    camera = aim([base, block], view, (600, 500))
    solid, ghost = build_scene([base]), build_scene([block])
    plain = np.asarray(paint(solid, None, camera)[0]).astype(int)
    tinted = np.asarray(paint(solid, ghost, camera)[0]).astype(int)
    near = trace(ghost, camera).triangle >= 0
    covered = np.asarray(near.reshape(500, FINE, 600, FINE).any(axis=(1, 3)))
    from scipy.ndimage import binary_erosion

    beside, deep = binary_erosion(~covered, iterations=4), binary_erosion(covered, iterations=14)
    assert (plain[beside] == tinted[beside]).all()
    share = (plain[deep] - tinted[deep]).sum() / (plain[deep] - GHOST).sum()
    assert 0.05 < share < 0.5
