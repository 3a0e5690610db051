"""Dial feet: inside the edge, no longer than the workpiece is high, clear of what stands there."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from nests.consistency._looked import HAIR, MEMORY, SPECK, Looked, beyond
from nests.finding import Finding
from nests.places import Side, at_hour
from nests.units import Length, dial_hour

INWARD: Length = 2.0
"""mm the stem reaches inside the edge at least; from memory."""


def look(looked: Looked) -> Iterator[Finding]:
    """Every foot, and each with the others, the arbors and the stem."""
    sheet, spare = looked.sheet, 2 * looked.sheet.uncertainty
    longest = sheet.rim + sheet.bridge_height
    for index, foot in enumerate(sheet.dial_feet):
        name = f"dial_feet[{index}]"
        if beyond(looked.disc(foot.at, foot.diameter), looked.within(Side.DIAL)) > SPECK:
            yield looked.stop(
                f"{name}: a dial foot with diameter {foot.diameter:g} mm at {foot.at.words()} lies "
                "outside the outline, and none of it may."
            )
        if foot.length > longest + HAIR:
            yield looked.stop(
                f"{name}: length is {foot.length:g} mm; it would come out of the bridge side, "
                f"{longest:g} mm or less is allowed.",
                value=foot.length, limit=longest,
            )  # fmt: skip
        for arbor in sheet.arbors:
            if foot.at.distance(arbor.at) < foot.diameter / 2 - spare:
                yield looked.stop(
                    f"{name}: a dial foot with diameter {foot.diameter:g} mm at {foot.at.words()} "
                    f"goes through the arbor '{arbor.name}'; one place holds one thing."
                )
    for (i, one), (j, two) in combinations(enumerate(sheet.dial_feet), 2):
        apart, needed = one.at.distance(two.at), (one.diameter + two.diameter) / 2
        if apart < needed - spare:
            yield looked.stop(
                f"dial_feet[{i}] and dial_feet[{j}] are {apart:.2f} mm apart, with a diameter of "
                f"{one.diameter:g} and {two.diameter:g} mm; {needed:.2f} mm or more is allowed.",
                value=apart, limit=needed,
            )  # fmt: skip
    yield from _on_the_stem(looked, spare)


def _on_the_stem(looked: Looked, spare: Length) -> Iterator[Finding]:
    stem = looked.sheet.stem
    if stem is None:
        return
    along = at_hour(stem.hour, 1.0)
    edge = looked.site.radius(stem.hour)
    for index, foot in enumerate(looked.sheet.dial_feet):
        forth = foot.at.x * along.x + foot.at.y * along.y
        aside = abs(foot.at.x * along.y - foot.at.y * along.x)
        wide, top = (foot.diameter + stem.diameter) / 2, stem.depth - stem.diameter / 2
        if forth > edge - INWARD and aside < wide - spare and foot.length > top + spare:
            yield looked.stop(
                f"dial_feet[{index}]: length is {foot.length:g} mm at {foot.at.words()}; the stem "
                f"at {dial_hour(stem.hour)} h begins {top:g} mm deep there, and {top:g} mm or "
                "less is "
                f"allowed (that it reaches {INWARD:g} mm inside the edge is {MEMORY}).",
                origin=MEMORY, value=foot.length, limit=top,
            )  # fmt: skip
