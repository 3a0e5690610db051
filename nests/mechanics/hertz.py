"""Hertz contact of a ball or a cylinder with a flat: the tip of a post on the workpiece's finish.

Source: K. L. Johnson, *Contact Mechanics*, 1985, chapter 4 and appendix 3.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class HertzContact:
    """`half_width` (mm): radius of the contact circle, or half the width of the contact strip.

    Pressures and stress in MPa; `approach` in mm, None for a cylinder, whose approach depends on
    the bodies behind the contact. The largest shear lies `shear_depth` mm under the surface and
    starts the yielding: its value and depth hold for a Poisson number of 0.3.
    """

    half_width: float
    peak_pressure: float
    mean_pressure: float
    approach: float | None
    shear: float
    shear_depth: float


def contact_modulus(modulus: float, poisson: float, other: float, other_poisson: float) -> float:
    """E* (MPa) of two bodies: 1/E* = (1 - ν₁²)/E₁ + (1 - ν₂²)/E₂."""
    return 1.0 / ((1 - poisson**2) / modulus + (1 - other_poisson**2) / other)


def ball_on_flat(force: float, radius: float, contact_modulus: float) -> HertzContact:
    """Ball of `radius` mm pressed on a flat with `force` N."""
    half_width = (3 * force * radius / (4 * contact_modulus)) ** (1 / 3)
    mean = force / (math.pi * half_width**2)
    return HertzContact(
        half_width, 1.5 * mean, mean, half_width**2 / radius, 0.31 * 1.5 * mean, 0.48 * half_width
    )


def cylinder_on_flat(
    force: float, radius: float, length: float, contact_modulus: float
) -> HertzContact:
    """Cylinder of `radius` lying along `length` mm on a flat, pressed with `force` N in all."""
    half_width = math.sqrt(4 * force * radius / (math.pi * length * contact_modulus))
    peak = 2 * force / (math.pi * half_width * length)
    return HertzContact(half_width, peak, math.pi / 4 * peak, None, 0.30 * peak, 0.78 * half_width)
