"""Consistency: what the sheet gives and no other check looks at is said with the holder too."""

from __future__ import annotations

from nests.consistency import unlooked
from nests.finding import Finding
from nests.study import Study


def check(study: Study) -> list[Finding]:
    """Does the sheet say something that nothing here looks at? Nothing is said where it does not.

    That the sheet agrees with itself is required before a holder is made.
    """
    return [] if study.holder is None else unlooked(study.holder.recipe.workpiece)
