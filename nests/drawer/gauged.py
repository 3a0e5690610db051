"""What was gauged and tried on a print, held against the list: within, outside, or still open."""

from __future__ import annotations

import shlex
from dataclasses import dataclass
from pathlib import Path

from nests.finding import Finding, Grade
from nests.given.sheet import Sheet
from nests.holder.gauging import Row, to_gauge
from nests.holder.recipe import Recipe
from nests.kinds.kept import KeptHolder
from nests.units import Length

CHECK = "gauging"
ORIGIN = "the acceptance list of the print"
OFF: Length = 1e-6
"""mm a reading may be beyond a limit by arithmetic alone."""


@dataclass(frozen=True)
class Gauged:
    """A row of the list with what is known of it: readings in mm, or good or bad."""

    row: Row
    readings: tuple[Length, ...] = ()
    tried: str = ""

    @property
    def open(self) -> bool:
        """Whether nothing is known of it."""
        return not self.readings and not self.tried

    @property
    def worst(self) -> Length:
        """The reading farthest from what is wanted, mm."""
        return max(self.readings, key=lambda each: abs(each - self.row.feature.nominal))

    @property
    def limit(self) -> Length:
        """The limit that is nearest to the worst reading, mm."""
        feature = self.row.feature
        return feature.low if self.worst < feature.nominal else feature.high

    @property
    def grade(self) -> Grade:
        """How it stands: what was not gauged is unknown; outside its limits it is a stop, or to be
        mended where it may be set again."""
        if self.open:
            return Grade.UNKNOWN
        feature = self.row.feature
        if self.row.tried:
            return Grade.CLEAR if self.tried == "good" else Grade.STOP
        if all(feature.low - OFF <= each <= feature.high + OFF for each in self.readings):
            return Grade.CLEAR
        return Grade.MEND if feature.set_again else Grade.STOP

    def known(self) -> str:
        """What is known, in words."""
        if self.open:
            return "open"
        return self.tried or ", ".join(f"{each:g}" for each in self.readings) + " mm"


def gauged(kept: KeptHolder, seat: int | None = None) -> tuple[Gauged, ...]:
    """Every row of a holder's list, or of those that concern one of its seats."""
    readings = kept.now.readings
    known = readings.gauged
    return tuple(
        Gauged(row, row.known(known), readings.tried.get(row.name, ""))
        for row in to_gauge(kept.recipe)
        if seat is None or row.seat in (None, seat)
    )


def to_gauge_rows(recipe: Recipe) -> tuple[tuple[Row, str], ...]:
    """Every row of the list of a holder that is not filed yet, with nothing known of it."""
    return tuple((row, "") for row in to_gauge(recipe))


def on_the_list(kept: KeptHolder, seat: int | None = None) -> tuple[Finding, ...]:
    """One finding for each row of a holder's list, or of those that concern one of its seats."""
    return tuple(_finding(kept, each) for each in gauged(kept, seat))


def with_another(kept: KeptHolder, seat: int, workpiece: Sheet) -> tuple[Finding, ...]:
    """The same with a workpiece in a seat. What may be set again may have been set for it: then
    the list of the workpiece it was drawn for says nothing, and the rules of support judge it."""
    own = workpiece.name == kept.recipe.workpiece.name
    return tuple(
        _finding(kept, each)
        for each in gauged(kept, seat)
        if own or each.open or not each.row.feature.set_again
    )


def _finding(kept: KeptHolder, each: Gauged) -> Finding:
    feature, where = each.row.feature, each.row.where(kept.recipe.site())
    name, asked, grade = f"{kept.id}: '{each.row.name}'", feature.limits(), each.grade
    size = not each.row.tried and not each.open
    if each.open:
        lacks = "not tried" if each.row.tried else "not gauged"
        says = f"{name} was {lacks}: {feature.says}, {asked}."
        value = "good" if each.row.tried else "MM"
        remedy = f"{where}; then nests drawer measure {kept.id} {each.row.name}={value}"
    elif size:
        says = f"{name} is {each.worst:g} mm: {feature.says}, asked is {asked}."
        remedy = "" if grade is Grade.CLEAR else _remedy(each)
    else:
        says = f"{name} is {each.tried}: {feature.says}, asked is {asked}."
        remedy = "" if grade is Grade.CLEAR else "make it good and try it again, or print anew"
    return Finding(
        check=CHECK,
        grade=grade,
        says=says,
        value=round(each.worst, 4) if size else None,
        limit=round(each.limit, 4) if size else None,
        unit="mm" if size else "",
        origin=ORIGIN,
        place=feature.place,
        remedy=remedy,
    )


def _remedy(each: Gauged) -> str:
    feature = each.row.feature
    if feature.set_again:
        return f"set it to {feature.limits()} and gauge it again"
    return f"{feature.anew or 'gauge it again'}; if it stays so, print anew"


def asks_for(kept: KeptHolder, folder: Path) -> str:
    """The command that gives what is still open of a holder; nothing where all is known."""
    rows = [each.row for each in gauged(kept) if each.open]
    pairs = [shlex.quote(f"{row.name}={'good' if row.tried else 'MM'}") for row in rows]
    if not pairs or kept.now.state == "retired":
        return ""
    command = f"nests drawer measure {kept.id} --drawer {shlex.quote(str(folder))}"
    return f"to give what is open: {command} {' '.join(pairs)}"
