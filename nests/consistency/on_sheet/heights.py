"""How high the whole is, and what must fit between its highest points."""

from __future__ import annotations

import math
from collections.abc import Iterator

from nests.consistency._looked import HAIR, Looked
from nests.finding import PRACTICE, Finding


def look(looked: Looked) -> Iterator[Finding]:
    """Rim, highest points, thickness of plate and bridges."""
    sheet, total = looked.sheet, looked.total
    whole = (
        f"the whole is {total:g} mm high (rim {sheet.rim:g}, dial_height {sheet.dial_height:g}, "
        f"bridge_height {sheet.bridge_height:g})"
    )
    thick = {"plate": sheet.plate.thickness, "bridges": sheet.bridges.thickness}
    single = False
    for field, thickness in thick.items():
        if thickness is not None and thickness > total + HAIR:
            single = True
            yield looked.stop(
                f"{field}.thickness is {thickness:g} mm; {whole}, so {total:g} mm or less is "
                "allowed.",
                value=thickness, limit=total,
            )  # fmt: skip
    both = math.fsum(each or 0.0 for each in thick.values())
    if not single and all(thick.values()) and both > total + HAIR:
        yield looked.stop(
            f"plate.thickness and bridges.thickness are {sheet.plate.thickness:g} and "
            f"{sheet.bridges.thickness:g} mm, one upon the other under the arbors; {whole}, so "
            f"together {total:g} mm or less is allowed.",
            value=both, limit=total,
        )  # fmt: skip
    across = looked.longest
    if sheet.kind != "sub-assembly" and total > across:
        yield looked.stop(
            f"{whole}, but the outline is {across:.2f} mm across; a {sheet.kind} is no higher than "
            f"it is wide ({PRACTICE}).",
            origin=PRACTICE, value=total, limit=across,
        )  # fmt: skip
