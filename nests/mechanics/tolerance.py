"""ISO 286 tolerance classes, and the clearance of a fit as worst case, root sum and probability.

The tables hold nominal sizes above 3 mm up to 80 mm and grades IT5 to IT11. They are tables and not
the standard's formula, which misses them by up to 9 %.

Source: ISO 286-1:2010, tables 1 to 3, as carried by the Python
packages `isofits` and `pressfit` (bands
3-6, 6-10, 18-30, 30-50 and all fundamental deviations) and by public engineering tables of IT
grades (all bands; 10-18 and 50-80 come from these alone). The standard itself was not at hand.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from .arrays import Floats

GRADES = (5, 6, 7, 8, 9, 10, 11)
BANDS = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0)  # mm: above each, up to and including the next
# micrometres: one row per band, one column per grade
TOLERANCES = (
    (5, 8, 12, 18, 30, 48, 75),
    (6, 9, 15, 22, 36, 58, 90),
    (8, 11, 18, 27, 43, 70, 110),
    (9, 13, 21, 33, 52, 84, 130),
    (11, 16, 25, 39, 62, 100, 160),
    (13, 19, 30, 46, 74, 120, 190),
)
# Micrometres between nominal size and the near edge of the tolerance zone. A hole of the letter in
# capitals has the same deviation upwards as the shaft downwards.
DEVIATIONS = {
    "f": (10, 13, 16, 20, 25, 30),
    "g": (4, 5, 6, 7, 9, 10),
    "h": (0, 0, 0, 0, 0, 0),
}

# How many times the rounding of one term may grow in an alternating sum: 1e6 leaves ten digits.
MOST_CANCELLATION = 1e6

Law: TypeAlias = Literal["uniform", "normal"]


@dataclass(frozen=True)
class Limits:
    """Lower and upper limit of size, mm."""

    lower: float
    upper: float


def tolerance(nominal: float, grade: int) -> float:
    """Standard tolerance IT`grade` (mm) at `nominal` mm.

    Raises ValueError outside the table.
    """
    if grade not in GRADES:
        raise ValueError(f"IT{grade} is not in the table; it holds IT5 to IT11")
    return TOLERANCES[_band(nominal)][GRADES.index(grade)] / 1000


def limits(nominal: float, tolerance_class: str) -> Limits:
    """Limits of size of `nominal` in an ISO class such as `H7` (hole) or `g6` (shaft).

    Letters f, g, h, js and F, G, H, JS. The zone of js is ±IT/2 exactly; older tables round its
    odd values of grades 7 to 11 down to the even one. Raises ValueError for any other class.
    """
    match = re.fullmatch(r"(JS|js|[FGHfgh])(\d{1,2})", tolerance_class)
    if match is None:
        raise ValueError(
            f"class {tolerance_class!r} is unknown; known are F, G, H, JS for holes and f, g, h,"
            " js for shafts, with a grade from 5 to 11"
        )
    letter, width = match[1], tolerance(nominal, int(match[2]))
    if letter.lower() == "js":
        return Limits(nominal - width / 2, nominal + width / 2)
    away = DEVIATIONS[letter.lower()][_band(nominal)] / 1000
    if letter.isupper():
        return Limits(nominal + away, nominal + away + width)
    return Limits(nominal - away - width, nominal - away)


def fit_clearance(nominal: float, fit: str) -> Limits:
    """Least and largest clearance (mm, on the ⌀) of a fit such as `H7/g6`: hole, then shaft.

    Raises ValueError for a fit of any other form, for one that may interfere, and off the table.
    """
    hole, bar, shaft = fit.partition("/")
    if not bar or not hole[:1].isupper() or not shaft[:1].islower():
        raise ValueError(f"fit is '{fit}'; the class of a hole and of a shaft is needed: H7/g6")
    bore, pin = limits(nominal, hole), limits(nominal, shaft)
    least = bore.lower - pin.upper
    if least < -1e-9:
        raise ValueError(f"the fit {fit} may interfere by {-1000 * least:.0f} µm at {nominal:g} mm")
    return Limits(least, bore.upper - pin.lower)


def _band(nominal: float) -> int:
    for index, upto in enumerate(BANDS[1:]):
        if BANDS[index] < nominal <= upto:
            return index
    raise ValueError(f"{nominal:g} mm is outside the table; it holds sizes above 3 up to 80 mm")


@dataclass(frozen=True)
class Spread:
    """An uncertain length: `centre` ± `half_width` mm.

    A uniform law lies between these ends and is even there. A normal law has the standard
    deviation half_width/`coverage` and, taken literally, no ends; the worst case cuts it at
    half_width. Coverage 2 is usual for a measuring uncertainty, 3 for a process.
    """

    centre: float
    half_width: float
    law: Law = "uniform"
    coverage: float = 3.0

    def __post_init__(self) -> None:
        """Refuse a negative width."""
        if self.half_width < 0 or self.coverage <= 0:
            raise ValueError("half_width must not be negative, coverage must be positive")

    @classmethod
    def within(cls, limits: Limits, law: Law = "uniform", coverage: float = 3.0) -> Spread:
        """Anything between two limits of size."""
        return cls(
            (limits.lower + limits.upper) / 2, (limits.upper - limits.lower) / 2, law, coverage
        )

    @property
    def deviation(self) -> float:
        """Standard deviation, mm."""
        return self.half_width / (math.sqrt(3) if self.law == "uniform" else self.coverage)

    @property
    def worst(self) -> Limits:
        """Ends of the range."""
        return Limits(self.centre - self.half_width, self.centre + self.half_width)


@dataclass(frozen=True)
class Clearance:
    """Clearance of bore over shaft, mm; negative is interference.

    `worst`: every part at its end. `root_sum_square`: centre ± root of the sum of squared half
    widths. `interference`: probability of a negative clearance. `loose`: probability of more
    clearance than was allowed, None if nothing was said about that.
    """

    centre: float
    worst: Limits
    root_sum_square: Limits
    interference: float
    loose: float | None


def clearance(
    bores: Sequence[Spread], shafts: Sequence[Spread], allowed: float | None = None
) -> Clearance:
    """Clearance when the `bores` add up (size, print bias, …) and the `shafts` are taken off.

    Several contributions to each side are independent of each other: give a scatter or measuring
    uncertainty as a `Spread` about 0. `allowed` is the largest play wanted, mm.
    """
    parts = [*bores, *shafts]
    centre = math.fsum(p.centre for p in bores) - math.fsum(p.centre for p in shafts)
    width = math.fsum(p.half_width for p in parts)
    root = math.sqrt(math.fsum(p.half_width**2 for p in parts))
    below = probability_below([0.0 if allowed is None else allowed, 0.0], parts, centre)
    return Clearance(
        centre,
        Limits(centre - width, centre + width),
        Limits(centre - root, centre + root),
        float(below[1]),
        None if allowed is None else float(1.0 - below[0]),
    )


def probability_below(values: ArrayLike, parts: Sequence[Spread], centre: float) -> Floats:
    """Probability that centre + Σ(deviation of each part from its own centre) is below `values`.

    Exact: the convolution of k uniform laws is piecewise a polynomial of degree k, a sum over the
    2^k corners of their box of truncated powers; with normal laws of total deviation s the power
    x₊^k becomes its mean under that scatter. Very narrow uniform laws would drown in the rounding
    of that alternating sum; they are averaged over by Gauss-Legendre quadrature instead. Error
    below 1e-9, with such narrow laws 1e-5 right at a kink of the others.
    """
    at = np.asarray(values, dtype=np.float64) - centre
    normal = math.sqrt(math.fsum(p.deviation**2 for p in parts if p.law == "normal"))
    widths = [p.half_width for p in parts if p.law == "uniform" and p.half_width > 0]
    scale = max([normal, *widths], default=0.0)
    if scale == 0.0:
        return np.asarray(np.where(at > 0, 1.0, 0.0))
    wide, narrow = _by_rounding(sorted((w / scale for w in widths), reverse=True))
    node, weight = np.polynomial.legendre.leggauss(7 if len(narrow) < 4 else 3)
    # nothing is left of either tail so far out, and an infinite value would breed nan
    far = 40.0 * normal + math.fsum(widths)
    at, chance = (np.clip(at, -far, far) / scale)[..., None], np.ones(1)
    for width in narrow:
        at = (at[..., None] - width * node).reshape(*at.shape[:-1], -1)
        chance = np.outer(chance, weight / 2).ravel()
    below = _corners(at, np.array(wide), normal / scale) @ chance
    return np.asarray(np.clip(below, 0.0, 1.0))


def _by_rounding(widths: Sequence[float]) -> tuple[list[float], list[float]]:
    """Widths, widest first, parted in those whose alternating sum is safe and those left.

    The sum's terms reach (Σ w)^k / (k! Π 2w), and so many times the rounding is its error.
    """
    wide: list[float] = []
    narrow: list[float] = []
    for width in widths:
        trial = [*wide, width]
        size = math.fsum(trial) ** len(trial) / math.factorial(len(trial)) / math.prod(trial)
        (wide if size < MOST_CANCELLATION * 2.0 ** len(trial) else narrow).append(width)
    return wide, narrow


def _corners(at: Floats, widths: Floats, deviation: float) -> Floats:
    """Distribution function of a sum of uniform laws on ±widths and one normal law."""
    k = len(widths)
    if k == 0:
        return _normal(at / deviation)
    signs = np.array(list(product((1.0, -1.0), repeat=k)))
    # a sum far above its range would cancel large powers; mirror so that every argument is small
    upper = at > 0
    shifted = np.where(upper, -at, at)[..., None] + signs @ widths
    terms = _mean_power(shifted, k, deviation) * signs.prod(axis=1)
    below = terms.sum(axis=-1) / np.prod(2 * widths)
    return np.asarray(np.where(upper, 1.0 - below, below))


def _mean_power(x: Floats, k: int, deviation: float) -> Floats:
    """Mean of max(x + deviation·Z, 0)^k / k! for a standard normal Z.

    By the recursion of the repeated integrals of the normal law (Abramowitz and Stegun,
    *Handbook of Mathematical Functions*, 7.2.5).
    """
    if deviation == 0.0:
        return np.asarray(np.maximum(x, 0.0) ** k / math.factorial(k))
    ratio = x / deviation
    last = np.exp(-0.5 * ratio**2) / math.sqrt(2 * math.pi) / deviation
    this = _normal(ratio)
    for order in range(1, k + 1):
        last, this = this, (x * this + deviation**2 * last) / order
    return this


def _normal(x: Floats) -> Floats:
    """Distribution function of the standard normal law."""
    from scipy.special import ndtr  # 0.1 s, and a fit of uniform laws alone needs none

    return np.asarray(ndtr(x))
