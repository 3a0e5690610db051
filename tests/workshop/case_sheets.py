"""Cases nobody tuned: invented but ordinary, drawn by a seed.

Sizes are those of the trade (common practice, no source): round from ⌀ 24 to 46 mm and cushions as
wide, two or four lugs, short or long, level or drooping beyond the back, crowns of 3 to 10 mm at
3 or 4 h, two pushers beside every fourth. Every sixth gives crown and lugs as keep-clears, as a
sheet does that was written before there were fields for them.
"""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

from nests.given.sheet import Button, Crown, Flank, KeepClear, Lug, Pusher, Sheet, Stem
from nests.given.zones import Corner, Outline, Path, Polygon, Round
from nests.places import Place, Side, at_hour

OLD = 6
"""One case in so many gives crown and lugs as keep-clears."""


def case(seed: int) -> Sheet:
    """The case of a seed."""
    rng = Random(seed)
    half = _size(rng.uniform(12.0, 23.0))
    outline, widest = _outline(rng, half)
    rim = _size(rng.uniform(2.4, 5.5))
    dial, bridge = _size(rng.uniform(0.8, 3.5)), _size(rng.uniform(0.8, 3.5))
    spare = _size(rng.uniform(0.15, 0.25) * rim)
    stem = _stem(rng, rim, half, rim + dial + bridge)
    sheet = Sheet(
        name=f"CASE {seed}",
        kind="case",
        outline=outline,
        rim=rim,
        dial_height=dial,
        bridge_height=bridge,
        flank=rng.choice([None, Flank(from_depth=spare, to_depth=rim - spare)]),
        stem=stem,
        lugs=_lugs(rng, half, widest, rim, dial, stem),
        pushers=_pushers(rng, rim, half, stem) if seed % 4 == 1 else (),
        mass=round(rng.uniform(3.0, 7.0) * math.pi * half**2 * (rim + dial + bridge) / 1000.0, 1),
    )
    return _as_before(sheet) if seed % OLD == OLD - 1 else sheet


def _size(value: float) -> float:
    """As calipers show it."""
    return round(value * 20) / 20


def _outline(rng: Random, half: float) -> tuple[Outline, float]:
    """Round, or a cushion: four bulging flanks that meet in corners; and its widest radius."""
    if rng.random() < 0.7:
        return Round(diameter=2 * half), half
    half = min(half, 19.0)
    at, radius = 0.88 * half, rng.uniform(1.6, 2.6) * half
    corners = [(1, 1), (1, -1), (-1, -1), (-1, 1)]
    path = Path(
        corners=tuple(
            Corner(at=Place(_size(x * at), _size(y * at)), radius=_size(radius)) for x, y in corners
        )
    )
    return path, math.sqrt(2.0) * at


def _stem(rng: Random, rim: float, half: float, total: float) -> Stem | None:
    if rng.random() < 0.05:
        return None
    largest = min(10.0, 0.5 * half, total)
    across = _size(rng.uniform(3.0, max(largest, 3.05)))
    out = _size(rng.uniform(1.5, 4.5))
    crown = Crown(diameter=across, home=out) if rng.random() < 0.9 else None
    return Stem(
        hour=rng.choice([3.0, 3.0, 3.0, 4.0]),
        depth=_size(rim / 2),
        diameter=rng.choice([0.9, 1.2, 1.5, 2.0]),
        draw=_size(rng.uniform(0.6, 1.6)),
        crown=crown,
    )


def _lugs(
    rng: Random, half: float, widest: float, rim: float, dial: float, stem: Stem | None
) -> tuple[Lug, ...]:
    """Two broad ones, at 12 and 6 h, or four that point there."""
    reach = _size(rng.uniform(2.5, 5.0) if rng.random() < 0.6 else rng.uniform(5.0, 9.0))
    droop = rng.choice([None, 0.0, _size(rng.uniform(-1.0, 1.0)), _size(rng.uniform(1.0, 5.0))])
    tall = None
    if droop is not None:
        tall = _size(max(0.6, min(rng.uniform(2.0, 6.0), rim + droop + 0.8 * dial)))
    if rng.random() < 0.25:
        wide = _size(rng.uniform(0.5, 0.9) * half)
        return tuple(
            Lug(hour=h, width=wide, reach=reach, droop=droop, thickness=tall) for h in (0.0, 6.0)
        )
    tilt, wide = round(rng.uniform(1.0, 1.35), 2), _size(rng.uniform(2.0, 0.25 * half))
    ends = ((tilt, 12.0), (6 - tilt, 6.0), (6 + tilt, 6.0), (12 - tilt, 12.0))
    return tuple(
        Lug(hour=h, width=wide, reach=reach, towards=t, droop=droop, thickness=tall)
        for h, t in ends
    )


def _pushers(rng: Random, rim: float, half: float, stem: Stem | None) -> tuple[Pusher, ...]:
    """Two, an hour to either side of the stem."""
    if stem is None or half < 16.0:
        return ()
    across = _size(rng.uniform(2.0, 4.0))
    return tuple(
        Pusher(
            name=name,
            hour=stem.hour + apart,
            depth=_size(rim / 2),
            lever_radius=half,
            travel=0.6,
            button=Button(diameter=across, out=_size(rng.uniform(1.5, 3.5))),
        )
        for name, apart in (("start", -1.05), ("reset", 1.05))
    )


def _as_before(sheet: Sheet) -> Sheet:
    """The same, with crown and lugs as keep-clears that reach a little into the outline."""
    keeps = []
    frame = Side.BRIDGE
    for number, lug in enumerate(sheet.lugs, 1):
        low = min(lug.dial_end(sheet.rim), sheet.dial_height)
        high = min(max(lug.droop or 0.0, 0.2 - sheet.rim), sheet.bridge_height)
        far = half_of(sheet.outline) + lug.reach
        zone = _bar(lug.hour, half_of(sheet.outline) - 0.2, far, lug.width)
        keeps.append(
            KeepClear(name=f"ear {number}", side=frame, zone=zone, from_height=-sheet.rim - low,
                      to_height=high)
        )  # fmt: skip
    stem = sheet.stem
    if stem is not None and stem.crown is not None:
        edge, half = half_of(sheet.outline), stem.crown.diameter / 2
        zone = _bar(stem.hour, edge - 0.1, edge + stem.crown_drawn, stem.crown.diameter)
        keeps.append(
            KeepClear(name="crown", side=Side.DIAL, zone=zone,
                      from_height=max(-stem.depth - half, -sheet.rim - sheet.bridge_height),
                      to_height=min(half - stem.depth, sheet.dial_height))
        )  # fmt: skip
    return replace(sheet, lugs=(), stem=None, keep_clear=tuple(keeps), pushers=())


def half_of(outline: Outline) -> float:
    """Radius, or half the width of a cushion at its flanks."""
    if isinstance(outline, Round):
        return outline.diameter / 2
    assert isinstance(outline, Path)
    at, radius = abs(outline.corners[0].at.x), outline.corners[0].radius or 0.0
    return at + radius - math.sqrt(radius**2 - at**2)


def _bar(hour: float, inner: float, outer: float, width: float) -> Polygon:
    c = at_hour(hour, 1.0)
    corners = ((inner, -width / 2), (outer, -width / 2), (outer, width / 2), (inner, width / 2))
    return Polygon(corners=tuple(Place(a * c.x - b * c.y, a * c.y + b * c.x) for a, b in corners))
