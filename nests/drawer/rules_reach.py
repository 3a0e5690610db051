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
from nests.parts.answers import PEG, StemWay, beside
from nests.places import Side
from nests.units import Hour, Length, dial_hour

HAIR: Length = 1e-6
"""mm that sums of floats may be off."""
FAR_SIDE: Length = 0.3
"""mm a plunger or nose may be beside the middle of a lever, or above or below it; from memory."""


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


def stem_way(kept: KeptHolder) -> tuple[str, StemWay] | None:
    """The way for a stem and the label of its part, None where the holder has none."""
    site = kept.recipe.site()
    ways = ((part.label(), part.stem_way(site)) for part in kept.recipe.parts)
    return next(((label, way) for label, way in ways if way is not None), None)


def pusher_ways(kept: KeptHolder) -> tuple[PusherWay, ...]:
    """Every part that works a pusher."""
    old, out = kept.recipe.site(), []
    for part in kept.recipe.parts:
        for name in part.serves().pushers:
            made, found = kept.recipe.workpiece.pusher(name), part.access(old, name)
            half, before, behind, below = FAR_SIDE, math.inf, -math.inf, None
            if found.moves is None:
                half, below = (found.width - PEG) / 2, found.below
            else:
                before = made.lever_radius + found.rest_gap
                behind = made.lever_radius - made.travel
            way = (found.hour, found.radius, half, before, behind, found.z, below)
            out.append(PusherWay(part.label(), *way))
    return tuple(out)


def stem(at: Sitting, kept: KeptHolder, operation: Operation) -> Iterator[Finding]:
    """Does the stem find its slot?"""
    about = at.sheet.stem
    if about is None:
        return
    low = at.site.frame.z(Side.DIAL, -about.depth) - about.diameter / 2
    if low >= at.seat.top:
        return
    found = None if at.seat.in_foot else stem_way(kept)
    grade = Grade.STOP if operation.stem else Grade.MEND
    remedy = "another holder" if operation.stem else "take the stem out first"
    if found is None:
        yield ruling("stem", grade, "the holder has no slot for a stem.", remedy)
        return
    label, way = found
    aside = way.half - about.diameter / 2 - beside(way.reach, way.hour, about.hour)
    least, where = min((aside, "beside"), (low - way.floor, "below"))
    yield ruling(
        "stem",
        Grade.CLEAR if least >= 0.0 else grade,
        f"the stem at {dial_hour(about.hour)} h has {least:.2f} mm of room {where} it in the slot "
        f"at {dial_hour(way.hour)} h." if least >= 0.0 else
        f"the stem at {dial_hour(about.hour)} h is out of reach: the slot at "
        f"{dial_hour(way.hour)} h is "
        f"{-least:.2f} mm too narrow or too far off {where} it.",
        "" if least >= 0.0 else remedy,
        least,
        0.0,
        label,
    )  # fmt: skip
    yield from _crown(at, label, way, grade, remedy)


def _crown(at: Sitting, label: str, way: StemWay, grade: Grade, remedy: str) -> Iterator[Finding]:
    """Is there room for the crown that the sheet gives, pushed home and drawn?"""
    about = at.sheet.stem
    if about is None or about.crown is None:
        return
    across, edge = about.crown.diameter, at.site.radius(about.hour)
    low = at.site.frame.z(Side.DIAL, -about.depth) - across / 2
    if low >= at.seat.top:
        return
    aside = way.crown_half - across / 2 - beside(edge + about.crown_drawn, way.hour, about.hour)
    least, where = min(
        (aside, "beside"), (low - way.crown_floor, "below"), (edge - way.crown_from, "behind")
    )
    reached = least >= -HAIR
    yield ruling(
        "stem",
        Grade.CLEAR if reached else grade,
        f"the crown of {across:g} mm ⌀ has {max(least, 0.0):.2f} mm of room {where} it in the slot "
        f"at {dial_hour(way.hour)} h."
        if reached
        else f"the crown of {across:g} mm ⌀ meets the holder: {-least:.2f} mm lack {where} it in "
        f"the slot at {dial_hour(way.hour)} h.",
        "" if reached else remedy,
        least,
        0.0,
        label,
    )


def pushers(at: Sitting, kept: KeptHolder, operation: Operation) -> Iterator[Finding]:
    """Can every pusher be worked?"""
    if not operation.pushers:
        return
    ways = () if at.seat.in_foot else pusher_ways(kept)
    for pusher in at.sheet.pushers:
        if at.sheet.through_the_crown(pusher):
            yield from _through_the_crown(at, kept, operation, pusher)
            continue
        if at.site.lever(pusher) - PEG / 2 >= at.seat.top:
            continue
        found = [_reached(at, way, pusher) for way in ways]
        clear = [f for f in found if f.grade is Grade.CLEAR]
        if clear or found:
            yield (clear or sorted(found, key=lambda f: f.value or 0.0, reverse=True))[0]
        else:
            yield ruling(
                "pusher",
                Grade.STOP,
                f"the pusher '{pusher.name}' at {dial_hour(pusher.hour)} h is out of reach: the "
                "holder has nothing for a pusher.",
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
    z = at.site.lever(pusher)
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
        f"the pusher '{pusher.name}' at {dial_hour(pusher.hour)} h is "
        f"{'reached' if reached else f'out of reach, {-least:.2f} mm too far {short}'} "
        f"by {way.label} at {dial_hour(way.hour)} h.",
        "" if reached else "another holder",
        least,
        0.0,
        way.label,
    )
