"""Undersides that are too long for what carries them, by the printer card."""

from __future__ import annotations

import math

from nests.given.printer_card import PrinterCard
from nests.layers.carriage import Carriage
from nests.layers.overhang import Overhang
from nests.units import Length

ROUNDING = 0.01
"""mm by which an underside may exceed its limit: rounding of a drawing."""
BRIDGE = 4.0
"""A level underside held at both ends may be this many times as long as one held at one end;
common practice, no source."""


def run(group: tuple[Overhang, ...]) -> Length:
    """Level run in mm of overhangs of one place: that of all layers, if held at one side.

    A leaning face goes out a little in each layer. An arch that closes in a bridge is held at
    two sides, and counts by what it bridges.
    """
    if any(each.carried is not Carriage.CANTILEVER for each in group):
        return max(each.span for each in group)
    longest: dict[int, Length] = {}
    for each in group:
        longest[each.layer] = max(each.span, longest.get(each.layer, 0.0))
    return math.fsum(longest.values())


def worst(group: tuple[Overhang, ...]) -> Overhang:
    """The overhang of a place with the longest span, by which it is judged."""
    return max(group, key=lambda each: each.span)


def longest(group: tuple[Overhang, ...], card: PrinterCard) -> Length:
    """How long the card lets the overhangs of one place be, by how they are carried."""
    bridged = worst(group).carried is Carriage.BRIDGE
    return card.longest_underside * (BRIDGE if bridged else 1.0)


def too_long(group: tuple[Overhang, ...], card: PrinterCard) -> bool:
    """Whether overhangs of one place run farther than they carry; islands are told apart."""
    return (
        worst(group).carried is not Carriage.ISLAND and run(group) > longest(group, card) + ROUNDING
    )
