"""Rules of reach: does the stem find its slot, and can the pushers be worked?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from nests.drawer.ruling import ruling
from nests.drawer.sitting import Sitting
from nests.finding import Finding, Grade
from nests.given.operation import Operation
from nests.given.sheet import Pusher
from nests.kinds.kept import KeptHolder
from nests.parts.plunger import Plunger
from nests.parts.pusher_slot import PusherSlot, lever_z
from nests.parts.spring_lever import SpringLever
from nests.parts.stem_slot import StemSlot
from nests.places import Side, hours_between
from nests.units import Hour, Length

FAR_SIDE: Length = 0.3
"""mm a plunger or nose may be beside the middle of a lever, or above or below it; from memory."""
PEG: Length = 1.5
"""mm, ⌀ of a peg that works a lever through a slot; from memory."""


@dataclass(frozen=True)
class StemWay:
    """A slot for a stem: hour and label, half its width, how far out it is narrow, its floor."""

    label: str
    hour: Hour
    half: Length
    reach: Length
    floor: Length

    def aside(self, hour: Hour, half: Length) -> Length:
        """Room left beside a stem of half a ⌀ at another hour."""
        return self.half - half - beside(self.reach, self.hour, hour)


@dataclass(frozen=True)
class PusherWay:
    """A part that works a pusher at its hour, `radius` mm from the axis.

    `half` is how far the middle of a lever may be beside it; the lever's tip at rest must not lie
    beyond `before`, nor its tip pushed in before `behind`, both from the axis. `z` is the height of
    the lever it was drawn for; `below` the room under it, None for a tip that must meet it.
    """

    label: str
    hour: Hour
    radius: Length
    half: Length
    before: Length
    behind: Length
    z: Length
    below: Length | None


def beside(radius: Length, first: Hour, second: Hour) -> Length:
    """How far apart two hours are at a radius, square to the first; no more than at 3 hours."""
    return radius * math.sin(math.pi / 6 * min(hours_between(first, second), 3.0))


def stem_way(kept: KeptHolder) -> StemWay | None:
    """The slot for a stem, None where the holder has none."""
    made = kept.recipe.workpiece.stem
    slot = next((p for p in kept.recipe.parts if isinstance(p, StemSlot)), None)
    if slot is None or made is None:
        return None
    old, half = kept.recipe.site(), made.diameter / 2 + slot.room
    floor = old.frame.z(Side.DIAL, -made.depth) - half
    return StemWay(slot.label(), made.hour, half, old.radius(made.hour) + slot.neck, floor)


def pusher_ways(kept: KeptHolder) -> tuple[PusherWay, ...]:
    """Every part that works a pusher."""
    old, out = kept.recipe.site(), []
    for part, name in ((each, name) for each in kept.recipe.parts for name in each.works()):
        made = kept.recipe.workpiece.pusher(name)
        half, before, behind, below = FAR_SIDE, math.inf, -math.inf, None
        if isinstance(part, PusherSlot | StemSlot):
            wide = part.width if isinstance(part, PusherSlot) else part.peg_way
            half, below = (wide - PEG) / 2, part.below
        elif isinstance(part, Plunger | SpringLever):
            before = made.lever_radius + part.rest_gap
            behind = made.lever_radius - made.travel
        radius, z = old.radius(made.hour), lever_z(old, made)
        out.append(PusherWay(part.label(), made.hour, radius, half, before, behind, z, below))
    return tuple(out)


def stem(at: Sitting, kept: KeptHolder, operation: Operation) -> Iterator[Finding]:
    """Does the stem find its slot?"""
    about = at.sheet.stem
    if about is None:
        return
    low = at.site.frame.z(Side.DIAL, -about.depth) - about.diameter / 2
    if low >= at.seat.top:
        return
    way = None if at.seat.in_foot else stem_way(kept)
    grade = Grade.STOP if operation.stem else Grade.MEND
    remedy = "another holder" if operation.stem else "take the stem out first"
    if way is None:
        yield ruling("stem", grade, "the holder has no slot for a stem.", remedy)
        return
    least, where = min(
        (way.aside(about.hour, about.diameter / 2), "beside"), (low - way.floor, "below")
    )
    yield ruling(
        "stem",
        Grade.CLEAR if least >= 0.0 else grade,
        f"the stem at {about.hour:g} h has {least:.2f} mm of room {where} it in the slot at "
        f"{way.hour:g} h." if least >= 0.0 else
        f"the stem at {about.hour:g} h is out of reach: the slot at {way.hour:g} h is "
        f"{-least:.2f} mm too narrow or too far off {where} it.",
        "" if least >= 0.0 else remedy,
        least,
        0.0,
        way.label,
    )  # fmt: skip


def pushers(at: Sitting, kept: KeptHolder, operation: Operation) -> Iterator[Finding]:
    """Can every pusher be worked?"""
    if not operation.pushers:
        return
    ways = () if at.seat.in_foot else pusher_ways(kept)
    for pusher in at.sheet.pushers:
        if at.sheet.through_the_crown(pusher):
            yield from _through_the_crown(at, kept, operation, pusher)
            continue
        if lever_z(at.site, pusher) - PEG / 2 >= at.seat.top:
            continue
        found = [_reached(at, way, pusher) for way in ways]
        clear = [f for f in found if f.grade is Grade.CLEAR]
        if clear or found:
            yield (clear or sorted(found, key=lambda f: f.value or 0.0, reverse=True))[0]
        else:
            yield ruling(
                "pusher",
                Grade.STOP,
                f"the pusher '{pusher.name}' at {pusher.hour:g} h is out of reach: the holder has "
                "nothing for a pusher.",
                "another holder",
            )


def _through_the_crown(
    at: Sitting, kept: KeptHolder, operation: Operation, pusher: Pusher
) -> Iterator[Finding]:
    """A pusher on the stem's axis goes where the stem goes."""
    for found in stem(at, kept, replace(operation, stem=True)):
        says = f"the pusher '{pusher.name}' is worked through the crown: {found.says}"
        yield replace(found, check="pusher", says=says)


def _reached(at: Sitting, way: PusherWay, pusher: Pusher) -> Finding:
    """Whether a part of the holder reaches a pusher."""
    z = lever_z(at.site, pusher)
    room = {"beside": way.half - beside(way.radius, way.hour, pusher.hour)}
    if way.below is not None:
        room["below"] = way.below - (way.z - z) - 0.3
    else:
        room |= {
            "below" if z < way.z else "above": FAR_SIDE - abs(z - way.z),
            "before": way.before - pusher.lever_radius,
            "behind": (pusher.lever_radius - pusher.travel) - way.behind,
        }
    short, least = min(room.items(), key=lambda item: item[1])
    reached = least >= -1e-9
    return ruling(
        "pusher",
        Grade.CLEAR if reached else Grade.STOP,
        f"the pusher '{pusher.name}' at {pusher.hour:g} h is "
        f"{'reached' if reached else f'out of reach, {-least:.2f} mm too far {short}'} "
        f"by {way.label} at {way.hour:g} h.",
        "" if reached else "another holder",
        least,
        0.0,
        way.label,
    )
