"""Hold: turned over, clips or swing tabs carry the workpiece, and clips bend without breaking.

A clip is a finger whose root gives, pulled at the tip of its hook (`mechanics.clip`). It is bent
by its grip and by all that may be lost sideways, and holds by its grip less the same. The weight
is taken with the shock of the operation; that a knock may undo friction is allowed for. Whether
clips and tabs touch rests only is judged by `clearance`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from nests.checks.bench._allowance import seated
from nests.checks.bench._bearing import bearing_points
from nests.finding import MEMORY, PRACTICE, Finding, Grade
from nests.given.printer_card import PrinterCard
from nests.holder.compose import Holder
from nests.holder.recipe import MOULD
from nests.holder.workpiece import Allowance, Floats
from nests.load_path.loads import MASS, NO_MASS
from nests.load_path.strength import weight
from nests.mechanics.holding import hanging_shares
from nests.parts.answers import Finger, Grip, Plate
from nests.parts.site import Site
from nests.study import Point, Study
from nests.units import GRAVITY, dial_hour

LEAST_OVERLAP = 0.1
"""mm that a clip or a tab must still reach over the rim; from memory."""
SLACK = 0.01
"""mm a hook may be off square beyond its play, for an hour written with two decimals."""
ENGAGED = 1.5
"""Depth of a screw in resin over its ⌀; common practice, no source."""
CORES = (0.7, 0.92)
"""Bore for a screw's thread over the screw's ⌀; common practice, no source."""
CANTILEVER = (
    "finger that bends and shears on a floor that gives (O'Donnell 1960, own calibration), met by "
    "the rim at the tip of its hook"
)
RAMP = "W = P (µ + tan α) / (1 - µ tan α)"


Labelled: TypeAlias = tuple[str, Grip]
"""What holds, with the label of its part."""


@dataclass(frozen=True)
class Hold:
    """A clip or tab: label, place (3,) where it holds, and the most force in N it holds."""

    label: str
    place: Point
    carries: float


def check(study: Study) -> list[Finding]:
    """Findings for every clip and tab, and for the weight.

    The weight is asked about where the operation turns the holder over, and where clips or tabs
    stand all round, so that the workpiece would hang from them: whoever sees those turns it over.
    """
    holder = study.holder
    if holder is None or holder.recipe.kind == MOULD:
        return []
    recipe, site = holder.recipe, holder.recipe.site()
    holding = _holding(holder, site)
    over = recipe.operation.turned_over
    if not holding:
        return [_nothing_holds(holder)] if over else []
    spare = seated(study, site)
    out: list[Finding] = []
    holds = []
    for made, group in _alike(holding).items():
        if isinstance(made, Finger):
            out += _clip(group, made, site, spare)
            carries = made.beam.lets_go(made.over - spare.sideways)
        else:
            out += _tab(group, made, spare)
            carries = plate_carries(made, site.card)
        holds += [Hold(label, grip.place, carries) for label, grip in group]
    shares = _shares(holder, holds)
    if over or shares is not None:
        out += [*_hangs(holder, site, holds, shares), *_lies(holder, site)]
    return out


def _shares(holder: Holder, holds: list[Hold]) -> Floats | None:
    """Share of the weight that hangs from each clip or tab; None where they stand on one side."""
    hooks: Floats = np.array([each.place[:2] for each in holds])
    return hanging_shares(hooks, bearing_points(holder), 1.0)


def _holding(holder: Holder, site: Site) -> list[Labelled]:
    """Everything that holds the workpiece from above, with its label."""
    found = ((each.label, each.part.holding(site)) for each in holder.laid)
    return [(label, grip) for label, grip in found if grip is not None]


def _alike(holding: list[Labelled]) -> dict[Finger | Plate, list[Labelled]]:
    """Clips and tabs that differ by where they stand alone."""
    out: dict[Finger | Plate, list[Labelled]] = {}
    for label, grip in holding:
        out.setdefault(grip.made, []).append((label, grip))
    return out


def plate_carries(plate: Plate, card: PrinterCard) -> float:
    """Force in N over the rim at which the plate beside its screw reaches the strain limit."""
    arm, net = plate.out + plate.over / 2, plate.width - plate.screw
    return card.strain_limit * card.modulus * net * plate.thickness**2 / (6 * arm)


def _nothing_holds(holder: Holder) -> Finding:
    return Finding(
        check="hold",
        grade=Grade.STOP,
        says=f"'{holder.recipe.operation.name}' turns the holder over, and nothing holds "
        f"'{holder.recipe.workpiece.name}' in it: it falls out.",
        parts=("body",),
        remedy="use the family 'inspection', or add clips or swing tabs",
    )


def _clip(group: list[Labelled], finger: Finger, site: Site, spare: Allowance) -> Iterator[Finding]:
    beam, card = finger.beam, site.card
    labels, names, place = _named(group)
    bend = finger.bend + spare.sideways
    strain, allowed = beam.strain(bend), beam.deflection(card.strain_limit)
    going_in, coming_out = beam.insertion_force(bend), beam.removal_force(bend)
    breaks = strain > card.strain_limit + 1e-9
    forces = (
        f"bending {beam.bending_force(bend):.2f} N, going in {_newtons(going_in)}, "
        f"coming out {_newtons(coming_out)}"
    )
    yield Finding(
        check="hold",
        grade=Grade.STOP if breaks else Grade.CLEAR,
        says=f"{names}, {beam.length:.2f} mm long, is bent {bend:.3f} mm aside and strained "
        f"{100 * strain:.2f} % at its root; {allowed:.3f} mm make the "
        f"{100 * card.strain_limit:.2f} % it bears again and again. "
        f"{forces[0].upper()}{forces[1:]}.",
        parts=labels,
        value=strain,
        limit=card.strain_limit,
        unit="mm/mm",
        origin=f"{CANTILEVER}; limit {card.origin('strain_limit')}",
        place=place,
        remedy="a thinner finger, less grip, or a longer finger by more room under the workpiece"
        if breaks
        else "",
    )
    for force, angle, way in (
        (going_in, beam.lead_angle, "goes in"),
        (coming_out, beam.return_angle, "comes out"),
    ):
        if math.isinf(force):
            steep = card.friction * math.tan(angle)
            off = "" if steep >= 1.0 else ", which pushes so far off its middle that it cannot open"
            yield Finding(
                check="hold",
                grade=Grade.STOP,
                says=f"{names} locks itself: the workpiece never {way} over a slope of "
                f"{math.degrees(angle):.0f}° with a friction of {card.friction:g}{off}.",
                parts=labels,
                value=steep if not off else None,
                limit=1.0 if not off else None,
                origin=f"{RAMP}; friction {card.origin('friction')}",
                place=place,
                remedy="a gentler slope: a smaller lead, or a card with less overhang",
            )
    yield from _overlap(group, finger.over, spare)
    yield from _askew(group, finger.play)


def _newtons(force: float) -> str:
    return "never" if math.isinf(force) else f"{force:.2f} N"


def _named(group: list[Labelled]) -> tuple[tuple[str, ...], str, Point]:
    """Labels, words and the place of the first of some clips or tabs."""
    _, first = group[0]
    hours = " and ".join(f"{dial_hour(grip.hour)} h" for _, grip in group)
    return tuple(label for label, _ in group), f"{first.word} at {hours}", first.place


def _overlap(group: list[Labelled], over: float, spare: Allowance) -> Iterator[Finding]:
    """What is left of an overlap when the workpiece has shifted away; nothing if enough."""
    labels, names, place = _named(group)
    left = over - spare.sideways
    if left >= LEAST_OVERLAP:
        return
    yield Finding(
        check="hold",
        grade=Grade.STOP if left <= 0.0 else Grade.MEND,
        says=f"{names} reaches {over:.2f} mm over the rim; play, print and measuring may take "
        f"{spare.sideways:.2f} mm of that, which leaves {max(left, 0.0):.2f} mm.",
        parts=labels,
        value=left,
        limit=LEAST_OVERLAP,
        unit="mm",
        origin=MEMORY,
        place=place,
        remedy="more overlap, or less play in the seat",
    )


def _askew(group: list[Labelled], play: float) -> Iterator[Finding]:
    """Clips that do not stand square to the rim, so that one end of the hook misses it."""
    for label, grip in group:
        less = grip.askew
        if less <= play + SLACK:
            continue
        yield Finding(
            check="hold",
            grade=Grade.STOP,
            says=f"{label} does not stand square to the rim: one end of its hook reaches "
            f"{less:.2f} mm less over it than its middle, and the other end as much farther in; "
            f"its play is {play:.2f} mm.",
            parts=(label,),
            value=less,
            limit=play,
            unit="mm",
            origin="half the width times the tangent of the angle between finger and edge",
            place=grip.place,
            remedy=f"outward: {grip.square:.2f} h, square to the rim, or the family 'inspection', "
            "which sets it so",
        )


def _tab(group: list[Labelled], tab: Plate, spare: Allowance) -> Iterator[Finding]:
    labels, names, place = _named(group)
    yield from _overlap(group, tab.over, spare)
    low, high = CORES
    share, deep = tab.core / tab.screw, tab.depth / tab.screw
    good = low <= share <= high and deep >= ENGAGED
    yield Finding(
        check="hold",
        grade=Grade.CLEAR if good else Grade.MEND,
        says=f"{names}: the screw of {tab.screw:g} mm goes {tab.depth:g} mm into a bore of "
        f"{tab.core:g} mm; wanted are {ENGAGED:g} times its ⌀ and a bore of "
        f"{low * tab.screw:.2f} to {high * tab.screw:.2f} mm.",
        parts=labels,
        value=deep,
        limit=ENGAGED,
        origin=PRACTICE,
        place=place,
        remedy="" if good else "a deeper bore, or the bore that goes with the screw",
    )


def _hangs(
    holder: Holder, site: Site, holds: list[Hold], shares: Floats | None
) -> Iterator[Finding]:
    """Do clips and tabs together carry the weight with its shock?"""
    operation, own = holder.recipe.operation, weight(site.sheet)
    labels = tuple(each.label for each in holds)
    origin = (
        f"rigid body on like springs, weight on the axis; {CANTILEVER}; "
        f"shock {operation.shock:g} {MEMORY}"
    )
    if shares is None:
        yield Finding(
            check="hold",
            grade=Grade.STOP,
            says="turned over, the workpiece tips out: what holds it stands on one side.",
            parts=labels,
            origin=origin,
            remedy="clips or tabs spread round the rim, three or more",
        )
        return
    carries = np.array([each.carries for each in holds])
    # the weight at which the first of them lets go
    limit = float(np.min(np.divide(carries, shares, out=np.full(len(holds), np.inf),
                                   where=shares > 1e-9)))  # fmt: skip
    heaviest = limit / operation.shock / GRAVITY
    if own is None:
        yield Finding(
            check="hold",
            grade=Grade.UNKNOWN,
            says=f"not assessed: whether what holds the workpiece carries it turned over; its mass "
            f"is not on the sheet. Up to {heaviest:.0f} g would do.",
            parts=labels,
            limit=limit,
            unit="N",
            origin=origin,
            remedy=NO_MASS,
            lacks=MASS,
        )
        return
    knock = own * operation.shock
    enough = knock <= limit
    yield Finding(
        check="hold",
        grade=Grade.CLEAR if enough else Grade.STOP,
        says=f"turned over, {len(holds)} hold {own / GRAVITY:.3g} g; a knock of "
        f"{operation.shock:g} times the weight is {knock:.2f} N, and they let go at {limit:.2f} N.",
        parts=labels,
        value=knock,
        limit=limit,
        unit="N",
        origin=origin,
        remedy="" if enough else "more clips or tabs, or thicker and longer ones",
    )


def _lies(holder: Holder, site: Site) -> Iterator[Finding]:
    """Laid down turned over, the holder must not lie on the workpiece."""
    holding = _holding(holder, site)
    fingers = tuple(label for label, grip in holding if isinstance(grip.made, Finger))
    plates = tuple(label for label, grip in holding if isinstance(grip.made, Plate))
    fitted = [each.solid for laid in holder.laid for each in laid.part.fittings(site)]
    highest = max(each.bounding_box()[5] for each in [holder.solid, *fitted])
    top = site.frame.z(site.side_up, site.sheet.height(site.side_up))
    if highest >= top + site.card.scatter:
        return
    yield Finding(
        check="hold",
        grade=Grade.MEND,
        says=f"laid down turned over, the holder lies on the workpiece, which stands "
        f"{top - highest:.2f} mm above it.",
        parts=(*fingers, *plates),
        value=highest - top,
        limit=site.card.scatter,
        unit="mm",
        remedy="hold it in the hand, lay it over an opening, or make the tabs thicker",
    )
