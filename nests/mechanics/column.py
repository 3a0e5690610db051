"""Columns: sections, Euler's and Johnson's loads, bearing pressure, creep.

Sources: J. M. Gere, *Mechanics of Materials*, chapter on columns (Euler); R. G. Budynas,
J. K. Nisbett, *Shigley's Mechanical Engineering Design*, chapter on columns (Johnson's parabola).
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Section:
    """Round cross-section, solid or hollow; diameters in mm."""

    outer: float
    inner: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a bore wider than the post."""
        if not 0 <= self.inner < self.outer:
            raise ValueError("a section needs 0 <= inner < outer")

    @property
    def area(self) -> float:
        """Area, mm²."""
        return math.pi / 4 * (self.outer**2 - self.inner**2)

    @property
    def second_moment(self) -> float:
        """Second moment of area, mm⁴."""
        return math.pi / 64 * (self.outer**4 - self.inner**4)


@dataclass(frozen=True)
class Segment:
    """One length of a post: `length` mm of `section` with `modulus` MPa."""

    length: float
    section: Section
    modulus: float

    @property
    def compliance(self) -> float:
        """Shortening per force, mm/N."""
        return self.length / (self.section.area * self.modulus)


def long_term(modulus: float, creep_factor: float) -> float:
    """Modulus (MPa) of a load that stays: `creep_factor` = E(long)/E(0), from 0 to 1.

    Raises ValueError outside that range.
    """
    if not 0 < creep_factor <= 1:
        raise ValueError("a creep factor lies between 0 and 1")
    return creep_factor * modulus


def johnson_load(squash: float, euler: float) -> float:
    """Load (N) at which a column fails that yields at `squash` and buckles at `euler` N.

    Johnson's parabola down to where both formulas give half the squash load, Euler below.
    """
    return squash * (1 - squash / (4 * euler)) if euler > squash / 2 else euler


def euler_load(segment: Segment) -> float:
    """Load (N) at which a segment buckles that is fixed at its foot and free at its top."""
    stiffness = segment.modulus * segment.section.second_moment
    return math.pi**2 * stiffness / (2 * segment.length) ** 2


def bearing_pressure(force: float, tip: Section) -> float:
    """Mean pressure (MPa) of `force` (N) on the face of a tip."""
    return force / tip.area
