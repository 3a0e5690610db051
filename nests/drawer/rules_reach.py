"""Rules of reach: does the stem find its slot, and can the pushers be worked?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from nests.drawer.ruling import ruling
from nests.drawer.sitting import Sitting
from nests.finding import Finding, Grade
from nests.kept import KeptHolder
from nests.operation import Operation
from nests.parts.plunger import Plunger
from nests.parts.pusher_slot import PusherSlot, lever_z
from nests.parts.spring_lever import SpringLever
from nests.parts.stem_slot import StemSlot
from nests.places import Side, hours_between
from nests.sheet import Pusher
from nests.units import Length

FAR_SIDE: Length = 0.3
"""mm a plunger or nose may be beside the middle of a lever, or above or below it; from memory."""
PEG: Length = 1.5
"""mm, ⌀ of a peg that works a lever through a slot; from memory."""


def stem(at: Sitting, kept: KeptHolder, operation: Operation) -> Iterator[Finding]:
    """Does the stem find its slot?"""
    about, made = at.sheet.stem, kept.recipe.workpiece.stem
    if about is None:
        return
    low = at.site.frame.z(Side.DIAL, -about.depth) - about.diameter / 2
    if low >= at.seat.top:
        return
    slots = [p for p in kept.recipe.parts if isinstance(p, StemSlot) and not at.seat.in_foot]
    grade = Grade.STOP if operation.stem else Grade.MEND
    remedy = "another holder" if operation.stem else "take the stem out first"
    if not slots or made is None:
        yield ruling("stem", grade, "the holder has no slot for a stem.", remedy)
        return
    slot, old = slots[0], kept.recipe.site()
    reach = old.radius(made.hour) + slot.neck
    beside = reach * math.sin(math.pi / 6 * min(hours_between(about.hour, made.hour), 3.0))
    aside = made.diameter / 2 + slot.room - about.diameter / 2 - beside
    floor = old.frame.z(Side.DIAL, -made.depth) - made.diameter / 2 - slot.room
    least, way = min((aside, "beside"), (low - floor, "below"))
    yield ruling(
        "stem",
        Grade.CLEAR if least >= 0.0 else grade,
        f"the stem at {about.hour:g} h has {least:.2f} mm of room {way} it in the slot at "
        f"{made.hour:g} h." if least >= 0.0 else
        f"the stem at {about.hour:g} h is out of reach: the slot at {made.hour:g} h is "
        f"{-least:.2f} mm too narrow or too far off {way} it.",
        "" if least >= 0.0 else remedy,
        least,
        0.0,
        slot.label(),
    )  # fmt: skip


def pushers(at: Sitting, kept: KeptHolder, operation: Operation) -> Iterator[Finding]:
    """Can every pusher be worked?"""
    if not operation.pushers:
        return
    for pusher in at.sheet.pushers:
        if lever_z(at.site, pusher) - PEG / 2 >= at.seat.top:
            continue
        found = [f for f in (_way(at, kept, part, pusher) for part in kept.recipe.parts) if f]
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


def _way(at: Sitting, kept: KeptHolder, part: object, pusher: Pusher) -> Finding | None:
    """Whether one part of the holder reaches a pusher; None for a part that is for none."""
    if not isinstance(part, PusherSlot | Plunger | SpringLever) or at.seat.in_foot:
        return None
    old = kept.recipe.site()
    made = kept.recipe.workpiece.pusher(part.pusher)
    turn = math.pi / 6 * min(hours_between(made.hour, pusher.hour), 3.0)
    beside = old.radius(made.hour) * math.sin(turn)
    z, drawn = lever_z(at.site, pusher), lever_z(old, made)
    if isinstance(part, PusherSlot):
        room = {"beside": (part.width - PEG) / 2 - beside, "below": part.below - (drawn - z) - 0.3}
    else:
        room = {
            "beside": FAR_SIDE - beside,
            "below" if z < drawn else "above": FAR_SIDE - abs(z - drawn),
            "before": made.lever_radius + part.rest_gap - pusher.lever_radius,
            "behind": (pusher.lever_radius - pusher.travel) - (made.lever_radius - made.travel),
        }
    way, least = min(room.items(), key=lambda item: item[1])
    reached = least >= -1e-9
    return ruling(
        "pusher",
        Grade.CLEAR if reached else Grade.STOP,
        f"the pusher '{pusher.name}' at {pusher.hour:g} h is "
        f"{'reached' if reached else f'out of reach, {-least:.2f} mm too far {way}'} "
        f"by {part.label()} at {made.hour:g} h.",
        "" if reached else "another holder",
        least,
        0.0,
        part.label(),
    )
