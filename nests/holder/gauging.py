"""What is to be gauged and tried on a print: one list for paper, drawer and judging.

The parts say what of them is gauged; here it is put in the order of the bench, tips are gauged from
the ledge, and every row is given a name of its own, under which its readings are typed and filed.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from nests.holder.recipe import MOULD, Recipe
from nests.parts.feature import Feature, hyphened
from nests.parts.heights import datum
from nests.parts.site import Site
from nests.units import Length

FLAT: Length = 0.05
"""mm under the foot of a holder on a surface plate, at most; common practice, no source."""
OF_EVERY_PRINT: tuple[Feature, ...] = (
    Feature(
        "cured",
        "washed and cured",
        "by eye: no gloss of uncured resin, nothing sticky",
        "trial",
        good="dry",
    ),
    Feature(
        "foot",
        "foot flat",
        "on a surface plate, the thickest feeler gauge that goes under the edge",
        "flat",
        0.0,
        FLAT,
    ),
)
"""Common practice, no source."""
EDGES = Feature(
    "edges",
    "edges that touch",
    "loupe: seat, post tips",
    "trial",
    good="no burr, no drop of resin",
)
"""Common practice, no source."""


@dataclass(frozen=True)
class Row:
    """One row of the list. `part` counts the parts of the recipe, None for the whole print; `seat`
    counts the seats of the whole holder, None for what every workpiece in it has to do with."""

    feature: Feature
    part: int | None = None
    seat: int | None = None

    @property
    def name(self) -> str:
        """What its readings are typed by and filed under."""
        return self.feature.name

    @property
    def tried(self) -> bool:
        """Whether it is tried, good or bad, and not gauged in mm."""
        return self.feature.sort == "trial"

    def known(self, readings: Mapping[str, tuple[Length, ...]]) -> tuple[Length, ...]:
        """Its readings among those of a print, by name. Tips were once gauged from the bench, under
        another name: with the ledge gauged so, too, that tells the same."""
        own, feature = readings.get(self.name, ()), self.feature
        if own or feature.datum is None:
            return own
        ledge = readings.get("ledge", ())
        if not ledge:
            return ()
        zero = math.fsum(ledge) / len(ledge)
        before = readings.get(hyphened(f"under {feature.under}"), ())
        return tuple(round(zero - z if feature.down else z - zero, 6) for z in before)

    def where(self, site: Site) -> str:
        """How it is gauged, and where."""
        place = self.feature.place
        return self.feature.how if place is None else f"{self.feature.how}, {site.spot(place)}"


def to_gauge(recipe: Recipe) -> tuple[Row, ...]:
    """Every row for a print of a recipe, in the order of the bench; no two have one name.

    What several parts have in common (the clips) is one row.
    """
    site, seats = recipe.site(), 0
    ledge = datum(site, recipe.parts)
    rows = [Row(each) for each in OF_EVERY_PRINT]
    if recipe.kind != MOULD:
        rows.append(Row(EDGES))
    for number, part in enumerate(recipe.parts):
        own = tuple(each.from_ledge(site, ledge) for each in part.features(site))
        rows += [
            Row(each, number, None if each.seat is None else seats + each.seat) for each in own
        ]
        seats += len({each.seat for each in own} - {None})
    trials = [row for row in rows if row.tried and row.part is not None]
    sizes = [row for row in rows if row not in trials]
    return tuple(_named([*sizes, *_once(trials)]))


def _once(rows: Iterable[Row]) -> Iterable[Row]:
    return {row.name: row for row in rows}.values()


def _named(rows: Iterable[Row]) -> Iterable[Row]:
    """The rows; of those with one name the second and all further ones with a number behind it."""
    seen: Counter[str] = Counter()
    taken: set[str] = set()
    for row in rows:
        name = row.name
        while name in taken:
            seen[row.name] += 1
            name = f"{row.name}-{seen[row.name] + 1}"
        taken.add(name)
        yield row if name == row.name else replace(row, feature=replace(row.feature, name=name))
