"""Reach: stem and pushers can be worked while the workpiece lies in its holder.

Ways are measured on the solid: cut square to the stem or to a pusher's line, it leaves a circle
free. The stem must turn and be drawn, a crown that the sheet gives meet nothing, pushed home or
drawn, a pusher's lever be met in the middle, worked and not driven past its stop, and a finger must
have room beside clips, tabs and other pushers.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import numpy as np

from nests.checks.bench._allowance import seated
from nests.checks.bench._line import Floats, free_radii, stations
from nests.checks.bench._pushers import Way, reached, way
from nests.finding import MEMORY, Finding, Grade
from nests.given.sheet import Crown, Kind, Stem
from nests.holder.compose import Holder
from nests.holder.recipe import MOULD
from nests.holder.workpiece import MARGIN, Allowance, crown, uncertainty
from nests.parts.site import Site
from nests.places import Side
from nests.solids.solid import block
from nests.study import Study
from nests.units import dial_hour

CROWN: dict[Kind, float] = {"movement": 3.5, "sub-assembly": 3.5, "case": 6.0}
"""Smallest usual ⌀ in mm of the crown, or of what grips the stem; from memory."""
INSIDE = 4.0
"""mm from the edge within which a crown stands on a stem cut for its case; from memory."""
CROWN_FAR = 1.0
"""mm beyond which what lies beside a crown is of no interest."""
FINGER = 8.0
"""Width in mm of a finger tip; from memory."""
MEASURED = f"measured on the solid; {MEMORY}"


def check(study: Study) -> list[Finding]:
    """Findings for the stem and for every pusher that is asked for or that a part works."""
    holder = study.holder
    if holder is None or holder.recipe.kind == MOULD:
        return []
    site, operation = holder.recipe.site(), holder.recipe.operation
    spare = seated(study, site)
    out: list[Finding] = []
    has_slot = any(each.part.serves().stem for each in holder.laid)
    if operation.stem or has_slot:
        out += _stem(holder, site, spare)
    worked = {name for each in holder.laid for name in each.part.serves().pushers}
    ways = [
        way(holder, site, pusher)
        for pusher in site.sheet.pushers
        if operation.pushers or pusher.name in worked
    ]
    for each in ways:
        if site.sheet.through_the_crown(each.pusher) and each.by_hand:
            out += _through_the_crown(holder, site, spare, each)
        else:
            out += reached(each, site, spare)
    if ways:
        out += _fingers(holder, site, ways)
    elif operation.pushers:
        out.append(_not_on_sheet(site, "pusher", "hour, depth, lever radius and travel"))
    return out


def _not_on_sheet(site: Site, what: str, measures: str) -> Finding:
    return Finding(
        check="reach",
        grade=Grade.UNKNOWN,
        says=f"not assessed: whether a {what} of '{site.sheet.name}' can be reached; the sheet "
        "has none.",
        remedy=f"measure {measures}, or say that the operation does not need it",
        lacks=("/stem",) if what == "stem" else ("/pushers",),
    )


def _stem(holder: Holder, site: Site, spare: Allowance) -> Iterator[Finding]:
    stem = site.sheet.stem
    if stem is None:
        if site.sheet.kind == "movement":
            yield _not_on_sheet(site, "stem", "its hour, depth, ⌀ and draw")
        return
    labels = tuple(e.label for e in holder.laid if e.part.serves().stem) or ("body",)
    angle, z = site.frame.angle(stem.hour), site.frame.z(Side.DIAL, -stem.depth)
    edge, outer = site.radius(stem.hour), site.outer(stem.hour)
    at = stations(edge, outer + 0.5)
    free = free_radii(holder.solid, angle, z, at)
    narrow = int(np.argmin(free))
    place = (
        round(at[narrow] * math.cos(angle), 4),
        round(at[narrow] * math.sin(angle), 4),
        round(z, 4),
    )
    room, wanted = float(free[narrow]) - stem.diameter / 2, spare.sideways
    if room < wanted:
        meets = room < 0.0
        if free[narrow] <= 0.0:
            how = f"has no way out at {dial_hour(stem.hour)} h"
        elif meets:
            how = f"meets the holder: {2 * free[narrow]:.2f} mm are free"
        else:
            how = f"may rub: {room:.2f} mm are free round it"
        yield Finding(
            check="reach",
            grade=Grade.STOP if meets else Grade.MEND,
            says=f"the stem of {stem.diameter:g} mm {how}; play, print and measuring may take "
            f"{wanted:.2f} mm.",
            parts=labels,
            value=room,
            limit=wanted,
            unit="mm",
            origin="measured on the solid",
            place=place,
            remedy="a stem slot, or more room round the stem in it",
        )
        return
    if stem.crown is None:
        yield from _crown(site, stem, labels, at - edge, free - spare.sideways, place)
    else:
        yield _given_crown(holder, site, stem, stem.crown, labels, spare)
    above = block(angle, edge + 0.05, outer, stem.diameter, z, site.top + 5.0)
    if (holder.solid ^ above).volume() > 1e-3:
        yield Finding(
            check="reach",
            grade=Grade.MEND,
            says="the workpiece cannot be laid in with its stem: the way to it is roofed over.",
            parts=labels,
            place=place,
            origin="measured on the solid",
            remedy="a stem slot open upward, or pull the stem first",
        )


def _crown(
    site: Site,
    stem: Stem,
    labels: tuple[str, ...],
    beyond: Floats,
    free: Floats,
    place: tuple[float, float, float],
) -> Iterator[Finding]:
    """Where a crown may stand: from how far beyond the edge it is free outward."""
    smallest = CROWN[site.sheet.kind]
    tight = np.flatnonzero(free < smallest / 2)
    begins = 0.0 if not len(tight) else float(beyond[min(tight[-1] + 1, len(beyond) - 1)])
    near = begins <= INSIDE
    past = beyond >= min(begins, beyond[-1])
    widest = 2 * float(free[past].min())
    yield Finding(
        check="reach",
        grade=Grade.CLEAR if near else Grade.MEND,
        says=f"the stem turns and is drawn {stem.draw:g} mm if its crown stands "
        f"{begins:.1f} mm or more beyond the edge; from there outward "
        + (
            f"a crown of up to {widest:.1f} mm ⌀ is free."
            if near
            else f"one of {smallest:g} mm ⌀ is free, but a stem cut for its case brings it no "
            f"farther out than {INSIDE:g} mm."
        ),
        parts=labels,
        value=begins,
        limit=INSIDE,
        unit="mm",
        origin=MEASURED,
        place=place,
        remedy="" if near else "a wider crown room in the stem slot, nearer to the edge",
    )


def _given_crown(
    holder: Holder,
    site: Site,
    stem: Stem,
    about: Crown,
    labels: tuple[str, ...],
    spare: Allowance,
) -> Finding:
    """Whether the crown the sheet gives, with its whole ⌀ and length, meets nothing where it stands
    pushed home and drawn: by the exact distance of the solids."""
    spare = replace(spare, measuring=uncertainty(site.sheet, "/stem"))
    found = []
    for how, out in (("pushed home", about.home), ("drawn", stem.crown_drawn)):
        (rod,) = crown(site, out)
        grown = rod.grown(spare.play + spare.measuring, spare.measuring)
        found.append((float(holder.solid.min_gap(grown, CROWN_FAR)) - spare.printed, how, rod))
    left, how, rod = min(found, key=lambda each: each[0])
    drawn = float(holder.solid.min_gap(rod.solid(), CROWN_FAR))
    lost = f"play, print and measuring may take {spare.sideways:.2f} mm"
    if left >= MARGIN:
        grade = Grade.CLEAR
        says = (
            f"meets nothing: it stands out {about.home:g} mm pushed home and "
            f"{stem.crown_drawn:g} mm drawn, and {drawn:.2f} mm"
            f"{' or more' if drawn >= CROWN_FAR else ''} are free round it"
        )
    else:
        grade = Grade.STOP if left <= 0.0 else Grade.MEND
        how = f"the holder, {how}" + (f": {drawn:.2f} mm are free round it" if drawn else "")
        says = f"{'may meet' if drawn else 'meets'} {how}"
    return Finding(
        check="reach",
        grade=grade,
        says=f"the crown of {about.diameter:g} mm ⌀ {says}; {lost}.",
        parts=labels,
        value=round(left, 4),
        limit=MARGIN,
        unit="mm",
        origin="exact distance of the solids",
        place=(
            round(rod.outer * math.cos(rod.angle), 4),
            round(rod.outer * math.sin(rod.angle), 4),
            round(rod.z, 4),
        ),
        remedy=""
        if grade is Grade.CLEAR
        else "more room round the crown in the stem slot, or a holder that stands higher",
    )


def _through_the_crown(holder: Holder, site: Site, spare: Allowance, way: Way) -> Iterator[Finding]:
    """A pusher on the stem's axis: the way of stem and crown is its way, and the crown must come in
    by the travel. The stem fills the place of a peg."""
    stem, pusher = site.sheet.stem, way.pusher
    assert stem is not None
    angle, z = site.frame.angle(stem.hour), site.frame.z(Side.DIAL, -stem.depth)
    edge, outer = site.radius(stem.hour), site.outer(stem.hour)
    at = stations(edge, outer + 0.5)
    free = free_radii(holder.solid, angle, z, at) - spare.sideways
    across = CROWN[site.sheet.kind] if stem.crown is None else stem.crown.diameter
    if float(free.min()) < stem.diameter / 2:
        yield way.finding(
            Grade.STOP,
            f"{way.words} is worked through the crown, and the stem has no way out at "
            f"{dial_hour(stem.hour)} h: {max(2 * float(free.min()), 0.0):.2f} mm are free round a "
            f"stem of {stem.diameter:g} mm.",
            value=2 * float(free.min()),
            limit=stem.diameter,
            remedy="one slot for both: a stem slot at their hour",
        )
        return
    tight = np.flatnonzero(free < across / 2)
    begins = float(at[min(tight[-1] + 1, len(at) - 1)] - edge) if len(tight) else 0.0
    needed = begins + pusher.travel
    near = needed <= INSIDE
    yield way.finding(
        Grade.CLEAR if near else Grade.MEND,
        f"{way.words} is worked through the crown, in the way of the stem: pushed in "
        f"{pusher.travel:g} mm, a crown of {across:g} mm ⌀ stays free if it stands {needed:.1f} mm "
        "or more beyond the edge"
        + (
            "."
            if near
            else f"; a stem cut for its case brings it no farther out than {INSIDE:g} mm."
        )
        + f" It takes {pusher.force:g} N, against which the holder is held at the opposite wall.",
        value=needed,
        limit=INSIDE,
        origin=MEASURED,
        remedy="" if near else "a wider crown room in the stem slot, nearer to the edge",
    )


def _fingers(holder: Holder, site: Site, ways: list[Way]) -> Iterator[Finding]:
    """Room for a finger at the outer face beside what holds, and beside the next pusher."""
    crowded = [*_by_holds(holder, site, ways), *_by_pairs(site, ways)]
    if crowded:
        yield from crowded
        return
    turned = holder.recipe.operation.turned_over
    yield Finding(
        check="reach",
        grade=Grade.CLEAR,
        says=f"a finger of {FINGER:g} mm has room at every pusher beside the others and beside "
        "clips and tabs"
        + (", turned over too; a peg then comes from the side." if turned else "."),
        parts=tuple(sorted({name for each in ways for name in each.parts})),
        limit=FINGER,
        unit="mm",
        origin=MEMORY,
    )


def _by_holds(holder: Holder, site: Site, ways: list[Way]) -> Iterator[Finding]:
    for each in ways:
        # a slot takes a peg; all else is pushed with the finger
        by_peg = each.by_hand and not site.sheet.through_the_crown(each.pusher)
        taken = each.access.width if each.access is not None and by_peg else FINGER
        angle = site.frame.angle(each.pusher.hour)
        for other in holder.laid:
            grip = other.part.holding(site)
            if grip is None:
                continue
            x, y, _ = grip.place
            along = x * math.cos(angle) + y * math.sin(angle)
            aside = abs(y * math.cos(angle) - x * math.sin(angle))
            left = aside - (taken + grip.width) / 2
            if along > 0.0 and left < 0.0:
                yield Finding(
                    check="reach",
                    grade=Grade.MEND,
                    says=f"{each.words} at {dial_hour(each.pusher.hour)} h cannot be pushed "
                    "without "
                    f"touching {other.label}, which holds the workpiece: {-left:.1f} mm lack.",
                    parts=(*each.parts, other.label),
                    value=left,
                    limit=0.0,
                    unit="mm",
                    origin=MEMORY,
                    place=each.place,
                    remedy="move what holds away from the pusher",
                )


def _by_pairs(site: Site, ways: list[Way]) -> Iterator[Finding]:
    for one, two in combinations(ways, 2):
        ends = [each.outer * np.exp(1j * site.frame.angle(each.pusher.hour)) for each in (one, two)]
        apart = float(abs(ends[0] - ends[1]))
        if apart < FINGER:
            yield Finding(
                check="reach",
                grade=Grade.MEND,
                says=f"{one.words} and {two.words} are pushed {apart:.1f} mm apart; a finger takes "
                f"{FINGER:g} mm and may push both.",
                parts=tuple(sorted({*one.parts, *two.parts})),
                value=apart,
                limit=FINGER,
                unit="mm",
                origin=MEMORY,
                place=one.place,
                remedy="a thicker wall, which sets their outer ends apart",
            )
