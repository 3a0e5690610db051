"""Pushers: levers inside the workpiece, at its edge, each in its own place, with a possible way.

A lever may lie anywhere between the highest points of both sides: in an integrated chronograph it
often lies beyond the rim.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from nests.consistency._looked import HAIR, MEMORY, Looked
from nests.finding import PRACTICE, Finding
from nests.given.sheet import Pusher
from nests.places import at_hour
from nests.units import Length, dial_hour

OUTSIDE: Length = 2.0
"""mm a lever is met outside the edge at most; from memory."""
INSIDE = 0.25
"""Share of the way to the edge at which a lever is met at least; common practice, no source."""
PEG: Length = 1.2
"""mm ⌀ of the thinnest peg a lever is worked with by hand; from memory."""


def look(looked: Looked) -> Iterator[Finding]:
    """Every pusher, with the others and with the stem."""
    for pusher in looked.sheet.pushers:
        name = f"the pusher '{pusher.name}'"
        yield from _place(looked, name, pusher)
        yield from _way(looked, name, pusher)
        yield from _at_the_stem(looked, name, pusher)
    for one, two in combinations(looked.sheet.pushers, 2):
        first, second = (at_hour(p.hour, p.lever_radius) for p in (one, two))
        apart, above = first.distance(second), abs(one.depth - two.depth)
        if apart < PEG and above < PEG:
            yield looked.stop(
                f"the pushers '{one.name}' and '{two.name}': hour is {dial_hour(one.hour)} and "
                f"{dial_hour(two.hour)} h, so their levers are met {apart:.2f} mm apart and "
                f"{above:.2f} mm "
                f"above one another; {PEG:g} mm or more is allowed ({MEMORY}).",
                origin=MEMORY, value=apart, limit=PEG,
            )  # fmt: skip


def _place(looked: Looked, name: str, pusher: Pusher) -> Iterator[Finding]:
    sheet, edge = looked.sheet, looked.site.radius(pusher.hour)
    low, high = -sheet.dial_height, sheet.rim + sheet.bridge_height
    if not low - HAIR <= pusher.depth <= high + HAIR:
        yield looked.stop(
            f"{name}: depth is {pusher.depth:g} mm; the workpiece reaches from {low:g} to "
            f"{high:g} mm below the dial-side rim face.",
            value=pusher.depth, limit=high if pusher.depth > high else low,
        )  # fmt: skip
    least, most = INSIDE * edge, edge + OUTSIDE
    if not least <= pusher.lever_radius <= most:
        origin = MEMORY if pusher.lever_radius > most else PRACTICE
        yield looked.stop(
            f"{name}: lever_radius is {pusher.lever_radius:g} mm; the edge lies at {edge:.2f} mm "
            f"there, and {least:.2f} to {most:.2f} mm is allowed ({origin}).",
            origin=origin, value=pusher.lever_radius,
            limit=most if pusher.lever_radius > most else least,
        )  # fmt: skip


def _way(looked: Looked, name: str, pusher: Pusher) -> Iterator[Finding]:
    if pusher.travel >= pusher.lever_radius:
        yield looked.stop(
            f"{name}: travel is {pusher.travel:g} mm; the lever is met {pusher.lever_radius:g} mm "
            "from the axis and would be driven past it.",
            value=pusher.travel, limit=pusher.lever_radius,
        )  # fmt: skip
    if pusher.stop is None:
        return
    if pusher.stop < pusher.travel - HAIR:
        yield looked.stop(
            f"{name}: stop is {pusher.stop:g} mm; the lever works over a travel of "
            f"{pusher.travel:g} mm first, so that or more is allowed.",
            value=pusher.stop, limit=pusher.travel,
        )  # fmt: skip
    elif pusher.stop >= pusher.lever_radius:
        yield looked.stop(
            f"{name}: stop is {pusher.stop:g} mm; the lever is met {pusher.lever_radius:g} mm from "
            "the axis and would be driven past it.",
            value=pusher.stop, limit=pusher.lever_radius,
        )  # fmt: skip


def _at_the_stem(looked: Looked, name: str, pusher: Pusher) -> Iterator[Finding]:
    """A lever behind the stem cannot be met beside it; one in its line is worked by the crown."""
    stem = looked.sheet.stem
    if stem is None or looked.sheet.through_the_crown(pusher):
        return
    edge = looked.site.radius(pusher.hour)
    apart = at_hour(stem.hour, edge).distance(at_hour(pusher.hour, edge))
    if apart < stem.diameter / 2 and abs(stem.depth - pusher.depth) < stem.diameter / 2:
        yield looked.stop(
            f"{name}: hour is {dial_hour(pusher.hour)} h, {apart:.2f} mm beside the stem's axis "
            "at the edge "
            f"and as deep; with stem.diameter {stem.diameter:g} mm the stem fills that place, and "
            f"{stem.diameter / 2:g} mm or more is allowed.",
            value=apart, limit=stem.diameter / 2,
        )  # fmt: skip
