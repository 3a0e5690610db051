"""Gap: slots, bores and distances that close by bleed of light or by resin that stays in them."""

from __future__ import annotations

from nests.checks.printer.wall import narrow
from nests.finding import Finding
from nests.study import Study


def check(study: Study) -> list[Finding]:
    """A `stop` for each part (or pair of parts) with a gap narrower than the card allows."""
    card = study.card
    return narrow(
        study,
        study.gaps,
        check="gap",
        word="gap",
        limit=card.smallest_gap,
        origin=card.origin("smallest_gap"),
        remedy="a wider gap",
    )
