"""The dial: over the movement and its feet, above what stands under it, round what goes through."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from manifold3d import CrossSection

from nests.consistency._looked import CHORD, HAIR, SPECK, Looked, beyond, shared
from nests.consistency.on_sheet.outline import look as edge_of
from nests.finding import PRACTICE, Finding
from nests.given.dial import DIAL, HANDS, Dial
from nests.places import Side, at_hour
from nests.solids.loops import loop
from nests.units import Length, dial_hour

OVERHANG: Length = 15.0
"""mm a dial stands out from the edge at most; common practice, no source."""
HIGHEST: Length = 2.0
"""mm its underside lies above the highest point of the dial side at most; from memory."""


def look(looked: Looked) -> Iterator[Finding]:
    """Where it lies, and how high."""
    sheet, about = looked.sheet, looked.sheet.dial
    if about is None:
        return
    if sheet.kind != "movement":
        yield looked.stop(
            f"dial is given, but this is a {sheet.kind}; a dial lies on a movement.",
            "describe the movement on a sheet of its own",
        )
        return
    bare = replace(sheet, outline=about.outline, casing_ledge=None)
    faults = [
        replace(each, says=each.says.replace(": outline.", ": dial.outline.", 1))
        for each in edge_of(Looked(bare))
    ]
    yield from faults
    if faults:
        return
    plan = CrossSection([loop(about.outline, looked.site.frame, CHORD, 0.0).bore(0.02)])
    yield from _in_plan(looked, about, plan)
    yield from _under(looked, about, plan)
    yield from _through(looked, about)
    for each in ("keep_clear", "arbors", "rests"):
        for index, item in enumerate(getattr(sheet, each)):
            for field in ("name", "what"):
                if (word := getattr(item, field)) in (DIAL, HANDS):
                    yield looked.stop(
                        f"{each}[{index}].{field} is '{word}', by which an operation means what "
                        "the field dial gives; anything else is allowed.",
                        "change it, or leave one of the two out",
                    )


def _in_plan(looked: Looked, about: Dial, plan: CrossSection) -> Iterator[Finding]:
    if beyond(plan, looked.within(spare=OVERHANG)) > SPECK:
        yield looked.stop(
            f"dial.outline reaches more than {OVERHANG:g} mm beyond the edge; {OVERHANG:g} mm or "
            f"less is allowed ({PRACTICE}).",
            origin=PRACTICE,
        )
    for index, foot in enumerate(looked.sheet.dial_feet):
        if beyond(looked.disc(foot.at, foot.diameter), plan) > SPECK:
            yield looked.stop(
                f"dial.outline is smaller than the circle of its feet: dial_feet[{index}], "
                f"diameter {foot.diameter:g} mm at {foot.at.words()}, lies outside it, and none "
                "may."
            )
    for arbor in looked.sheet.arbors:
        if arbor.carries and beyond(looked.disc(arbor.at, 0.05), plan) > SPECK:
            yield looked.stop(
                f"dial.outline: the arbor '{arbor.name}' carries {arbor.carries[0]} at "
                f"{arbor.at.words()}, outside the dial; a hand stands over it."
            )


def _under(looked: Looked, about: Dial, plan: CrossSection) -> Iterator[Finding]:
    """What stands under it must stay below its underside, or go through it."""
    sheet, spare = looked.sheet, 2 * looked.sheet.uncertainty
    low = about.underside
    stands = [
        (f"the keep-clear '{k.name}'", k.name, k.to_height, looked.area(k.zone))
        for k in sheet.keep_clear
        if k.side is Side.DIAL
    ]
    stands += [
        (f"the rest '{r.name}'", r.name, r.height, looked.area(r.zone))
        for r in sheet.rests
        if r.side is Side.DIAL
    ]
    stands += [
        (f"the dial-side {j.word} of '{a.name}'", a.name, j.height + j.pivot_protrusion,
         looked.disc(a.at, j.diameter))
        for a in sheet.arbors
        if not a.carries
        for j in a.jewels
        if j.side is Side.DIAL
    ]  # fmt: skip
    for words, name, high, area in stands:
        if name not in about.through and high > low + spare and shared(area, plan) > SPECK:
            yield looked.stop(
                f"dial.underside is {low:g} mm above the rim face; {words} under it reaches "
                f"{high:g} mm, so {high:g} mm or more is allowed, unless dial.through names it.",
                "measure both heights, or say that it goes through the dial",
                value=low, limit=high,
            )  # fmt: skip
    passes = about.through or any(a.carries for a in sheet.arbors)
    if not passes and sheet.dial_height > low + spare:
        yield looked.stop(
            f"dial.underside is {low:g} mm above the rim face, and dial_height, the highest point "
            f"under it, is {sheet.dial_height:g} mm; nothing is said to go through the dial, so "
            f"{sheet.dial_height:g} mm or more is allowed.",
            "measure both, or name in dial.through what goes through it",
            value=low, limit=sheet.dial_height,
        )  # fmt: skip
    if low < -spare and beyond(plan, looked.plan) > SPECK:
        yield looked.stop(
            f"dial.underside is {low:g} mm, below the rim face, and dial.outline reaches beyond "
            "the edge: the dial would lie in the rim; 0 mm or more is allowed.",
            value=low, limit=0.0,
        )  # fmt: skip
    if low > sheet.dial_height + HIGHEST:
        yield looked.mend(
            f"dial.underside is {low:g} mm above the rim face, {low - sheet.dial_height:g} mm "
            f"above the highest point of the dial side; {HIGHEST:g} mm or less is usual.",
            "measure again", value=low, limit=sheet.dial_height + HIGHEST,
        )  # fmt: skip
    yield from _stem(looked, about, plan, spare)


def _stem(looked: Looked, about: Dial, plan: CrossSection, spare: Length) -> Iterator[Finding]:
    stem = looked.sheet.stem
    if stem is None:
        return
    edge = at_hour(stem.hour, looked.site.radius(stem.hour))
    top = stem.diameter / 2 - stem.depth
    if top > about.underside + spare and shared(looked.disc(edge, 0.1), plan) > SPECK:
        yield looked.stop(
            f"dial.underside is {about.underside:g} mm above the rim face; the stem, diameter "
            f"{stem.diameter:g} mm at depth {stem.depth:g} mm, reaches {top:g} mm under it at "
            f"{dial_hour(stem.hour)} h, so {top:g} mm or more is allowed.",
            value=about.underside, limit=top,
        )  # fmt: skip


def _through(looked: Looked, about: Dial) -> Iterator[Finding]:
    sheet = looked.sheet
    known = [k.name for k in sheet.keep_clear if k.side is Side.DIAL]
    known += [a.name for a in sheet.arbors]
    for index, name in enumerate(about.through):
        if name not in known:
            yield looked.stop(
                f"dial.through[{index}] is '{name}'; allowed is the name of a dial-side "
                f"keep-clear or an arbor: {', '.join(known) or 'none is on the sheet'}.",
                "write it as on the sheet",
            )
    if (about.hands_height or 0.0) > HAIR and not any(a.carries for a in sheet.arbors):
        yield looked.stop(
            f"dial.hands_height is {about.hands_height:g} mm, and no arbor carries a hand; 0 mm is "
            "allowed.",
            "name what each arbor carries",
        )
