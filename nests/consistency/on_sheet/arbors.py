"""Arbors: where they stand, the hands they carry, their endshake."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from nests.consistency._looked import HAIR, SPECK, Looked, beyond
from nests.finding import PRACTICE, Finding
from nests.given.sheet import Arbor
from nests.places import Side

ORDER = ("hour hand", "minute hand", "seconds hand")
"""Hands of one axis in the order of fitting, each pipe above the one before; common practice."""


def look(looked: Looked) -> Iterator[Finding]:
    """Every arbor, and the hands of all."""
    for arbor in looked.sheet.arbors:
        if beyond(looked.disc(arbor.at, 0.05), looked.plan) > SPECK:
            yield looked.stop(
                f"the arbor '{arbor.name}': at is {arbor.at.words()}; it lies outside the outline."
            )
        yield from _hands(looked, arbor)
        yield from _endshake(looked, arbor)
    carried = Counter(hand for arbor in looked.sheet.arbors for hand in set(arbor.carries))
    for hand, count in sorted(carried.items()):
        if count > 1:
            yield looked.mend(
                f"carries holds '{hand}' on {count} arbors; each hand has a name of its own.",
                "name them apart, or take it off the arbor that does not carry it",
            )


def _hands(looked: Looked, arbor: Arbor) -> Iterator[Finding]:
    for hand in sorted({h for h in arbor.carries if arbor.carries.count(h) > 1}):
        yield looked.stop(
            f"the arbor '{arbor.name}': carries holds '{hand}' {arbor.carries.count(hand)} times; "
            "once is allowed.",
            "name each hand once",
        )
    known = [each for each in arbor.carries if each in ORDER]
    wanted = sorted(set(known), key=ORDER.index)
    if len(known) == len(wanted) and known != wanted:
        yield looked.mend(
            f"the arbor '{arbor.name}': carries is {', '.join(known)}; they are fitted in the "
            f"order {', '.join(wanted)} ({PRACTICE}).",
            "name the hands in the order of fitting", origin=PRACTICE,
        )  # fmt: skip
    if arbor.carries and looked.sheet.kind != "case" and arbor.jewel(Side.BRIDGE) is None:
        yield looked.unknown(
            f"the arbor '{arbor.name}' takes a hand, and no jewel is given for it on the bridge "
            "side.",
            "measure the jewel's ⌀ and the height of its face above the rim face; where there is "
            "none, those of the face round the arbor, and say that it is a bush",
            looked.sheet.pointer("arbors", arbor.name, "jewels"),
        )


def _endshake(looked: Looked, arbor: Arbor) -> Iterator[Finding]:
    if arbor.endshake is None:
        return
    if arbor.endshake_change > arbor.endshake + HAIR:
        yield looked.stop(
            f"the arbor '{arbor.name}': endshake_change is {arbor.endshake_change * 1000:g} µm; "
            f"of an endshake of {arbor.endshake * 1000:g} µm no more can be lost.",
            "measure the endshake, or allow less change",
            value=arbor.endshake_change, limit=arbor.endshake,
        )  # fmt: skip
    dial, bridge = arbor.jewel(Side.DIAL), arbor.jewel(Side.BRIDGE)
    if dial is not None and bridge is not None:
        apart = looked.sheet.rim + dial.height + bridge.height
        room = apart - (dial.thickness or 0.0) - (bridge.thickness or 0.0)
        if 0.0 <= room < arbor.endshake - HAIR:
            yield looked.stop(
                f"the arbor '{arbor.name}': endshake is {arbor.endshake * 1000:g} µm; between its "
                f"jewels {room * 1000:.0f} µm are left in all.",
                value=arbor.endshake, limit=room,
            )  # fmt: skip
