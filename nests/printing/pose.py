"""The pose of printing: how a solid lies on the build plate, told from how it is used.

In use z points up from the bench; in print z points away from the build plate, which is at z = 0.
A pose turns the solid about the z of use, then tips it about the x of the plate, and sets it down:
these two angles bring any direction down. A third, about the upright of the plate, changes nothing
that is judged and is not there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from nests.solids.solid import Solid
from nests.units import Length, Record, mm, quantity

Floats: TypeAlias = NDArray[np.float64]

DECIMALS = 3
"""Decimals of a degree that a pose found keeps: over 50 mm less than a micrometre."""
ROUNDING = 1e-12
"""Share by which the length of a row of a rotation may differ from 1."""


@dataclass(frozen=True, kw_only=True)
class Pose(Record):
    """How the solid lies on the build plate, told from how it is used."""

    turn: float = quantity(
        "degree", 0.0, 0.0, 360.0, "turned first about its axis, counterclockwise seen from above"
    )
    lean: float = quantity(
        "degree", 0.0, 0.0, 180.0, "then tipped back; 0 as used, 90 on edge, 180 upside down"
    )
    lift: Length = mm(
        0.0,
        high=20.0,
        meaning="held above the plate by supports, not drawn; 0 lies on it",
    )

    @property
    def on_supports(self) -> bool:
        """Whether it is held above the plate."""
        return self.lift > 0.0

    def rotation(self) -> Floats:
        """(3, 3) from use to print: Rx(lean) · Rz(turn), exact in quarter turns."""
        (c, s), (cos, sin) = _cos_sin(self.turn), _cos_sin(self.lean)
        about_z = np.array(((c, -s, 0.0), (s, c, 0.0), (0.0, 0.0, 1.0)))
        about_x = np.array(((1.0, 0.0, 0.0), (0.0, cos, -sin), (0.0, sin, cos)))
        return np.asarray(about_x @ about_z) + 0.0

    def matrix(self, vertices: Floats, stretch: float = 1.0) -> Floats:
        """(4, 4) from use to print for a solid with these vertices (n, 3), drawn `stretch` times as
        high as it is to come out.

        The lowest comes to lie at `lift`; x and y are not shifted.
        """
        out = np.eye(4)
        out[:3, :3] = self.rotation()
        out[2] *= stretch
        out[2, 3] = self.lift - float((vertices @ out[2, :3]).min())
        return out + 0.0

    def words(self) -> str:
        """The pose in words, for sentences."""
        if self.lean in (0.0, 180.0):
            how = "as used" if self.lean == 0.0 else "upside down"
        else:
            turned = f"turned {self.turn:g}° and " if self.turn else ""
            how = f"{turned}tipped {self.lean:g}°"
        return f"{how}, {self.lift:g} mm up on supports" if self.on_supports else how


FLAT = Pose()
"""As used, flat on the plate."""


def _cos_sin(degrees: float) -> tuple[float, float]:
    quarter, rest = divmod(degrees, 90.0)
    c, s = math.cos(math.radians(rest)), math.sin(math.radians(rest))
    return ((c, s), (-s, c), (-c, -s), (s, -c))[int(quarter) % 4]


def facing_down(direction: Floats, lift: Length = 0.0) -> Pose:
    """The pose that brings a unit direction (3,) of use down to the plate."""
    x, y, z = direction.tolist()
    lean = round(math.degrees(math.atan2(math.hypot(x, y), -z)), DECIMALS)
    turn = round((-90.0 - math.degrees(math.atan2(y, x))) % 360.0, DECIMALS) % 360.0
    return Pose(turn=0.0 if lean in (0.0, 180.0) else turn, lean=lean, lift=lift)


def inverse(matrix: Floats) -> Floats:
    """The inverse (4, 4) of a rotation, a stretch along the axes after it, and a shift."""
    stretched = np.linalg.norm(matrix[:3, :3], axis=1)
    stretched[abs(stretched - 1.0) < ROUNDING] = 1.0
    out = np.eye(4)
    out[:3, :3] = matrix[:3, :3].T / stretched**2
    out[:3, 3] = -out[:3, :3] @ matrix[:3, 3]
    return out + 0.0


def moved(matrix: Floats, points: Floats) -> Floats:
    """Points (n, 3) carried by a matrix (4, 4)."""
    return np.asarray(points @ matrix[:3, :3].T + matrix[:3, 3])


def laid(solid: Solid, matrix: Floats) -> Solid:
    """A solid carried by a matrix (4, 4); itself where the matrix moves nothing."""
    return solid if np.array_equal(matrix, np.eye(4)) else solid.transform(matrix[:3])
