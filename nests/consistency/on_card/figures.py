"""Figures of a printer card against each other."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import fields

from nests.consistency._names import fault
from nests.consistency._operation import mend, stop, unknown
from nests.finding import Finding
from nests.given.printer_card import UNKNOWN, PrinterCard

AGAIN = "measure again, or take it from the gauge plate"
AT_LEAST = (
    ("smallest_wall", "pixel", "nothing finer than a pixel is printed"),
    ("smallest_gap", "pixel", "nothing finer than a pixel is printed"),
    ("smallest_hole", "pixel", "nothing finer than a pixel is printed"),
    ("smallest_pin", "pixel", "nothing finer than a pixel is printed"),
    ("smallest_line", "pixel", "nothing finer than a pixel is printed"),
    ("smallest_wall", "layer", "a level wall is a layer at least"),
    ("smallest_gap", "layer", "a level gap is a layer at least"),
    ("smallest_drain", "smallest_hole", "what drains is a hole that stays open"),
    ("smallest_gap", "scatter", "a gap that may come out closed does not stay open"),
    ("smallest_wall", "scatter", "a wall that may not come out does not stand"),
)
"""(field, field it must reach, why)."""
BY_FIGURE = ("origins", "uncertainties", "readings", "correlations")
"""What is said of figures by their names."""


def look(card: PrinterCard) -> Iterator[Finding]:
    """Every pair of figures that bound each other, and the words."""
    if why := fault(card.name):
        yield stop(f"the printer card: name {why}.", "rename it")
    for field, other, why in AT_LEAST:
        value, least = getattr(card, field), getattr(card, other)
        if value < least:
            yield stop(
                f"{card.name}: {field} is {value:g} mm; {why}, so {least:g} mm ({other}) or more "
                "is allowed.",
                AGAIN,
            )
    yield from _bias(card)
    yield from _foot(card)
    plate = card.build_x * card.build_y
    if card.largest_peel > plate:
        yield mend(
            f"{card.name}: largest_peel is {card.largest_peel:g} mm²; the plate of build_x "
            f"{card.build_x:g} by build_y {card.build_y:g} mm has {plate:g} mm², and a layer no "
            "more, so that nothing is limited.",
            AGAIN,
        )
    if card.resin_price is not None and not card.currency.strip():
        yield stop(
            f"{card.name}: resin_price is {card.resin_price:g} per litre, but currency is "
            f"'{card.currency}'; a price needs one.",
            "name the currency",
        )
    if card.resin_price is None and card.currency:
        yield unknown(
            f"{card.name}: currency is '{card.currency}', but no resin_price is given, so no cost "
            "is worked out.",
            "give resin_price",
        )
    yield from _by_figure(card)


def _by_figure(card: PrinterCard) -> Iterator[Finding]:
    """What is said of figures by their names: the names, and what can be said."""
    figures = {each.name for each in fields(card)} - set(BY_FIGURE)
    for of in BY_FIGURE:
        for name in sorted(getattr(card, of)):
            if name not in figures:
                yield stop(
                    f"{card.name}: {of} holds '{name}', which is no figure of the card; "
                    f"names of its figures are allowed, such as '{_nearest(name, figures)}'.",
                    "name the figure as on the card",
                )
    for of, low, high in (
        ("uncertainties", 0.0, math.inf),
        ("readings", 1, math.inf),
        ("correlations", -1.0, 1.0),
    ):
        for name, value in sorted(getattr(card, of).items()):
            if not low <= value <= high:
                span = f"{low:g} or more" if high == math.inf else f"{low:g} to {high:g}"
                yield stop(f"{card.name}: {of} of '{name}' is {value:g}; allowed is {span}.", AGAIN)
    for name in sorted(card.origins):
        if name in figures and card.origins[name].startswith(UNKNOWN):
            value = getattr(card, name)
            counted = f"; it is counted as {value:g}" if isinstance(value, float) else ""
            what = card.origins[name].removeprefix(UNKNOWN).strip(" :;,") or AGAIN
            yield unknown(f"{card.name}: {name} is not known{counted}.", what)


def _bias(card: PrinterCard) -> Iterator[Finding]:
    """What is drawn at the smallest size must come out, and come out of something drawn."""
    for field, size, what in (
        ("inside_bias", "smallest_hole", "bore"),
        ("outside_bias", "smallest_pin", "pin"),
    ):
        bias, least = getattr(card, field), getattr(card, size)
        slope = getattr(card, f"{field}_slope") * least
        if abs(bias + slope) >= least:
            yield stop(
                f"{card.name}: {field} is {bias:g} mm; it must be less than {size}, {least:g} mm, "
                f"either way, or such a {what} is nothing.",
                AGAIN,
            )


def _foot(card: PrinterCard) -> Iterator[Finding]:
    if card.foot_spread > 0.0 and card.foot_height < card.layer:
        yield stop(
            f"{card.name}: foot_height is {card.foot_height:g} mm, less than a layer of "
            f"{card.layer:g} mm, but foot_spread is {card.foot_spread:g} mm; at least one layer "
            "spreads.",
            "give foot_spread 0, or the height of the layers that spread",
        )


def _nearest(name: str, known: set[str]) -> str:
    from difflib import get_close_matches

    return (get_close_matches(name, sorted(known), 1, 0.0) or sorted(known))[0]
