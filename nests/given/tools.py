"""Tools of the bench, and how well each reads: ± in mm that hold 95 % of readings, from memory; a
maker's data sheet or one's own trials are better."""

from __future__ import annotations

from collections.abc import Mapping

from nests.units import Length

CALIPER = "caliper"
DEPTH_GAUGE = "depth gauge"
BALANCE = "letter balance"
EYE = "eye"
TOOLS: Mapping[str, Length | None] = {
    CALIPER: 0.02,
    "micrometer": 0.005,
    DEPTH_GAUGE: 0.02,
    "dial gauge": 0.01,
    "pin gauge": 0.01,
    "measuring loupe": 0.03,
    "pivot gauge": 0.01,
    "steel rule": 0.2,
    BALANCE: None,
    EYE: None,
}
"""What may be named, and its ±; None for what reads no length."""
