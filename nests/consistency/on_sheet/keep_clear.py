"""Keep-clears: volumes of the workpiece, so within its heights and about its edge."""

from __future__ import annotations

from collections.abc import Iterator

from nests.consistency._looked import HAIR, SPECK, Looked, beyond, shared
from nests.finding import PRACTICE, Finding
from nests.given.sheet import KeepClear
from nests.units import Length

OVERHANG: Length = 15.0
"""mm that anything stands out from the edge at most; common practice, no source."""


def look(looked: Looked) -> Iterator[Finding]:
    """Every keep-clear, and whether there may be one."""
    sheet = looked.sheet
    if sheet.keep_clear and sheet.nothing_fragile:
        yield looked.stop(
            f"nothing_fragile is true, yet {len(sheet.keep_clear)} keep-clears are named; "
            "only one of the two can hold.",
            "take one of them away",
        )
    for keep in sheet.keep_clear:
        yield from _heights(looked, keep)
        yield from _place(looked, keep)


def _heights(looked: Looked, keep: KeepClear) -> Iterator[Finding]:
    name, side = f"the keep-clear '{keep.name}'", keep.side
    if keep.from_height >= keep.to_height:
        yield looked.stop(
            f"{name}: from_height is {keep.from_height:g} mm; it must be less than to_height, "
            f"{keep.to_height:g} mm.",
            value=keep.from_height, limit=keep.to_height,
        )  # fmt: skip
    if keep.to_height > looked.sheet.bare_height(side) + HAIR:
        yield looked.stop(
            f"{name}: to_height is {keep.to_height:g} mm; the {side.value} side is "
            f"{looked.sheet.bare_height(side):g} mm high.",
            value=keep.to_height, limit=looked.sheet.bare_height(side),
        )  # fmt: skip
    if keep.from_height < looked.deepest(side) - HAIR:
        yield looked.stop(
            f"{name}: from_height is {keep.from_height:g} mm; {looked.span(side)}.",
            value=keep.from_height, limit=looked.deepest(side),
        )  # fmt: skip


def _place(looked: Looked, keep: KeepClear) -> Iterator[Finding]:
    here = looked.area(keep.zone)
    if shared(here, looked.within()) < SPECK:
        yield looked.stop(
            f"the keep-clear '{keep.name}': its zone lies wholly outside the outline; a volume of "
            "the workpiece has a part of it inside."
        )
    elif beyond(here, looked.within(spare=OVERHANG)) > SPECK:
        yield looked.stop(
            f"the keep-clear '{keep.name}': its zone reaches more than {OVERHANG:g} mm beyond the "
            f"edge; {OVERHANG:g} mm or less is allowed ({PRACTICE}).",
            origin=PRACTICE,
        )
