"""The wall round the rim: who takes which hour of it, ways through it, vents, reliefs."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Literal

from manifold3d import CrossSection, OpType

from nests.families._room import at_the_wall, distance_off, growth
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.parts.base import Part
from nests.parts.body import Body
from nests.parts.finger_relief import FingerRelief
from nests.parts.relief import Relief
from nests.parts.ring_seat import RingSeat
from nests.parts.site import Site, along_ray
from nests.parts.stem_slot import StemSlot
from nests.parts.vent import Vent
from nests.places import Side, hours_between
from nests.solids.solid import block
from nests.units import BadInput, Hour, Length

ASKEW = math.radians(40.0)
"""rad by which a way through the wall may lean against the edge it crosses; beyond, the wall beside
it ends in a blade; from memory."""
NOTCH_ROOM: Length = 4.0
"""mm of the rim kept for the notch at 12 h."""
STROKE_ROOM: Length = 2.0
"""mm of the rim kept for the stroke of an hour."""
LOW_FLOOR = 1.8
"""mm from floor to seat that leave a vent its height and a wall above it."""


@dataclass
class RimPlan:
    """What of the wall is taken, as (hour, width in mm), judged on a circle of `radius`.

    First come, first served. Cuts have parallel sides, so the same plan leaves more hours free
    on a wider circle: see `on`. Room is kept for the notch at 12 h until something that must be
    reached takes it. At the hours of `marked` stands a stroke that no finger relief takes away.
    """

    radius: Length
    taken: list[tuple[Hour, Length]] = field(default_factory=list)
    notch: bool = False
    marked: tuple[Hour, ...] = ()

    def take(self, at: Hour, width: Length) -> None:
        """Take `width` mm at an hour, for what must be there."""
        self.taken.append((at % 12.0, width))
        self.notch = self.notch and self._apart(at, width, 0.0, NOTCH_ROOM)

    def is_free(self, at: Hour, width: Length) -> bool:
        """Whether `width` mm are free at an hour."""
        kept = [(0.0, NOTCH_ROOM)] if self.notch else []
        return all(self._apart(at, width, *other) for other in (*self.taken, *kept))

    def _apart(self, at: Hour, width: Length, hour: Hour, other: Length) -> bool:
        return hours_between(at, hour) >= _half(width, self.radius) + _half(other, self.radius)

    def free(
        self, near: Hour, width: Length, suits: Callable[[Hour], bool] = lambda _: True
    ) -> Hour | None:
        """The free hour nearest to `near` that has `width` mm of room and suits; takes it."""
        for step in range(121):
            for turn in (1, -1):
                at = round((near + turn * step * 0.05) % 12.0, 3)
                if self.is_free(at, width) and suits(at):
                    self.take(at, width)
                    return at
        return None

    def on(self, radius: Length) -> RimPlan:
        """A copy, judged on a circle of another radius."""
        return RimPlan(radius, list(self.taken), self.notch, self.marked)

    def spares_marks(self, at: Hour, width: Length) -> bool:
        """Whether `width` mm at an hour leave every stroke of an hour where it is."""
        return all(self._apart(at, width, hour, STROKE_ROOM) for hour in self.marked)


@lru_cache(maxsize=256)
def _half(width: Length, radius: Length) -> float:
    """Hours that half a width takes on a circle, and a little more."""
    return math.degrees(math.asin(min(1.0, width / 2 / radius))) / 30.0 + 0.02


def free_rim(sheet: Sheet, marked: tuple[Hour, ...] = ()) -> RimPlan:
    """A plan at the radius of the outline, where room is scarcest, with room kept at 12 h; at the
    hours of `marked` finger reliefs leave room for a stroke, where they can."""
    return RimPlan(narrowest(sheet), notch=True, marked=marked)


def narrowest(sheet: Sheet) -> Length:
    """Smallest radius of the outline."""
    if isinstance(sheet.outline, Round):
        return sheet.outline.diameter / 2
    site = Site(sheet, Side.DIAL, PrinterCard(), 0.01, Body())
    return min(along_ray(site.edge().bore(0.0), math.tau * k / 72) for k in range(72))


def stem_slot(plan: RimPlan, sheet: Sheet, slot: StemSlot | None = None) -> list[Part]:
    """A stem slot with its room on the rim, if the sheet has a stem."""
    if sheet.stem is None:
        return []
    slot = slot or StemSlot()
    plan.take(sheet.stem.hour, slot.wide(sheet.stem) + 1.0)
    for name in slot.pushers:
        plan.take(sheet.pusher(name).hour, slot.peg_way + 1.5)
    return [slot]


def vents(
    site: Site,
    avoid: Sequence[tuple[Hour, Length]] = (),
    *,
    standing: Sequence[Part] = (),
    level: Literal["floor", "foot"] = "floor",
    inward: Length = 2.5,
    ledge: Length | None = None,
) -> list[Part]:
    """Two vents, on opposite sides if they can be. They pass under slots.

    `avoid` lists (hour, width in mm) of what they must stay off all the way, `standing` what
    stands on the floor of the pocket; `ledge` is the lowest face above, if not the seat's groove.
    """
    above = site.seat - RingSeat.corner_relief if ledge is None else ledge
    room = above - site.floor - site.card.smallest_wall - 0.05
    wide = 2.0 if level == "foot" else round(min(2.0, 2 * room / site.rise), 3)
    if wide < 0.6:
        raise BadInput(
            f"between floor and ledge are {site.seat - site.floor:.2f} mm; a vent needs "
            "more: give more room under."
        )
    plan = RimPlan(narrowest(site.sheet))
    for hour, width in avoid:
        plan.take(hour, width)
    plan.notch = True  # it is cut through the whole height, and a vent below it would open into it
    near = (7.5, 1.5)
    if not isinstance(site.sheet.outline, Round):
        # across flank and end, where the way through the wall is square to it
        near = (9.0, 6.0)
    gaps = [gap for each in standing for gap in each.leaves_out(site)]
    feet = CrossSection.batch_boolean(
        [adds.project() for each in standing if (adds := each.shape(site).adds) is not None],
        OpType.Add,
    )
    out: list[Part] = []
    for hour in near:
        at = plan.free(
            hour,
            wide + 2 * site.card.smallest_wall,
            lambda h: (
                off_gaps(site, h, wide, gaps, inward)
                and _stays_off(site, Vent(at=h, level=level, width=wide, inward=inward), feet)
            ),
        )
        if at is not None:
            out.append(Vent(at=at, level=level, width=wide, inward=inward))
    return out


def off_gaps(
    site: Site, at: Hour, width: Length, gaps: Sequence[tuple[Hour, Length]], inward: Length
) -> bool:
    """Whether a cut of a width at an hour, begun `inward` mm inside the edge, leaves a wall beside
    every gap (hour, width) of a ledge, or lies wholly in it.

    Both have parallel sides, so what they leave between them is narrowest at the inner end.
    """
    wall, edge = site.card.smallest_wall + 0.05, site.radius(at)
    for hour, gap in gaps:
        turn = math.pi / 6 * min(hours_between(at, hour), 3.0)
        half = width / 2 * math.cos(turn)
        left = (edge - inward) * math.sin(turn) - half - gap / 2
        within = gap / 2 - edge * math.sin(turn) - half
        if left < wall and within < 0.05:
            return False
    return True


def _stays_off(site: Site, vent: Vent, feet: CrossSection) -> bool:
    """Whether a vent leaves a gap beside all that stands on the floor."""
    if feet.is_empty():
        return True
    gap, radius = site.card.smallest_gap + 0.02, site.radius(vent.at)
    way = block(
        site.frame.angle(vent.at),
        radius - vent.inward - gap,
        radius,
        vent.width + 2 * gap,
        0.0,
        1.0,
    ).project()
    return bool((way ^ feet).is_empty())


def finger_reliefs(
    plan: RimPlan, site: Site, width: Length = 9.0, above: Length = 0.3
) -> list[Part]:
    """Two finger reliefs, opposite each other if the rim has the room, never round a corner."""

    def flat(at: Hour) -> bool:
        return _is_flat(site, at, width)

    if plan.marked:
        for share in (1.0, 0.75, 0.55):
            narrow = max(width * share, 3.0)
            for at in (9.0, 8.0, 7.5, 10.0, 10.5, 7.0, 11.0):
                pair = (at, at - 6.0)
                if all(
                    plan.is_free(each, narrow)
                    and plan.spares_marks(each, narrow)
                    and _is_flat(site, each % 12.0, narrow)
                    for each in pair
                ):
                    for each in pair:
                        plan.take(each, narrow)
                    return [
                        FingerRelief(at=each, width=narrow, above=above) for each in sorted(pair)
                    ]
    for near in (9.0, 8.0, 10.0, 7.0, 11.0, 6.0, 0.0):
        pair = (near % 12.0, (near + 6.0) % 12.0)
        if all(plan.is_free(at, width) and flat(at) for at in pair):
            for at in pair:
                plan.take(at, width)
            return [FingerRelief(at=at, width=width, above=above) for at in sorted(pair)]
    found = [plan.free(9.0, width, flat), plan.free(3.0, width, flat)]
    return [FingerRelief(at=at, width=width, above=above) for at in found if at is not None]


def wall_reliefs(site: Site, parts: Sequence[Part], plan: RimPlan) -> list[Part]:
    """Reliefs in the wall of a ring seat for what lies so near the edge, or stands out of it, that
    the bore might touch it; with their room on the rim."""
    out: list[Part] = []
    for seat in (s for each in parts if each.shelf(site) for s in each.seats(site)[:1]):
        play, bore = seat.bore - seat.takes, site.card.inside(seat.bore)
        for name, hour, width in at_the_wall(site, (bore - site.across) / 2, play):
            plan.take(hour, width)
            room = distance_off(site, play, growth(site))
            out.append(Relief(of=name, clearance=round(room, 3)))
    return out


def _is_flat(site: Site, at: Hour, width: Length) -> bool:
    """Whether a cut of a width at an hour stays on one side of an outline with corners."""
    if isinstance(site.sheet.outline, Round):
        return True
    half = math.degrees(math.atan2(width / 2 + 1.0, site.radius(at))) / 30.0
    looks = site.frame.angle(at)
    turns = [site.normal((at + step * half) % 12.0) for step in (-1.0, 0.0, 1.0)]
    return all(abs(math.remainder(turn - looks, math.tau)) < ASKEW for turn in turns)
