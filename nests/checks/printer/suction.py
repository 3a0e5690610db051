"""Suction: a void closed sideways and toward the plate seals against the film at every peel.

The build plate itself is such a ceiling: a plain ring lying flat on it is a cup for its whole
height, and held above it on supports is none.
"""

from __future__ import annotations

from nests.finding import Finding, Grade
from nests.study import Study


def check(study: Study) -> list[Finding]:
    """A `stop` for each cup above the card's limit, `mend` from a quarter of it."""
    card, layer = study.card, study.layers.layer
    out = []
    for cup in study.swept.cups:
        if cup.volume <= card.largest_cup / 4:
            continue
        until = (
            f"until it is vented at {cup.vented * layer:.2f} mm"
            if cup.vented is not None
            else "to the end of the print"
            if cup.roofed is None
            else f"until it is roofed over at {cup.roofed * layer:.2f} mm"
        )
        out.append(
            Finding(
                check="suction",
                grade=Grade.STOP if cup.volume > card.largest_cup else Grade.MEND,
                says=f"a cup of {cup.volume:.1f} mm³, mouth {cup.mouth_area:.1f} mm², seals "
                f"against the film over {cup.height:.2f} mm, {until}.",
                value=cup.volume,
                limit=card.largest_cup,
                unit="mm³",
                origin=card.origin("largest_cup"),
                place=study.in_use(cup.where.centroid),
                parts=study.parts_at(cup.where.points),
                remedy="a vent at the end of the void nearest the build plate, or another pose",
            )
        )
    return out or [
        Finding(
            check="suction",
            grade=Grade.CLEAR,
            unit="mm³",
            limit=card.largest_cup,
            value=max((c.volume for c in study.swept.cups), default=0.0),
            origin=card.origin("largest_cup"),
            says=f"no cup of more than {card.largest_cup / 4:g} mm³ seals against the film, in "
            f"layers of {layer:g} mm.",
        )
    ]
