"""Drift across the holders of a drawer: did the printer move since the ones before?

The first readings of every holder of one printer card, in the order of filing, each less what it
should measure by its own card; bores by themselves, and faces above the bench by themselves. A
reading counts whatever became of the holder later.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from nests.drawer.index import fresh_index
from nests.drawer.shelf import read_holder, require_drawer
from nests.finding import Finding, Grade
from nests.given.printer_card import PrinterCard
from nests.holder.gauging import to_gauge
from nests.kinds.kept import KeptHolder
from nests.statistics.drift import BEFORE, all_drifts
from nests.units import BadInput, Length

CHECK = "drift"
MOST = 60
"""Holders that are looked at, the last of a drawer: what moved before that is known by now."""
SORTS = {"bore": "bores", "level": "faces above the bench"}
MEASURED_SD = 2.0
"""Standard deviations behind the scatter of a card that was measured."""
ORIGIN = (
    "cumulative sum of first readings, each less the mean of all before (Hawkins 1987; "
    "NIST/SEMATECH e-Handbook, 6.3.2.3)"
)


@dataclass(frozen=True)
class Series:
    """Of one sort: the holders in the order of filing, by how much their first readings lie off
    what they should measure (mean, mm), and how many readings that is of."""

    sort: str
    ids: tuple[str, ...]
    means: tuple[Length, ...]
    counts: tuple[int, ...]


def scatter_sd(card: PrinterCard) -> Length:
    """Standard deviation of one print by a card: of an even law for a scatter that was assumed, of
    the normal law behind one that was measured."""
    return card.scatter / (MEASURED_SD if "scatter" in card.uncertainties else math.sqrt(3.0))


def series(holders: Sequence[KeptHolder]) -> tuple[Series, ...]:
    """The first readings of holders of one printer, given in the order of filing."""
    out = []
    for sort in SORTS:
        found = [(kept.id, *own) for kept in holders if (own := _off(kept, sort)) is not None]
        if found:
            ids, means, counts = zip(*found, strict=True)
            out.append(Series(sort, ids, means, counts))
    return tuple(out)


def _off(kept: KeptHolder, sort: str) -> tuple[Length, int] | None:
    """Mean of first readings less what they should measure, and their number."""
    first: dict[str, tuple[Length, ...]] = {}
    for each in kept.standing:
        first = {**each.readings.gauged, **first}
    card, off = kept.recipe.printer, []
    for row in to_gauge(kept.recipe) if first else ():
        feature = row.feature
        if feature.sort != sort or feature.by_hand or row.name not in first:
            continue
        # a level face comes out at whole layers, which is no drift
        expected = feature.nominal + (card.level_error(feature.nominal) if sort == "level" else 0.0)
        off += [each - expected for each in first[row.name]]
    return (math.fsum(off) / len(off), len(off)) if off else None


def drifts(folder: Path, printer: str | None = None) -> tuple[Finding, ...]:
    """What moved, printer by printer, or of one. Raises `BadInput` for what is no drawer."""
    by = _by_printer(folder)
    wanted = [printer] if printer is not None else sorted(by)
    return tuple(f for name in wanted for s in series(by.get(name, ())) for f in _of(name, s, by))


def looked_at(folder: Path, printer: str | None = None) -> tuple[str, ...]:
    """What was looked at, printer by printer, and where that is too little to tell of a drift. A
    printer that no holder is of raises `BadInput`, as what is no drawer does."""
    by = _by_printer(folder)
    if printer is not None and printer not in by:
        there = ", ".join(f"'{name}'" for name in sorted(by)) or "no holder"
        raise BadInput(f"--printer is '{printer}'; no holder is of that card; there is {there}.")
    wanted = [printer] if printer is not None else sorted(by)
    out = [says for name in wanted for says in _looked_at(name, by[name])]
    return tuple(out) or (f"not assessed: there is no holder in {folder}.",)


def _looked_at(name: str, holders: Sequence[KeptHolder]) -> list[str]:
    counts = {each.sort: len(each.ids) for each in series(holders)}
    out = []
    for sort, words in SORTS.items():
        count = counts.get(sort, 0)
        holds = f"{count} holder{'' if count == 1 else 's'}"
        if count > BEFORE:
            out.append(f"{name}: first readings of {words} of {holds} were looked at.")
        else:
            out.append(
                f"not assessed: {name}: first readings of {words} are known of {holds}; a drift "
                f"can show from {BEFORE + 1} on."
            )
    return out


def _by_printer(folder: Path) -> dict[str, list[KeptHolder]]:
    by: dict[str, list[KeptHolder]] = {}
    for kept in _last(folder):
        by.setdefault(kept.recipe.printer.name, []).append(kept)
    return by


def _last(folder: Path) -> list[KeptHolder]:
    """The holders that were filed last, in the order of filing."""
    require_drawer(folder)
    by_kind: dict[str, list[str]] = {}
    for name in map(str, fresh_index(folder).holders["name"]):
        by_kind.setdefault(name[0], []).append(name)
    # ids of a kind are counted in the order of filing: of a large drawer few are read
    late = [n for names in by_kind.values() for n in sorted(names, key=_number)[-MOST:]]
    out = []
    for name in late:
        try:
            out.append(read_holder(folder / name))
        except BadInput:  # it is told by every command that reads the drawer
            continue
    out = [kept for kept in out if kept.standing]
    return sorted(out, key=lambda kept: kept.history[0].number)[-MOST:]


def _number(name: str) -> int:
    """The number in the name of a document, such as 12 of M12-1.json."""
    return int(name[1:].partition("-")[0])


def _of(name: str, found: Series, by: dict[str, list[KeptHolder]]) -> list[Finding]:
    card = by[name][-1].recipe.printer
    sd = scatter_sd(card)
    if sd <= 0.0:
        return []
    out = []
    for each in all_drifts(found.means, found.counts, sd):
        since, at = found.ids[each.since], found.ids[each.at]
        out.append(
            Finding(
                check=CHECK,
                grade=Grade.MEND,
                says=f"{name}: {SORTS[found.sort]} come out {1000 * each.by:+.0f} µm off what they "
                f"did before, since {since}; it shows from {at} on.",
                value=round(1000 * each.by, 1),
                unit="µm",
                origin=ORIGIN,
                remedy="print and read the gauge plate again, and look at resin, lamp and film",
            )
        )
    return out
