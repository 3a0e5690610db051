"""Jewels and the pivots in them: inside the edge, inside the heights, inside each other."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from nests.consistency._looked import HAIR, MEMORY, SPECK, Looked, beyond
from nests.finding import Finding
from nests.given.sheet import COAXIAL, Arbor, Jewel
from nests.places import Side
from nests.units import Length

PRESS_FIT = 0.05
"""Interference over the ⌀ of a jewel that no press fit has; from memory."""
FLANK = 1000.0
"""MPa of push-out force on the flank of a jewel that no stock holds; from memory."""
THINNEST: Length = 0.05
"""mm a jewel is thick at least: the field's own limit, for one of which no thickness is given."""


def look(looked: Looked) -> Iterator[Finding]:
    """Every jewel by itself, with its arbor's others, and with those of other arbors."""
    for arbor in looked.sheet.arbors:
        for jewel in arbor.jewels:
            name = f"the {jewel.side.value}-side {jewel.word} of '{arbor.name}'"
            yield from _heights(looked, name, jewel)
            yield from _pivot(looked, name, jewel)
            yield from _sink(looked, name, jewel)
            yield from _fit(looked, name, jewel)
            yield from _place(looked, name, arbor, jewel)
        yield from _pair(looked, arbor)
    for first, second in combinations(looked.sheet.arbors, 2):
        for one in first.jewels:
            for two in (each for each in second.jewels if each.side is one.side):
                yield from _apart(looked, first, one, second, two)


def _heights(looked: Looked, name: str, jewel: Jewel) -> Iterator[Finding]:
    side, highest, thick = jewel.side, looked.sheet.bare_height(jewel.side), jewel.thickness or 0.0
    if jewel.height > highest + HAIR or jewel.height <= looked.deepest(side) + HAIR:
        yield looked.stop(
            f"{name}: height is {jewel.height:g} mm above the rim face; {looked.span(side)}.",
            value=jewel.height, limit=highest,
        )  # fmt: skip
    elif jewel.height - thick < looked.deepest(side) - HAIR:
        most = jewel.height - looked.deepest(side)
        yield looked.stop(
            f"{name}: thickness is {thick:g} mm; it would come out of the other side, "
            f"{most:g} mm or less is allowed.",
            value=thick, limit=most,
        )  # fmt: skip
    field = "bridges" if side is Side.BRIDGE else "plate"
    stock = getattr(looked.sheet, field).thickness
    if stock is not None and not jewel.bush and thick > stock + 2 * looked.sheet.uncertainty:
        yield looked.mend(
            f"{name}: thickness is {thick:g} mm; {field}.thickness, in which it sits, is "
            f"{stock:g} mm, and only what sits in it holds it.",
            "measure both again, or give the jewel's thickness in its hole",
            value=thick, limit=stock,
        )  # fmt: skip


def _pivot(looked: Looked, name: str, jewel: Jewel) -> Iterator[Finding]:
    pivot, out = jewel.pivot_diameter, jewel.pivot_protrusion
    if pivot >= jewel.diameter:
        yield looked.stop(
            f"{name}: pivot_diameter is {pivot:g} mm; its {jewel.word}'s diameter is "
            f"{jewel.diameter:g} mm, and the pivot is thinner.",
            value=pivot, limit=jewel.diameter,
        )  # fmt: skip
    if out > 0.0 and pivot == 0.0:
        yield looked.stop(
            f"{name}: pivot_protrusion is {out:g} mm, but pivot_diameter is 0, for none that "
            "shows; with no pivot 0 mm is allowed.",
            "measure the ⌀ of the pivot", value=out, limit=0.0,
        )  # fmt: skip
    highest = looked.sheet.bare_height(jewel.side)
    if jewel.height <= highest + HAIR < jewel.height + out:
        yield looked.stop(
            f"{name}: pivot_protrusion is {out:g} mm above a face at {jewel.height:g} mm; the "
            f"{jewel.side.value} side is {highest:g} mm high, so {highest - jewel.height:g} mm or "
            "less is allowed.",
            value=out, limit=highest - jewel.height,
        )  # fmt: skip


def _sink(looked: Looked, name: str, jewel: Jewel) -> Iterator[Finding]:
    sink = jewel.oil_sink
    if sink is not None and sink > jewel.diameter + HAIR:
        yield looked.stop(
            f"{name}: oil_sink is {sink:g} mm; it is in the jewel's face, {jewel.diameter:g} mm or "
            "less is allowed.",
            value=sink, limit=jewel.diameter,
        )  # fmt: skip


def _fit(looked: Looked, name: str, jewel: Jewel) -> Iterator[Finding]:
    for field in ("interference", "push_out_force") if jewel.bush else ():
        if (given := getattr(jewel, field)) is not None:
            yield looked.stop(
                f"{name}: bush is true, yet {field} is {given:g} "
                f"{'mm' if field == 'interference' else 'N'}; a bush is bored in the stock, and "
                "nothing of it can slide; none is allowed.",
                "leave one of the two out: what is pressed in is a jewel here, of whatever stone "
                "or metal",
            )
    if jewel.interference is not None and jewel.interference > PRESS_FIT * jewel.diameter:
        most = PRESS_FIT * jewel.diameter
        yield looked.stop(
            f"{name}: interference is {jewel.interference * 1000:g} µm on a ⌀ of "
            f"{jewel.diameter:g} mm; no hole gives way by more than {most * 1000:.0f} µm "
            f"({MEMORY}).",
            origin=MEMORY, value=jewel.interference, limit=most,
        )  # fmt: skip
    if jewel.push_out_force is not None and jewel.thickness is not None:
        most = FLANK * math.pi * jewel.diameter * jewel.thickness
        if jewel.push_out_force > most:
            yield looked.stop(
                f"{name}: push_out_force is {jewel.push_out_force:g} N; on a flank ⌀ "
                f"{jewel.diameter:g} x {jewel.thickness:g} mm nothing holds more than {most:.0f} N "
                f"({MEMORY}).",
                origin=MEMORY, value=jewel.push_out_force, limit=most, unit="N",
            )  # fmt: skip


def _place(looked: Looked, name: str, arbor: Arbor, jewel: Jewel) -> Iterator[Finding]:
    disc = looked.disc(arbor.at, jewel.diameter)
    out = beyond(disc, looked.plan)
    if out > SPECK and beyond(looked.disc(arbor.at, 0.05), looked.plan) < SPECK:
        yield looked.stop(
            f"{name}: diameter is {jewel.diameter:g} mm at {arbor.at.words()}; {out:.2f} mm² of it "
            "lie outside the outline, and none may.",
            value=out, limit=0.0, unit="mm²",
        )  # fmt: skip
    field = "bridges" if jewel.side is Side.BRIDGE else "plate"
    for number, recess in enumerate(getattr(looked.sheet, field).recesses):
        wide = looked.disc(arbor.at, jewel.diameter + 2 * (looked.sheet.uncertainty + 0.05))
        if recess.thickness == 0.0 and beyond(wide, looked.area(recess.zone)) < SPECK:
            yield looked.stop(
                f"{name}, diameter {jewel.diameter:g} mm, hangs in {field}.recesses[{number}], "
                "which is bored through (thickness 0 mm) all round it; something must hold it."
            )


def _pair(looked: Looked, arbor: Arbor) -> Iterator[Finding]:
    for side in Side:
        own = [each for each in arbor.jewels if each.side is side]
        if len(own) > 2:
            yield looked.stop(
                f"the arbor '{arbor.name}': jewels has {len(own)} on the {side.value} side; one, "
                "and a cap jewel over it, are allowed.",
                "give each arbor its own jewels",
            )
            return
        if len(own) == 2 and (why := _not_a_cap(own[0], own[1])):
            yield looked.stop(
                f"the arbor '{arbor.name}': jewels has two on the {side.value} side, at height "
                f"{own[0].height:g} and {own[1].height:g} mm, {why}; a cap jewel lies over the "
                "other.",
                "measure both heights, or give each arbor its own jewel",
            )
            return
    dial, bridge = arbor.jewel(Side.DIAL), arbor.jewel(Side.BRIDGE)
    if dial is None or bridge is None:
        return
    apart = looked.sheet.rim + dial.height + bridge.height
    thick = (dial.thickness or THINNEST) + (bridge.thickness or THINNEST)
    if apart < thick - HAIR:
        yield looked.stop(
            f"the arbor '{arbor.name}': height is {dial.height:g} mm for the dial-side jewel and "
            f"{bridge.height:g} mm for the other, so their outer faces are {apart:g} mm apart; the "
            f"jewels alone need {thick:g} mm.",
            value=apart, limit=thick,
        )  # fmt: skip


def _not_a_cap(one: Jewel, two: Jewel) -> str:
    """Why two jewels on one side are no hole jewel with its cap; '' if they are."""
    cap, hole = sorted((one, two), key=lambda each: -each.height)
    if cap.height - (cap.thickness or THINNEST) < hole.height - HAIR:
        return "which fill one place"
    if cap.pivot_protrusion:
        return "and a pivot that stands out of the outer one, which would have to be a hole jewel"
    return "one of them a bush" if cap.bush else ""


def _apart(
    looked: Looked, first: Arbor, one: Jewel, second: Arbor, two: Jewel
) -> Iterator[Finding]:
    """Two jewels of one side in one place; on one axis they may lie one above the other."""
    distance = first.at.distance(second.at)
    needed = (one.diameter + two.diameter) / 2
    if distance >= needed - 2 * looked.sheet.uncertainty:
        return
    upper, lower = sorted((one, two), key=lambda each: -each.height)
    if upper.height - (upper.thickness or THINNEST) >= lower.height - HAIR:
        return
    where = "on one axis" if distance < COAXIAL else f"{distance:.2f} mm apart"
    yield looked.stop(
        f"the arbors '{first.name}' and '{second.name}' stand {where}, and their "
        f"{one.side.value}-side jewels, diameter {one.diameter:g} and {two.diameter:g} mm at "
        f"height {one.height:g} and {two.height:g} mm, fill one place; {needed:.2f} mm apart, or "
        "one above the other, is allowed.",
        value=distance, limit=needed,
    )  # fmt: skip
