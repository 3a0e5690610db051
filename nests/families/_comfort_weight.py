"""Room for a weight in the foot: as near the axis as what stands on the floor leaves it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from manifold3d import CrossSection, OpType

from nests.families._comfort_room import SKIN
from nests.finding import refuse
from nests.holder.compose import Holder
from nests.holder.recipe import MOULD
from nests.holder.workpiece import Floats, plan_distances
from nests.parts.site import Site
from nests.parts.weight_recess import WeightRecess
from nests.places import Place
from nests.solids.solid import Solid, block, offset, union
from nests.units import Hour, Length, printed

GRID: Length = 0.5
"""mm between two places that are tried."""
RING: Length = 2.0
"""mm of floor left between the recess and the wall of the pocket, on whose foot the holder stands;
from memory."""
FOOTING = 1.5
"""Thicknesses of the floor that stay whole beside what stands on it: a post is reckoned on a floor
that goes on, and on one that ended there all round it would be told at most 1 % too stiff; the
recess lies on one side only (tests/outside/test_footing.py)."""
HOURS: tuple[Hour, ...] = (6.0, *(0.25 * k for k in range(48)))
"""Hours the groove may run to, the preferred first."""


def weight_recess(holder: Holder, wanted: WeightRecess) -> tuple[WeightRecess, str]:
    """The recess for a weight where the floor has room for it, and the reason.

    Raises `Refused` where it has none, or where there is no floor.
    """
    recipe, site = holder.recipe, holder.recipe.site()
    if recipe.kind == MOULD or site.floor <= 0.0:
        raise refuse(
            "comfort",
            f"'{recipe.name}' has no floor for a weight to lie in.",
            "leave --weight out",
        )
    free = _free(holder)
    points = _places(site)
    room = np.array([0.0]) if free.is_empty() else _inside(free, points)
    needed = wanted.drawn_across(site) / 2 + site.card.least_foot
    for index in np.flatnonzero(room >= needed):
        x, y = points[index].tolist()
        at = site.frame.place(Place(x, y))
        for each in _vented(holder, wanted, Place(round(at.x, 3), round(at.y, 3))):
            off, grams = site.spot(points[index]), printed(each.grams, 1)
            return each, (
                f"a weight of {grams} g in brass lies in the foot, {off}; that it stands more "
                "firmly with it is not counted on."
            )
    most = max(2 * float(room.max()) - 2 * site.card.least_foot - wanted.play, 0.0)
    lies = f"⌀ {printed(most, 1)} mm at most" if most >= 3.0 else "none"
    raise refuse(
        "comfort",
        f"the foot of '{recipe.name}' has no room for a weight of ⌀ {wanted.diameter:g} mm: beside "
        f"what stands on its floor, {printed(site.floor, 1)} mm thick, and what is cut through it "
        f"there is room for {lies}{'' if most < wanted.diameter else ', and no way out of it'}.",
        "a slimmer or lower weight, or no --weight",
    )


def _free(holder: Holder) -> CrossSection:
    """Where the floor of the pocket is whole, away from its wall and from what stands on it."""
    site, laid = holder.recipe.site(), holder.laid[1:]
    wall = site.card.smallest_wall + 0.1
    pockets = [each.shape.cuts.slice(site.floor + SKIN) for each in laid
               if each.part.takes_workpiece and each.shape.cuts is not None]  # fmt: skip
    pocket = CrossSection.batch_boolean(pockets, OpType.Add)
    whole = CrossSection([site.body.plan(site)])
    free = offset(pocket ^ whole, -RING, 64)
    for each in laid:
        if each.shape.adds is not None:
            free -= offset(each.shape.adds.project(), FOOTING * site.floor, 64)
    for cut in _in_the_floor(holder):
        free -= offset(cut.project(), wall, 64)
    return free


def _in_the_floor(holder: Holder) -> Iterator[Solid]:
    """What is cut from the floor, as far as it lies in it."""
    site = holder.recipe.site()
    reach = 2 * max(site.outer(float(h)) for h in range(12))
    slab = Solid.cube((2 * reach, 2 * reach, site.floor - SKIN)).translate((-reach, -reach, 0.0))
    for each in holder.laid[1:]:
        if each.shape.cuts is not None:
            cut = each.shape.cuts ^ slab
            if cut.volume() > 1e-4:
                yield cut


def _places(site: Site) -> Floats:
    """Places (n, 2) in the holder frame, from the axis outward."""
    reach = max(site.radius(float(h)) for h in range(12))
    steps = np.arange(-math.floor(reach / GRID), math.floor(reach / GRID) + 1) * GRID
    grid = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
    order = np.lexsort((grid[:, 0], grid[:, 1], np.round(np.hypot(*grid.T), 6)))
    return np.asarray(grid[order], dtype=np.float64)


def _inside(free: CrossSection, points: Floats) -> Floats:
    """How far inside a plan points (n, 2) lie, mm; 0 outside."""
    x0, y0, x1, y1 = free.bounds()
    box = CrossSection.square((x1 - x0 + 2.0, y1 - y0 + 2.0)).translate((x0 - 1.0, y0 - 1.0))
    beyond = box - free
    held = np.all((points > (x0, y0)) & (points < (x1, y1)), axis=1)
    return np.where(held, plan_distances(beyond, points), 0.0)


def _vented(holder: Holder, wanted: WeightRecess, at: Place) -> Iterator[WeightRecess]:
    """The recess at a place with every groove that leads out of it through a whole foot."""
    site = holder.recipe.site()
    wall = site.card.smallest_wall + 0.1
    cut = union(_in_the_floor(holder))
    stands = [each.shape.adds.project() for each in holder.laid[1:] if each.shape.adds is not None]
    feet = CrossSection.batch_boolean(stands, OpType.Add)
    hours = HOURS if at.radius < 1e-6 else (round(at.hour, 3), *HOURS)
    for hour in hours:
        each = replace(wanted, at=at, vent=hour)
        middle = each.place(site)
        angle = site.frame.angle(hour)
        ahead = middle.x * math.cos(angle) + middle.y * math.sin(angle)
        aside = abs(middle.y * math.cos(angle) - middle.x * math.sin(angle))
        if ahead < 0.0 or aside > each.drawn_across(site) / 2 - each.groove:
            continue
        high = each.groove / 2 * site.rise + wall
        way = block(
            angle, ahead, site.outer(hour), each.groove + 2 * wall, 0.0, min(high, site.floor)
        )
        if float((way ^ cut).volume()) < 1e-4 and (way.project() ^ feet).is_empty():
            yield each
