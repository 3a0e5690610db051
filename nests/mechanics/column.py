"""Stake post as a column: stiffness, buckling, bearing pressure, creep.

Sources: J. M. Gere, *Mechanics of Materials*, chapter on columns (Euler); R. G. Budynas,
J. K. Nisbett, *Shigley's Mechanical Engineering Design*, chapter on columns (Johnson's parabola);
K. L. Johnson, *Contact Mechanics*, 1985, section 3.4 (rigid punch on a half-space).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

Ends: TypeAlias = Literal["pinned-pinned", "fixed-free", "fixed-pinned", "fixed-fixed"]

# Effective length as a share of the length; 0.699 is the root of tan u = u over pi.
EFFECTIVE_LENGTH: dict[Ends, float] = {
    "pinned-pinned": 1.0,
    "fixed-free": 2.0,
    "fixed-pinned": math.pi / 4.493409457909064,
    "fixed-fixed": 0.5,
}


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

    @property
    def gyration(self) -> float:
        """Radius of gyration, mm."""
        return math.sqrt(self.second_moment / self.area)


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


def series_stiffness(segments: Sequence[Segment], *, more_compliance: float = 0.0) -> float:
    """Stiffness (N/mm) of segments on top of each other (column, tip, inserted pin).

    `more_compliance` (mm/N) is what lies beneath, such as `foot_compliance`.
    """
    return 1.0 / (sum(segment.compliance for segment in segments) + more_compliance)


def foot_compliance(diameter: float, modulus: float, poisson: float) -> float:
    """Sinking per force (mm/N) of a stiff round foot on a thick floor: (1 - ν²)/(E·d)."""
    return (1 - poisson**2) / (modulus * diameter)


def long_term(modulus: float, creep_factor: float) -> float:
    """Modulus (MPa) of a load that stays: `creep_factor` = E(long)/E(0), from 0 to 1.

    Raises ValueError outside that range.
    """
    if not 0 < creep_factor <= 1:
        raise ValueError("a creep factor lies between 0 and 1")
    return creep_factor * modulus


def euler_load(length: float, section: Section, modulus: float, ends: Ends) -> float:
    """Euler's critical load (N): π² E I / (K L)²."""
    return math.pi**2 * modulus * section.second_moment / (EFFECTIVE_LENGTH[ends] * length) ** 2


def switch_slenderness(modulus: float, yield_strength: float) -> float:
    """Slenderness K L / k above which Euler's load counts and below which Johnson's does.

    There both give half the yield strength S: √(2 π² E / S).
    """
    return math.pi * math.sqrt(2 * modulus / yield_strength)


def critical_load(
    length: float, section: Section, modulus: float, yield_strength: float, ends: Ends
) -> float:
    """Load (N) at which a centrally loaded post fails: Johnson's parabola if stocky, else Euler."""
    slenderness = EFFECTIVE_LENGTH[ends] * length / section.gyration
    if slenderness >= switch_slenderness(modulus, yield_strength):
        return euler_load(length, section, modulus, ends)
    drop = yield_strength * slenderness**2 / (4 * math.pi**2 * modulus)
    return section.area * yield_strength * (1 - drop)


def bearing_pressure(force: float, tip: Section) -> float:
    """Mean pressure (MPa) of `force` (N) on the face of a tip."""
    return force / tip.area
