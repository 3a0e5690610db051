"""The largest ball that touches a surface at a point and stays inside."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from nests.thickness.folds import Folds, closest_on_face
from nests.thickness.starts import Starts
from nests.thickness.surface import Surface
from nests.thickness.vectors import TINY, Floats, Integers, dot, unit

PARALLEL = math.cos(1e-5)
"""Cosine of the angle between sides below which the ball lies on its ray: no second look."""
SLACK = 1e-3
"""Part of the diameter by which a second look may differ: facets of one smooth surface."""
_ROUNDING = 1.0 / 16.0
"""Part of `Surface.start` that rounding may take from the length of a ray: 4 roundings."""
_SEAMS = 4
"""Most seams of a face that are crossed to its closest point; nearly always one is enough."""
_ROUNDS = 2
"""How often a nearer face may take over."""


@dataclass(frozen=True, eq=False)
class Balls:
    """Diameter, second face, cosine between sides (-1: none), unit vector centre to contact."""

    diameter: Floats
    face: Integers
    facing: Floats
    outward: Floats


def largest_balls(
    surface: Surface, folds: Folds, starts: Starts, least: float, reach: float
) -> Balls:
    """The largest ball at each start, by its first and second look (see the module).

    `least` is the cosine between the sides at first look from which a start is followed.
    """
    count = len(starts.face)
    hit = surface.hit(starts.points + surface.start * starts.inward, starts.inward, reach)
    cosine = dot(starts.inward, surface.normals.take(hit, axis=1))
    seen = np.flatnonzero((hit >= 0) & (cosine >= least) & (hit != starts.face))
    points, inward = starts.points.take(seen, axis=1), starts.inward.take(seen, axis=1)
    face, facing = hit.take(seen), cosine.take(seen)
    outward = surface.normals.take(face, axis=1)
    diameter = 2.0 * surface.height(points, face, outward) / (1.0 + facing)

    looking = np.flatnonzero(facing < PARALLEL)
    on_rim: list[Integers] = []
    for _ in range(_ROUNDS):
        radius = 0.5 * diameter.take(looking)
        point, along = points.take(looking, axis=1), inward.take(looking, axis=1)
        toward = outward.take(looking, axis=1)
        # A contact that rounding hides from the ray is no contact beyond the end of its face.
        far = radius * (1.0 + SLACK) + _ROUNDING * surface.start
        nearer = surface.hit(point + radius * along, toward, far)
        on_rim.append(looking[nearer < 0])
        normal = surface.normals.take(nearer, axis=1)
        cosine = dot(along, normal)
        smaller = surface.height(point, nearer, normal) / np.maximum(1.0 + cosine, TINY)
        takes = np.flatnonzero((nearer >= 0) & (smaller < radius * (1.0 - SLACK)) & (smaller > 0))
        looking = looking.take(takes)
        diameter[looking], facing[looking] = 2.0 * smaller.take(takes), cosine.take(takes)
        face[looking], outward[:, looking] = nearer.take(takes), normal.take(takes, axis=1)
        looking = looking[facing.take(looking) >= least]

    rim = np.concatenate(on_rim)
    diameter[rim], facing[rim], outward[:, rim], face[rim] = _balls_on_faces(
        surface,
        folds,
        points.take(rim, axis=1),
        inward.take(rim, axis=1),
        diameter.take(rim),
        face.take(rim),
    )
    balls = Balls(
        np.full(count, np.inf), np.full(count, -1), np.full(count, -1.0), np.zeros((3, count))
    )
    balls.diameter[seen], balls.face[seen] = diameter, face
    balls.facing[seen], balls.outward[:, seen] = facing, outward
    return balls


def _balls_on_faces(
    surface: Surface,
    folds: Folds,
    points: Floats,
    inward: Floats,
    diameter: Floats,
    face: Integers,
) -> tuple[Floats, Floats, Floats, Integers]:
    """Diameter, cosine between sides, unit vector centre to contact and triangle of contact of
    the balls at `points` that touch plane faces, from the smaller balls of `diameter` that touch
    their planes.
    """
    for _ in range(3):
        centre = points + 0.5 * diameter * inward
        contact, face = closest_on_face(surface, folds, centre, face, _SEAMS)
        across = contact - points
        squared = dot(across, across)
        diameter = squared / np.maximum(dot(across, inward), 1e-6 * np.sqrt(squared) + TINY)
    # The chord from point to contact leaves half the angle between the sides to the diameter.
    facing = 2.0 * squared / np.maximum(diameter, TINY) ** 2 - 1.0
    return diameter, facing, unit(across - 0.5 * diameter * inward), face
