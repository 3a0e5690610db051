"""What is engraved: no two workpieces of one job with the same letters, and letters there are.

That a name cannot be engraved stops whoever engraves it: the sheet itself may be measured.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from nests.consistency._looked import Looked
from nests.finding import Finding, Grade
from nests.given.sheet import Sheet
from nests.letters.engraving import clashes, require_engravable
from nests.units import BadInput


def look(looked: Looked) -> Iterator[Finding]:
    """Among the sheet and all its sub-assemblies."""
    sheet = looked.sheet
    groups = [[sheet], *(_all_of(sub) for sub in sheet.sub_assemblies)]
    for one, other, mark in clashes(groups):
        yield looked.stop(
            f"mark: '{one.name}' and '{other.name}' would both be engraved '{mark}'; their holders "
            "could not be told apart.",
            "give one of them another mark",
        )
    try:
        require_engravable([sheet])
    except BadInput as bad:
        yield replace(looked.stop(str(bad), "give it a mark"), grade=Grade.MEND)


def _all_of(sheet: Sheet) -> list[Sheet]:
    """A workpiece and all its sub-assemblies."""
    return [sheet, *(each for sub in sheet.sub_assemblies for each in _all_of(sub))]
