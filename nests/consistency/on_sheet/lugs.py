"""Lugs of a case: no wider than it, beside each other and beside the stem."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from nests.consistency._looked import Looked
from nests.finding import Finding
from nests.places import hours_between


def look(looked: Looked) -> Iterator[Finding]:
    """Every lug; on anything but a case nothing looks at them."""
    sheet = looked.sheet
    if not sheet.lugs:
        return
    if sheet.kind != "case":
        yield looked.unlooked(
            f"lugs has {len(sheet.lugs)}, but this is a {sheet.kind}; lugs are looked at on a case "
            "only, and a holder leaves them no room.",
            "name what stands out as a keep-clear, or say kind case",
        )
        return
    for index, lug in enumerate(sheet.lugs):
        across = 2 * looked.site.radius(lug.hour)
        if lug.width >= across:
            yield looked.stop(
                f"lugs[{index}].width is {lug.width:g} mm; the case is {across:.2f} mm across "
                "there.",
                value=lug.width, limit=across,
            )  # fmt: skip
        stem = sheet.stem
        if stem is not None and lug.width < across:
            gap = _along(looked, lug.hour, stem.hour)
            needed = (lug.width + stem.diameter) / 2
            if gap < needed:
                yield looked.stop(
                    f"lugs[{index}].hour is {lug.hour:g} h, {gap:.2f} mm along the edge from the "
                    f"stem at {stem.hour:g} h; with its width of {lug.width:g} mm and the stem's "
                    f"⌀ {needed:.2f} mm or more is allowed.",
                    value=gap, limit=needed,
                )  # fmt: skip
    for (i, one), (j, two) in combinations(enumerate(sheet.lugs), 2):
        gap, needed = _along(looked, one.hour, two.hour), (one.width + two.width) / 2
        if gap < needed - 2 * sheet.uncertainty:
            yield looked.stop(
                f"lugs[{i}] and lugs[{j}]: hour is {one.hour:g} and {two.hour:g} h, {gap:.2f} mm "
                f"along the edge, but each has its width, {one.width:g} and {two.width:g} mm; "
                f"{needed:.2f} mm or more is allowed.",
                value=gap, limit=needed,
            )  # fmt: skip


def _along(looked: Looked, first: float, second: float) -> float:
    """mm between two hours along a circle through the edge there."""
    radius = (looked.site.radius(first) + looked.site.radius(second)) / 2
    return math.radians(30.0 * hours_between(first, second)) * radius
