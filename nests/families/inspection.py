"""Inspection: held by clips over the rim, a window below, and safe to turn over.

Clips may touch rests only, so the sheet must have a rest at the rim on the side that looks up.
A clip is hooked over as far as the workpiece can shift and a little more, and the floor lies so
deep that its finger is long enough to bend that far again and again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from manifold3d import CrossSection

from nests.compose import refuse_wrong_kind
from nests.families._common import (
    CommonWish,
    asked,
    body,
    marks,
    play_of,
    rim_plan,
    ring_seat,
    stem_slot,
    vents,
)
from nests.families._room import distance_off, inset, spared
from nests.finding import refuse
from nests.operation import Operation
from nests.parts.base import Part, Site
from nests.parts.body import Body
from nests.parts.clip import HEAD_ROOM, Clip
from nests.parts.swing_tab import SwingTab
from nests.parts.window import Window
from nests.places import Side, hours_between
from nests.printer_card import PrinterCard
from nests.recipe import Recipe
from nests.sheet import Round, Sheet
from nests.units import Hour, Length, quantity, said
from nests.workpiece import allowance, rim_zone
from nests.workpiece import rim_plan as rim_face

SPARE_GRIP: Length = 0.25
"""mm a hook reaches over the rim when all play is against it; from memory."""
SPARE_STRAIN = 0.9
"""Share of the card's strain limit that a finger uses."""
THICKEST_TAB: Length = 4.0
"""mm; the largest thickness a swing tab takes."""


@dataclass(frozen=True, kw_only=True)
class Wish(CommonWish):
    """Options of the inspection family."""

    side_up: Literal["dial", "bridge"] | None = said("side that looks up", None)
    hold: Literal["clip", "swing tab"] = said("what holds the rim", "clip")
    holds: int = quantity("", 3, 2, 6, "how many of them")
    window: float = quantity("", 0.6, 0.1, 0.85, "⌀ of the window as a share of the workpiece's ⌀")


def rim_rests(site: Site, over: Length, width: Length, play: Length) -> list[Hour]:
    """Hours, every quarter, at which `width` mm of the upper rim's edge may be touched `over` mm
    inward, and nothing that stands there is to be spared."""
    zone = rim_zone(site, site.side_up)
    if zone is None:
        return []
    face, spare, off = rim_face(site, site.side_up), inset(site, play), distance_off(site, play)
    upper = site.seat + site.sheet.rim
    high = [each for each in spared(site) if each.high > upper - off]
    out = []
    for quarter in range(48):
        hour = quarter / 4
        edge, angle = site.radius(hour) + site.sheet.edge(site.side_up)[0], site.frame.angle(hour)
        nose = _block(angle, edge - over, edge + over, width)
        on_rest = ((_grown(nose, spare) ^ face) - zone).area() < 1e-4
        if on_rest and all((_grown(nose, off) ^ each.plan).is_empty() for each in high):
            out.append(hour)
    return out


def _block(angle: float, inner: Length, outer: Length, width: Length) -> CrossSection:
    flat = CrossSection.square((outer - inner, width)).translate((inner, -width / 2))
    return flat.rotate(math.degrees(angle))


def _grown(plan: CrossSection, out: Length) -> CrossSection:
    return plan.offset(out, circular_segments=32)


def _hold(site: Site, wish: Wish) -> Clip | SwingTab:
    """A clip that still reaches over the rim when all play is against it, or a tab so thick that
    the holder can be laid down turned over."""
    if wish.hold == "clip":
        spare = allowance(site, play_of(site, wish)).sideways
        return Clip(at=0.0, grip=round(spare + SPARE_GRIP, 3))
    above = site.sheet.height(site.side_up) + HEAD_ROOM
    return SwingTab(at=0.0, thickness=min(max(SwingTab.thickness, above), THICKEST_TAB))


def _deep_enough(site: Site, clip: Clip, wish: Wish) -> Body:
    """The body with so much room under that a finger may be bent out of the way again and again.

    Strain falls with the square of the length: L² = L₁²·ε₁/ε.
    """
    beam = clip.beam(site)
    bent = clip.bend(site) + allowance(site, play_of(site, wish)).sideways
    limit = SPARE_STRAIN * site.card.strain_limit
    longer = beam.length * math.sqrt(max(beam.strain(bent) / limit, 1.0)) - beam.length
    return replace(site.body, under=round(site.body.under + longer, 3))


def recipe(sheet: Sheet, operation: Operation | None, wish: Wish, card: PrinterCard) -> Recipe:
    """Write the recipe."""
    refuse_wrong_kind("movement holder", sheet)
    if not isinstance(sheet.outline, Round):
        raise refuse(
            "kind",
            f"'{sheet.name}' is not round; this family holds a round rim.",
            "use the family 'shaped'",
        )
    up = Side(wish.side_up) if wish.side_up else operation.side_up if operation else Side.BRIDGE
    base = body(sheet, up, wish)
    holds_it = asked(operation, up, "looking")
    blank = Recipe(
        name=f"{sheet.name} inspection {up.value} up",
        family="inspection",
        workpiece=sheet,
        operation=holds_it if operation else replace(holds_it, turned_over=True),
        printer=card,
        body=base,
        chord_error=wish.chord_error,
    )
    hold = _hold(blank.site(), wish)
    if isinstance(hold, Clip):
        blank = replace(blank, body=_deep_enough(blank.site(), hold, wish))
    site, plan = blank.site(), rim_plan(sheet)
    parts: list[Part] = []
    across = min(
        wish.window * sheet.outline.diameter, sheet.outline.diameter - 2 * wish.ledge - 2.0
    )
    parts.append(
        Window(
            diameter=round(across, 2),
            vent=6.0,
            groove=min(2.0, 2 * (base.floor - card.smallest_wall - 0.05) / site.rise),
        )
    )
    parts += stem_slot(plan, sheet)
    over = hold.grip if isinstance(hold, Clip) else hold.over
    allowed = rim_rests(site, over, hold.width, play_of(site, wish))
    hours: list[Hour] = []
    width = 6.0 if wish.hold == "clip" else 7.0
    for index in range(wish.holds):
        near = (12.0 * index / wish.holds + 1.0) % 12.0
        free = [h for h in allowed if plan.is_free(h, width)]
        if free:
            hours.append(min((hours_between(h, near), h) for h in free)[1])
            plan.take(hours[-1], width)
    if len(hours) < 2:
        raise refuse(
            "hold",
            f"'{sheet.name}' has {len(hours)} places on its {up.value} side where a "
            "rest reaches the rim's edge; two at least must be held to turn it over.",
            "measure rests at the rim on that side",
        )
    # the seat's two drains, six hours apart, as far from what holds the rim as can be
    quarters = [q / 4 for q in range(24)]
    drain = max(quarters, key=lambda q: min(min((q - h) % 6, (h - q) % 6) for h in hours))
    seat = replace(ring_seat(site, wish), drain_hour=drain)
    parts = [seat, *parts]
    parts += [replace(hold, at=h) for h in sorted(hours)]
    parts += vents(site, [(h, width) for h in hours])
    parts += marks(plan, site, "movement", sheet, up, blank.operation.name)
    return replace(
        blank,
        parts=tuple(parts),
        reasons=(f"held at {', '.join(f'{h:g} h' for h in sorted(hours))} on rests.",),
    )
