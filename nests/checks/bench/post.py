"""Post: is every post strong and stiff enough for what it carries, now and after a thousand hours,
and does none lift the workpiece off its ledge?

A post is judged under the most that the presses can send into it: the whole press under the jewel
that is pressed, for a jewel may slide until its post takes all it lets go; elsewhere what the load
path says, or all of the hardest press where that is not known.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from nests.checks._study import Study
from nests.checks.bench._loads import presses, weight
from nests.compose import Holder
from nests.finding import Finding, Grade
from nests.mechanics.column import (
    Section,
    bearing_pressure,
    johnson_load,
    long_term,
    stepped_euler_load,
)
from nests.parts.base import Site
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import METAL, StakePost
from nests.printer_card import PrinterCard
from nests.units import GRAVITY, BadInput

BRASS_YIELD = 124.0
"""MPa, brass C36000, the lower end of 124 to 310, property page."""
STEEL_YIELD = 400.0
"""MPa, hard drawn steel wire or rod, on the low side; from memory."""
MARKS = 0.5
"""Share of its yield strength at which a pressed finish begins to show a mark; from memory."""
RUBY_BEARS = 2000.0
"""MPa of compression on a jewel's face; alumina, from memory."""
SAFETY = 2.0
"""Times a column must hold what presses it before it bends aside; common practice, no source."""
LONG = "1000 h"
LIFTS = 30.0
"""µm by which a post may lift a workpiece off its ledge; from memory."""
SINKS = 1.0
"""µm by which a post may shorten under what stays on it; from memory."""
BRASS = "brass C36000, property page"
STEEL = "hard drawn steel, from memory"
COLUMN = "Johnson and Euler, free at its top, against half of Euler's load, common practice"
INSERT = "Johnson and Euler, free at its top; half of what it holds, common practice"


@dataclass(frozen=True)
class Limit:
    """Something a post does under a force: a word for it, its value, how much is let pass."""

    what: str
    value: float
    limit: float
    unit: str
    origin: str


def check(study: Study) -> list[Finding]:
    """The gravest of strength, buckling and bearing of each pressed post, creep and lift of all."""
    holder = study.holder
    if holder is None:
        return []
    site = holder.recipe.site()
    posts = [(e.label, e.part) for e in holder.laid if isinstance(e.part, StakePost)]
    if not posts:
        return []
    carried = _most(study, site, posts)
    out = [_judged(label, post, site, carried[label]) for label, post in posts if carried[label]]
    return [*out, *_creep(site, posts), *_lifting(holder, site, posts)]


def _most(study: Study, site: Site, posts: list[tuple[str, StakePost]]) -> dict[str, float]:
    """Most force in N that any press sends into each post, by label."""
    assert study.holder is not None
    forces = {e.arbor: e.force for e in presses(site, study.holder.recipe.operation)}
    hardest = max(forces.values(), default=0.0)
    try:
        paths = study.press_paths
    except BadInput:
        paths = ()
    out = {}
    known = len(paths) == len(forces) and not any(math.isnan(p.path.fit_force) for p in paths)
    for label, post in posts:
        if not known:
            # every support only pushes, so none takes more than the press
            elsewhere = hardest
        else:
            elsewhere = max((p.path.others.get(label, 0.0) for p in paths), default=0.0)
        out[label] = max(forces.get(post.under, 0.0), elsewhere)
    return out


def _judged(label: str, post: StakePost, site: Site, force: float) -> Finding:
    """The gravest of what a force does to a post."""
    column, card = post.column(site), site.card
    resin = [s for s in column if s.modulus == card.modulus]
    metal = [s for s in column if s.modulus == METAL]
    strength = card.modulus * card.strain_limit
    contact = post.contacts(site)[0]
    narrow = min(s.section.area for s in resin)  # of a cone the mean: its tip is narrower
    if post.kind == "printed":
        narrow = min(narrow, contact.area)
    stress, squash = force / narrow, narrow * strength
    euler = stepped_euler_load([*resin, *metal])  # a soft disc is no column
    bears, most, why = _bearing(post, site, force, contact.area)
    # the resin's strength is what it bears again and again: no more safety is asked of that
    limits = [
        Limit("is pressed", stress, strength, "MPa", _strength_words(card)),
        Limit("buckles" if euler / SAFETY < squash else "is pressed",
              force, johnson_load(squash, euler / SAFETY), "N",
              f"{COLUMN}; {_strength_words(card)}"),
        Limit("bears", bears, most, "MPa", why),
    ]  # fmt: skip
    buckling = johnson_load(squash, euler)
    steel = False
    if metal:
        area = min(s.section.area for s in metal)
        euler = stepped_euler_load(metal)
        steel = force > johnson_load(area * BRASS_YIELD, euler) / SAFETY
        bends = johnson_load(area * (STEEL_YIELD if steel else BRASS_YIELD), euler)
        limits.append(
            Limit("bends", force, bends / SAFETY, "N", f"{INSERT}; {STEEL if steel else BRASS}")
        )
        buckling = min(buckling, bends)
    gravest = max(limits, key=lambda each: each.value / each.limit)
    fails = gravest.value > gravest.limit
    return Finding(
        check="post",
        grade=Grade.MEND if fails else Grade.CLEAR,
        says=f"{label} carries at most {force:.1f} N: {stress:.1f} MPa in the resin, which bears "
        f"{strength:.0f} again and again; it would buckle at {buckling:.0f} N; its tip of "
        f"{contact.area:.2f} mm² presses with {bears:.1f} MPa"
        f"{'; its insert must be of steel' if steel else ''}"
        f"{f'; it {gravest.what} too much' if fails else ''}.",
        parts=(label,),
        value=round(gravest.value, 3),
        limit=round(gravest.limit, 3),
        unit=gravest.unit,
        origin=gravest.origin,
        place=contact.place,
        remedy="a wider tip and shank, or a metal pin" if fails else "",
    )


def _strength_words(card: PrinterCard) -> str:
    return f"modulus times strain limit of the printer card ({card.origin('strain_limit')})"


def _bearing(post: StakePost, site: Site, force: float, area: float) -> tuple[float, float, str]:
    """Pressure of the tip on the workpiece in MPa, its limit, and where that comes from."""
    pressure = bearing_pressure(force, Section(2.0 * math.sqrt(area / math.pi)))
    if any(arbor.name == post.under for arbor in site.sheet.arbors):
        return pressure, RUBY_BEARS, "compression of a jewel, alumina, from memory"
    return pressure, MARKS * BRASS_YIELD, f"half the yield strength, from memory; {BRASS}"


def _creep(site: Site, posts: list[tuple[str, StakePost]]) -> Iterator[Finding]:
    """What stays on the posts is the weight of the workpiece; presses do not stay."""
    stays = weight(site.sheet)
    if stays is None:
        return
    card = site.card
    label, softest = min(posts, key=lambda each: each[1].stiffness(site))
    slow = softest.stiffness(site) * long_term(card.modulus, card.creep_factor) / card.modulus
    sinks = 1000.0 * stays / slow
    fails = sinks > SINKS
    yield Finding(
        check="post",
        grade=Grade.MEND if fails else Grade.CLEAR,
        says=f"no press stays; were the {stays / GRAVITY:g} g of the workpiece left on {label} "
        f"alone for {LONG}, it would shorten by {sinks:.2f} µm.",
        parts=(label,),
        value=round(sinks, 4),
        limit=SINKS,
        unit="µm",
        origin=f"creep factor {card.creep_factor:g} of the printer card "
        f"({card.origin('creep_factor')}); 1 µm from memory",
        remedy="take the workpiece out of the holder between jobs" if fails else "",
    )


def _lifting(holder: Holder, site: Site, posts: list[tuple[str, StakePost]]) -> Iterator[Finding]:
    """Posts under rests that lift the rim off a ledge which should carry it.

    One under a pressed jewel may stand proud; how much is for the load path to say.
    """
    ledges = [e.part for e in holder.laid if isinstance(e.part, RingSeat) and not e.part.drop]
    for label, post in posts if ledges else []:
        proud = -1000.0 * post.short
        if proud > LIFTS and any(rest.name == post.under for rest in site.sheet.rests):
            yield Finding(
                check="post",
                grade=Grade.MEND,
                says=f"{label} stands {proud:.0f} µm proud of its rest and lifts the workpiece off "
                "its ledge, so that it lies askew and rocks.",
                parts=(label,),
                value=round(proud, 1),
                limit=LIFTS,
                unit="µm",
                origin="from memory",
                place=post.contacts(site)[0].place,
                remedy="a shorter post, which only catches a bend, or a ledge that only centres",
            )
