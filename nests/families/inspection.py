"""Inspection: held by clips over the rim, a window below, and safe to turn over.

Clips may touch rests only, so the sheet must have a rest at the rim on the side that looks up.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from manifold3d import CrossSection

from nests.compose import refuse_wrong_kind
from nests.families._common import (
    CommonWish,
    asked,
    body,
    marks,
    rim_plan,
    ring_seat,
    stem_slot,
    vents,
)
from nests.finding import refuse
from nests.operation import Operation
from nests.parts.base import Part, Site
from nests.parts.clip import Clip
from nests.parts.swing_tab import SwingTab
from nests.parts.window import Window
from nests.places import Side, at_hour, hours_between
from nests.printer_card import PrinterCard
from nests.recipe import Recipe
from nests.sheet import Round, Sheet
from nests.solid import area
from nests.units import Hour, Length, quantity, said


@dataclass(frozen=True, kw_only=True)
class Wish(CommonWish):
    """Options of the inspection family."""

    side_up: Literal["dial", "bridge"] | None = said("side that looks up", None)
    hold: Literal["clip", "swing tab"] = said("what holds the rim", "clip")
    holds: int = quantity("", 3, 2, 6, "how many of them")
    window: float = quantity("", 0.6, 0.1, 0.85, "⌀ of the window as a share of the workpiece's ⌀")


def rim_rests(sheet: Sheet, site: Site, over: Length) -> list[Hour]:
    """Hours, every quarter, at which a rest on the upper side reaches the rim's edge."""
    rests = [area(r.zone, site.frame, site.chord) for r in sheet.rests if r.side is site.side_up]
    out = []
    for quarter in range(48):
        hour = quarter / 4
        at = site.frame.place(at_hour(hour, site.radius(hour) - over / 2))
        dot = CrossSection.circle(0.05, 8).translate((at.x, at.y))
        if any((dot - rest).is_empty() for rest in rests):
            out.append(hour)
    return out


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
    blank = Recipe(
        name=f"{sheet.name} inspection {up.value} up",
        family="inspection",
        workpiece=sheet,
        operation=asked(operation, up, "looking"),
        printer=card,
        body=base,
        chord_error=wish.chord_error,
    )
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
    allowed = rim_rests(sheet, site, 0.4)
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
    parts.insert(0, replace(ring_seat(sheet, up, wish), drain_hour=drain))
    parts += [Clip(at=h) if wish.hold == "clip" else SwingTab(at=h) for h in sorted(hours)]
    parts += vents(site, [(h, width) for h in hours])
    parts += marks(plan, site, "movement", sheet, up, blank.operation.name)
    return replace(
        blank,
        parts=tuple(parts),
        reasons=(f"held at {', '.join(f'{h:g} h' for h in sorted(hours))} on rests.",),
    )
