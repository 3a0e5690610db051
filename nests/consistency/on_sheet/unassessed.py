"""What a sheet may say and nothing looks at: said, so that it does not pass for proved."""

from __future__ import annotations

from collections.abc import Iterator

from nests.consistency._looked import Looked
from nests.finding import Finding
from nests.given.sheet import Sheet
from nests.given.zones import Round

NOT_ON_A_CASE = ("arbors", "plate", "bridges")
"""Fields that no family looks at for a case, which is closed."""


def look(looked: Looked) -> Iterator[Finding]:
    """Fields given to no effect; lugs, recesses and uncertainties speak for themselves."""
    sheet = looked.sheet
    if sheet.casing_ledge is not None and not isinstance(sheet.outline, Round):
        yield looked.unlooked(
            f"casing_ledge, ⌀ {sheet.casing_ledge.diameter:g} mm, on an outline that is a path; a "
            "flange is looked at on a round outline only.",
            "draw the outline at the edge that is seated, and the flange as a keep-clear",
        )
    if sheet.what is not None and sheet.kind != "sub-assembly":
        yield looked.unlooked(
            f"what is '{sheet.what}', but this is a {sheet.kind}; it is asked of sub-assemblies.",
            "take it away",
        )
    if sheet.kind != "case":
        return
    for name in NOT_ON_A_CASE:
        value, default = getattr(sheet, name), _default(name)
        if value != default:
            count = f" has {len(value)}," if isinstance(value, tuple) else " is given,"
            yield looked.unlooked(
                f"{name}{count} but this is a case; inside a closed case no holder reaches them.",
                "describe the movement on a sheet of its own",
            )


def _default(name: str) -> object:
    return Sheet.__dataclass_fields__[name].default
