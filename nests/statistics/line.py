"""A straight line by least squares, with what its coefficients are known to.

Source: JCGM 100:2008, *Guide to the expression of uncertainty in measurement*, H.3 and G.3; the
distance of a point from the line of all others is the externally studentized residual of Cook and
Weisberg, *Residuals and Influence in Regression* (1982), 2.2.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from nests.units import BadInput

LEVEL = 0.95
"""Share of cases that a stated interval holds; JCGM 100:2008, 6.2.2."""
DOUBTFUL = 0.01
"""Chance, for all points of a line together, at which a true point would be called an outlier;
common practice, no source."""


@dataclass(frozen=True)
class Line:
    """y = `intercept` + `slope`·x, with the covariance of both.

    `residual_sd` is the standard deviation of one y of weight 1 about the line, with `freedom`
    degrees of freedom. `x`, `y` are the points, `residuals` y less the line, `studentized` the same
    in standard deviations as each is judged by the line of all others.
    """

    intercept: float
    slope: float
    covariance: NDArray[np.float64]
    residual_sd: float
    freedom: int
    x: NDArray[np.float64]
    y: NDArray[np.float64]
    residuals: NDArray[np.float64]
    studentized: NDArray[np.float64]

    @property
    def intercept_sd(self) -> float:
        """Standard uncertainty of the intercept."""
        return math.sqrt(float(self.covariance[0, 0]))

    @property
    def slope_sd(self) -> float:
        """Standard uncertainty of the slope."""
        return math.sqrt(float(self.covariance[1, 1]))

    @property
    def correlation(self) -> float:
        """Correlation of intercept and slope."""
        spread = self.intercept_sd * self.slope_sd
        return float(self.covariance[0, 1]) / spread if spread else 0.0

    @property
    def coverage(self) -> float:
        """By what a standard uncertainty is multiplied to hold `LEVEL`."""
        return coverage_factor(self.freedom)

    def at(self, x: float) -> float:
        """The line at x."""
        return self.intercept + self.slope * x

    def at_sd(self, x: float) -> float:
        """Standard uncertainty of the line at x, of intercept and slope together."""
        row = np.array((1.0, x))
        return math.sqrt(max(float(row @ self.covariance @ row), 0.0))

    def outliers(self, chance: float = DOUBTFUL) -> tuple[int, ...]:
        """Which points do not go with the others, farthest off first. They stay in the line.

        A true point is called so with a chance of `chance` at most for all points together
        (Bonferroni).
        """
        if self.freedom < 2:
            return ()
        limit = t_quantile(1.0 - chance / 2 / len(self.x), self.freedom - 1)
        far = np.abs(self.studentized)
        return tuple(int(k) for k in np.argsort(-far, kind="stable") if far[k] > limit)


def straight_line(x: ArrayLike, y: ArrayLike, weights: ArrayLike | None = None) -> Line:
    """The line through points by least squares; of weight 1 each, or as given.

    A weight is in proportion to one over the variance of its y. Raises `BadInput` for fewer than
    three points, lengths that differ, what is not finite, weights that are not positive, and where
    all x are one.
    """
    xs, ys = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    ws = np.ones_like(xs) if weights is None else np.asarray(weights, dtype=np.float64)
    if xs.ndim != 1 or xs.shape != ys.shape or xs.shape != ws.shape:
        raise BadInput("a line needs as many x as y and as many weights, in one row each.")
    if len(xs) < 3:
        raise BadInput(f"a line with its uncertainty needs 3 points or more; there are {len(xs)}.")
    if not (np.isfinite(xs).all() and np.isfinite(ys).all() and np.isfinite(ws).all()):
        raise BadInput("every point of a line and every weight must be a finite number.")
    if not (ws > 0.0).all():
        raise BadInput("every weight of a line must be greater than 0.")
    total = math.fsum(ws)
    # about the weighted middle nothing cancels; math.fsum keeps the certified digits of Norris
    x0, y0 = math.fsum(ws * xs) / total, math.fsum(ws * ys) / total
    dx, dy = xs - x0, ys - y0
    across = math.fsum(ws * dx * dx)
    if across <= 0.0:
        raise BadInput(f"all points of the line stand at x = {xs[0]:g}; two places are needed.")
    slope = math.fsum(ws * dx * dy) / across
    intercept = y0 - slope * x0
    residuals = dy - slope * dx
    freedom = len(xs) - 2
    squares = math.fsum(ws * residuals * residuals)
    variance = squares / freedom
    cross = -x0 / across
    covariance = variance * np.array(((1.0 / total + x0 * x0 / across, cross), (cross, 1 / across)))
    hat = ws * (1.0 / total + dx * dx / across)
    return Line(
        intercept, slope, covariance, math.sqrt(variance), freedom, xs, ys, residuals,
        _studentized(residuals * np.sqrt(ws), np.minimum(hat, 1.0), squares, freedom),
    )  # fmt: skip


def _studentized(
    off: NDArray[np.float64], hat: NDArray[np.float64], squares: float, freedom: int
) -> NDArray[np.float64]:
    """Each residual over its own standard deviation, both from the line of all other points."""
    if freedom < 2:
        return np.zeros_like(off)
    free = np.maximum(1.0 - hat, 1e-12)
    without = np.maximum(squares - off * off / free, 0.0) / (freedom - 1)
    spread = np.sqrt(without * free)
    exact = np.where(np.abs(off) <= 1e-12, 0.0, np.copysign(np.inf, off))
    return np.where(spread > 0.0, off / np.where(spread > 0.0, spread, 1.0), exact)


def coverage_factor(freedom: int, level: float = LEVEL) -> float:
    """By what a standard uncertainty with so many degrees of freedom is multiplied to hold `level`:
    Student's t (JCGM 100:2008, G.3.2)."""
    return t_quantile((1.0 + level) / 2, freedom)


def t_quantile(share: float, freedom: int) -> float:
    """Student's t that a share of cases lies below. Raises `BadInput` without freedom."""
    if freedom < 1:
        raise BadInput(f"degrees of freedom are {freedom}; 1 or more are needed.")
    from scipy.special import stdtrit

    return float(stdtrit(freedom, share))


def f_exceeded(ratio: float, above: int, below: int) -> float:
    """Chance that a ratio of two variances is greater than `ratio` by scatter alone (Fisher's F
    with `above` and `below` degrees of freedom)."""
    from scipy.special import fdtrc

    return float(fdtrc(above, below, max(ratio, 0.0)))


def mean_and_sd(values: Sequence[float]) -> tuple[float, float]:
    """Mean, and standard deviation of one value; 0 for a single one."""
    mean = math.fsum(values) / len(values)
    if len(values) < 2:
        return mean, 0.0
    return mean, math.sqrt(math.fsum((v - mean) ** 2 for v in values) / (len(values) - 1))
