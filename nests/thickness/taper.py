"""Sides that run out: whether they meet in nothing, or something ends the solid before."""

from __future__ import annotations

import math

import numpy as np

from nests.thickness.balls import PARALLEL, SLACK, Balls
from nests.thickness.starts import Starts
from nests.thickness.surface import Surface
from nests.thickness.vectors import Booleans, Floats, Integers, cross, dot, norm, unit

_LEANING = math.cos(math.radians(2.0))
"""Cosine of the angle between sides from which their end is looked at: taper, or beyond it."""
_LEFT = 0.1
"""Part of a ball that may be left where its sides end and still be called nothing."""


def runs_out(surface: Surface, starts: Starts, balls: Balls, least_facing: float) -> Booleans:
    """Whether the sides of each ball meet before anything else ends the solid between them.

    Balls between leaning sides that reach beyond such an end are moved into place.
    """
    result = np.zeros(len(balls.face), dtype=np.bool_)
    leaning = np.flatnonzero((balls.facing >= least_facing) & (balls.facing < _LEANING))
    side = -starts.inward.take(leaning, axis=1)
    other = balls.outward.take(leaning, axis=1)
    radius = 0.5 * balls.diameter.take(leaning)
    centre = starts.points.take(leaning, axis=1) - radius * side
    # Both normals together point to the line where the planes meet, 2 sin(angle / 2) long.
    together = side + other
    apex = 2.0 * radius / dot(together, together) * together
    end, part, sharp = _pinched(surface, centre, radius, side, other, apex)

    # Stopped at a third side, as in a pyramid: the tip is where the three planes meet.
    third = surface.normals.take(end, axis=1)
    height = surface.height(centre, end, third)
    across = cross(other, third)
    tip = radius * (across + cross(third, side)) + height * cross(side, other)
    volume = dot(side, across)
    again = np.flatnonzero((end >= 0) & ~sharp & (np.abs(volume) > 1e-9))
    _, _, sharp[again] = _pinched(
        surface,
        centre.take(again, axis=1),
        radius.take(again),
        side.take(again, axis=1),
        other.take(again, axis=1),
        tip.take(again, axis=1) / volume.take(again),
    )
    result[leaning] = sharp

    # A contact on a rim has no plane along which the ball could roll.
    on_plane = dot(other, surface.normals.take(balls.face.take(leaning), axis=1)) > PARALLEL
    beyond = (end >= 0) & (part * norm(apex) < radius * (1.0 - SLACK))
    cut = np.flatnonzero(on_plane & beyond & ~sharp)
    end, cut = end.take(cut), leaning.take(cut)
    # Twice: in a corner two faces end the sides.
    for _ in range(2):
        end, cut = _rolled(surface, starts, balls, cut, end)
    return result


def _pinched(
    surface: Surface,
    centre: Floats,
    radius: Floats,
    side: Floats,
    other: Floats,
    vector: Floats,
) -> tuple[Integers, Floats, Booleans]:
    """Triangle and part of `vector` from each centre where the solid ends, and whether just
    before the end of `vector` nothing is left between the two sides.
    """
    # A hair toward the side: a ray right into an edge or a tip may slip between its triangles.
    end, part = _end(surface, centre, vector + SLACK * radius * side)
    pinched = part > 1.0 - _LEFT
    reached = np.flatnonzero(pinched)
    near = (centre + (1.0 - _LEFT) * vector).take(reached, axis=1)
    for normal in (side, other):
        _, left = _end(surface, near, (radius * normal).take(reached, axis=1))
        pinched[reached] &= (left > 0.0) & (left < 2.0 * _LEFT)
    return end, part, pinched


def _rolled(
    surface: Surface, starts: Starts, balls: Balls, cut: Integers, end: Integers
) -> tuple[Integers, Integers]:
    """Roll the balls `cut`, which reach through faces `end`, until they just touch those.

    They roll along their own side, and both sides stay planes. Where one of them ends before it
    is touched, no such ball is there: it is struck out. Returns what is still cut, and by what.
    """
    side, other = -starts.inward.take(cut, axis=1), balls.outward.take(cut, axis=1)
    radius = 0.5 * balls.diameter.take(cut)
    centre = starts.points.take(cut, axis=1) - radius * side
    normal = surface.normals.take(end, axis=1)
    along = unit(dot(normal, side) * side - normal)
    # By each step `along` the radius grows, and the distance from the end grows faster.
    growth = -dot(other, along) / (1.0 + balls.facing.take(cut))
    gain = -dot(normal, along) + growth * (dot(normal, side) - 1.0)
    touches = gain > 1e-6
    step = (radius - surface.height(centre, end, normal)) / np.where(touches, gain, np.inf)
    radius = radius + step * growth
    centre = centre + step * (along - growth * side)
    own, part = _end(surface, centre, radius * side)
    touches &= np.abs(part - 1.0) < SLACK
    opposite, part = _end(surface, centre, radius * other)
    touches &= np.abs(part - 1.0) < SLACK
    balls.facing[cut[~touches]] = -1.0

    kept = np.flatnonzero(touches)
    cut, centre, radius = cut.take(kept), centre.take(kept, axis=1), radius.take(kept)
    side, other = side.take(kept, axis=1), other.take(kept, axis=1)
    starts.points[:, cut], starts.face[cut] = centre + radius * side, own.take(kept)
    balls.face[cut], balls.diameter[cut] = opposite.take(kept), 2.0 * radius
    end, part = _end(surface, centre, radius * unit(side + other))
    still = np.flatnonzero((end >= 0) & (part < 1.0 - SLACK))
    return end.take(still), cut.take(still)


def _end(surface: Surface, origins: Floats, vectors: Floats) -> tuple[Integers, Floats]:
    """Triangle that ends the solid from `origins` along `vectors`, and at what part of them."""
    end = surface.hit(origins, unit(vectors), math.inf)
    normal = surface.normals.take(end, axis=1)
    slope = dot(vectors, normal)
    ends = (end >= 0) & (slope > 1e-9 * norm(vectors))
    part = surface.height(origins, end, normal) / np.where(ends, slope, 1.0)
    return end, np.where(ends, part, 0.0)
