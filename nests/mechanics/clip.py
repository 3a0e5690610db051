"""Cantilever snap clip of uniform section.

Source: the slender cantilever beam, with friction and lead angle as in the snap-fit design guides
of the plastics trade. Some print y = ε L²/h for the uniform beam; beam theory has two thirds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Clip:
    """Cantilever of `length`, `thickness` (in bending) and `width`, mm, with `modulus` MPa.

    `friction` against the workpiece; `lead_angle` of the slope met on insertion and `return_angle`
    of the slope met on removal, both in radians from the direction of insertion.
    """

    length: float
    thickness: float
    width: float
    modulus: float
    friction: float
    lead_angle: float
    return_angle: float

    def strain(self, deflection: float) -> float:
        """Strain at the root when the tip is bent aside by `deflection` mm: 3 h y / (2 L²)."""
        return 1.5 * self.thickness * deflection / self.length**2

    def deflection(self, strain: float) -> float:
        """Tip deflection (mm) at which the root reaches `strain`: 2 ε L² / (3 h)."""
        return strain * self.length**2 / (1.5 * self.thickness)

    def bending_force(self, deflection: float) -> float:
        """Force (N) across the tip: b h² E ε / (6 L)."""
        return (
            self.width
            * self.thickness**2
            * self.modulus
            * self.strain(deflection)
            / (6 * self.length)
        )

    def insertion_force(self, deflection: float) -> float:
        """Axial force (N) to push past the clip; inf if the lead angle locks."""
        return self.bending_force(deflection) * ramp_factor(self.friction, self.lead_angle)

    def removal_force(self, deflection: float) -> float:
        """Axial force (N) to pull back out; inf if the return angle locks."""
        return self.bending_force(deflection) * ramp_factor(self.friction, self.return_angle)

    def lets_go(self, overlap: float) -> float:
        """Axial force (N) at which it lets go of a rim it overlaps by so many mm, no friction."""
        return self.bending_force(max(overlap, 0.0)) * ramp_factor(0.0, self.return_angle)

    @property
    def rising_stiffness(self) -> float:
        """What it resists a rising rim with, N/mm, without friction.

        Its leaning hook turns the rise into bending: a rise z bends it aside by z tan(return
        angle), by virtual work.
        """
        aside = self.modulus * self.width * self.thickness**3 / (4 * self.length**3)
        return aside * math.tan(self.return_angle) ** 2

    @property
    def locks(self) -> bool:
        """Whether no axial pull, however strong, frees the workpiece."""
        return math.isinf(ramp_factor(self.friction, self.return_angle))


def ramp_factor(friction: float, angle: float) -> float:
    """Axial over transverse force on a slope: (µ + t)/(1 - µ t), with t the tangent of `angle`.

    inf if self-locking, which begins at µ t = 1. `angle` in radians, from 0 to a right angle.
    """
    slope = math.tan(angle)
    if angle >= math.pi / 2 or friction * slope >= 1.0:
        return math.inf
    return (friction + slope) / (1.0 - friction * slope)
