"""Places on a movement, and the one function that carries them into a holder.

Movement frame: origin on the axis of the outline, x to 3 h, y to 12 h *seen from the dial side*,
z out of the dial; z = 0 is the dial-side face of the seating rim. Heights on a sheet are read
from the rim face of their own side, outward positive: what a depth gauge shows.

Holder frame: z up from the bench, 12 h at +y. With the dial up x and y are kept; with the bridge
side up x changes sign. A mirrored support post is the worst silent failure of this tool, so the
mirroring is written once, in `Frame.place`, and is its own inverse.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from nests.units import Hour, Length

Points: TypeAlias = NDArray[np.float64]
"""(n, 2) array of x, y in mm."""


class Side(StrEnum):
    """A side of the movement."""

    DIAL = "dial"
    BRIDGE = "bridge"

    @property
    def other(self) -> Side:
        """The opposite side."""
        return Side.BRIDGE if self is Side.DIAL else Side.DIAL


@dataclass(frozen=True)
class Place:
    """A place in plan, x and y in mm seen from the dial side, whichever side it was read from."""

    x: Length
    y: Length

    @property
    def radius(self) -> Length:
        """Distance from the axis of the outline."""
        return math.hypot(self.x, self.y)

    @property
    def hour(self) -> Hour:
        """Hour of the dial, 0 <= hour < 12."""
        turn = math.degrees(math.atan2(self.x, self.y)) / 30.0 % 12.0
        return turn if turn < 12.0 else 0.0  # a hair before 12 h is rounded up to it

    def distance(self, other: Place) -> Length:
        """Distance to another place in plan."""
        return math.hypot(self.x - other.x, self.y - other.y)

    def words(self) -> str:
        """Both ways of saying it, for sentences and drawings."""
        return f"{self.hour:.2f} h, {self.radius:.2f} mm (x {self.x:.2f}, y {self.y:.2f})"


def read_place(x: Length, y: Length, side: Side) -> Place:
    """A place read with calipers while looking at `side`: mirrored here, once, and never again."""
    return Place(-x + 0.0 if side is Side.BRIDGE else x + 0.0, y + 0.0)


def at_hour(hour: Hour, radius: Length) -> Place:
    """A place by hour of the dial and radius; an hour is the same hour from either side."""
    angle = math.radians(30.0 * hour)
    return Place(radius * math.sin(angle), radius * math.cos(angle))


def hours_between(first: Hour, second: Hour) -> float:
    """Shortest distance on the dial between two hours, 0 to 6."""
    gap = abs(first - second) % 12.0
    return min(gap, 12.0 - gap)


@dataclass(frozen=True)
class Frame:
    """How a workpiece lies in its holder.

    `seat` is the holder z of the rim face that points down, `rim` the height of the rim.
    """

    up: Side
    seat: Length
    rim: Length

    def place(self, place: Place) -> Place:
        """Movement frame to holder frame in plan, and back: it is its own inverse."""
        return Place(-place.x + 0.0, place.y) if self.up is Side.BRIDGE else place

    def points(self, points: Points) -> Points:
        """`place` for an (n, 2) array; the order of the points is kept, so the turn flips."""
        return points * (-1.0, 1.0) + 0.0 if self.up is Side.BRIDGE else points

    def z(self, side: Side, height: Length) -> Length:
        """Holder z of a surface `height` outward from the rim face of `side`."""
        return self.seat + self.rim + height if side is self.up else self.seat - height

    def angle(self, hour: Hour) -> float:
        """Holder angle in radians, counterclockwise from +x, of an hour of the dial."""
        at = self.place(at_hour(hour, 1.0))
        return math.atan2(at.y, at.x)

    def hour(self, angle: float) -> Hour:
        """The hour of the dial a holder angle looks to: `angle` the other way round."""
        return self.place(Place(math.cos(angle), math.sin(angle))).hour
