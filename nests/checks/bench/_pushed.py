"""Whether holder and workpiece stay where they are when pushers are worked; see `_sideways`.

Grades: a workpiece that lifts or tips out of its seat, or that no wall stops, is a `stop`, for
nothing at the bench cures it but another holder; `mend` where it only may, as heights are measured
and printed, where nothing but clips keeps it down, and where it takes two pushers at once, which no
operation asks for. Where it is the pegs that keep it down by their friction, that is `clear` with
the words to push level: no wall can meet a rim that lies behind its flange. A holder that slides on
the bench is `clear` with the words to hold its body, for a finger on a pusher always has the other
hand against it and no holder of resin weighs enough to stand alone; a lever above its wall, where
no hand can hold against it, is a `mend`.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from nests.checks.bench._sideways import (
    PEG_FRICTION,
    Balance,
    Push,
    alone,
    balance,
    met_heights,
    off,
    opposite_words,
    place_of,
    pushes,
    rim_plans,
)
from nests.checks.bench._standing import Standing
from nests.finding import Finding, Grade
from nests.holder.compose import Holder
from nests.load_path.loads import MASS, NO_MASS
from nests.mechanics.arrays import Floats
from nests.parts.site import Site
from nests.study import Study
from nests.units import Length

STATICS = "statics: moments about the sides of what it stands on, Coulomb"
FIRST = 1e9
"""N·mm that put what pegs hold before what weight and wall hold, when the nearest is told."""
PEGS = f"friction of a peg on its lever {PEG_FRICTION:g}, from memory"


def pushed(study: Study, holder: Holder, bodies: list[Standing]) -> Iterator[Finding]:
    """Findings about every pusher and every two of them, where the operation asks for pushers: of
    each body those that fail, else the one nearest to failing."""
    site = holder.recipe.site()
    if not holder.recipe.operation.pushers or not site.sheet.pushers:
        return
    plans = rim_plans(study, site)
    against = [(push, met_heights(plans, site, push)) for push in pushes(site)]
    for body in bodies:
        own = body.name == "holder"
        found = [
            _holder(study, site, body, push) if own else _workpiece(study, site, met, body, push)
            for push, met in against
        ]
        failing = [each for _, each in found if each.grade is not Grade.CLEAR]
        yield from failing or [min(found, key=lambda pair: pair[0])[1]]


def _workpiece(
    study: Study, site: Site, met: tuple[Floats, Length], body: Standing, push: Push
) -> tuple[float, Finding]:
    """What a push spares of what holds the workpiece in its seat, N·mm, and the finding; `met` is
    where the wall opposite meets the rim, see `met_heights`."""
    wall, rim = met
    friction = study.card.friction
    if not len(wall):
        return -np.inf, _finding(
            body, push, Grade.STOP,
            f"{push.words}: no wall stands {opposite_words(push, site)}, at the height of the rim, "
            "so the workpiece slides out of its seat.",
            remedy="a bore that goes up the rim there, or the slots elsewhere",
        )  # fmt: skip

    def at(by: float) -> Balance:
        weight = body.weight or 0.0
        high = push.higher(by)
        return balance(high, body.polygon, weight, body.centre, wall, friction, rim)

    spread = off(site)
    drawn, worst = at(0.0), min((at(-spread), at(spread)), key=lambda b: b.holds - b.lifts)
    low, high = float(push.heights.min() - wall[0]), float(push.heights.max() - wall[-1])
    where = (
        f"{high:.2f} mm above" if high > 0.0 else f"{-low:.2f} mm below" if low < 0.0 else "within"
    )
    says = (
        f"{push.words}: the lever lies {where} the heights at which the wall "
        f"{opposite_words(push, site)}, meets the rim; {max(drawn.lifts, 0.0):.2f} N·mm lift the "
        "workpiece"
    )
    if body.weight is None and not worst.stays:
        return -1.0, _finding(
            body, push, Grade.UNKNOWN,
            f"not assessed: {says}, and its mass is not on the sheet.", remedy=NO_MASS,
            lacks=MASS,
        )  # fmt: skip
    grade, how = Grade.CLEAR, "it stays in its seat, held against that wall"
    if drawn.pegs:
        how = (
            "counted in that the peg, pushed level, holds its lever down, it stays: push level, "
            "never upward"
        )
    if not worst.stays:
        grade, how = Grade.MEND, f"it may lift, as heights may be off by {spread:.2f} mm"
    if not drawn.stays and body.held:
        grade, how = Grade.MEND, "only clips or tabs keep it down"
    elif not drawn.stays:
        grade, how = Grade.STOP, "it tips out of its seat"
        if len(push.names) > 1:
            grade, how = Grade.MEND, f"{how} then: push one after the other"
    spare = drawn.holds - drawn.lifts
    return spare - (FIRST if drawn.pegs else 0.0), _finding(
        body, push, grade,
        f"{says}, {max(drawn.holds, 0.0):.2f} hold it by weight and friction: {how}.",
        max(drawn.lifts, 0.0), drawn.holds, "N·mm",
        "" if grade is Grade.CLEAR
        else "a deeper seat, so that the wall meets the rim at the height of the lever, or clips",
        f"{STATICS}; {study.card.origin('friction')}" + (f"; {PEGS}" if drawn.pegs else ""),
    )  # fmt: skip


def _holder(study: Study, site: Site, body: Standing, push: Push) -> tuple[float, Finding]:
    """What a hand and the weight spare against tipping the holder, N·mm, and the finding."""
    weight = body.weight or 0.0
    slides, tips = alone(push, body.polygon, body.z, weight, body.centre, study.card.friction)
    hand = np.linspace(body.z, site.top, 21)
    held = balance(push, body.polygon, weight, body.centre, hand)
    least, how = (slides, "slides") if slides <= tips else (tips, "tips")
    by_itself = push.size <= least
    says = f"{push.words}: {push.size:.1f} N push the holder sideways in all"
    if by_itself:
        says += ", and it stands by itself."
    else:
        says += (
            f"; alone it {how} from {least:.2g} N. Hold the body with the other hand, "
            f"{opposite_words(push, site)}, or in a vice"
        )
        says += (
            "; then it stays."
            if held.stays
            else f", and press it down: the lever lies {push.heights.max() - site.top:.2f} mm "
            "above the wall, where no hand can hold against it."
        )
    grade = Grade.CLEAR if by_itself or held.stays else Grade.MEND
    return held.holds - held.lifts, _finding(
        body, push, grade, says, least if np.isfinite(least) else None, None, "N",
        "" if grade is Grade.CLEAR else "a deeper seat, so that the wall is as high as the lever",
        f"{STATICS}; {study.card.origin('friction')}, taken for the bench too",
    )  # fmt: skip


def _finding(
    body: Standing, push: Push, grade: Grade, says: str, value: float | None = None,
    limit: float | None = None, unit: str = "", remedy: str = "", origin: str = STATICS,
    lacks: tuple[str, ...] = (),
) -> Finding:  # fmt: skip
    return Finding(
        check="steady", grade=grade, says=says, parts=body.parts, value=value, limit=limit,
        unit=unit if value is not None else "", origin=origin, place=place_of(push), remedy=remedy,
        lacks=lacks,
    )  # fmt: skip
