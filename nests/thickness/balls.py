"""The largest ball that touches a surface at a point and stays inside."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from nests.thickness.starts import Starts
from nests.thickness.surface import Surface, closest_on_triangle
from nests.thickness.vectors import TINY, Floats, Integers, dot, unit

PARALLEL = math.cos(1e-5)
"""Cosine of the angle between sides below which the ball lies on its ray: no second look."""
SLACK = 1e-3
"""Part of the diameter by which a second look may differ: facets of one smooth surface."""
_ROUNDS = 2
"""How often a nearer face may take over."""


@dataclass(frozen=True, eq=False)
class Balls:
    """Diameter, second face, cosine between sides (-1: none), unit vector centre to contact."""

    diameter: Floats
    face: Integers
    facing: Floats
    outward: Floats


def largest_balls(surface: Surface, starts: Starts, least: Floats, reach: float) -> Balls:
    """The largest ball at each start, by its first and second look (see the module).

    `least` is the cosine between the sides at first look from which a start is followed.
    """
    count = len(starts.face)
    hit = surface.hit(starts.points + surface.start * starts.inward, starts.inward, reach)
    cosine = dot(starts.inward, surface.normals.take(hit, axis=1))
    seen = np.flatnonzero((hit >= 0) & (cosine >= least) & (hit != starts.face))
    points, inward = starts.points.take(seen, axis=1), starts.inward.take(seen, axis=1)
    face, facing, least = hit.take(seen), cosine.take(seen), least.take(seen)
    outward = surface.normals.take(face, axis=1)
    diameter = 2.0 * surface.height(points, face, outward) / (1.0 + facing)

    looking = np.flatnonzero(facing < PARALLEL)
    on_rim: list[Integers] = []
    for _ in range(_ROUNDS):
        radius = 0.5 * diameter.take(looking)
        point, along = points.take(looking, axis=1), inward.take(looking, axis=1)
        toward = outward.take(looking, axis=1)
        nearer = surface.hit(point + radius * along, toward, radius * (1.0 + SLACK))
        on_rim.append(looking[nearer < 0])
        normal = surface.normals.take(nearer, axis=1)
        cosine = dot(along, normal)
        smaller = surface.height(point, nearer, normal) / np.maximum(1.0 + cosine, TINY)
        takes = np.flatnonzero((nearer >= 0) & (smaller < radius * (1.0 - SLACK)) & (smaller > 0))
        looking = looking.take(takes)
        diameter[looking], facing[looking] = 2.0 * smaller.take(takes), cosine.take(takes)
        face[looking], outward[:, looking] = nearer.take(takes), normal.take(takes, axis=1)
        looking = looking[facing.take(looking) >= least.take(looking)]

    rim = np.concatenate(on_rim)
    diameter[rim], facing[rim], outward[:, rim] = _ball_on_triangle(
        points.take(rim, axis=1),
        inward.take(rim, axis=1),
        diameter.take(rim),
        surface.corners(face.take(rim)),
    )
    balls = Balls(
        np.full(count, np.inf), np.full(count, -1), np.full(count, -1.0), np.zeros((3, count))
    )
    balls.diameter[seen], balls.face[seen] = diameter, face
    balls.facing[seen], balls.outward[:, seen] = facing, outward
    return balls


def _ball_on_triangle(
    points: Floats, inward: Floats, diameter: Floats, corners: tuple[Floats, Floats, Floats]
) -> tuple[Floats, Floats, Floats]:
    """Diameter, cosine between sides and unit vector centre to contact of the balls at `points`
    that touch triangles, from the smaller balls of `diameter` that touch their planes.
    """
    for _ in range(3):
        contact = closest_on_triangle(points + 0.5 * diameter * inward, corners)
        across = contact - points
        squared = dot(across, across)
        diameter = squared / np.maximum(dot(across, inward), 1e-6 * np.sqrt(squared) + TINY)
    # The chord from point to contact leaves half the angle between the sides to the diameter.
    facing = 2.0 * squared / np.maximum(diameter, TINY) ** 2 - 1.0
    return diameter, facing, unit(across - 0.5 * diameter * inward)
