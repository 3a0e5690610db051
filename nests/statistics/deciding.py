"""Does a size conform, as far as it was measured? The decision rule of ISO 14253-1.

Source: ISO 14253-1:2017, *Decision rules for verifying conformity or nonconformity with
specifications*, with the expanded uncertainty U (k = 2) as guard band. The text was not at hand:
public summaries of it say that conformity is shown inside the limits less U, nonconformity outside
the limits plus U, and neither in between.
"""

from __future__ import annotations

from enum import StrEnum

SAME = 1e-9
"""A value so near to a limit, in its own unit, lies on it: the noise of arithmetic."""


class Decision(StrEnum):
    """What is shown by a reading."""

    CONFORMS = "conforms"
    FAILS = "does not conform"
    NEITHER = "neither shown"


def decide(value: float, low: float, high: float, uncertainty: float) -> Decision:
    """What a value shows of the limits `low` to `high`, both allowed, with its expanded uncertainty
    ± `uncertainty`. Raises ValueError for limits or an uncertainty that are none."""
    if not low <= high or not uncertainty >= 0.0:
        raise ValueError(f"limits {low:g} to {high:g}, uncertainty {uncertainty:g}")
    if low + uncertainty - SAME <= value <= high - uncertainty + SAME:
        return Decision.CONFORMS
    if value < low - uncertainty - SAME or value > high + uncertainty + SAME:
        return Decision.FAILS
    return Decision.NEITHER
