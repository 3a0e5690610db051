"""Sections against closed forms of their area, volume and place."""

from __future__ import annotations

import math

import numpy as np
import pytest
from picture_shapes import (
    BORE,
    FLOOR,
    HEIGHT,
    LEDGE,
    OUTER,
    WELL,
    Solid,
    body,
    disc,
    holder,
    ring,
    section_area,
    seen_area,
)

from nests.papers.picture import SECTION, Shown, View, cut, render
from nests.papers.picture.colours import PAPER
from nests.papers.picture.meshes import build_scene
from nests.papers.picture.rays import aim, trace
from nests.papers.picture.values import FINE


@pytest.mark.parametrize("hour", [0.0, 2.5, 7.0, 12.0])
def test_section_of_a_ring(hour: float) -> None:
    """Three rectangles a side, foreshortened by cos e when the eye is square to the cut."""
    half = cut(body(ring()), hour)
    assert half is not None
    rise = math.radians(24.0)
    area = seen_area([half], View(hour + 3.0, rise), SECTION) / math.cos(rise)
    assert area == pytest.approx(section_area(), rel=5e-3)


def test_half_a_ring_is_closed_and_half_the_volume() -> None:
    """Divergence theorem over the cut mesh against pi r^2 h; labels keep their wall areas."""
    half = cut(body(ring()), 1.0)
    assert half is not None
    corner = half.vertices[half.triangles]
    cross = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    volume = np.einsum("ij,ij->", corner[:, 0], cross) / 6.0
    area = np.linalg.norm(cross, axis=1) / 2.0
    whole = OUTER**2 * HEIGHT - BORE**2 * (HEIGHT - LEDGE) - WELL**2 * (LEDGE - FLOOR)
    assert volume == pytest.approx(math.pi * whole / 2, rel=5e-5)
    assert area[half.part == SECTION].sum() == pytest.approx(section_area(), rel=5e-5)
    bore = math.pi * BORE * (HEIGHT - LEDGE) + math.pi * (BORE**2 - WELL**2) / 2
    assert area[half.part == 1].sum() == pytest.approx(bore, rel=5e-5)


def test_the_hour_of_a_cut_lies_to_the_right() -> None:
    """The slot toward 3 h takes 5 x 2 mm from the right of a 3 h cut and nothing from the left."""
    half = cut(holder(), 3.0)
    assert half is not None
    camera = aim([half], View(6.0, 0.0), (500, 420))
    scene = build_scene([half])
    face = scene.part[trace(scene, camera).triangle] == SECTION
    axis = round(FINE * camera.project(np.zeros((1, 3)))[0, 0])
    left, right = (a.sum() / (FINE * camera.scale) ** 2 for a in np.split(face, [axis], 1))
    assert left == pytest.approx(section_area() / 2, rel=5e-3)
    # The slot starts at x = 10: from 11 on it meets the ring's rim, 4 x 2; under the bore nothing.
    assert right == pytest.approx(section_area() / 2 - 4 * 2, rel=5e-3)


@pytest.mark.parametrize(("hour", "area"), [(12.0, 100.0), (6.0, 85.0)])
def test_a_wall_in_the_plane_of_the_cut_is_no_section(hour: float, area: float) -> None:
    """A 5 x 3 notch whose wall lies in the plane: cut a hair to either side, no double face."""
    notch = Solid.cube((10, 20, 3), False)
    half = cut(body(Solid.cube((10, 10, 10), True) - notch), hour)
    assert half is not None
    corner = half.vertices[half.triangles[half.part == SECTION]]
    cross = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    assert np.linalg.norm(cross, axis=1).sum() / 2 == pytest.approx(area, rel=1e-4)


@pytest.mark.slow
def test_section_is_painted_light_and_hatched_where_it_lies() -> None:
    """In the picture: the section's tone fills its rectangles, with lines, and is nowhere else."""
    half = cut(body(ring()), 12.0)
    assert half is not None
    view, size = View(3.0, 0.4), (1400, 800)
    camera = aim([half], view, size, (24, 24, 1376, 776))
    image = np.asarray(render([half], view=View(3.0, 0.4), size=size)).astype(int)
    light = image[..., 0] > PAPER[0] + 4  # nothing else is lighter than the paper
    inside = np.zeros(light.shape, bool)
    for y0, y1, z0, z1 in (
        (-OUTER, -BORE, 0, HEIGHT), (BORE, OUTER, 0, HEIGHT), (-BORE, -WELL, 0, LEDGE),
        (WELL, BORE, 0, LEDGE), (-WELL, WELL, 0, FLOOR),
    ):  # fmt: skip
        ends = camera.project(np.array([(0, y0, z1), (0, y1, z0)]))
        (x0, top), (x1, bottom) = ends.round().astype(int)
        inside[top:bottom, x0:x1] = True
        share = light[top:bottom, x0:x1].mean()
        assert 0.5 < share < 0.95, "filled, but crossed by lines"
    assert light[~inside].sum() < 0.01 * light.sum()
    from scipy.ndimage import binary_closing

    face = binary_closing(light, iterations=4).sum()  # closes the hatching
    expected = section_area() * math.cos(0.4) * camera.scale**2
    # The outline's inner half is 1 px, and the pixel beside it may be an average of both.
    upright = 2 * HEIGHT + 2 * (HEIGHT - FLOOR)
    edge = (4 * OUTER + upright * math.cos(0.4)) * camera.scale
    assert expected - 2 * edge < face < expected - 0.5 * edge
    assert 2 * edge < 0.035 * expected


def test_an_open_mesh_is_refused() -> None:
    """A cube without one triangle has no section."""
    cube = body(Solid.cube((10, 10, 10), True))
    broken = Shown("box", cube.vertices, cube.triangles[1:], cube.part[1:])
    with pytest.raises(ValueError, match="box cannot be cut"):
        cut(broken, 3.0)


def test_a_body_before_the_plane_is_cut_away() -> None:
    """Nothing is left of what stands wholly before the cut."""
    assert cut(body(disc(3, 2, 0, 0, -9)), 3.0) is None
