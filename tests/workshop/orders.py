"""Who ought to serve whom: the holders a movement ought to get, by what it is.

Decided by facts of the movement alone, before any family is asked:

- every round movement has a round holder with either side up;
- every movement has rims to be held at, so it is held to be looked at, with either side up;
- hands are set on every movement, round or shaped, with the dial up;
- a wheel with a jewel on the dial side that nothing covers is pressed from the bridge side, and a
  light press on the centre is served like a heavy one;
- every movement with pushers has a chronograph holder, with open slots and with plungers;
- a low movement is carried on posts where its jewels and rests stand round its middle;
- automatic works lie in a cradle, either side up.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import shapely

from nests.given.operation import USUAL, Operation
from nests.given.sheet import Sheet
from nests.given.zones import Disc, Round
from nests.places import Place, Side

LOW = 3.0
"""mm of total height of a low movement; common practice, no source."""
HANDS = USUAL.operation("hand-setting")
CHRONOGRAPH = USUAL.operation("chronograph-hands")


@dataclass(frozen=True)
class Order:
    """One holder that ought to be had: the family, its options, and the operation."""

    family: str
    options: Mapping[str, Any] = field(default_factory=dict)
    operation: Operation | None = None

    @property
    def words(self) -> str:
        """The order in a line."""
        return " ".join([self.family, *map(str, self.options.values())])


def orders(sheet: Sheet) -> Iterator[Order]:
    """Every holder a movement ought to get."""
    is_round = isinstance(sheet.outline, Round)
    for up in Side:
        if is_round:
            yield Order("round", {"side_up": up.value})
        yield Order("inspection", {"side_up": up.value})
    if is_round:
        yield Order("hand-setting", {}, HANDS)
        yield Order("pressing", {"side_up": "dial", "arbor": "centre", "force": 6.0})
        if _third_is_bare(sheet):
            yield Order("pressing", {"side_up": "bridge", "arbor": "third wheel", "force": 6.0})
    else:
        yield Order("shaped", {}, HANDS)
        yield Order("shaped", {"side_up": "bridge"})
    if sheet.pushers:
        yield Order("chronograph", {"pushed_by": "slot"}, CHRONOGRAPH)
        yield Order("chronograph", {"pushed_by": "plunger"}, CHRONOGRAPH)
    low = sheet.rim + sheet.dial_height + sheet.bridge_height <= LOW
    if is_round and low and _stands_on_three(sheet):
        yield Order("thin", {}, HANDS)
    for each in sheet.sub_assemblies:
        for up in Side:
            yield Order("cradle", {"sub_assembly": each.name, "side_up": up.value})


def _third_is_bare(sheet: Sheet) -> bool:
    """Whether the third wheel has a jewel on the dial side that no keep-clear lies over."""
    for arbor in sheet.arbors:
        if arbor.name == "third wheel" and arbor.jewel(Side.DIAL) is not None:
            return not any(
                isinstance(each.zone, Disc)
                and each.zone.centre.distance(arbor.at) < each.zone.diameter / 2 + 0.9
                for each in sheet.keep_clear
                if each.side is Side.DIAL
            ) and not any(each.name == "calendar ring" for each in sheet.keep_clear)
    return False


def _stands_on_three(sheet: Sheet) -> bool:
    """Whether jewels of hands and rests on the bridge side stand well round the middle."""
    places: list[Place] = [each.at for each in sheet.arbors if each.carries]
    places += [
        each.zone.centre
        for each in sheet.rests
        if each.side is Side.BRIDGE and isinstance(each.zone, Disc)
    ]
    hull = shapely.MultiPoint([(p.x, p.y) for p in places]).convex_hull
    return hull.area > 0.0 and bool(hull.buffer(-0.6).contains(shapely.Point(0.0, 0.0)))
