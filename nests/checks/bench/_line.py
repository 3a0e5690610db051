"""What a straight way into the holder leaves free: the solid cut square to the way."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from manifold3d import CrossSection
from numpy.typing import NDArray

from nests.solids.solid import Solid, along, block
from nests.solids.volumes import plan_distances
from nests.units import Length

Floats: TypeAlias = NDArray[np.float64]
Flags: TypeAlias = NDArray[np.bool_]

FAR: Length = 10.0
"""mm beside a way beyond which nothing is looked at."""
STEP: Length = 0.15
"""mm between two cuts."""
THIN: Length = 0.02
"""mm to either side of a way that count as straight above it."""


def stations(inner: Length, outer: Length) -> Floats:
    """Distances (n,) from the axis, no farther apart than `STEP` and never on either end."""
    count = max(2, round((outer - inner) / STEP))
    return np.asarray(inner + (np.arange(count) + 0.5) * ((outer - inner) / count))


def free_radii(solid: Solid, angle: float, z: Length, at: Floats) -> Floats:
    """Radius (n,) free of the solid about a level way at holder angle `angle` (rad), height `z`.

    Measured at distances `at` (n,) from the axis; 0 inside the solid, at most `FAR`.
    """
    upright = _upright(solid, angle, z, at, FAR, -FAR, FAR)
    cuts = [upright.slice(distance) for distance in at]
    return np.array([_free(cut) for cut in cuts])


def _free(cut: CrossSection) -> Length:
    """How far a cut is from its middle, at most `FAR`."""
    return FAR if cut.is_empty() else min(FAR, float(plan_distances(cut, np.zeros((1, 2)))[0]))


def roofed(solid: Solid, angle: float, z: Length, at: Floats, up: Length) -> Flags:
    """Whether (n,) any of the solid lies straight above a level way within `up` mm of it."""
    upright = _upright(solid, angle, z, at, THIN, 0.0, up)
    return np.array([not upright.slice(distance).is_empty() for distance in at], dtype=np.bool_)


def _upright(
    solid: Solid, angle: float, z: Length, at: Floats, aside: Length, low: Length, high: Length
) -> Solid:
    """What of the solid lies about a way, turned so that the way is upright and its cuts level."""
    box = block(0.0, at[0] - STEP, at[-1] + STEP, 2 * aside, z + low, z + high)
    # (x, y, z) -> (y, z, x)
    turn = np.array([[0, 1, 0, 0], [0, 0, 1, -z], [1, 0, 0, 0.0]])
    return (along(solid, -angle) ^ box).transform(turn)
