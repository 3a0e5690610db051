"""Figures, places and counts as a report words them."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from nests.parts.site import Site


def figure(value: float) -> str:
    """Four significant digits, never with an exponent; 0 below a millionth."""
    return format(Decimal(f"{round(value, 6):.4g}") + 0, "f")


def counted(number: int, noun: str) -> str:
    """A number and its noun, which takes an s unless there is one."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def sentence(text: str) -> str:
    """The text with a capital at its beginning."""
    return f"{text[:1].upper()}{text[1:]}"


def remarks(text: str) -> str:
    """Remarks of a document as sentences that follow others: a blank, a capital, a full stop."""
    text = text.strip()
    return f" {sentence(text)}{'' if text[-1] in '.!?' else '.'}" if text else ""


def spot(site: Site, point: Sequence[float]) -> str:
    """Where on the dial a point (x, y, ...) of the holder lies: an hour and mm from the axis."""
    return site.spot(point)
