"""How a press divides between a jewel's friction fit and the post under the jewel.

A press of force F on an arbor goes through the pivot shoulder into the jewel. From there it has two
ways: through the friction fit of the jewel into the plate, at most `push_out` newtons in either
direction; or straight into a post that touches the jewel from below. While the fit holds, jewel and
plate move as one, and the post is a support of the plate at that place. When it slips, the fit
passes on `push_out`, the post takes the rest, and the jewel slides in its hole until the post has
caught it:

    slide = gap + shortening of the post - deflection of the plate there.

This slide is the change of endshake. Without a post nothing catches the jewel: the slide is inf.
The press is taken to grow from nothing and never to fall back on its way.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from .arrays import Floats
from .carried import CarriedPlate
from .contact import sweep_contact
from .tolerance import Spread, probability_below

REMEMBERED = 64
"""Cases of a pressed jewel whose load paths are kept."""


@dataclass(frozen=True)
class JewelPost:
    """Post right under a jewel: `gap` mm (negative: proud) and `stiffness` N/mm (inf: rigid)."""

    gap: float
    stiffness: float = math.inf


@dataclass(frozen=True)
class JewelLoadPath:
    """Where a press on a jewel goes; forces in N, lengths in mm.

    `fit_force` runs from jewel to plate through the friction fit, negative if a proud post pushes
    the plate up; `share` is its size over the push-out force; `post` is the force on the post under
    the jewel; `others` on everything else that carries the plate, by label; `deflection` is that of
    the plate at the jewel; `slide` that of the jewel in the plate, 0 if it holds, inf if nothing
    stops it. `tips`: the plate finds no balance, and all numbers are nan.
    """

    press: float
    fit_force: float
    share: float
    post: float
    others: dict[str, float]
    deflection: float
    slide: float
    tips: bool

    @property
    def slides(self) -> bool:
        """Whether the jewel moves in its hole."""
        return self.slide != 0.0 and not self.tips


@dataclass(frozen=True, eq=False)
class JewelPaths:
    """Load paths of k cases as arrays (k,), meaning as in `JewelLoadPath`; `others` (k, n)."""

    fit_force: Floats
    post: Floats
    others: Floats
    deflection: Floats
    slide: Floats


@dataclass(frozen=True, eq=False)
class PressedJewel:
    """A jewel of a carried plate, prepared for pressing.

    `push_out` N. `column` (n,) is the deflection of the other supports per newton at the jewel,
    `own` the deflection of the jewel's place per newton there.
    """

    carried: CarriedPlate
    place: Floats
    push_out: float
    column: Floats
    own: float
    _loaded: dict[float, float] = field(default_factory=dict, repr=False)
    _asked: dict[tuple[object, ...], JewelPaths] = field(default_factory=dict, repr=False)

    def path(self, press: float, post: JewelPost | None) -> JewelLoadPath:
        """Load path of one press (N, downwards). Raises as `contact.solve_contact`."""
        gaps = self.carried.supports.gaps[None]
        one = self.paths(
            press,
            None if post is None else np.array([post.gap]),
            math.inf if post is None else post.stiffness,
            gaps,
        )
        labels = np.array(self.carried.supports.labels)
        others = {
            str(label): float(one.others[0, labels == label].sum()) for label in np.unique(labels)
        }
        fit_force = float(one.fit_force[0])
        return JewelLoadPath(
            press,
            fit_force,
            abs(fit_force) / self.push_out,
            float(one.post[0]),
            others,
            float(one.deflection[0]),
            float(one.slide[0]),
            math.isnan(fit_force),
        )

    def paths(
        self, press: float, post_gaps: Floats | None, stiffness: float, gaps: Floats
    ) -> JewelPaths:
        """Load paths for many sets of gaps at once.

        `post_gaps` (k,) under the jewel, None without a post of that `stiffness`; `gaps` (k, n) of
        the other supports, or (1, n) for all. What was asked lately is remembered, as a family asks
        for the same posts beside others; the arrays cannot be written to.
        """
        key = (press, None if post_gaps is None else post_gaps.tobytes(), stiffness, gaps.tobytes())
        if key not in self._asked:
            while len(self._asked) >= REMEMBERED:
                self._asked.pop(next(iter(self._asked)), None)
            found = self._asked[key] = self._paths(press, post_gaps, stiffness, gaps)
            for each in (found.fit_force, found.post, found.others, found.deflection, found.slide):
                each.setflags(write=False)
        return self._asked[key]

    def _paths(
        self, press: float, post_gaps: Floats | None, stiffness: float, gaps: Floats
    ) -> JewelPaths:
        cases = len(gaps) if post_gaps is None else len(post_gaps)
        gaps = np.broadcast_to(gaps, (cases, gaps.shape[1]))
        if post_gaps is None:
            others, deflection = self._without_post(np.full(cases, press), gaps)
            push = np.where(np.isnan(deflection), np.nan, 0.0)
        else:
            others, deflection, push = self._with_post(press, post_gaps, 1.0 / stiffness, gaps)
        fit_force = np.where(np.isnan(deflection), np.nan, press - push)
        slide = np.where(np.isnan(deflection), np.nan, 0.0)
        slips = np.abs(fit_force) > self.push_out
        if slips.any():
            passed = np.sign(fit_force[slips]) * self.push_out
            others[slips], deflection[slips] = self._without_post(passed, gaps[slips])
            fit_force[slips] = passed
            if post_gaps is None:
                slide[slips] = math.inf
            else:
                push[slips] = press - passed
                slide[slips] = post_gaps[slips] + push[slips] / stiffness - deflection[slips]
        return JewelPaths(fit_force, push, others, deflection, slide)

    def gap_at(self, press: float, stiffness: float, fit_force: float, slide: float = 0.0) -> float:
        """Gap (mm) under the jewel at which the fit carries `fit_force` after a `slide`.

        The load path read backwards: it gives the height and tolerance of a post from what the fit
        may carry. nan where nothing holds the plate against that force (a loose plate pushed up).
        """
        return slide + self._deflection(fit_force) - (press - fit_force) / stiffness

    def _deflection(self, force: float) -> float:
        """Deflection with `force` on the plate there, remembered: it is asked anew for every post
        that is tried under the jewel."""
        if force not in self._loaded:
            gaps = self.carried.supports.gaps[None]
            self._loaded[force] = float(self._without_post(np.array([force]), gaps)[1][0])
        return self._loaded[force]

    def _without_post(self, forces: Floats, gaps: Floats) -> tuple[Floats, Floats]:
        """Other reactions (k, n) and deflection (k,) with `forces` (k,) on the plate there."""
        carried = self.carried
        at_jewel = self._modes()
        reactions, rigid = sweep_contact(
            carried.compliance,
            carried.modes,
            gaps - forces[:, None] * self.column,
            forces[:, None] * at_jewel,
        )
        return reactions, self.own * forces - reactions @ self.column + rigid @ at_jewel

    def _with_post(
        self, press: float, post_gaps: Floats, compliance: float, gaps: Floats
    ) -> tuple[Floats, Floats, Floats]:
        """As `_without_post` while the fit holds, and the force on the post (k,)."""
        carried, at_jewel = self.carried, self._modes()
        matrix = np.block(
            [
                [carried.compliance, self.column[:, None]],
                [self.column[None], np.array([[self.own + compliance]])],
            ]
        )
        modes = np.concatenate([carried.modes, at_jewel[None]])
        shift = np.column_stack([gaps - press * self.column, post_gaps - press * self.own])
        reactions, rigid = sweep_contact(matrix, modes, shift, press * at_jewel)
        others, push = reactions[:, :-1], reactions[:, -1].copy()
        deflection = self.own * (press - push) - others @ self.column + rigid @ at_jewel
        return others, deflection, push

    def _modes(self) -> Floats:
        return np.asarray(self.carried.factored.rigid_modes(self.place)[0])


def pressed_jewel(carried: CarriedPlate, place: ArrayLike, push_out: float) -> PressedJewel:
    """Prepare the jewel at `place` of a carried plate; `push_out` is its push-out force, N.

    `carried` holds every support but the post under this jewel. Raises ValueError if `push_out` is
    not positive or the place lies off the plate.
    """
    if push_out <= 0:
        raise ValueError("the push-out force must be positive")
    point = np.asarray(place, dtype=np.float64)
    sampled = carried.factored.sampling(point)[:, 0]
    column = carried.response.T @ sampled
    own = float(sampled @ carried.factored.solve(sampled))
    return PressedJewel(carried, point, push_out, column, own)


@dataclass(frozen=True)
class JewelSpread:
    """Load path of a press over the spread of the gaps.

    `worst_fit_force`: largest size of the force through the fit (N); `worst_slide`: largest slide
    either way (mm). Probabilities: `slides` that the jewel moves at all, `over_share` and
    `over_slide` that share or slide exceed what was allowed. `samples` is 0 where they are exact.
    """

    worst_fit_force: float
    worst_slide: float
    slides: float
    over_share: float
    over_slide: float
    samples: int


def jewel_spread(
    jewel: PressedJewel,
    press: float,
    stiffness: float,
    gap: Spread | Sequence[Spread],
    *,
    allowed_share: float = 1.0,
    allowed_slide: float = 0.0,
) -> JewelSpread:
    """Spread if only the gap under the jewel is uncertain: exact, by the law of the gap.

    `gap` may be a sum of independent contributions.

    The more gap, the less the post carries: force through the fit and slide never fall as the gap
    grows. So each event is that of the gap lying beyond a threshold (`PressedJewel.gap_at`), and
    the worst cases are at the ends. All nan if the plate tips.
    """

    parts = [gap] if isinstance(gap, Spread) else list(gap)
    centre = math.fsum(part.centre for part in parts)
    width = math.fsum(part.half_width for part in parts)

    def outside(fit_force: float, slide: float) -> float:
        # Either way: down if the gap is large, up if the post is proud. The fit never carries more
        # than the whole press down, and nothing on a plate that simply tips down or lifts off.
        down = jewel.gap_at(press, stiffness, fit_force, slide) if fit_force < press else math.inf
        up = jewel.gap_at(press, stiffness, -fit_force, -slide)
        limits = [math.inf if math.isnan(down) else down, -math.inf if math.isnan(up) else up]
        below = probability_below(limits, parts, centre)
        return float(1.0 - below[0] + below[1])

    ends = np.array([centre - width, centre + width])
    worst = jewel.paths(press, ends, stiffness, jewel.carried.supports.gaps[None])
    if np.isnan(worst.fit_force).any():
        return JewelSpread(*(math.nan,) * 5, samples=0)
    share = min(allowed_share, 1.0) * jewel.push_out
    slides = outside(jewel.push_out, 0.0)
    return JewelSpread(
        float(np.abs(worst.fit_force).max()),
        float(np.abs(worst.slide).max()),
        slides,
        outside(share, 0.0) if allowed_share <= 1 else 0.0,
        outside(jewel.push_out, allowed_slide),
        0,
    )
