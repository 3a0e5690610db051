"""Areas in plan that are none: rings inside out, polygons that cross themselves."""

from __future__ import annotations

from collections.abc import Iterator

from nests.consistency._looked import SPECK, Looked
from nests.finding import Finding
from nests.given.sheet import Sheet
from nests.given.zones import Polygon, Ring, Sector, Zone
from nests.units import dial_hour


def look(looked: Looked) -> Iterator[Finding]:
    """Every zone on the sheet by itself."""
    for name, zone in _named(looked.sheet):
        found = list(_zone(looked, name, zone))
        if not found and looked.area(zone).area() < SPECK:
            found = [
                looked.stop(f"{name}: its zone has no area; at least {SPECK:g} mm² is needed.")
            ]
        yield from found


def _named(sheet: Sheet) -> Iterator[tuple[str, Zone]]:
    yield from ((f"the rest '{r.name}'", r.zone) for r in sheet.rests)
    yield from ((f"the keep-clear '{k.name}'", k.zone) for k in sheet.keep_clear)
    for field, stock in (("plate", sheet.plate), ("bridges", sheet.bridges)):
        for number, recess in enumerate(stock.recesses):
            yield f"{field}.recesses[{number}]", recess.zone


def _zone(looked: Looked, name: str, zone: Zone) -> Iterator[Finding]:
    if isinstance(zone, Ring | Sector) and zone.inner >= zone.outer:
        yield looked.stop(
            f"{name}: inner is {zone.inner:g} mm; it must be less than outer, {zone.outer:g} mm.",
            value=zone.inner, limit=zone.outer,
        )  # fmt: skip
    if isinstance(zone, Sector) and zone.from_hour == zone.to_hour:
        yield looked.stop(
            f"{name}: from_hour and to_hour are both {dial_hour(zone.from_hour)} h; they must "
            "differ.",
            "write all round as a ring, or as 0 to 12 h",
        )
    if isinstance(zone, Polygon):
        yield from _polygon(looked, name, zone)


def _polygon(looked: Looked, name: str, zone: Polygon) -> Iterator[Finding]:
    import shapely

    # a corner given twice over, as where a traced line is closed by its first point, is one corner
    corners = [
        (each.x, each.y)
        for index, each in enumerate(zone.corners)
        if each.distance(zone.corners[index - 1]) >= 1e-6 or len(zone.corners) == 1
    ]
    if len(corners) < 3:
        yield looked.stop(
            f"{name}: corners has {len(corners)} corners in places of their own; at least 3 are "
            "needed."
        )
        return
    if not shapely.LinearRing(corners).is_simple:
        yield looked.stop(
            f"{name}: corners make a line of {len(corners)} corners that crosses or touches "
            "itself; give them in order round the area."
        )
