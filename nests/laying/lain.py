"""Plates: bodies placed, and each plate judged as a whole."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Any

import numpy as np
import shapely
from shapely import affinity

from nests.finding import PRACTICE, Finding, Grade, by_gravity
from nests.given.printer_card import PrinterCard
from nests.laying.bodies import Body, Floats
from nests.laying.placing import Placement, Room, outline_of, place
from nests.units import BadInput, Length

GAP: Length = 2.0
"""mm between bodies; common practice, no source."""
EDGE: Length = 1.0
"""mm kept free at the edge of the build plate; common practice, no source."""
ALIKE: Length = 4.0
"""mm of height by which bodies may differ and still are of one group: a plate takes the time of its
highest; common practice, no source."""
SAME: Length = 1e-5
"""mm by which a distance may fall short by arithmetic."""


@dataclass(frozen=True, eq=False)
class OnPlate:
    """A body where it lies."""

    body: Body
    where: Placement

    @cached_property
    def plan(self) -> Any:
        """What it covers of the plate."""
        turned = affinity.rotate(self.body.plan, 90 * self.where.quarters, origin=(0, 0))
        return affinity.translate(turned, self.where.x, self.where.y)


@dataclass(frozen=True, eq=False)
class BuildPlate:
    """One build plate with what lies on it, for the printer of a card."""

    number: int
    card: PrinterCard
    gap: Length
    lying: tuple[OnPlate, ...]

    @property
    def height(self) -> Length:
        """Height of the highest body, mm."""
        return max(each.body.height for each in self.lying)

    @property
    def volume(self) -> float:
        """Resin in the bodies, mm³."""
        return math.fsum(each.body.volume for each in self.lying)

    @property
    def seconds(self) -> float:
        """How long it prints: its layers, each as the card says."""
        return math.ceil(self.height / self.card.layer - 1e-6) * self.card.layer_time

    @property
    def price(self) -> float | None:
        """Price of the resin in the bodies; None where the card does not say."""
        per_litre = self.card.resin_price
        return None if per_litre is None else self.volume / 1e6 * per_litre

    @cached_property
    def peel(self) -> Floats:
        """Area peeled off the film, layer by layer, of all bodies."""
        return _sum([each.body.peel for each in self.lying])

    @cached_property
    def nearest(self) -> tuple[Length, str, str]:
        """Least distance of two bodies in plan, mm, and their names; inf for a single one."""
        found = [
            (float(shapely.distance(a.plan, b.plan)), a.body.name, b.body.name)
            for a, b in combinations(self.lying, 2)
        ]
        return min(found, default=(math.inf, "", ""))

    def findings(self) -> tuple[Finding, ...]:
        """What is to be said of the plate as a whole."""
        return by_gravity((self._apart(), self._within(), self._peel(), self._suction()))

    def _apart(self) -> Finding:
        away, one, other = self.nearest
        fits = away >= self.gap - SAME
        pair = f"the nearest two, {one} and {other}, are {away:.2f} mm apart."
        says = f"plate {self.number}: {'one body alone.' if math.isinf(away) else pair}"
        return Finding(
            check="layout",
            grade=Grade.CLEAR if fits else Grade.STOP,
            says=says,
            value=None if math.isinf(away) else round(away, 4),
            limit=self.gap,
            unit="mm",
            origin=PRACTICE,
            remedy="" if fits else "lay them farther apart",
        )

    def _within(self) -> Finding:
        left, low, right, high = shapely.total_bounds([each.plan for each in self.lying])
        card = self.card
        fits = min(left, low) >= -SAME and right <= card.build_x + SAME
        fits = fits and high <= card.build_y + SAME and self.height <= card.build_z
        return Finding(
            check="layout",
            grade=Grade.CLEAR if fits else Grade.STOP,
            says=f"plate {self.number}: {len(self.lying)} bodies within {left:.1f} to {right:.1f} "
            f"by {low:.1f} to {high:.1f} mm, {self.height:.1f} mm high; the printer builds "
            f"{card.build_x:g} × {card.build_y:g} × {card.build_z:g} mm.",
            unit="mm",
            value=round(self.height, 3),
            limit=card.build_z,
            origin=card.origin("build_x"),
            remedy="" if fits else "fewer bodies, or a larger printer",
        )

    def _peel(self) -> Finding:
        top = int(np.argmax(self.peel))
        value, limit = float(self.peel[top]), self.card.largest_peel
        fits = value <= limit
        return Finding(
            check="peel",
            grade=Grade.CLEAR if fits else Grade.MEND,
            says=f"plate {self.number}: at most {value:.0f} mm² of all bodies are peeled off the "
            f"film at once, {top * self.card.layer:.2f} mm above the plate.",
            value=round(value, 3),
            limit=limit,
            unit="mm²",
            origin=self.card.origin("largest_peel"),
            remedy="" if fits else "fewer bodies on this plate, or another pose",
        )

    def _suction(self) -> Finding:
        sealed = _sum([each.body.sealed for each in self.lying])
        worst = max(self.lying, key=lambda each: each.body.cup)
        value, limit = worst.body.cup, self.card.largest_cup
        grade = Grade.STOP if value > limit else Grade.MEND if value > limit / 4 else Grade.CLEAR
        return Finding(
            check="suction",
            grade=grade,
            says=f"plate {self.number}: the largest cup that seals against the film has "
            f"{value:.1f} mm³ ({worst.body.name}); of all cups at most "
            f"{float(sealed.max(initial=0.0)):.1f} mm² face the film at once, which the peel "
            "counts.",
            value=round(value, 3),
            limit=limit,
            unit="mm³",
            origin=self.card.origin("largest_cup"),
            remedy="" if grade is Grade.CLEAR else "a vent, or another pose",
        )


def _sum(every: Sequence[Floats]) -> Floats:
    out = np.zeros(max(map(len, every)))
    for each in every:
        out[: len(each)] += each
    return out


def lay(bodies: Sequence[Body], card: PrinterCard, gap: Length = GAP) -> tuple[BuildPlate, ...]:
    """Bodies on as few plates as are found: job by job, in each the highest first, so that what is
    alike in height shares a plate. No plate peels more at once than the card allows, unless one
    body alone does. Raises `BadInput` where one fits on no plate."""
    groups = _groups(bodies)
    outlines = [
        outline_of(shapely.get_coordinates(each.plan), group, each.peel)
        for each, group in zip(bodies, groups, strict=True)
    ]
    room = Room(card.build_x, card.build_y, gap, EDGE, card.largest_peel)
    placed = place(outlines, room)
    if placed is None or any(each.height > card.build_z for each in bodies):
        for each, outline in zip(bodies, outlines, strict=True):
            if place([outline], room) is None or each.height > card.build_z:
                wide, deep = np.ptp(outline.corners, axis=0)
                raise BadInput(
                    f"{each.name} is {wide:.1f} by {deep:.1f} mm in plan and {each.height:.1f} mm "
                    f"high; the printer builds {card.build_x:g} × {card.build_y:g} × "
                    f"{card.build_z:g} mm, {EDGE:g} mm of it kept free at the edge."
                )
    assert placed is not None
    count = max(each.plate for each in placed) + 1
    plates = tuple(
        BuildPlate(
            number + 1,
            card,
            gap,
            tuple(OnPlate(bodies[p.body], p) for p in placed if p.plate == number),
        )
        for number in range(count)
    )
    return plates


def _groups(bodies: Sequence[Body]) -> list[int]:
    """A number for each body: its job, and in it a class of heights, the highest first."""
    keys: list[tuple[int, int]] = [(0, 0)] * len(bodies)
    for job in {each.job for each in bodies}:
        own = sorted(
            (k for k, each in enumerate(bodies) if each.job == job),
            key=lambda k: -bodies[k].height,
        )
        number, top = 0, bodies[own[0]].height
        for k in own:
            if top - bodies[k].height > ALIKE:
                number, top = number + 1, bodies[k].height
            keys[k] = (job, number)
    order = {key: index for index, key in enumerate(sorted(set(keys)))}
    return [order[key] for key in keys]
