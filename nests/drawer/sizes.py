"""What the sizes in the index rule out, before any document is read.

Each line is a rule of `rules_seat`, `rules_support` or `rules_reach` that ends in a `stop`, as far
as the index can tell it: a seat is ruled out only if the rule would stop it however high the
workpiece comes to lie. So nothing is lost that judging would let pass; what is left is judged.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nests.drawer.index import Index, Table
from nests.drawer.rules_seat import LEAST_LEDGE, LOST
from nests.given.operation import Operation
from nests.given.sheet import Sheet
from nests.holder.workpiece import uncertainty
from nests.parts.answers import PEG
from nests.parts.site import Site
from nests.places import Side
from nests.units import Length

HAIR: Length = 1e-3
"""mm by which a size must miss what it needs to be ruled out: the index and the rules add up the
same figures in another order, and areas of outlines are those of polygons."""

Flags = NDArray[np.bool_]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Needs:
    """What a workpiece needs of a seat during an operation, in the holder frame.

    `height` of the side that looks down and `highest` of its jewels and rests, from the rim face;
    `jewels` (n, 4) are the pressed ones: x, y, depth of the face under the rim face, ⌀; `measuring`
    is the uncertainty of those depths. `stem` is (hour, half its ⌀, its underside over the lower
    rim face), `pushers` (n, 4): hour, lever radius, that radius pushed in, and the middle of the
    lever over the lower rim face.
    """

    height: Length
    highest: Length
    measuring: Length
    jewels: Floats
    stem: tuple[float, float, float] | None
    pushers: Floats


def needs(sheet: Sheet, operation: Operation, flat: Site, pressed: tuple[str, ...]) -> Needs:
    """What the workpiece of an operation needs; `flat` is a site of it with that side up."""
    down = operation.side_up.other
    faces = [arbor.jewel(down) for arbor in sheet.arbors]
    heights = [jewel.height for jewel in faces if jewel is not None]
    heights += [rest.height for rest in sheet.rests if rest.side is down]
    jewels = [
        (at.x, at.y, jewel.height, jewel.diameter)
        for name in pressed
        if (jewel := sheet.arbor(name).jewel(down)) is not None
        for at in (flat.frame.place(sheet.arbor(name).at),)
    ]

    def over(depth: Length) -> Length:
        return flat.frame.z(Side.DIAL, -depth) - flat.seat

    stem, found = sheet.stem if operation.stem else None, None
    if stem is not None:
        found = stem.hour, stem.diameter / 2, over(stem.depth) - stem.diameter / 2
    pushers = tuple(  # one through the crown goes where the stem goes
        p for p in sheet.pushers if operation.pushers and not sheet.through_the_crown(p)
    )
    return Needs(
        height=sheet.height(down),
        highest=max(heights, default=0.0),
        measuring=uncertainty(sheet, "/rests", "/arbors"),
        jewels=np.array(jewels, dtype=np.float64).reshape(-1, 4),
        stem=found,
        pushers=np.array(
            [(p.hour, p.lever_radius, p.lever_radius - p.travel, over(p.depth)) for p in pushers],
            dtype=np.float64,
        ).reshape(-1, 4),
    )


def ruled_out(
    index: Index, rows: NDArray[np.int64], across: Floats, is_round: bool, wanted: Needs | None
) -> Flags:
    """Which seats in `rows` cannot take a workpiece whose rim measures `across`, for each row.

    Without `wanted` no more is asked than whether the rim goes in and is carried.
    """
    seats = index.seats[rows]
    both = seats["round"] & is_round
    play = seats["bore"] - across
    out: Flags = (seats["widest"] - across < -HAIR) | (both & (play < -1e-6))
    out |= both & (play > LOST + 1e-6)
    # with two tips and no pad nothing but the ledge carries, at its own height
    level = seats["ledge"] & (seats["tips"] < 3) & ~seats["pads"]
    width = (across - np.where(both, np.maximum(play, 0.0), 0.0) - seats["opening"]) / 2
    out |= level & (width < LEAST_LEDGE - HAIR)
    if wanted is None:
        return out
    out |= level & (seats["room"] < wanted.height - HAIR)
    out |= _unsupported(index, rows, wanted)
    carried = np.where(level, -np.inf, seats["highest"] + wanted.highest)
    floor = seats["level"] - seats["room"]
    highest = np.maximum(np.maximum(seats["level"], floor + wanted.height), carried)
    out |= _stem_stuck(seats, highest, wanted)
    return out | _unreached(index, rows, highest, wanted)


def _unsupported(index: Index, rows: NDArray[np.int64], wanted: Needs) -> Flags:
    """Seats with no tip under a pressed jewel that could be near enough to carry it.

    A screw that is short can be set; the rim lies on the seat's level or higher.
    """
    out = np.zeros(len(rows), dtype=np.bool_)
    for x, y, below, wide in wanted.jewels:
        tips = index.tips
        under = np.hypot(tips["x"] - x, tips["y"] - y) <= wide / 2 + HAIR
        short = tips["below"] - below - (wanted.measuring + tips["doubt"])
        under &= tips["screw"] | (short <= HAIR)
        out |= ~_with(index, tips["seat"][under])[rows]
    return out


def _stem_stuck(seats: Table, highest: Floats, wanted: Needs) -> Flags:
    """Seats whose wall the stem meets, with no slot there for it."""
    if wanted.stem is None:
        return np.zeros(len(seats), dtype=np.bool_)
    hour, half, over = wanted.stem
    low = highest + over
    aside = seats["stem_half"] - half - _beside(seats["stem_reach"], seats["stem_hour"], hour)
    stuck = (aside < -HAIR) | (low < seats["stem_floor"] - HAIR)
    return np.asarray((low < seats["depth"] + seats["level"] - HAIR) & stuck, dtype=np.bool_)


def _unreached(index: Index, rows: NDArray[np.int64], highest: Floats, wanted: Needs) -> Flags:
    """Seats in whose wall a pusher lies that no part reaches; how high is not asked."""
    seats, ways = index.seats[rows], index.ways
    out = np.zeros(len(rows), dtype=np.bool_)
    for hour, radius, pushed, over in wanted.pushers:
        reached = ways["aside"] - _beside(ways["radius"], ways["hour"], hour) >= -HAIR
        reached &= (ways["before"] - radius >= -HAIR) & (pushed - ways["behind"] >= -HAIR)
        walled = highest + over - PEG / 2 < seats["depth"] + seats["level"] - HAIR
        out |= walled & ~_with(index, ways["seat"][reached])[rows]
    return out


def _with(index: Index, seats: NDArray[np.int64]) -> Flags:
    """For every seat whether it is among these."""
    out = np.zeros(len(index.seats), dtype=np.bool_)
    out[seats] = True
    return out


def _beside(radius: Floats, hours: Floats, hour: float) -> Floats:
    """`parts.answers.beside` for many at once."""
    apart = np.abs(hours - hour) % 12.0
    apart = np.minimum(np.minimum(apart, 12.0 - apart), 3.0)
    return np.asarray(radius * np.sin(np.pi / 6 * apart), dtype=np.float64)
