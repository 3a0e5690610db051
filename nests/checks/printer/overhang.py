"""Overhang: what a layer prints beyond the reach of the layer below."""

from __future__ import annotations

import math

from nests.finding import Finding, Grade
from nests.layers.carriage import Carriage
from nests.layers.overhang import Overhang
from nests.printing.undersides import longest, run, too_long, worst
from nests.study import Study


def check(study: Study) -> list[Finding]:
    """A `stop` for what is too long for its support; `unknown` for what hangs on supports."""
    card = study.card
    found = [group for group in study.overhangs if too_long(group, card)]
    if found and study.pose.on_supports:
        return [_supported(study, found)]
    return [_finding(study, group) for group in found] or [
        Finding(
            check="overhang",
            grade=Grade.CLEAR,
            limit=card.longest_underside,
            unit="mm",
            value=max(map(run, study.overhangs), default=0.0),
            origin=card.origin("longest_underside"),
            says=f"no underside leans beyond {card.overhang:g}° farther than it carries.",
        )
    ]


def _finding(study: Study, group: tuple[Overhang, ...]) -> Finding:
    by, span = worst(group), run(group)
    held = "at two sides" if by.carried is Carriage.BRIDGE else "at one side"
    return Finding(
        check="overhang",
        grade=Grade.STOP,
        says=f"an underside leans beyond {study.card.overhang:g}° over {span:.2f} mm, held "
        f"{held}, {math.fsum(o.area for o in group):.2f} mm² in {len(group)} layers.",
        value=span,
        limit=longest(group, study.card),
        unit="mm",
        origin=study.card.origin("longest_underside"),
        # a point inside: the centroid of a ring lies outside
        place=study.in_use(by.where.points[0]),
        parts=study.parts_at(by.where.points),
        remedy="let it climb at the card's angle, or turn the part",
    )


def _supported(study: Study, found: list[tuple[Overhang, ...]]) -> Finding:
    largest = max(found, key=run)
    points = worst(largest).where.points
    return Finding(
        check="overhang",
        grade=Grade.UNKNOWN,
        says=f"{len(found)} undersides, the longest {run(largest):.2f} mm, lean beyond "
        f"{study.card.overhang:g}° and must rest on supports, which are not drawn.",
        value=run(largest),
        limit=longest(largest, study.card),
        unit="mm",
        origin=study.card.origin("longest_underside"),
        place=study.in_use(points[0]),
        parts=study.parts_at(points),
        remedy="set supports under them in the program that makes the layers, and look at each",
    )
