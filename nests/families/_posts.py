"""Where posts stand, of which kind, and how wide: under pressed arbors first, then under rests."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from manifold3d import CrossSection

from nests.operation import EVERY_HAND, Operation
from nests.parts.base import Site
from nests.parts.stake_post import StakePost
from nests.places import Place, at_hour
from nests.sheet import Disc, Polygon, Rest, Ring, Sector, Sheet
from nests.solid import area
from nests.units import BadInput, Length


def pressed_arbors(sheet: Sheet, operation: Operation | None) -> dict[str, float]:
    """Force in N on each arbor that is pressed, in the order of the sheet."""
    carrying = [a.name for a in sheet.arbors if a.carries]
    out: dict[str, float] = {}
    for press in EVERY_HAND if operation is None else operation.presses:
        for name in carrying if press.arbor == "every hand" else [sheet.arbor(press.arbor).name]:
            out[name] = max(press.force, out.get(name, 0.0))
    return {a.name: out[a.name] for a in sheet.arbors if a.name in out}


def spots(rest: Rest) -> tuple[Place, ...]:
    """Where posts may stand under a rest: its middle, or three places on a ring."""
    zone = rest.zone
    if isinstance(zone, Disc):
        return (zone.centre,)
    if isinstance(zone, Ring):
        radius = (zone.outer + zone.inner) / 4
        return tuple(
            Place(zone.centre.x + p.x, zone.centre.y + p.y)
            for p in (at_hour(h, radius) for h in (1.0, 5.0, 9.0))
        )
    if isinstance(zone, Sector):
        span = (zone.to_hour - zone.from_hour) % 12.0 or 12.0
        return (at_hour(zone.from_hour + span / 2, (zone.outer + zone.inner) / 2),)
    assert isinstance(zone, Polygon)
    count = len(zone.corners)
    return (Place(sum(c.x for c in zone.corners) / count, sum(c.y for c in zone.corners) / count),)


def room_at(rest: Rest, at: Place, site: Site) -> Length:
    """⌀ of the largest disc about `at` inside a rest, by shrinking the rest until it is gone."""
    plan = area(rest.zone, site.frame, site.chord)
    here = site.frame.place(at)
    dot = CrossSection.circle(0.01, 8).translate((here.x, here.y))
    low, high = 0.0, 20.0
    for _ in range(12):
        half = (low + high) / 2
        grown = dot.offset(half, circular_segments=32)
        low, high = (half, high) if (grown - plan).area() < 1e-6 else (low, half)
    return 2 * low


def apart(place: Place, others: Sequence[tuple[Place, Length]], gap: Length) -> Length:
    """Widest ⌀ a post at `place` may have beside others, each (place, ⌀)."""
    return min((2 * (place.distance(p) - d / 2 - gap) for p, d in others), default=math.inf)


def jewel_posts(
    sheet: Sheet, site: Site, forces: dict[str, float], pin_above: float
) -> tuple[list[StakePost], list[str]]:
    """A post under every pressed arbor, and the reasons for its kind.

    A printed post up to `pin_above` N; above it a metal pin set to height, because a printed post
    that is one layer short carries nothing.
    """
    down, card = site.side_down, site.card
    out: list[StakePost] = []
    reasons: list[str] = []
    places = {name: sheet.arbor(name).at for name in forces}
    for name, force in forces.items():
        jewel = sheet.arbor(name).jewel(down)
        if jewel is None:
            raise BadInput(
                f"the arbor '{name}' is pressed, but the sheet has no jewel for it on the "
                f"{down.value} side; measure its ⌀ and height."
            )
        nearest = min(
            (places[name].distance(p) for n, p in places.items() if n != name), default=math.inf
        )
        tip = round(min(1.6, max(jewel.diameter - 0.1, 0.4)), 3)
        slot = max(jewel.pivot_diameter + 0.2, card.smallest_gap) if jewel.pivot_protrusion else 0.0
        metal = force > pin_above or tip - slot < 2 * card.smallest_line + 0.01
        insert = round(min(1.5, tip), 3)
        head = insert + 2 * card.smallest_wall + 0.15 if metal else max(tip, card.smallest_pin)
        widest = nearest - card.smallest_gap
        if widest < head:
            raise BadInput(
                f"the arbor '{name}' is {nearest:.2f} mm from the next pressed one; two "
                f"posts of {head:.2f} mm ⌀ do not fit."
            )
        shank = round(min(max(3.0, head + 0.8), widest), 3)
        kind: Literal["pin", "printed"] = "pin" if metal else "printed"
        out.append(
            StakePost(
                under=name,
                kind=kind,
                tip=tip,
                insert=insert,
                shank=shank,
                weep_hour=round(sheet.arbor(name).at.hour, 2),
            )
        )
        why = (
            f"above {pin_above:g} N a printed post that is one layer short carries nothing"
            if force > pin_above
            else "the jewel leaves no printed tip beside its pivot"
            if metal
            else f"up to {pin_above:g} N a printed tip will do"
        )
        drilled = (
            f"; drill its end {jewel.pivot_diameter + 0.2:.2f} mm for the pivot"
            if metal and jewel.pivot_protrusion
            else ""
        )
        reasons.append(f"{name}: {force:g} N pressed, {kind} post, because {why}{drilled}.")
    return out, reasons


def rest_posts(
    sheet: Sheet, site: Site, beside: Sequence[StakePost], inside: Length, most: int = 6
) -> list[StakePost]:
    """Printed posts under rests that lie clear of the ledge, of keep-clears and of other posts."""
    others = [(sheet.arbor(p.under).at, p.shank) for p in beside]
    keep = [
        area(k.zone, site.frame, site.chord) for k in sheet.keep_clear if k.side is site.side_down
    ]
    out: list[StakePost] = []
    for rest in sheet.rests:
        if rest.side is not site.side_down:
            continue
        for at in spots(rest):
            here = site.frame.place(at)
            room = min(
                room_at(rest, at, site) - 0.2,
                2.5,
                apart(at, others, site.card.smallest_gap),
                2 * (inside - at.radius),
            )
            disc = CrossSection.circle(max(room, 0.1) / 2 + 0.2, 32).translate((here.x, here.y))
            if room < site.card.smallest_pin or any((disc ^ k).area() > 0 for k in keep):
                continue
            wide = round(room, 2)
            middle = None if isinstance(rest.zone, Disc) else at
            out.append(StakePost(under=rest.name, at=middle, tip=wide, shank=wide))
            others.append((at, wide))
            if len(out) == most:
                return out
    return out
