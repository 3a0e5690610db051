"""Readings brought together: least squares, what is left over, and which reading does not fit.

Every reading is a number with a standard deviation and a rule that says what it ought to be. Of all
unknowns together those are taken at which the squares of what is left over, each by its deviation,
come to the least sum; their covariance is the inverse of the normal matrix (JCGM 102:2011; any
textbook of adjustment). What is left of a reading is divided by its own deviation, which is the
smaller the less the others check it: the normalised residual. Beyond 3.29, which one sound reading
in a thousand passes, it is pointed out (W. Baarda, A Testing Procedure for Use in Geodetic
Networks, 1968; cited from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from nests.units import BadInput, Length

Vector: TypeAlias = NDArray[np.float64]

LIMIT = 3.29
"""Normalised residual that a sound reading passes once in a thousand times (both tails)."""
STATED = 1.96
"""Standard deviations in a stated ±, which holds 95 % of a normal law (JCGM 100:2008, G.1)."""
STATED_PLANE = math.sqrt(-2.0 * math.log(0.05))
"""The same in the plane, for a place: the root of the 95 % quantile of chi² with two degrees."""
UNCHECKED = 1e-6
"""Share of a reading that the others check from which it counts as not checked at all."""
FLAT = 1e-9
"""Least curvature, each unknown in its own measure, from which nothing holds one of them."""
ALIKE = 1e-3
"""Share by which two normalised residuals differ and still point at neither of the two."""


@dataclass(frozen=True)
class Reading:
    """A number that was read: how it was written, its standard deviation, what it ought to be."""

    says: str
    value: Length
    deviation: Length
    ought: Callable[[Vector], float]


@dataclass(frozen=True)
class Left:
    """What is left over of a reading: mm, and by its own deviation; 0 where nothing checks it."""

    says: str
    residual: Length
    normalised: float


@dataclass(frozen=True)
class Balanced:
    """The unknowns, their covariance, and what is left of each reading, in order."""

    values: Vector
    covariance: Vector
    left: tuple[Left, ...]
    squares: float
    """Sum of the squares, each by its deviation."""


def misfit(left: Sequence[Left]) -> tuple[Left, ...]:
    """The reading that does not fit; several where they cannot be told apart; none if all do.

    Where one reading more was taken than needed, every one of them has the same residual.
    """
    worst = max((abs(each.normalised) for each in left), default=0.0)
    if worst <= LIMIT:
        return ()
    return tuple(e for e in left if abs(e.normalised) >= worst * (1.0 - ALIKE))


def balanced(start: Sequence[float], readings: Sequence[Reading]) -> Balanced:
    """The unknowns that suit the readings best, searched for from `start`, in mm.

    Raises `BadInput` where the readings leave an unknown free.
    """
    from scipy.optimize import least_squares

    value = np.array([each.value for each in readings])
    weight = 1.0 / np.array([each.deviation for each in readings])

    def over(unknown: Vector) -> Vector:
        ought = np.array([each.ought(unknown) for each in readings])
        return np.asarray((value - ought) * weight, dtype=np.float64)

    if len(readings) < len(start):
        raise BadInput("the readings are fewer than what they are to fix.")
    found = least_squares(over, np.asarray(start, dtype=np.float64), jac="3-point", xtol=1e-12,
                          ftol=1e-12, gtol=1e-12, x_scale=1.0, max_nfev=200)  # fmt: skip
    slope = np.asarray(found.jac)
    normal = slope.T @ slope
    size = np.sqrt(np.diag(normal))
    if not size.all() or np.linalg.eigvalsh(normal / np.outer(size, size))[0] <= FLAT:
        raise BadInput("the readings lie in one line with what they are to fix and do not fix it.")
    covariance = np.linalg.inv(normal)
    checked = 1.0 - np.einsum("ij,jk,ik->i", slope, covariance, slope)
    left = tuple(
        Left(
            each.says, float(r * each.deviation), float(r / math.sqrt(c)) if c > UNCHECKED else 0.0
        )
        for each, r, c in zip(readings, found.fun, checked, strict=True)
    )
    return Balanced(found.x, covariance, left, float(found.fun @ found.fun))


def doubt(covariance: Vector) -> Length:
    """± mm within which a place lies in 95 % at least, whatever the direction: the long half-axis
    of its ellipse."""
    return STATED_PLANE * math.sqrt(float(np.linalg.eigvalsh(covariance)[-1]))
