"""What a post bears: strength, buckling and bearing under a force, and creep under what stays.

The families choose by these and the check `post` judges by them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.mechanics.column import (
    Section,
    bearing_pressure,
    euler_load,
    johnson_load,
    long_term,
)
from nests.parts.post import METAL, Post
from nests.parts.site import Site
from nests.places import Side
from nests.units import GRAVITY

BRASS_YIELD = 124.0
"""MPa, brass C36000, the lower end of 124 to 310, property page."""
STEEL_YIELD = 400.0
"""MPa, hard drawn steel wire or rod, on the low side; from memory."""
PLASTIC = 20_000.0
"""MPa of Young's modulus below which a stock is of plastic; metals have 40 000 and more."""
PLASTIC_YIELD = 50.0
"""MPa, plates of quartz movements of polycarbonate or acetal; from memory."""
MARKS = 0.5
"""Share of its yield strength at which a pressed finish begins to show a mark; from memory."""
RUBY_BEARS = 2000.0
"""MPa of compression on a jewel's face; alumina, from memory."""
SAFETY = 2.0
"""Times a column must hold what presses it before it bends aside; common practice, no source."""
SINKS = 1.0
"""µm by which a post may shorten under what stays on it; from memory."""
BRASS = "brass C36000, property page"
STEEL = "hard drawn steel, from memory"
COLUMN = (
    "Johnson and Euler, free at its top on a foot that turns (Timoshenko and Gere), against half "
    "of Euler's load, common practice"
)
INSERT = "Johnson and Euler, free at its top; half of what it holds, common practice"


@dataclass(frozen=True)
class Limit:
    """Something a post does under a force: a word for it, its value, how much is let pass."""

    what: str
    value: float
    limit: float
    unit: str
    origin: str


@dataclass(frozen=True)
class Borne:
    """What a force does to a post: stress in the resin and pressure of the tip in MPa, the force in
    N it holds and what it would do beyond, tip area in mm², whether its insert must be of steel."""

    limits: tuple[Limit, ...]
    stress: float
    strength: float
    bears: float
    holds: float
    gives: str
    area: float
    steel: bool

    @property
    def gravest(self) -> Limit:
        """What comes nearest to its limit, or farthest beyond it."""
        return max(self.limits, key=lambda each: each.value / each.limit)

    @property
    def fails(self) -> bool:
        """Whether any limit is passed."""
        return self.gravest.value > self.gravest.limit


def borne(post: Post, site: Site, force: float) -> Borne:
    """What a force in N does to a post."""
    standing, card = post.standing(site), site.card
    metal = [s for s in standing.above if s.modulus == METAL]
    strength = card.modulus * card.strain_limit
    contact = post.contacts(site)[0]
    narrow = standing.narrowest
    if post.kind == "printed":
        narrow = min(narrow, contact.area)
    stress, squash = force / narrow, narrow * strength
    euler = standing.buckling_load
    # by Johnson's parabola, where that is the lesser, it is crushed and does not buckle
    bears, most, why = _bearing(post, site, force, contact.area)
    # the resin's strength is what it bears again and again: no more safety is asked of that
    limits = [
        Limit("is pressed", stress, strength, "MPa", _strength_words(card)),
        Limit("nears buckling" if euler / SAFETY < squash / 2 else "is crushed", force,
              johnson_load(squash, euler / SAFETY), "N",
              f"{COLUMN}; {_strength_words(card)}"),
        Limit("bears", bears, most, "MPa", why),
    ]  # fmt: skip
    holds = johnson_load(squash, euler)
    gives = "it would buckle" if euler < squash / 2 else "it would be crushed"
    steel = False
    if metal:
        area = min(s.section.area for s in metal)
        euler = min(euler_load(s) for s in metal)
        steel = force > johnson_load(area * BRASS_YIELD, euler) / SAFETY
        bends = johnson_load(area * (STEEL_YIELD if steel else BRASS_YIELD), euler)
        limits.append(
            Limit("bends", force, bends / SAFETY, "N", f"{INSERT}; {STEEL if steel else BRASS}")
        )
        if bends < holds:
            holds, gives = bends, "its insert would bend"
    held = post.inserted(site)
    if held is not None:
        stays, how = held.holds(card)
        limits.append(Limit("pushes its insert down", force, stays / SAFETY, "N", f"half of {how}"))
    return Borne(tuple(limits), stress, strength, bears, holds, gives, contact.area, steel)


def weight(sheet: Sheet) -> float | None:
    """Weight of the workpiece in N; None where its mass is not known."""
    return None if sheet.mass is None else sheet.mass * GRAVITY


def sinks(post: Post, site: Site, stays: float) -> float:
    """µm by which a post shortens under a load in N that stays for a thousand hours."""
    card = site.card
    slow = post.stiffness(site) * long_term(card.modulus, card.creep_factor) / card.modulus
    return 1000.0 * stays / slow


def serves(post: Post, site: Site, force: float) -> bool:
    """Whether a post bears a force in N, and the weight of the workpiece for long."""
    stays = weight(site.sheet)
    return not borne(post, site, force).fails and (
        stays is None or sinks(post, site, stays) <= SINKS
    )


def _strength_words(card: PrinterCard) -> str:
    return f"modulus times strain limit of the printer card ({card.origin('strain_limit')})"


def _bearing(post: Post, site: Site, force: float, area: float) -> tuple[float, float, str]:
    """Pressure of the tip on the workpiece in MPa, its limit, and where that comes from."""
    pressure = bearing_pressure(force, Section(2.0 * math.sqrt(area / math.pi)))
    sheet, down = site.sheet, site.side_down
    jewels = [each.jewel(down) for each in sheet.arbors if each.name == post.under]
    if any(each is not None and not each.bush for each in jewels):
        return pressure, RUBY_BEARS, "compression of a jewel, alumina, from memory"
    stock = sheet.bridges if down is Side.BRIDGE else sheet.plate
    if stock.modulus < PLASTIC:
        return (
            pressure,
            MARKS * PLASTIC_YIELD,
            f"half of {PLASTIC_YIELD:g} MPa, plastic, from memory",
        )
    return pressure, MARKS * BRASS_YIELD, f"half the yield strength, from memory; {BRASS}"
