"""What a press sends through jewels that are not pressed, into the posts under them.

A plate that bends down on a post under another jewel rests on it through that jewel's friction fit.
More than its push-out force does not go that way: the jewel is pushed out, and by how far is what
the endshake of its own arbor loses. So it is too with two arbors on one axis, of whose jewels a
post meets the outer one: the press on the other arbor comes to it through plate or bridge.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from nests.given.sheet import Arbor, Jewel
from nests.load_path.push_out import PushOut
from nests.load_path.supports import Prop
from nests.mechanics.carried import CarriedPlate
from nests.mechanics.jewel import JewelLoadPath, PressedJewel
from nests.mechanics.tolerance import Spread, probability_below
from nests.units import Length

OFTEN = 0.01
"""Probability up to which a slide beyond the endshake allowed is let pass; from memory."""


@dataclass(frozen=True)
class Passed:
    """One jewel that is not pressed, over its post. `label` is the post's; `force` N run through
    its fit as drawn and `worst` N with the post as proud as it may be. `slide` is how far the jewel
    is pushed out then, mm, 0 where its fit holds and inf where that is not known; `chance` that it
    is by more than the endshake of its arbor may change."""

    arbor: Arbor
    jewel: Jewel
    label: str
    force: float
    worst: float
    push_out: PushOut
    slide: Length
    chance: float

    @property
    def pushed(self) -> bool:
        """Whether the jewel is pushed out farther than is allowed, and more than now and then."""
        return self.chance > OFTEN


Holds = Callable[[Prop], tuple[Arbor, Jewel, PushOut] | None]
"""Arbor, jewel and push-out force over a post; None for one under a rest."""


def passed_on(
    props: Sequence[Prop],
    whole: CarriedPlate,
    pressed: PressedJewel,
    own: Prop | None,
    path: JewelLoadPath,
    over: Holds,
) -> tuple[Passed, ...]:
    """What the press of a path sends through other jewels.

    `whole` is the plate on all `props` taken as rigid, `pressed` that on all but the `own` post of
    the jewel that is pressed.
    """
    others = [each for each in props if each is not own]
    found = [(k, p, over(p)) for k, p in enumerate(others) if p.kind and not p.above]
    known = [(k, p, *about) for k, p, about in found if about is not None]
    if not known or path.tips:
        return ()
    gaps = np.tile(pressed.carried.supports.gaps, (len(known), 1))
    for row, (k, prop, *_) in enumerate(known):
        gaps[row, k] -= prop.proud_by
    own_gaps = None if own is None else np.full(len(known), own.gap)
    stiffness = math.inf if own is None else own.stiffness
    worst = pressed.paths(path.press, own_gaps, stiffness, gaps)
    out = []
    for row, (k, prop, arbor, jewel, holds) in enumerate(known):
        most, slide, chance = float(worst.others[row, k]), 0.0, 0.0
        if not most <= holds.force:
            fit = float(worst.fit_force[row])
            slips = not abs(fit) < pressed.push_out
            stays = [p for p in props if p is not prop and (p is not own or not slips)]
            load = fit if slips else path.press
            lies = _gives(props, whole, stays, pressed, load, prop, holds.force)
            slide = max(lies - prop.gap + prop.proud_by, 0.0)
            limit = lies - arbor.endshake_change
            chance = _chance(limit, prop)
        force = path.others.get(prop.label, 0.0)
        out.append(Passed(arbor, jewel, prop.label, force, most, holds, slide, chance))
    return tuple(out)


def _chance(limit: Length, prop: Prop) -> float:
    """Probability that a post stands so proud that its gap is less than a limit."""
    if not math.isfinite(limit):
        return 1.0
    about = [Spread(prop.gap, 0.0), *prop.proud_spread]
    return float(probability_below([limit], about, prop.gap)[0])


def _gives(
    props: Sequence[Prop], whole: CarriedPlate, stays: Sequence[Prop], pressed: PressedJewel,
    force: float, prop: Prop, holds: float,
) -> Length:  # fmt: skip
    """How far the plate comes down over a post on which a jewel passes all it holds, less what the
    post gives: from that gap on the jewel is not pushed out. inf where it finds no rest."""
    kept = [each for each in props if any(each is p for p in stays)]
    rigid = whole.only(np.array([any(each is p for p in stays) for each in props]))
    springs = replace(
        rigid.supports,
        gaps=np.array([p.gap for p in kept]),
        compliances=np.array([1.0 / p.stiffness for p in kept]),
        labels=tuple(p.label for p in kept),
    )
    carried = rigid.on(springs)
    load = carried.factored.point_load(pressed.place, force)
    load += carried.factored.point_load(prop.at, -holds)
    try:
        lies = carried.press(load)
    except (ArithmeticError, ValueError):
        return math.inf
    if lies.tips:
        return math.inf
    return float(lies.deflection(prop.at)[0]) - holds / prop.stiffness
