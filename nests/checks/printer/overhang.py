"""Overhang: what a layer prints beyond the reach of the layer below."""

from __future__ import annotations

from nests.carriage import Carriage
from nests.checks._study import Study
from nests.finding import Finding, Grade
from nests.overhangs import Overhang
from nests.units import Length

ROUNDING = 0.01
"""mm by which an underside may exceed its limit: rounding of a drawing."""
BRIDGE = 4.0
"""A level underside held at both ends may be this many times as long as one held at one end;
common practice, no source."""


def check(study: Study) -> list[Finding]:
    """A `stop` for what is too long for its support."""
    card = study.card
    out = []
    for group in study.overhangs:
        worst = max(group, key=lambda o: o.span)
        if worst.carried is Carriage.ISLAND:
            continue  # reported as an island
        limit = card.longest_underside * (BRIDGE if worst.carried is Carriage.BRIDGE else 1.0)
        span = run(group)
        if span > limit + ROUNDING:
            out.append(_finding(study, group, worst, span, limit))
    return out or [
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


def run(group: tuple[Overhang, ...]) -> Length:
    """Level run in mm of overhangs of one place: that of all layers, if held at one side.

    A leaning face goes out a little in each layer. An arch that closes in a bridge is held at
    two sides, and counts by what it bridges.
    """
    if any(each.carried is not Carriage.CANTILEVER for each in group):
        return max(each.span for each in group)
    longest: dict[int, Length] = {}
    for each in group:
        longest[each.layer] = max(each.span, longest.get(each.layer, 0.0))
    return sum(longest.values())


def _finding(
    study: Study, group: tuple[Overhang, ...], worst: Overhang, span: Length, limit: Length
) -> Finding:
    held = "at two sides" if worst.carried is Carriage.BRIDGE else "at one side"
    return Finding(
        check="overhang",
        grade=Grade.STOP,
        says=f"an underside leans beyond {study.card.overhang:g}° over {span:.2f} mm, held "
        f"{held}, {sum(o.area for o in group):.2f} mm² in {len(group)} layers.",
        value=span,
        limit=limit,
        unit="mm",
        origin=study.card.origin("longest_underside"),
        # a point inside: the centroid of a ring lies outside
        place=study.in_use(worst.where.points[0]),
        parts=study.parts_at(worst.where.points),
        remedy="let it climb at the card's angle, or turn the part",
    )
