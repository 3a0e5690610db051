"""Trapped resin: voids that never open, that the plate closes, or that drain too slowly."""

from __future__ import annotations

from nests.finding import Finding, Grade
from nests.layers.drains import narrow_drains
from nests.layers.sweep import Seal, Trapped
from nests.printing.search import SEALED
from nests.study import Study

_WORDS = {
    Seal.PART: "is closed on all sides in the finished part",
    Seal.PLATE: "is closed by the build plate until the part is taken off",
    Seal.NARROW: "drains only through an opening that is too narrow",
}


def check(study: Study) -> list[Finding]:
    """`stop` for a closed void, `mend` for one that drains slowly or is closed by the plate."""
    found = (*study.swept.trapped, *narrow_drains(study.layers, study.card.smallest_drain))
    out = [
        _finding(study, each) for each in found if each.seal is Seal.PART or each.volume > SEALED
    ]
    return out or [
        Finding(
            check="trapped resin",
            grade=Grade.CLEAR,
            value=0.0,
            limit=0.0,
            unit="mm³",
            says=f"no void that keeps resin, as far as layers of {study.layers.layer:g} mm show.",
        )
    ]


def _finding(study: Study, each: Trapped) -> Finding:
    card = study.card
    opening = f" ({each.opening:.2f} mm)" if each.seal is Seal.NARROW else ""
    return Finding(
        check="trapped resin",
        grade=Grade.STOP if each.seal is Seal.PART else Grade.MEND,
        says=f"a void of {each.volume:.2f} mm³ {_WORDS[each.seal]}{opening}.",
        value=each.opening if each.seal is Seal.NARROW else each.volume,
        limit=card.smallest_drain if each.seal is Seal.NARROW else 0.0,
        unit="mm" if each.seal is Seal.NARROW else "mm³",
        origin=card.origin("smallest_drain"),
        place=study.in_use(each.where.centroid),
        parts=study.parts_at(each.where.points),
        remedy=f"a drain of {card.smallest_drain:g} mm or more",
    )
