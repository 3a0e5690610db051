"""What readings show of a print: a verdict for each dimension, and the settings to dial in.

The list (`gauged`) says whether a reading lies within its limits. Here stands what that shows, as
well as it was read: within the limits less the measuring uncertainty it conforms, beyond them and
the uncertainty it does not, and in between neither is shown (ISO 14253-1).
"""

from __future__ import annotations

from collections.abc import Iterator

from nests.drawer.gauged import Gauged, gauged
from nests.finding import Finding, Grade
from nests.kinds.kept import KeptHolder
from nests.statistics.deciding import Decision, decide
from nests.units import Length, printed

CHECK = "verdict"
ORIGIN = "ISO 14253-1, the guard band is the measuring uncertainty (k = 2)"


def verdicts(kept: KeptHolder) -> tuple[Finding, ...]:
    """One finding for each size that was gauged; a single one where the uncertainty of gauging is
    not known."""
    rows = [each for each in gauged(kept) if each.readings]
    doubt = kept.now.readings.doubt
    if rows and doubt is None:
        tool = kept.now.readings.gauge
        says = f"'{tool}' is no tool whose uncertainty is known" if tool else "no tool is named"
        return (
            Finding(
                check=CHECK,
                grade=Grade.UNKNOWN,
                says=f"{kept.id}: not assessed: how well was gauged is not known; {says}.",
                origin=ORIGIN,
                remedy="To know it, give --uncertainty MM, or --gauge caliper",
            ),
        )
    return tuple(_verdict(kept, each, doubt) for each in rows if doubt is not None)


def decision(each: Gauged, doubt: Length) -> Decision:
    """What the readings of a row show: each of them, the one that shows least conformity."""
    feature = each.row.feature
    # a feeler gauge under a foot reads nothing below 0: there is no lower limit to keep away from
    low = -doubt if feature.sort == "flat" else feature.low
    shown = [decide(value, low, feature.high, doubt) for value in each.readings]
    order = (Decision.FAILS, Decision.NEITHER, Decision.CONFORMS)
    return next(each for each in order if each in shown)


def _verdict(kept: KeptHolder, each: Gauged, doubt: Length) -> Finding:
    feature, shows = each.row.feature, decision(each, doubt)
    grade = {
        Decision.CONFORMS: Grade.CLEAR,
        Decision.NEITHER: Grade.UNKNOWN,
        Decision.FAILS: Grade.MEND if feature.set_again else Grade.STOP,
    }[shows]
    remedy = {
        Decision.CONFORMS: "",
        Decision.NEITHER: f"gauge it with less than ± {doubt:g} mm, or decide as the list does",
        Decision.FAILS: "set it anew" if feature.set_again else "print anew",
    }[shows]
    return Finding(
        check=CHECK,
        grade=grade,
        says=f"{kept.id}: '{each.row.name}' {shows.value}: {each.worst:g} ± {doubt:g} mm, asked "
        f"is {feature.limits()}.",
        value=round(each.worst, 4),
        limit=round(each.limit, 4),
        unit="mm",
        origin=ORIGIN,
        place=feature.place,
        remedy=remedy,
    )


def settings(kept: KeptHolder) -> Iterator[str]:
    """What to dial in for each screw and pin, in sentences: from the ledge, and where that of this
    very print was gauged, above the bench; and by how much it stands off, where it was gauged."""
    ledge = kept.now.readings.mean("ledge")
    for each in gauged(kept):
        feature = each.row.feature
        if not (feature.by_hand or feature.set_again) or feature.sort != "tip":
            continue
        says = f"{each.row.name}: set it to {feature.limits()}"
        if feature.datum is not None:
            if ledge is None:
                says += "; gauge the ledge of this print to know it above the bench"
            else:
                bench = feature.height(feature.nominal, ledge)
                says += (
                    f"; with the ledge of this print at {ledge:g} mm that is "
                    f"{printed(bench, 3)} mm above the bench"
                )
        if each.readings:
            off = each.worst - feature.nominal
            up = off > 0.0 if feature.down else off < 0.0
            way = "stands right" if abs(off) < 5e-4 else (
                f"set it {printed(abs(off), 3)} mm {'higher' if up else 'lower'}"
                if feature.set_again
                else f"it stands {printed(abs(off), 3)} mm too {'low' if up else 'high'}"
            )  # fmt: skip
            says += f"; it was gauged at {each.worst:g} mm: {way}"
        yield f"{says}."
