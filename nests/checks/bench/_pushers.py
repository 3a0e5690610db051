"""How a pusher's lever is reached: by a slot, a plunger, a spring lever or an open way."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from nests.checks.bench._line import Flags, Floats, free_radii, roofed, stations
from nests.finding import MEMORY, Finding, Grade
from nests.given.sheet import Pusher
from nests.holder.compose import Holder, Laid
from nests.holder.workpiece import Allowance
from nests.parts.answers import GUIDE, PEG, Access, Arm, Guide
from nests.parts.site import Site
from nests.study import Point
from nests.units import dial_hour

ABOVE = 4.0
"""mm above a way within which the roof of its guide is looked for."""
AGAINST_JAMMING = "common practice against jamming, no source"
NEAR = 0.02
"""mm by which a free radius may differ from that of the bore it lies in."""


@dataclass(frozen=True)
class Way:
    """A pusher with the part that works it and what the solid leaves free about its line.

    `free` (n,) mm at distances `at` (n,) from the axis, `roofed` (n,) whether solid lies close
    above; `access` is how the part works it. Both `laid` and that are None for an open way.
    `pointer` is that of its lever's stop on the sheet.
    """

    pusher: Pusher
    laid: Laid | None
    access: Access | None
    at: Floats
    free: Floats
    roofed: Flags
    outer: float
    place: Point
    pointer: str

    @property
    def words(self) -> str:
        """What the sheet calls it."""
        return f"the pusher '{self.pusher.name}'"

    @property
    def by_hand(self) -> bool:
        """Whether nothing but an open way leads to it."""
        return self.access is None or self.access.moves is None

    @property
    def parts(self) -> tuple[str, ...]:
        """The part it is worked through, else the body."""
        return (self.laid.label,) if self.laid is not None else ("body",)

    def finding(
        self,
        grade: Grade,
        says: str,
        value: float | None = None,
        limit: float | None = None,
        unit: str = "mm",
        origin: str = "measured on the solid",
        remedy: str = "",
        lacks: tuple[str, ...] = (),
    ) -> Finding:
        """A finding about this way, at its lever."""
        return Finding(
            check="reach", grade=grade, says=says, parts=self.parts, place=self.place,
            value=value, limit=limit, unit=unit if value is not None else "", origin=origin,
            remedy=remedy, lacks=lacks,
        )  # fmt: skip


def way(holder: Holder, site: Site, pusher: Pusher) -> Way:
    """Measure the way to a pusher's lever, from the lever to past the outer face."""
    laid = next(
        (each for each in holder.laid if pusher.name in each.part.serves().pushers),
        None,
    )
    angle, z, outer = site.frame.angle(pusher.hour), site.lever(pusher), site.outer(pusher.hour)
    at = stations(pusher.lever_radius, outer + 0.5)
    free = free_radii(holder.solid, angle, z, at)
    close = roofed(holder.solid, angle, z, at, ABOVE)
    radius = pusher.lever_radius
    place = (round(radius * np.cos(angle), 4), round(radius * np.sin(angle), 4), round(z, 4))
    access = laid.part.access(site, pusher.name) if laid is not None else None
    pointer = site.sheet.pointer("pushers", pusher.name, "stop")
    return Way(pusher, laid, access, at, free, close, outer, place, pointer)


def reached(way: Way, site: Site, spare: Allowance) -> Iterator[Finding]:
    """Findings about one pusher."""
    access = way.access
    if access is None or access.moves is None:
        yield _open(way, spare)
    elif isinstance(access.moves, Guide):
        yield from _plunger(way, access, access.moves, site, spare)
    else:
        yield from _spring_lever(way, access, access.moves, site, spare)


def _open(way: Way, spare: Allowance) -> Finding:
    """A slot, or no part at all: a peg must come to the middle of the lever."""
    narrowest = float(way.free.min())
    thickest = 2 * (narrowest - spare.sideways)
    if thickest >= PEG:
        return way.finding(
            Grade.CLEAR,
            f"{way.words} is reached by a peg of up to {thickest:.1f} mm ⌀, straight at its lever "
            f"at {dial_hour(way.pusher.hour)} h; the lever's own stop is felt by the finger. It "
            f"takes {way.pusher.force:g} N, against which the holder is held at the opposite wall.",
            value=thickest,
            limit=PEG,
            origin=f"measured on the solid; {MEMORY}",
        )
    blocked = narrowest <= 0.0
    how = (
        "no way leads to it"
        if blocked
        else f"a peg of {max(thickest, 0.0):.2f} mm ⌀ at most comes to its lever"
    )
    return way.finding(
        Grade.STOP if blocked or thickest <= 0.0 else Grade.MEND,
        f"{way.words} at {dial_hour(way.pusher.hour)} h cannot be worked: {how}; "
        f"a peg of {PEG:g} mm is wanted.",
        value=thickest,
        limit=PEG,
        origin=f"measured on the solid; {MEMORY}",
        remedy="a pusher slot at its hour, wide enough and deep enough below its lever",
    )


def _plunger(
    way: Way, access: Access, guide: Guide, site: Site, spare: Allowance
) -> Iterator[Finding]:
    bore = site.card.inside(guide.rod + guide.play) / 2
    middle = (guide.shoulder + way.outer - guide.pocket_depth) / 2
    aside = bore - float(way.free[np.argmin(np.abs(way.at - middle))])
    least = guide.rod / 2 - spare.sideways
    if aside > least:
        yield way.finding(
            Grade.STOP,
            f"the guide of {way.laid.label if way.laid else 'the plunger'} lies {aside:.2f} mm or "
            f"more beside the line of its lever at {dial_hour(way.pusher.hour)} h: the pin of "
            f"{guide.rod:g} mm misses it.",
            value=aside,
            limit=least,
            remedy="set the plunger at the pusher's hour",
        )
        return
    step = float(way.at[1] - way.at[0])
    fits = np.abs(way.free - (bore - aside)) <= NEAR
    long = step * int(np.count_nonzero(fits & way.roofed))
    where = " where it is closed above," if (fits & ~way.roofed).any() else ""
    jams = long < GUIDE * guide.rod
    yield way.finding(
        Grade.MEND if jams else Grade.CLEAR,
        f"{way.words}: the guide is {long:.1f} mm long{where} for a pin of {guide.rod:g} mm "
        f"and lies {max(aside, 0.0):.2f} mm beside the line of the lever; "
        f"{GUIDE * guide.rod:g} mm are wanted so that it does not jam."
        + (
            f" A coil spring has {guide.pocket_depth + access.stroke:.2f} mm at rest and "
            f"{guide.pocket_depth:g} mm pushed in."
            if guide.pocket_depth
            else " It does not spring back by itself."
        ),
        value=long,
        limit=GUIDE * guide.rod,
        origin=f"{AGAINST_JAMMING}; measured on the solid to {step:.2f} mm",
        remedy="a thicker wall, a shallower spring pocket or a thinner pin" if jams else "",
    )
    if guide.button < guide.pocket + 2 * site.card.smallest_wall:
        yield way.finding(
            Grade.STOP,
            f"the button of {guide.button:g} mm goes into the spring pocket of "
            f"{guide.pocket:g} mm: nothing stops the plunger, and it drives the lever past its "
            "stop.",
            value=guide.button,
            limit=guide.pocket + 2 * site.card.smallest_wall,
            remedy="a wider button or a narrower pocket",
        )
    yield from _travel(way, access, spare)


def _spring_lever(
    way: Way, access: Access, arm: Arm, site: Site, spare: Allowance
) -> Iterator[Finding]:
    label = way.laid.label if way.laid is not None else "the arm"
    met = way.at[way.free <= 0.0]
    off = float(met[0]) - way.pusher.lever_radius if len(met) else math.inf
    if off > access.stroke:
        how = f"begins {off:.2f} mm from it" if len(met) else "lies beside its line"
        yield way.finding(
            Grade.STOP,
            f"{way.words} is out of reach: the nose of {label} {how} and goes "
            f"{access.stroke:.2f} mm.",
            value=off if len(met) else None,
            limit=access.stroke,
            remedy="move what cuts the nose away, or set the arm at the pusher's hour and height",
        )
        return
    strain, limit = arm.strain, site.card.strain_limit
    breaks = strain > limit
    # P = b h² E ε / (6 L), the arm as high as the body
    back = site.top * arm.thickness**2 * site.card.modulus * strain / (6 * arm.length)
    yield way.finding(
        Grade.STOP if breaks else Grade.CLEAR,
        f"{way.words}: the arm is strained {100 * strain:.2f} % at its root when pushed as far "
        f"as it goes, {access.stroke:.2f} mm, and springs back with {back:.1f} N; it bears "
        f"{100 * limit:.2f} % again and again.",
        value=strain,
        limit=limit,
        unit="mm/mm",
        origin=f"uniform cantilever: ε = 3 t y / (2 L²); limit {site.card.origin('strain_limit')}",
        remedy="a longer or a thinner arm" if breaks else "",
    )
    yield from _travel(way, access, spare)


def _travel(way: Way, access: Access, spare: Allowance) -> Iterator[Finding]:
    """At rest clear of the lever, pushed in past its working travel, never past its stop."""
    pusher, off, rest_gap = way.pusher, spare.sideways, access.rest_gap
    past = access.stroke - rest_gap - pusher.travel
    if rest_gap < off:
        yield way.finding(
            Grade.MEND,
            f"{way.words}: at rest {rest_gap:.2f} mm are left to the lever, and play, print and "
            f"measuring may take {off:.2f} mm: it may press on the lever all the time.",
            value=rest_gap,
            limit=off,
            remedy="more gap at rest",
        )
    if past < off:
        yield way.finding(
            Grade.MEND,
            f"{way.words}: the stroke goes {past:.2f} mm past the working travel of "
            f"{pusher.travel:g} mm, and play, print and measuring may take {off:.2f} mm: it may "
            "not work the lever.",
            value=past,
            limit=off,
            remedy="more stroke past the working travel",
        )
    farthest = pusher.travel + past + off
    if pusher.stop is None:
        yield way.finding(
            Grade.UNKNOWN,
            f"not assessed: whether {way.words} is driven past the lever's stop; the lever may be "
            f"moved up to {farthest:.2f} mm, and the travel to its stop is not on the sheet.",
            value=farthest,
            remedy="push the lever in with a gauge until it stops, and give that travel as `stop`",
            lacks=(way.pointer,),
        )
    elif farthest > pusher.stop:
        yield way.finding(
            Grade.STOP,
            f"{way.words}: the lever may be driven {farthest:.2f} mm in; it meets its stop at "
            f"{pusher.stop:g} mm.",
            value=farthest,
            limit=pusher.stop,
            remedy="less stroke past the working travel",
        )
