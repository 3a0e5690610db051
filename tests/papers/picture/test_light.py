"""Light against view factors and integrals done by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from picture_shapes import body, disc

from nests.papers.picture import View
from nests.papers.picture.light import SKY_RAYS, key_lamp, sample_light, sphere_directions
from nests.papers.picture.meshes import build_scene, unit_vectors
from nests.papers.picture.rays import aim, cast


def test_sky_rays_follow_lamberts_law() -> None:
    """Within an angle t of the normal lies sin^2 t of cosine-weighted light (Lambert)."""
    normal = np.array([[0.36, -0.48, 0.8]], np.float32)
    rays = unit_vectors(normal + sphere_directions(9 * SKY_RAYS))
    tilt = np.arccos(np.clip(rays @ normal[0], -1, 1))
    for limit in np.radians([20, 40, 60, 80]):
        assert (tilt < limit).mean() == pytest.approx(math.sin(limit) ** 2, abs=0.02)


def test_sky_seen_from_the_floor_of_a_well() -> None:
    """View factor of a coaxial disc from a small area: R^2 / (R^2 + H^2).

    J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors, B-13 (number from
    memory; the integral of sin^2 over the opening's half-angle gives the same).
    """
    well = body(disc(12, 9) - disc(20, 6, 4))
    scene = build_scene([well])
    normal = np.array([[0, 0, 1]], np.float32)
    ahead = unit_vectors(normal[:, None] + sphere_directions(9 * SKY_RAYS)[None])
    free = cast(scene, np.array([[0, 0, 4.001]], np.float32), ahead, "OCCLUDED") < 0
    assert free.mean() == pytest.approx(36 / (36 + 64), abs=0.02)


def test_open_sky_on_a_floor_and_on_a_wall() -> None:
    """A sky of 0.86 + 0.14 sin(height) over a bench of 0.65, weighted by the cosine.

    Over the hemisphere about the zenith the cosine-weighted mean of the cosine is 2/3; over the
    upper half about a horizontal normal the mean height is 4 / (3 pi). Both integrate by hand.
    """
    scene = build_scene([body(disc(2, 3))])
    normals = np.array([[0, 0, 1], [0, -1, 0]] * 9, np.float32)
    points = np.array([[0, 0, 50], [0, -50, 50]] * 9, np.float32)
    pattern = np.repeat(np.arange(9), 2).astype(np.int32)
    lamp = np.array([0, 0, 1], np.float32)
    light = sample_light(scene, points, normals, pattern, lamp, -1e9)[:, 0].reshape(9, 2)
    floor, wall = light.mean(axis=0)
    assert floor == pytest.approx(0.86 + 0.14 * 2 / 3, abs=5e-3)
    assert wall == pytest.approx(0.5 * (0.86 + 0.14 * 4 / (3 * math.pi)) + 0.5 * 0.65, abs=5e-3)


def test_shadow_lies_behind_the_post() -> None:
    """The lamp's direction decides: a point behind the post is dark, one before it is lit.

    As draughtsmen have it the light comes from the upper left: the shadow falls to the right.
    """
    plate, post = disc(2, 20), disc(10, 2, 1.5)
    scene = build_scene([body(plate + post)])
    lamp = key_lamp(aim([body(plate + post)], View(), (400, 300)))
    away = -lamp[:2] / np.linalg.norm(lamp[:2])
    assert away @ View().axes()[0][:2] > 0.5
    points = np.array([[*(4 * away), 2], [*(-4 * away), 2]], np.float32)
    normal = np.array([[0, 0, 1]] * 2, np.float32)
    light = sample_light(scene, points, normal, np.zeros(2, np.int32), lamp, 0.0, (40, 40))
    assert light[:, 1].tolist() == [0.0, 1.0]
