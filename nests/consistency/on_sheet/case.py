"""What stands out of a case, and its flank: crown on the stem, buttons, where it is upright."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from nests.consistency._looked import HAIR, Looked
from nests.finding import Finding
from nests.holder.workpiece import Volume, buttons, crown, lugs


def look(looked: Looked) -> Iterator[Finding]:
    """Crown, buttons and flank."""
    yield from _crown(looked)
    yield from _buttons(looked)
    yield from _flank(looked)


def _crown(looked: Looked) -> Iterator[Finding]:
    stem = looked.sheet.stem
    if stem is None or stem.crown is None:
        return
    about = stem.crown
    if about.diameter < stem.diameter - HAIR:
        yield looked.stop(
            f"stem.crown.diameter is {about.diameter:g} mm; the stem in it has "
            f"{stem.diameter:g} mm, and that or more is allowed.",
            value=about.diameter, limit=stem.diameter,
        )  # fmt: skip
    if about.diameter > looked.longest / 2:
        yield looked.stop(
            f"stem.crown.diameter is {about.diameter:g} mm; the outline is {looked.longest:.2f} mm "
            "across, and half of that or less is allowed.",
            value=about.diameter, limit=looked.longest / 2,
        )  # fmt: skip
    if about.home >= looked.longest / 2:
        yield looked.stop(
            f"stem.crown.home is {about.home:g} mm; the outline is {looked.longest:.2f} mm across, "
            "and a crown stands out less than half of that.",
            value=about.home, limit=looked.longest / 2,
        )  # fmt: skip
    if about.drawn is not None and about.drawn < about.home - HAIR:
        yield looked.stop(
            f"stem.crown.drawn is {about.drawn:g} mm; pushed home it stands out {about.home:g} mm, "
            "and that or more is allowed.",
            value=about.drawn, limit=about.home,
        )  # fmt: skip


def _buttons(looked: Looked) -> Iterator[Finding]:
    sheet = looked.sheet
    if sheet.kind != "case":
        for each in sheet.pushers:
            if each.button is not None:
                yield looked.unlooked(
                    f"the pusher '{each.name}': button is given, but this is a {sheet.kind}; "
                    "buttons are looked at on a case only.",
                    "describe the case on a sheet of its own",
                )
        return
    rods = buttons(looked.site)
    others: list[Volume] = [*crown(looked.site), *lugs(looked.site)]
    pairs: list[tuple[Volume, Volume]] = [*combinations(rods, 2)]
    pairs += [(rod, other) for rod in rods for other in others]
    for one, two in pairs:
        if (one.solid() ^ two.solid()).volume() > 1e-3:
            yield looked.stop(f"the {one.words} and the {two.words} are in one place.")
    for rod in rods:
        if rod.outer - rod.inner >= looked.longest / 2:
            yield looked.stop(
                f"the {rod.words}: out is {rod.outer - rod.inner:g} mm; the outline is "
                f"{looked.longest:.2f} mm across, and less than half of that is allowed.",
                value=rod.outer - rod.inner, limit=looked.longest / 2,
            )  # fmt: skip


def _flank(looked: Looked) -> Iterator[Finding]:
    sheet, flank = looked.sheet, looked.sheet.flank
    if flank is None:
        return
    if sheet.kind != "case":
        yield looked.unlooked(
            f"flank is given, but this is a {sheet.kind}; a flank is looked at on a case only.",
            "say kind case, or take it away",
        )
        return
    if flank.from_depth >= flank.to_depth:
        yield looked.stop(
            f"flank.from_depth is {flank.from_depth:g} mm; it must be less than to_depth, "
            f"{flank.to_depth:g} mm.",
            value=flank.from_depth, limit=flank.to_depth,
        )  # fmt: skip
    if flank.to_depth > sheet.rim + HAIR:
        yield looked.stop(
            f"flank.to_depth is {flank.to_depth:g} mm; the rim is {sheet.rim:g} mm high, and that "
            "or less is allowed.",
            value=flank.to_depth, limit=sheet.rim,
        )  # fmt: skip
