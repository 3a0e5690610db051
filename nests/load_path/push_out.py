"""The force at which a jewel slides in its hole.

No published figures exist for jewels of watches: it is measured, or Lamé's for the interference of
the sheet, or a holding stress from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from nests.given.sheet import Jewel, PlateStock
from nests.mechanics.press_fit import PressFit
from nests.units import Length

RUBY_MODULUS = 380_000.0
"""MPa, alumina 99.9 % as a proxy for ruby: Callister, Materials Science and Engineering, App. B."""
RUBY_POISSON = 0.22
"""Alumina, from memory."""
BRASS_YIELD = 124.0
"""MPa, brass C36000, the lower end of 124 to 310, property page."""
FRICTION = 0.15
"""Ruby in brass, dry; from memory."""
HOLDING_STRESS = 10.0
"""MPa on the flank of a jewel of which nothing else is known; from memory, low on purpose."""
NEVER = 1e6
"""N that no press reaches: what is one piece with the stock does not slide in it."""
BUSH = "a bush is the stock itself, as the sheet says"
USUAL_THICKNESS: Length = 0.25
"""mm of a jewel, from memory: 0.15 to 0.40 is common practice, no source."""


@dataclass(frozen=True)
class PushOut:
    """Force in N that moves a jewel in its hole, how known, and what to do to know it better."""

    force: float
    origin: str
    remedy: str = ""


def push_out(jewel: Jewel, stock: PlateStock, margin: Length) -> PushOut:
    """Push-out force of a jewel whose middle lies `margin` mm from the nearest edge of the stock;
    `NEVER` for a bush, which is bored in the stock and not pressed into it.

    Lamé's pressure is capped where brass begins to yield, which is on the safe side for holding.
    """
    if jewel.bush:
        return PushOut(NEVER, BUSH)
    if jewel.push_out_force is not None:
        return PushOut(jewel.push_out_force, "measured on this jewel")
    long = jewel.thickness or USUAL_THICKNESS
    guess = "" if jewel.thickness else f", {USUAL_THICKNESS:g} mm thick from memory"
    measure = "push a jewel of this kind out of a scrap plate on a scale and enter push_out_force"
    if jewel.interference is None:
        force = HOLDING_STRESS * math.pi * jewel.diameter * long
        return PushOut(force, f"{HOLDING_STRESS:g} MPa on its flank from memory{guess}", measure)
    fit = PressFit(
        interference=jewel.interference,
        bore=jewel.diameter,
        outer=max(2.0 * margin, 1.5 * jewel.diameter),
        length=long,
        friction=FRICTION,
        modulus=stock.modulus,
        poisson=stock.poisson,
        pin_modulus=RUBY_MODULUS,
        pin_poisson=RUBY_POISSON,
        yield_strength=BRASS_YIELD,
        hollow=min(jewel.pivot_diameter, 0.9 * jewel.diameter),
    )
    capped = f", capped where brass yields at {BRASS_YIELD:g} MPa" if fit.yields else ""
    return PushOut(
        fit.push_out_force,
        f"Lamé for {jewel.interference * 1000:g} µm of interference{capped}; friction "
        f"{FRICTION:g} from memory{guess}",
        measure,
    )
