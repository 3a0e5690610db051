"""The load path of each press: nominal, at worst, and how likely a slide is.

The plate is factored once for a workpiece, its supports are prepared once for their places; a post
of another kind or height costs a small contact problem.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely

from nests.given.sheet import Arbor, Jewel
from nests.load_path.passed import Passed, passed_on
from nests.load_path.push_out import PushOut, push_out
from nests.load_path.stock import plate_of, stiffest, stock_of
from nests.load_path.supports import Prop, carried_by_statics, ledge_of, under
from nests.mechanics.carried import CarriedPlate, carry, posts
from nests.mechanics.jewel import (
    JewelLoadPath,
    JewelPost,
    JewelSpread,
    PressedJewel,
    jewel_spread,
    pressed_jewel,
)
from nests.mechanics.plate import Plate
from nests.mechanics.tolerance import Spread
from nests.parts.site import Site
from nests.units import BadInput, Length

LYING = 0.1
"""N, a light workpiece: it settles how a plate lies on supports of which not all touch."""
LEANS: Length = 0.01
"""mm by which it weighs nearer to where it is gauged: enough to settle how it lies where it rocks,
too little to change how it lies elsewhere."""
ON: Length = 1e-3
"""mm beside the plan of a plate that still count as on it: chords."""


@dataclass(frozen=True)
class Known:
    """What is known of a press: arbor and jewel, N, push-out force, the post under the jewel with
    its gap as set, how low the jewel lies before the press, mm, the labels of the ledges, and the
    height of the one that tips are gauged from. `over` is the arbor on the same axis whose jewel
    lies outermost, None where that is its own: a post meets that one."""

    arbor: Arbor
    jewel: Jewel
    force: float
    push_out: PushOut
    post: Prop | None
    lies: Length
    ledges: frozenset[str]
    ledge: Length | None
    over: Arbor | None = None


@dataclass(frozen=True, eq=False)
class PressPath:
    """One press and where it goes.

    `path` is nominal, `spread` over the height of the post (None without one). `pressed` is None
    where the contact found no solution; then both bound what the fit carries and how far the jewel
    slides. `stiff` is the same on plate and bridges fast on each other; None where the sheet lacks
    a thickness. The truth lies between, so the worst of both counts. `passed` is what runs
    through other jewels into the posts under them.
    """

    known: Known
    path: JewelLoadPath
    spread: JewelSpread | None
    pressed: PressedJewel | None
    stiff: PressPath | None = None
    passed: tuple[Passed, ...] = ()

    @property
    def both(self) -> tuple[PressPath, ...]:
        """On the stock by itself, and on one laminate of plate and bridges."""
        return (self,) if self.stiff is None else (self, self.stiff)

    @property
    def worst_slide(self) -> Length:
        """Largest slide of the jewel either way, mm, with the post as far off as it may be."""
        return max(abs(e.path.slide) if e.spread is None else e.spread.worst_slide
                   for e in self.both)  # fmt: skip

    @property
    def chance(self) -> float:
        """Probability that the jewel slides by more than is allowed."""
        allowed = self.known.arbor.endshake_change
        return max(float(abs(e.path.slide) > allowed) if e.spread is None else e.spread.over_slide
                   for e in self.both)  # fmt: skip

    @property
    def safe_as_drawn(self) -> bool:
        """Whether nothing tips, and no slide exceeds what is allowed with everything as drawn."""
        allowed = self.known.arbor.endshake_change
        return all(not e.path.tips and abs(e.path.slide) <= allowed for e in self.both)

    @property
    def pushed(self) -> Passed | None:
        """The jewel that is not pressed and is pushed out the farthest, by more than is allowed."""
        found = [p for each in self.both for p in each.passed if p.pushed]
        return max(found, key=lambda each: each.slide, default=None)

    def most_through(self, arbor: Arbor) -> Passed | None:
        """The most that runs through the jewel of another arbor into the post under it."""
        found = [p for each in self.both for p in each.passed if p.arbor is arbor]
        # where all of the press runs through it on either plate, rounding must not choose
        return max(found, key=lambda each: (round(each.worst, 6), each.force), default=None)

    def latest(self) -> Length:
        """How short (mm) the post may be drawn or set and still catch the jewel in time; inf if the
        fit holds the whole press, nan if that is not known."""
        return min(each._latest() for each in self.both)

    def _latest(self) -> Length:
        post, fit = self.known.post, self.known.push_out.force
        if fit >= self.known.force:
            return math.inf
        if self.pressed is None or post is None:
            return math.nan
        allowed = self.known.arbor.endshake_change
        gap = self.pressed.gap_at(self.known.force, post.stiffness, fit, allowed)
        return gap - (post.gap - post.drawn)  # as the workpiece lies on this plate


def press_paths(
    site: Site, supports: Sequence[Prop], forces: Mapping[str, float]
) -> tuple[PressPath, ...]:
    """Load path of every press, N on the arbor of that name, alone, on supports of one holder.

    Arbors without a jewel that looks down are left out. Raises `BadInput` where the stock has no
    thickness or makes no plate, or a jewel lies in a hole of it.
    """
    plates = [plate_of(site.sheet, site.side_up), stiffest(site.sheet, site.side_up)]
    benches = [carried_on(plate, supports) for plate in plates if plate is not None]
    out = []
    for name, force in forces.items():
        arbor = site.sheet.arbor(name)
        jewel = arbor.jewel(site.side_down)
        if jewel is not None:
            first, *more = (_press_path(site, each, arbor, jewel, force) for each in benches)
            out.append(replace(first, stiff=more[0]) if more else first)
    return tuple(out)


@dataclass(frozen=True, eq=False)
class Bench:
    """A plate with all its supports, taken as rigid and touching; `props` in the same order."""

    props: tuple[Prop, ...]
    carried: CarriedPlate

    def beside(
        self, post: Prop | None, place: tuple[float, float], push_out: float
    ) -> tuple[PressedJewel, Length]:
        """A jewel on all supports but its own post, and how low it lies before it is pressed."""
        kept = tuple(each is not post for each in self.props)
        springs = tuple((p.gap, 1.0 / p.stiffness, p.label) for p in self.props if p is not post)
        return _beside(self.carried, kept, springs, place, push_out)


def carried_on(plate: Plate, supports: Sequence[Prop]) -> Bench:
    """A plate on supports; what lies off the plate cannot touch it and is left out."""
    near = [p for p in supports if plate.domain.distance(shapely.Point(p.at)) < ON]
    # in one order, so that the same places are prepared once whichever post is tried last
    near.sort(key=lambda p: (p.above, p.at))
    return Bench(
        tuple(near), _prepared(plate, tuple(p.at for p in near), tuple(p.above for p in near))
    )


@lru_cache(maxsize=32)
def _prepared(
    plate: Plate, places: tuple[tuple[float, float], ...], above: tuple[bool, ...]
) -> CarriedPlate:
    """A plate on rigid supports at these places: all that needs the plate to be solved."""
    rigid = posts(np.reshape(places, (-1, 2)))
    return carry(plate, replace(rigid, above=np.array(above, dtype=bool)))


@lru_cache(maxsize=32)
def _beside(
    carried: CarriedPlate,
    kept: tuple[bool, ...],
    springs: tuple[tuple[Length, float, str], ...],
    place: tuple[float, float],
    push_out: float,
) -> tuple[PressedJewel, Length]:
    """As `Bench.beside`: the same for every post that is tried under one jewel. `springs` are gap,
    compliance and label of the supports `kept`."""
    rigid = carried.only(np.array(kept, dtype=bool))
    gaps, compliances, labels = zip(*springs, strict=True) if springs else ((), (), ())
    held = rigid.on(
        replace(
            rigid.supports,
            gaps=np.array(gaps, dtype=np.float64),
            compliances=np.array(compliances, dtype=np.float64),
            labels=labels,
        )
    )
    return pressed_jewel(held, place, push_out), lies_at(held, place)


def _press_path(site: Site, bench: Bench, arbor: Arbor, jewel: Jewel, force: float) -> PressPath:
    at = site.frame.place(arbor.at)
    domain = bench.carried.factored.plate.domain
    if not domain.covers(shapely.Point(at.x, at.y)):
        raise BadInput(f"the jewel of '{arbor.name}' lies where the sheet has no plate.")
    margin = float(domain.boundary.distance(shapely.Point(at.x, at.y)))
    holds = push_out(jewel, stock_of(site.sheet, site.side_down), margin)
    post = own = under(bench.props, arbor.name)
    pressed, lies = bench.beside(post, (at.x, at.y), holds.force)
    if post is not None and carried_by_statics(bench.props, post):
        lies = 0.0  # without such a post it would lie on its edge
    if post is not None and post.kind == "screw":  # set under the workpiece as it lies
        # the ledge may have been printed low; how it lies says that already
        post = replace(post, gap=post.drawn + lies)
    outer = site.sheet.outermost(arbor.name, site.side_down)
    over = None if outer is arbor else outer
    known = Known(arbor, jewel, force, holds, post, lies, *_ledges(bench), over)
    try:
        path = _solved(known, pressed)
        return replace(path, passed=_passed(site, bench, known, path, own))
    except (ArithmeticError, ValueError, np.linalg.LinAlgError):
        return _bounded(known)


def _passed(
    site: Site, bench: Bench, known: Known, path: PressPath, own: Prop | None
) -> tuple[Passed, ...]:
    """What of a press runs through other jewels; nothing is asked where none could give way."""
    domain = bench.carried.factored.plate.domain
    arbors = {each.name: each for each in site.sheet.arbors}

    def over(prop: Prop) -> tuple[Arbor, Jewel, PushOut] | None:
        arbor = arbors.get(prop.touches)
        jewel = None if arbor is None else arbor.jewel(site.side_down)
        if arbor is None or jewel is None:
            return None
        margin = float(domain.boundary.distance(shapely.Point(prop.at)))
        holds = push_out(jewel, stock_of(site.sheet, site.side_down), margin)
        # supports that only push take no more than the press between them
        may = holds.force < known.force or any(p.above for p in bench.props)
        return (arbor, jewel, holds) if may or arbor is known.over else None

    if path.pressed is None:
        return ()
    # its own post as the path has it: a screw was set under the workpiece as it lies
    props = tuple(known.post if p is own and known.post is not None else p for p in bench.props)
    return passed_on(props, bench.carried, path.pressed, known.post, path.path, over)


def _ledges(bench: Bench) -> tuple[frozenset[str], Length | None]:
    labels = frozenset(each.label for each in bench.props if each.ledge is not None)
    return labels, ledge_of(bench.props)


def lies_at(carried: CarriedPlate, place: tuple[float, float]) -> Length:
    """How low a workpiece lies there, on whichever of its supports touch; 0 if it finds no rest.

    One that rocks, as on a post that stands proud right under its middle, lies down on the side
    where it is gauged.
    """
    middle = carried.factored.plate.domain.centroid
    dx, dy = place[0] - middle.x, place[1] - middle.y
    towards = LEANS / max(math.hypot(dx, dy), LEANS)
    at = (middle.x + towards * dx, middle.y + towards * dy)
    try:
        lying = carried.press(carried.factored.point_load(at, LYING))
    except (ArithmeticError, ValueError):
        return 0.0
    return 0.0 if lying.tips else float(lying.deflection(place)[0])


@lru_cache(maxsize=32)
def _solved(known: Known, pressed: PressedJewel) -> PressPath:
    """The same for every holder with the same supports: `_beside` gives them one pressed jewel."""
    force, post = known.force, known.post
    if post is None:
        path = pressed.path(force, None)
        return PressPath(known, path, None, pressed)
    path = pressed.path(force, JewelPost(post.gap, post.stiffness))
    allowed = known.arbor.endshake_change
    spread = jewel_spread(
        pressed, force, post.stiffness, _about(post.gap, post.spread), allowed_slide=allowed
    )
    return PressPath(known, path, spread, pressed)


def _about(gap: Length, spread: tuple[Spread, ...]) -> list[Spread]:
    """The law of a gap: contributions about 0, moved to the gap."""
    return [Spread(gap, 0.0), *spread]


def _bounded(known: Known) -> PressPath:
    """What holds without a solution: the fit carries no more than the press and no more than it
    can, and the post catches the jewel at the latest after its gap and its own shortening."""
    force, holds, post = known.force, known.push_out.force, known.post
    fit = min(force, holds)
    slide = 0.0
    if force > holds:
        slide = math.inf
        if post is not None:
            lifted = min(known.lies, 0.0)  # by other posts that stand proud
            slide = max(post.gap - lifted, 0.0) + (force - fit) / post.stiffness
    path = JewelLoadPath(force, fit, fit / holds, force - fit, {}, math.nan, slide, False)
    if post is None:
        return PressPath(known, path, None, None)
    worst = slide + post.half_width if slide else 0.0
    over = float(worst > known.arbor.endshake_change)
    return PressPath(
        known, path, JewelSpread(fit, worst, float(slide > 0), math.nan, over, 0), None
    )
