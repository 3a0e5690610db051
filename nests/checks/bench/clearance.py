"""Clearance: does the holder keep out of what nothing may touch, and touch only what it may?

Distances are exact between the solids, with the workpiece in the middle of its seat; of them goes
what may be lost: play of the seat and measuring uncertainty by growing the volume sideways (and by
the uncertainty upward and downward, where play does nothing), then what the printer may add.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from nests.checks.bench._fittings import Piece, pieces
from nests.checks.bench._tips import spare_words, tips
from nests.finding import Finding, Grade
from nests.holder.compose import Holder
from nests.holder.workpiece import (
    MARGIN,
    Allowance,
    Volume,
    allowance,
    dial,
    left,
    lugs,
    rim_solid,
    volumes,
)
from nests.parts.site import Site
from nests.places import Side
from nests.solids.solid import Solid, triangles
from nests.study import Point, Study
from nests.units import Length

FAR: Length = 0.5
"""mm beyond which a distance is of no interest."""
NEAR: Length = 0.1
"""mm looked at first where a part is bored for a volume: it is about as near all round, most often
the usual relief of a post less play and scatter."""
TRIM: Length = 0.005
"""mm taken for coinciding faces, not for an overlap."""
ORIGIN = (
    "exact distance less play of the seat, measuring uncertainty and printer card; the margin is "
    "from memory"
)
PAST: Length = 0.03
"""mm by which a tip may be set past bearing; it lifts the workpiece, see the load path."""
CRUMB = 1e-3
"""mm³ of overlap that are still a touch."""


@dataclass(frozen=True)
class Approach:
    """How near a holder comes to a volume.

    `free` is what is left of the distance at worst, in mm, at most `FAR` when nothing lies nearer;
    `piece` is the nearest of the holder.
    """

    volume: Volume
    free: Length
    spare: Allowance
    piece: Piece

    @cached_property
    def distance(self) -> Length:
        """Distance as drawn, at most `FAR` and what may be lost; 0 where they overlap."""
        far = FAR + max(self.spare.sideways, 0.0)
        return float(self.volume.solid().min_gap(self.piece.solid, far))


def check(study: Study) -> list[Finding]:
    """Whatever may be touched though it must not, and tips that may leave their rests."""
    holder = study.holder
    if holder is None:
        return []
    seated = study.fitted
    if not seated:  # a mould holds no workpiece
        return []
    site = holder.recipe.site()
    sheet = site.sheet
    spare = allowance(site, seated[0].printed)
    used = pieces(holder)
    moving, over = _moving(holder, site), {each.words for each in dial(site)}
    near = [
        approach(each, (*used, *moving) if each.words in over else used, spare)
        for each in volumes(site, holder.recipe.operation)
    ]
    out = [_judged(each, holder) for each in near if each.free < MARGIN]
    out += _overlaps(site, used, {each.label for each in seated})
    out += [*_on_the_bench(study, site), *_droop_unknown(site)]
    out += tips(holder, spare, used)
    out += _hands_of_any_height(site)
    if not (sheet.keep_clear or sheet.nothing_fragile or sheet.kind == "case"):
        out.append(_nothing_named(sheet.name))
    elif not out or (lugs(site) and all(each.grade is Grade.UNKNOWN for each in out)):
        out.append(_all_clear(near))
    return out


def approach(volume: Volume, used: Sequence[Piece], spare: Allowance) -> Approach:
    """The piece of a holder that may come nearest to a volume."""
    spare = replace(spare, measuring=volume.measuring)
    grown = volume.grown(spare.play + spare.measuring, spare.measuring)
    spares = [replace(spare, growth=each.inside if volume.bored else each.outside) for each in used]
    free = [
        left(grown, piece.solid, each, FAR, NEAR if volume.bored else None)
        for piece, each in zip(used, spares, strict=True)
    ]
    nearest = int(np.argmin(free))
    alike = [k for k, each in enumerate(free) if each == free[nearest] < MARGIN]
    if alike[1:]:  # what cutting leaves beside a part touches where the part itself stands in it
        own = volume.solid()
        nearest = max(alike, key=lambda k: float((own ^ used[k].solid).volume()))
    return Approach(volume, free[nearest], spares[nearest], used[nearest])


def _moving(holder: Holder, site: Site) -> list[Piece]:
    """What moves in a holder, over all its way: it works in the workpiece, but under a dial."""
    outside = site.card.outward(site.across)
    return [
        Piece(each.label, solid, outside, outside)
        for each in holder.laid
        for solid in each.part.sweeps(site)
    ]


def _hands_of_any_height(site: Site) -> list[Finding]:
    """Hands that look to the bench, and of which no height is given."""
    about = site.sheet.dial
    carried = any(each.carries for each in site.sheet.arbors)
    if about is None or about.hands_height is not None or not carried:
        return []
    if site.side_down is not Side.DIAL:
        return []
    return [
        Finding(
            check="clearance",
            grade=Grade.UNKNOWN,
            says="not assessed: the hands look to the bench, and the sheet does not say how high "
            "they stand on the dial.",
            parts=("body",),
            remedy="measure how high the hands stand on the dial and enter it as "
            "dial.hands_height, or name 'hands' under 'absent'",
            lacks=("/dial/hands_height",),
        )
    ]


def _judged(each: Approach, holder: Holder) -> Finding:
    place, part = _where(each, holder)
    touches = each.free <= 0.0
    drawn = f"comes within {each.distance:.3f} mm of" if each.distance > 0.0 else "stands in"
    left = "they may touch" if touches else f"{each.free:.3f} mm are left"
    return Finding(
        check="clearance",
        grade=Grade.STOP if touches else Grade.MEND,
        says=f"{part} {drawn} the {each.volume.words}; with {spare_words(each.spare)} {left}.",
        parts=(part,),
        value=round(each.free, 4),
        limit=MARGIN,
        unit="mm",
        origin=ORIGIN,
        place=place,
        remedy=f"at least {MARGIN - each.free:.2f} mm more room there",
    )


def _where(each: Approach, holder: Holder) -> tuple[Point, str]:
    """The nearest place of the piece, and the label of the part that lies there."""
    volume, reach = each.volume, each.distance + TRIM
    # what of the piece lies a little nearer than need be; its corners lie near the nearest place
    met = triangles(
        each.piece.solid ^ (volume.grown(reach, reach) if each.distance else volume.solid())
    )
    own = np.isin(met.makers, list(holder.made_by)) if not each.piece.label else met.makers >= 0
    if not own.any():  # overlapped so deep that no face of the holder lies inside
        own = met.makers >= 0
    corners = met.vertices[met.faces[own]]
    away = volume.distances(corners.reshape(-1, 3)).reshape(-1, 3)
    nearest = int(np.argmin(away.min(axis=1) + away.mean(axis=1)))
    at = corners[nearest][int(np.argmin(away[nearest]))]
    if not each.distance:
        at = corners.reshape(-1, 3).mean(axis=0)
    x, y, z = (round(float(c), 4) for c in at)
    return (x, y, z), each.piece.label or holder.made_by.get(int(met.makers[own][nearest]), "body")


def _overlaps(site: Site, used: Sequence[Piece], seats: set[str]) -> list[Finding]:
    """Parts that enter the rim or its flange; the bore itself is judged by its fit."""
    low, high = site.seat + TRIM, site.seat + site.sheet.rim - TRIM
    tall = [
        (each.label, each.solid)
        for each in used
        if each.label
        and each.label not in seats
        and each.solid.bounding_box()[5] > low
        and each.solid.bounding_box()[2] < high
    ]
    whole, out = rim_solid(site) if tall else Solid(), []
    for label, solid in tall:
        both = solid ^ whole
        box = both.bounding_box()
        extents = [box[k + 3] - box[k] for k in range(3)]
        if both.volume() <= CRUMB or min(extents) <= TRIM or extents[2] <= PAST:
            continue
        x, y, z = (round((box[k] + box[k + 3]) / 2, 4) for k in range(3))
        out.append(
            Finding(
                check="clearance",
                grade=Grade.STOP,
                says=f"{label} stands in the rim of the workpiece ({both.volume():.3g} mm³).",
                parts=(label,),
                value=round(both.volume(), 4),
                limit=0.0,
                unit="mm³",
                origin="outline and rim of the sheet, taken as full but for rests, jewels, "
                "recesses and keep-clears that lie deeper",
                place=(x, y, z),
                remedy="move it outward, or enter the recess it stands in on the sheet",
            )
        )
    return out


def _on_the_bench(study: Study, site: Site) -> Iterator[Finding]:
    """Lugs whose tips come down to the bench, through a holder that is open there."""
    for lug in lugs(site):
        above, lost = lug.low - study.lowest, lug.measuring + site.card.scatter
        left = above - lost
        if left < MARGIN:
            yield Finding(
                check="clearance",
                grade=Grade.STOP if left <= 0.0 else Grade.MEND,
                says=f"{lug.words} ends {above:.2f} mm above the bench; with {lost:.3f} mm of "
                "measuring and print it may stand on it, and lift the case.",
                parts=("body",),
                value=round(left, 4),
                limit=MARGIN,
                unit="mm",
                origin=ORIGIN,
                remedy="more room under the seat",
            )


def _droop_unknown(site: Site) -> Iterator[Finding]:
    """Lugs of which the sheet does not say how far their tips droop."""
    if site.sheet.kind != "case":
        return
    of = [str(n) for n, lug in enumerate(site.sheet.lugs, 1) if lug.droop is None]
    if of:
        yield Finding(
            check="clearance",
            grade=Grade.UNKNOWN,
            says="not assessed: how far the tips of the lugs droop; the sheet does not say it of "
            f"lug {', '.join(of)}, and here they end at the rim face.",
            parts=("body",),
            remedy="measure the lowest point of each tip from the bridge-side rim face and enter "
            "it as 'droop'",
            lacks=tuple(f"/lugs/{int(n) - 1}/droop" for n in of),
        )


def _nothing_named(name: str) -> Finding:
    return Finding(
        check="clearance",
        grade=Grade.UNKNOWN,
        says=f"not assessed: the sheet of '{name}' names no keep-clear, so "
        "nothing says where the holder must stay out.",
        parts=("body",),
        remedy="measure place, ⌀ and both heights of what turns or springs (balance and hairspring "
        "first) and enter them as keep-clears, or say by 'nothing_fragile' that there is nothing",
        lacks=("/keep_clear", "/nothing_fragile"),
    )


def _all_clear(near: Sequence[Approach]) -> Finding:
    if not near:
        return Finding(
            check="clearance",
            grade=Grade.CLEAR,
            says="every tip lies on what may be touched; nothing there has to be kept clear of.",
        )
    least = min(near, key=lambda each: each.free)
    far = "more than " if least.free >= FAR - 1e-9 else ""
    all_of, nearest = "the sheet's one volume", f"the {least.volume.words}"
    if len(near) > 1:
        all_of, nearest = f"{len(near)} volumes of the sheet", f"the nearest, {nearest},"
    return Finding(
        check="clearance",
        grade=Grade.CLEAR,
        says=f"the holder keeps out of {all_of}; {nearest} is {far}{least.distance:.2f} mm away, "
        f"of which {far}{max(least.free, 0.0):.2f} mm are left with {spare_words(least.spare)}.",
        value=round(least.free, 4),
        limit=MARGIN,
        unit="mm",
        origin=ORIGIN,
    )
