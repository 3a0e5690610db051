"""Overhang: what a layer prints beyond the reach of the layer below."""

from __future__ import annotations

from nests.carriage import Carriage
from nests.checks._study import Study
from nests.finding import Finding, Grade
from nests.overhangs import Overhang

BRIDGE = 4.0
"""A level underside held at both ends may be this many times as long as one held at one end;
common practice, no source."""


def check(study: Study) -> list[Finding]:
    """`stop` for what is too long for its support, `mend` from nine tenths of that."""
    card = study.card
    out = []
    for group in study.overhangs:
        worst = max(group, key=lambda o: o.span)
        if worst.carried is Carriage.ISLAND:
            continue  # reported as an island
        limit = card.longest_underside * (BRIDGE if worst.carried is Carriage.BRIDGE else 1.0)
        if worst.span > limit + card.pixel / 2:
            out.append(_finding(study, group, worst, limit))
    return out or [
        Finding(
            check="overhang",
            grade=Grade.CLEAR,
            limit=card.longest_underside,
            unit="mm",
            value=max((o.span for g in study.overhangs for o in g), default=0.0),
            origin=card.origin("longest_underside"),
            says=f"no underside leans beyond {card.overhang:g}° farther than it carries.",
        )
    ]


def _finding(study: Study, group: tuple[Overhang, ...], worst: Overhang, limit: float) -> Finding:
    held = "at two sides" if worst.carried is Carriage.BRIDGE else "at one side"
    return Finding(
        check="overhang",
        grade=Grade.STOP,
        says=f"an underside leans beyond {study.card.overhang:g}° over {worst.span:.2f} mm, held "
        f"{held}, {sum(o.area for o in group):.2f} mm² in {len(group)} layers.",
        value=worst.span,
        limit=limit,
        unit="mm",
        origin=study.card.origin("longest_underside"),
        place=study.in_use(worst.where.centroid),
        parts=study.parts_at(worst.where.points),
        remedy="let it climb at the card's angle, or turn the part",
    )
