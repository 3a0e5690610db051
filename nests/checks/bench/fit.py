"""Fit: does the workpiece go into its seat, and how far can it shift there?

`study.fitted` measures the bores on the solid. All clearances are two-sided: on the ⌀.
"""

from __future__ import annotations

from nests.finding import MEMORY, Finding, Grade
from nests.mechanics.tolerance import Limits
from nests.study import Study
from nests.study.fitted import Fitted, allowed

JAMS = 0.01
"""Share of prints that may jam before it is a stop; from memory."""
TIGHT = 1e-4
"""Share of prints that may jam before it is to be mended; from memory."""
LOOSE = 0.05
"""Share of prints that may have more play than allowed; from memory."""


def check(study: Study) -> list[Finding]:
    """Two findings for each bore, one for too little and one for too much room."""
    out: list[Finding] = []
    for each in study.fitted:
        out += [_tight(each, study), _loose(each)]
    return out


def _micrometres(limits: Limits) -> str:
    return f"{1000 * limits.lower:.0f} to {1000 * limits.upper:.0f} µm"


def _report(each: Fitted) -> str:
    bore = each.bore
    drawn, printed = 1000 * each.drawn, 1000 * each.printed
    sizes = f"{drawn:.0f} µm larger than {bore.holds} and should measure {printed:.0f} µm"
    if bore.size is not None:
        sizes = (
            f"⌀ {bore.size + each.drawn:.3f} mm and should measure {bore.size + each.printed:.3f} "
            f"mm; {bore.holds} is ⌀ {bore.size:.3f} mm"
        )
    if each.oval:
        oval = 2000 * each.oval
        sizes += f", by its mean: the printer's x and y differ by {oval:.0f} µm, so it is oval"
    asked = f" ({bore.fit} asks for {_micrometres(bore.asked)})" if bore.asked else ""
    return (
        f"{each.label}: the bore is drawn {sizes}. Clearance on the ⌀ {printed:.0f} µm{asked}, "
        f"at worst {_micrometres(each.law.worst)}, by root sum of squares "
        f"{_micrometres(each.law.root_sum_square)}"
    )


def _tight(each: Fitted, study: Study) -> Finding:
    jams = each.law.interference
    grade = Grade.STOP if jams > JAMS else Grade.MEND if jams > TIGHT else Grade.CLEAR
    card = study.card
    measuring = " and ".join(f"± {1000 * u:.0f} µm" for u in each.measuring)
    known = f", bias known to ± {1000 * each.known:.0f} µm" if each.known else ""
    least = -1000 * min(each.law.worst.lower, 0.0)
    return Finding(
        check="fit",
        grade=grade,
        says=f"{_report(each)}; it jams in {_percent(jams)} of prints.",
        parts=(each.label,),
        value=round(1000 * each.law.worst.lower, 3),
        limit=0.0,
        unit="µm",
        origin=f"printed scatter ± {1000 * card.scatter:.0f} µm ({card.origin('scatter')})"
        f"{known}, measured {measuring}, each even between its ends; stop above {_percent(JAMS)}, "
        f"mend above {_percent(TIGHT)} of prints, from memory",
        place=each.place,
        remedy="" if grade is Grade.CLEAR else f"{least:.0f} µm more play, or measure closer",
    )


def _loose(each: Fitted) -> Finding:
    bore, much = each.bore, each.law.loose or 0.0
    most, least = 1000 * allowed(bore), 1000 * each.law.worst.upper
    whence = f"{bore.fit} at {bore.size:g} mm, ISO 286-1" if bore.asked and bore.size else MEMORY
    return Finding(
        check="fit",
        grade=Grade.MEND if much > LOOSE else Grade.CLEAR,
        says=f"{each.label}: {bore.holds} has at most {least:.0f} µm of play on the ⌀; more than "
        f"{most:.0f} µm in {_percent(much)} of prints.",
        parts=(each.label,),
        value=round(least, 3),
        limit=round(most, 3),
        unit="µm",
        origin=f"{whence}; mend above {_percent(LOOSE)} of prints, from memory",
        place=each.place,
        remedy="" if much <= LOOSE else "less play, or a printer card with less scatter",
    )


def _percent(share: float) -> str:
    return f"{100 * share:.3g} %"
