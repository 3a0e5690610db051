"""Rests: on the workpiece, at a height it has, at one height in one place."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from manifold3d import CrossSection

from nests.consistency._looked import HAIR, SEGMENTS, SPECK, Looked, beyond, shared
from nests.finding import Finding
from nests.given.sheet import KeepClear, Rest
from nests.solids.solid import offset

MOST_SHARED = 0.9
"""Share of a rest inside a keep-clear from which it is no longer a matter of drawing it smaller."""


def look(looked: Looked) -> Iterator[Finding]:
    """Every rest by itself, with the others, with the jewels and with the keep-clears."""
    sheet = looked.sheet
    areas = [looked.area(rest.zone) for rest in sheet.rests]
    for rest, here in zip(sheet.rests, areas, strict=True):
        yield from _height(looked, rest)
        yield from _place(looked, rest, here)
        yield from _jewels(looked, rest, here)
        for keep in sheet.keep_clear:
            yield from _in_keep_clear(looked, rest, here, keep)
    for (one, first), (two, second) in combinations(zip(sheet.rests, areas, strict=True), 2):
        yield from _two_heights(looked, one, first, two, second)
    if not sheet.rests:
        yield looked.unknown(
            "no rest on the sheet, so only the rim may be touched.",
            "name areas that may be touched, with side and height",
            "/rests",
        )


def _height(looked: Looked, rest: Rest) -> Iterator[Finding]:
    sheet, side = looked.sheet, rest.side
    if rest.height > sheet.bare_height(side) + HAIR or rest.height <= looked.deepest(side) + HAIR:
        yield looked.stop(
            f"the rest '{rest.name}': height is {rest.height:g} mm; {looked.span(side)}.",
            value=rest.height, limit=sheet.bare_height(side),
        )  # fmt: skip
    elif sheet.kind == "movement" and rest.height < -sheet.rim - HAIR:
        yield looked.mend(
            f"the rest '{rest.name}': height is {rest.height:g} mm, beyond the other face of the "
            f"rim of {sheet.rim:g} mm; {-sheet.rim:g} mm or more is allowed where the plate "
            "carries.",
            "measure again, from the rim face of its own side",
            value=rest.height, limit=-sheet.rim,
        )  # fmt: skip


def _place(looked: Looked, rest: Rest, here: CrossSection) -> Iterator[Finding]:
    sheet = looked.sheet
    if beyond(here, looked.within()) > SPECK:
        yield looked.stop(f"the rest '{rest.name}': its zone lies outside the outline.")
        return
    ledge, spare = sheet.casing_ledge, 2 * sheet.uncertainty
    if (
        ledge is None
        or beyond(here, looked.within(rest.side)) + beyond(here, looked.within(rest.side.other))
        < SPECK
    ):
        return
    wanted = 0.0 if rest.side is ledge.side else ledge.height - sheet.rim
    if abs(rest.height - wanted) > spare:
        yield looked.stop(
            f"the rest '{rest.name}': height is {rest.height:g} mm, and its zone lies on the "
            f"flange; looking to the {rest.side.value} side the flange is at {wanted:g} mm, "
            f"give or take {spare:g} mm.",
            value=rest.height, limit=wanted,
        )  # fmt: skip


def _jewels(looked: Looked, rest: Rest, here: CrossSection) -> Iterator[Finding]:
    spare = 2 * looked.sheet.uncertainty
    for arbor in looked.sheet.arbors:
        jewel = arbor.jewel(rest.side)
        if jewel is None or jewel.height <= rest.height + spare:
            continue
        inner = looked.disc(arbor.at, jewel.diameter - 2 * spare)
        if shared(here, inner) > SPECK:
            yield looked.stop(
                f"the rest '{rest.name}': height is {rest.height:g} mm, but the jewel of "
                f"'{arbor.name}' in its zone stands up to {jewel.height:g} mm; what may be touched "
                "is nowhere covered.",
                "draw the rest beside the jewel", value=rest.height, limit=jewel.height,
            )  # fmt: skip


def _two_heights(
    looked: Looked, one: Rest, first: CrossSection, two: Rest, second: CrossSection
) -> Iterator[Finding]:
    doubt = looked.sheet.uncertainty
    if one.side is not two.side or abs(one.height - two.height) <= 2 * doubt + HAIR:
        return
    if (both := shared(first, second)) <= SPECK:
        return
    says = (
        f"the rests '{one.name}' and '{two.name}' share {both:.2f} mm², but height is "
        f"{one.height:g} mm for the one and {two.height:g} mm for the other; one place has one "
        "height on a side."
    )
    inner = (offset(each, -doubt, SEGMENTS) for each in (first, second))
    if shared(*inner) > SPECK:
        yield looked.stop(says, value=both, limit=0.0, unit="mm²")
    else:  # they may well only touch, as well as the places are known
        yield looked.mend(says, "draw one of them smaller", value=both, limit=0.0, unit="mm²")


def _in_keep_clear(
    looked: Looked, rest: Rest, here: CrossSection, keep: KeepClear
) -> Iterator[Finding]:
    frame = looked.site.frame
    z = frame.z(rest.side, rest.height)
    low, high = sorted((frame.z(keep.side, keep.from_height), frame.z(keep.side, keep.to_height)))
    if not low - HAIR < z < high + HAIR:
        return
    both = shared(here, looked.area(keep.zone))
    if both > MOST_SHARED * here.area():
        yield looked.stop(
            f"the rest '{rest.name}': its zone at height {rest.height:g} mm lies inside the "
            f"keep-clear '{keep.name}'; what may be touched is outside of what may not.",
            "one of the two is wrong", value=both, limit=0.0, unit="mm²",
        )  # fmt: skip
    elif both > SPECK:
        yield looked.mend(
            f"the rest '{rest.name}' and the keep-clear '{keep.name}' share {both:.2f} mm².",
            "draw the rest smaller", value=both, limit=0.0, unit="mm²",
        )  # fmt: skip
