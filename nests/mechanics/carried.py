"""A plate on one-sided supports: which carry, how much, and how the plate lies.

`carry` prepares a plate and its supports once; `CarriedPlate.press` answers any number of loads.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from .arrays import Flags, Floats
from .contact import Contact, solve_contact
from .plate import FactoredPlate, Load, Plate


@dataclass(frozen=True, eq=False)
class Supports:
    """One-sided supports of a plate.

    `places` (n, 2) mm; `gaps` (n,) mm from plate to support before loading, negative where the
    support stands proud; `compliances` (n,) mm/N, 0 for rigid; `labels` (n,) what they belong to;
    `above` (n,) true for a clip or clamp, which presses down from above.
    """

    places: Floats
    gaps: Floats
    compliances: Floats
    labels: tuple[str, ...]
    above: Flags

    def __add__(self, other: Supports) -> Supports:
        """Both sets together."""
        return Supports(
            np.concatenate([self.places, other.places]),
            np.concatenate([self.gaps, other.gaps]),
            np.concatenate([self.compliances, other.compliances]),
            self.labels + other.labels,
            np.concatenate([self.above, other.above]),
        )


def posts(
    places: ArrayLike,
    stiffness: float = math.inf,
    gap: float | Sequence[float] = 0.0,
    label: str = "post",
    *,
    above: bool = False,
) -> Supports:
    """Supports at single points (n, 2) of `stiffness` N/mm each, inf for rigid.

    Raises ValueError if the stiffness is not positive.
    """
    points = np.atleast_2d(np.asarray(places, dtype=np.float64))
    count = len(points)
    if not stiffness > 0:
        raise ValueError("the stiffness of a support must be positive")
    return Supports(
        points,
        np.broadcast_to(np.asarray(gap, dtype=np.float64), (count,)).copy(),
        np.full(count, 1.0 / stiffness),
        (label,) * count,
        np.full(count, above),
    )


def seat(
    line: ArrayLike,
    count: int,
    foundation: float = math.inf,
    gap: float = 0.0,
    label: str = "seat",
) -> Supports:
    """Continuous seat along the closed `line` (k, 2) as `count` springs, evenly spaced.

    `foundation` is its stiffness per length (N/mm per mm), inf for rigid. On a round rim 32 springs
    give the centre deflection of a continuous line within 0.02 %, 16 within 0.2 %.
    """
    points = np.asarray(line, dtype=np.float64)
    closed = np.concatenate([points, points[:1]])
    travelled = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    at = np.arange(count) * (travelled[-1] / count)
    places = np.column_stack([np.interp(at, travelled, closed[:, axis]) for axis in (0, 1)])
    return posts(places, foundation * travelled[-1] / count, gap, label)


@dataclass(frozen=True, eq=False)
class CarriedPlate:
    """A plate with its supports, ready for any number of loads.

    `sampling` (n_dofs, n) and `response` (n_dofs, n): deflection at, and due to 1 N on, each
    support; `compliance` (n, n) and `modes` (n, r) as `solve_contact` takes them.
    """

    factored: FactoredPlate
    supports: Supports
    sampling: Floats
    response: Floats
    compliance: Floats
    modes: Floats

    def press(self, load: Load) -> PressedPlate:
        """Answer to one load. Raises as `solve_contact`."""
        bent = self.factored.solve(load.work)
        contact = solve_contact(
            self.compliance,
            self.modes,
            self.supports.gaps - self.sampling.T @ bent,
            load.resultant[: self.modes.shape[1]],
        )
        return PressedPlate(self, contact, bent - self.response @ contact.reaction)

    def on(self, supports: Supports) -> CarriedPlate:
        """The same plate on `supports` of other gaps and compliances at the same places."""
        own = self.compliance - np.diag(self.supports.compliances)
        return replace(self, supports=supports, compliance=own + np.diag(supports.compliances))

    def only(self, kept: Flags) -> CarriedPlate:
        """The same plate on those of its supports that are `kept` (n,)."""
        old = self.supports
        labels = tuple(label for label, keep in zip(old.labels, kept, strict=True) if keep)
        supports = Supports(
            old.places[kept], old.gaps[kept], old.compliances[kept], labels, old.above[kept]
        )
        return CarriedPlate(
            self.factored,
            supports,
            self.sampling[:, kept],
            self.response[:, kept],
            self.compliance[np.ix_(kept, kept)],
            self.modes[kept],
        )


def carry(plate: Plate, supports: Supports) -> CarriedPlate:
    """Prepare `plate` on `supports`: one solution per support, kept for all load cases.

    A support from above is one whose deflection and movement count in the other direction.
    """
    factored = plate.factor
    sense = np.where(supports.above, -1.0, 1.0)
    sampling = factored.sampling(supports.places) * sense
    response = factored.solve(sampling)
    body = sampling.T @ response
    compliance = 0.5 * (body + body.T) + np.diag(supports.compliances)
    modes = factored.rigid_modes(supports.places) * sense[:, None]
    return CarriedPlate(factored, supports, sampling, response, compliance, modes)


@dataclass(frozen=True, eq=False)
class PressedPlate:
    """A carried plate under one load: what each support carries and how the plate lies."""

    carried: CarriedPlate
    contact: Contact
    unknowns: Floats

    @property
    def tips(self) -> bool:
        """No balance: the load falls outside the polygon of the supports."""
        return self.contact.tips

    def deflection(self, places: ArrayLike) -> Floats:
        """Downward movement (n,) in mm of the plate at `places`; nan if it tips."""
        factored = self.carried.factored
        bent = factored.sampling(places).T @ self.unknowns
        return np.asarray(bent + factored.rigid_modes(places) @ self.contact.rigid)
