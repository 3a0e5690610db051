"""Features: what of a part is gauged or tried on the print before a workpiece goes in."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from nests.given.zones import Round
from nests.parts.heights import level_within
from nests.parts.site import Site
from nests.units import Length, printed

BENCH = "indicator, its zero on the bench"
LEDGE = "indicator, its zero on the ledge"
"""How heights are gauged."""

Sort = Literal["bore", "outer", "level", "tip", "flat", "trial"]
"""A ⌀ or width that takes a rim, one that takes none, the height of a face a rim lies on, that of a
tip or pad, a face that must be flat, or what is tried and looked at instead of gauged."""


@dataclass(frozen=True)
class Feature:
    """One thing to be gauged or tried.

    `name` is what a reading of it is typed by and filed under, one word with hyphens; `says` what
    it is and `how` it is gauged, in words. `nominal` ± `within` is accepted, mm; heights are above
    the bench, or where `datum` is the height of a ledge, above that, or below it if `down`.
    Of a trial `good` says what is accepted. `place` is (x, y, z) in the holder frame.
    `seat` counts the seats of the part, where it belongs to one of them; `under` is what a tip
    stands under. `set_again` says that it may be set anew where it is off, `by_hand` that a hand
    set it at all and not the printer, `anew` what else may be tried before printing anew.
    """

    name: str
    says: str
    how: str
    sort: Sort
    nominal: Length = 0.0
    within: Length = 0.0
    good: str = ""
    place: tuple[float, float, float] | None = None
    seat: int | None = None
    under: str = ""
    set_again: bool = False
    by_hand: bool = False
    anew: str = ""
    datum: Length | None = None
    down: bool = False

    def from_ledge(self, site: Site, level: Length | None) -> Feature:
        """The same height of a tip, gauged from a ledge that is drawn `level` mm above the bench;
        itself for None, and for what is no tip."""
        if level is None or self.sort != "tip":
            return self
        within = self.within if self.by_hand else level_within(site, self.nominal, level)
        down = self.nominal < level
        side = "below" if down else "above"
        return replace(
            self,
            name=hyphened(f"{self.under} {side} ledge"),
            how=self.how.replace(BENCH, LEDGE),
            nominal=abs(self.nominal - level),
            within=within,
            datum=level,
            down=down,
        )

    def height(self, reading: Length, ledge: Length | None = None) -> Length:
        """Height above the bench that a reading means; of one from the ledge, with that as gauged,
        or as drawn."""
        if self.datum is None:
            return reading
        return (self.datum if ledge is None else ledge) + (-reading if self.down else reading)

    @property
    def low(self) -> Length:
        """The least that is accepted, mm, as it stands on the list."""
        return 0.0 if self.sort == "flat" else self._shown(self.nominal) - self._shown(self.within)

    @property
    def high(self) -> Length:
        """The most that is accepted, mm, as it stands on the list."""
        return self._shown(self.nominal) + self._shown(self.within)

    @property
    def _digits(self) -> int:
        return 2 if self.sort in ("bore", "outer", "flat") and self.within >= 0.01 else 3

    def _shown(self, size: Length) -> Length:
        return float(printed(size, self._digits))

    def limits(self) -> str:
        """What is accepted, in words."""
        if self.sort == "trial":
            return self.good
        if self.sort == "flat":
            return f"no rock; at most {printed(self.high, self._digits)} mm"
        nominal, within = (printed(size, self._digits) for size in (self.nominal, self.within))
        where = "" if self.datum is None else f" {'below' if self.down else 'above'} the ledge"
        return f"{nominal} ± {within} mm{where}"


def hyphened(text: str) -> str:
    """A name as it is typed: blanks and underscores are hyphens."""
    return "-".join(text.replace("_", " ").replace("-", " ").split())


def round_bore(name: str, says: str, wanted: Length, site: Site, seat: int = 0) -> Feature:
    """A round bore that takes a rim, as it should measure."""
    return Feature(
        name,
        f"⌀ of {says}",
        "bore gauge or caliper jaws, at three hours, above the ledge",
        "bore",
        wanted,
        site.card.scatter + site.card.bore_doubt(wanted),
        seat=seat,
    )


def bores(name: str, says: str, more: Length, site: Site) -> tuple[Feature, ...]:
    """A bore `more` mm wider than the outline; one that is not round by its two widths."""
    if isinstance(site.sheet.outline, Round):
        return (round_bore(name, says, site.sheet.outline.diameter + more, site),)
    ring = site.edge().bore(more / 2)
    within = site.card.scatter + site.card.bore_doubt(site.across + more)
    return tuple(
        Feature(
            f"{name}-{hours}",
            f"width of {says}, {hours.replace('-', ' h to ')} h",
            "caliper jaws, at its widest, above the ledge",
            "bore",
            float(np.ptp(ring[:, axis])),
            within,
            seat=0,
        )
        for axis, hours in enumerate(("3-9", "12-6"))
    )


def open_width(name: str, says: str, how: str, wanted: Length, site: Site) -> Feature:
    """A ⌀ that takes no rim, as it should measure; it is drawn at `card.inside` of that."""
    within = site.card.scatter + site.card.bore_doubt(site.card.inside(wanted))
    return Feature(name, says, how, "outer", wanted, within)


def solid_width(name: str, says: str, how: str, wanted: Length, site: Site) -> Feature:
    """A ⌀ or width of what stands out, as it should measure; it is drawn at `card.outside` of
    that."""
    within = site.card.scatter + site.card.pin_doubt(site.card.outside(wanted))
    return Feature(name, says, how, "outer", wanted, within)


def spring(name: str, how: str) -> Feature:
    """A part that bends; common practice, no source."""
    return Feature(name, name.replace("-", " "), how, "trial", good="springs back, no crack")


LOOSE = Feature(
    "loose-bodies",
    "loose bodies",
    "put in place, worked by hand",
    "trial",
    good="free over all their way",
)
"""What is printed beside the holder; common practice, no source."""
