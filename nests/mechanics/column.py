"""Stake post as a column: stiffness, buckling, bearing pressure, creep.

Sources: J. M. Gere, *Mechanics of Materials*, chapter on columns (Euler); R. G. Budynas,
J. K. Nisbett, *Shigley's Mechanical Engineering Design*, chapter on columns (Johnson's parabola);
K. L. Johnson, *Contact Mechanics*, 1985, section 3.4 (rigid punch on a half-space); E. Kausel's
fit for a layer, in G. Gazetas, *Analysis of machine foundation vibrations: state of the art*, Soil
Dynamics and Earthquake Engineering 2 (1983), circular foundation on a stratum; from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
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
    """One length of a post: `length` mm of `section` with `modulus` MPa.

    `even` is the share of the section that would shorten alike, were the force spread evenly in it.
    """

    length: float
    section: Section
    modulus: float
    even: float = 1.0

    @property
    def compliance(self) -> float:
        """Shortening per force, mm/N."""
        return self.length / (self.even * self.section.area * self.modulus)


def frustum(length: float, narrow: float, wide: float, modulus: float, bore: float) -> Segment:
    """A frustum between two ⌀, with a bore or solid (0), as a cylinder of their geometric mean.

    By plane sections it shortens as that. In a solid one the force spreads from the narrow end
    along rays, and the corners lag: taken as even over spherical caps about the apex, which have
    2 (1 - cos α)/tan²α of the area of a disc, α half the cone's angle. That is within 1 % of solid
    elements at tan α = 0.5 (tests/outside/test_solid_elements.py).
    """
    cosine = math.cos(math.atan2(wide - narrow, 2 * length))
    even = 2 * cosine**2 / (1 + cosine) if bore == 0.0 else 1.0
    return Segment(length, Section(math.sqrt(narrow * wide), bore), modulus, even)


def series_stiffness(segments: Sequence[Segment], *, more_compliance: float = 0.0) -> float:
    """Stiffness (N/mm) of segments on top of each other (column, tip, inserted pin).

    `more_compliance` (mm/N) is what lies beneath, such as `foot_compliance`.
    """
    return 1.0 / (sum(segment.compliance for segment in segments) + more_compliance)


def foot_compliance(
    diameter: float, modulus: float, poisson: float, floor: float = math.inf
) -> float:
    """Sinking per force (mm/N) of a stiff round foot on a floor of that thickness on a rigid bench.

    On a thick one (1 - ν²)/(E·d); on a thinner one less, by 1 + 1.28 (d/2)/floor: a fit that its
    author gives for d <= floor. With it posts of d = 1.75 floor, too, are within 4 % of solid
    elements (tests/outside/test_solid_elements.py).
    """
    return (1 - poisson**2) / (modulus * diameter) / (1 + 0.64 * diameter / floor)


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


def stepped_euler_load(segments: Sequence[Segment]) -> float:
    """Euler's load (N) of segments on top of each other, fixed at the foot, free at the top.

    Never more than it really is, and exact for one segment: in turn each bends while all others are
    rigid, and the reciprocals of what they hold so add up (Papkovich's theorem; T. Tarnai (ed.),
    *Summation Theorems in Structural Stability*, 1995).
    """
    above, yields = 0.0, 0.0
    for each in reversed(segments):
        turn = _turn_under_a_rigid_end(above / each.length)
        stiffness = each.modulus * each.section.second_moment
        yields += (each.length / turn) ** 2 / stiffness
        above += each.length
    return 1.0 / yields


def _turn_under_a_rigid_end(above: float) -> float:
    """k L of a cantilever with a rigid end `above` times as long: the root of above·x·tan x = 1."""
    low, high = 0.0, math.pi / 2
    for _ in range(60):
        middle = (low + high) / 2
        if above * middle * math.sin(middle) < math.cos(middle):
            low = middle
        else:
            high = middle
    return high


def bearing_pressure(force: float, tip: Section) -> float:
    """Mean pressure (MPa) of `force` (N) on the face of a tip."""
    return force / tip.area
