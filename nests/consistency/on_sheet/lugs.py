"""Lugs of a case: no wider than it, beside each other, stem and crown, within bezel and back."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from nests.consistency._looked import HAIR, Looked
from nests.finding import PRACTICE, Finding
from nests.given.sheet import Lug
from nests.holder.workpiece import crown, lugs
from nests.places import hours_between
from nests.units import Length, dial_hour

ASKEW = 3.0
"""Hours a lug may point away from straight out at most, at which it runs along the edge; plane
geometry."""
BELOW: Length = 8.0
"""mm the tips of lugs droop beyond the back at most; common practice, no source."""


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
                    f"lugs[{index}].hour is {dial_hour(lug.hour)} h, {gap:.2f} mm along the edge "
                    "from the "
                    f"stem at {dial_hour(stem.hour)} h; with its width of {lug.width:g} mm and "
                    "the stem's "
                    f"⌀ {needed:.2f} mm or more is allowed.",
                    value=gap, limit=needed,
                )  # fmt: skip
        yield from _points(looked, index, lug)
        yield from _heights(looked, index, lug)
    yield from _at_the_crown(looked)
    for (i, one), (j, two) in combinations(enumerate(sheet.lugs), 2):
        gap, needed = _along(looked, one.hour, two.hour), (one.width + two.width) / 2
        if gap < needed - 2 * sheet.uncertainty:
            yield looked.stop(
                f"lugs[{i}] and lugs[{j}]: hour is {dial_hour(one.hour)} and "
                f"{dial_hour(two.hour)} h, {gap:.2f} mm "
                f"along the edge, but each has its width, {one.width:g} and {two.width:g} mm; "
                f"{needed:.2f} mm or more is allowed.",
                value=gap, limit=needed,
            )  # fmt: skip


def _points(looked: Looked, index: int, lug: Lug) -> Iterator[Finding]:
    """Outward, however askew."""
    if lug.towards is None:
        return
    askew = hours_between(lug.hour, lug.towards)
    if askew >= ASKEW:
        yield looked.stop(
            f"lugs[{index}].towards is {dial_hour(lug.towards)} h, {dial_hour(askew)} h beside its "
            f"hour, {dial_hour(lug.hour)} h; less than {dial_hour(ASKEW)} h is allowed, or it does "
            "not leave the case.",
            value=askew, limit=ASKEW, unit="h",
        )  # fmt: skip


def _heights(looked: Looked, index: int, lug: Lug) -> Iterator[Finding]:
    """Its lowest point at the back, its highest towards the dial."""
    sheet, name = looked.sheet, f"lugs[{index}]"
    if lug.droop is None:
        if lug.thickness is not None:
            yield looked.unlooked(
                f"{name}.thickness is {lug.thickness:g} mm, but its droop is not given; it is "
                "taken to end at the bridge-side rim face.",
                "measure the lowest point of its tip from there and enter it as droop",
            )
    elif lug.droop > BELOW:
        yield looked.stop(
            f"{name}.droop is {lug.droop:g} mm beyond the bridge-side rim face; {BELOW:g} mm or "
            f"less is allowed ({PRACTICE}).",
            origin=PRACTICE, value=lug.droop, limit=BELOW,
        )  # fmt: skip
    elif lug.thickness is None and lug.droop <= -sheet.rim + HAIR:
        yield looked.stop(
            f"{name}.droop is {lug.droop:g} mm; without a thickness the lug reaches from there to "
            f"the dial-side rim face, and more than {-sheet.rim:g} mm is allowed.",
            "give its thickness",
            value=lug.droop, limit=-sheet.rim,
        )  # fmt: skip
    above = lug.dial_end(sheet.rim)
    if above > sheet.dial_height + sheet.uncertainty + HAIR:
        most = lug.thickness or 0.0
        yield looked.stop(
            f"{name}.thickness is {most:g} mm with a droop of {lug.droop or 0.0:g} mm, so its "
            f"highest point lies {above:.2f} mm above the dial-side rim face; the bezel is "
            f"dial_height, {sheet.dial_height:g} mm, high, and a lug ends below it.",
            value=above, limit=sheet.dial_height,
        )  # fmt: skip


def _at_the_crown(looked: Looked) -> Iterator[Finding]:
    """The crown beside a lug, pushed home and drawn."""
    stem = looked.sheet.stem
    if stem is None or stem.crown is None:
        return
    (rod,) = crown(looked.site, stem.crown_drawn)
    for lug in lugs(looked.site):
        if (lug.solid() ^ rod.solid()).volume() > 1e-3:
            yield looked.stop(
                f"stem.crown of {stem.crown.diameter:g} mm ⌀ at {dial_hour(stem.hour)} h and "
                f"{lug.words} "
                "are in one place; a crown turns beside the lugs."
            )


def _along(looked: Looked, first: float, second: float) -> float:
    """mm between two hours along a circle through the edge there."""
    radius = (looked.site.radius(first) + looked.site.radius(second)) / 2
    return math.radians(30.0 * hours_between(first, second)) * radius
