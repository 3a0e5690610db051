"""Sub-assemblies: of their own kind, no wider than what they belong to.

One may well be heavier or higher: the movement is often measured with it off.
"""

from __future__ import annotations

from collections.abc import Iterator

from nests.consistency._looked import Looked
from nests.consistency.on_sheet.outline import look as outline
from nests.finding import PRACTICE, Finding, Grade
from nests.places import Side


def look(looked: Looked) -> Iterator[Finding]:
    """Every sub-assembly against its sheet; what it says itself is looked at as on any sheet."""
    sheet = looked.sheet
    flange = max(sheet.edge(side)[0] for side in Side)
    for sub in sheet.sub_assemblies:
        name = f"the sub-assembly '{sub.name}'"
        if sub.kind != "sub-assembly":
            yield looked.stop(
                f"{name}: kind is {sub.kind}; among sub_assemblies only sub-assembly is allowed.",
                "say kind sub-assembly",
            )
        if sub.name == sheet.name:
            yield looked.stop(
                f"{name}: name is that of the sheet it stands on; each has a name of its own.",
                "rename it",
            )
        inner = Looked(sub)
        if not any(each.grade is Grade.STOP for each in outline(inner)):
            wide, most = inner.site.across, looked.site.across + 2 * flange
            if wide > most + 2 * (sheet.uncertainty + sub.uncertainty):
                yield looked.stop(
                    f"{name}: outline is {wide:.2f} mm across; '{sheet.name}', of which it is a "
                    f"part, is {most:.2f} mm ({PRACTICE}).",
                    origin=PRACTICE, value=wide, limit=most,
                )  # fmt: skip
        if sub.sub_assemblies:
            yield looked.unlooked(
                f"{name}: sub_assemblies has {len(sub.sub_assemblies)}; operations and families "
                "reach those of the sheet itself only.",
                "name them among the sheet's own sub_assemblies",
            )
