"""Room for the tips of tweezers at the seat: two notches opposite each other, measured free."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from manifold3d import CrossSection, OpType

from nests.families._comfort_room import CRUMB, SKIN, beside_springs
from nests.families._room import spared
from nests.finding import refuse
from nests.holder.compose import Holder
from nests.holder.recipe import MOULD
from nests.parts.site import Site
from nests.parts.tweezer_notch import TweezerNotch
from nests.places import hours_between
from nests.solids.solid import Solid, offset, union
from nests.units import Hour, Length, dial_hour

STEP = 0.25
"""Hours by which the two are moved to find room."""
RIGHT_HAND: Hour = 4.5
"""Hour near which a right hand brings tweezers in; from memory."""
SIZES: tuple[tuple[Length, Length], ...] = ((2.5, 2.0), (2.0, 2.0), (2.0, 1.4), (1.6, 1.2))
"""Width and way into the wall, mm, the preferred first; tips of tweezers are 0.2 to 1 mm wide, from
memory."""
UNDER: Length = 0.8
"""mm of room under rim and ledge, for a tip 0.5 mm thick; from memory."""
LEFT: Length = 1.5
"""mm of wall left behind a notch, so that it may be taken hold of there; from memory."""
BESIDE_WAY: Length = 2.0
"""mm between a notch and what a stem or pusher needs of the edge, and what stands opposite a
pusher, which holds the workpiece against its push; from memory."""
SPARED: Length = 0.3
"""mm between a notch in plan and what may not be touched; from memory."""
ASKEW = math.radians(30.0)
"""rad by which a notch may lean against the edge; beyond, the wall beside it ends in a blade; from
memory."""
BAND: Length = 0.03
"""mm to either side of the middle of a ledge that tell whether it is whole."""
SPECK = 1e-4
"""mm² of a ledge that are none."""


def tweezer_notches(holder: Holder) -> tuple[tuple[TweezerNotch, TweezerNotch], str]:
    """Two notches at opposite hours where wall and ledge are whole, and the reason.

    Raises `Refused` where there are no two such hours, and for a mould.
    """
    recipe = holder.recipe
    if recipe.kind == MOULD:
        raise refuse(
            "comfort",
            "in a cushion mould lies nothing that tweezers take up.",
            "leave --tweezers out",
        )
    for first, second in _pairs(_Ground(holder)):
        one, other = sorted((first.at % 12.0 or 12.0, second.at % 12.0 or 12.0))
        return (first, second), (
            f"tweezer notches at {dial_hour(one)} and {dial_hour(other)} h, {first.width:g} mm "
            f"wide, {first.under:g} mm of room under the rim."
        )
    width, out = SIZES[-1]
    raise refuse(
        "comfort",
        f"'{recipe.name}' has no two hours opposite each other where {width:g} mm of its ledge and "
        f"{out:g} mm of its wall are whole and away from ways, parts, letters and what may not be "
        "touched.",
        "a thicker wall, or no --tweezers",
    )


@dataclass(frozen=True)
class _Ground:
    """A holder, with what a notch has to keep off."""

    holder: Holder

    @cached_property
    def site(self) -> Site:
        """Where its parts stand."""
        return self.holder.recipe.site()

    @cached_property
    def whole(self) -> Solid:
        """The body with nothing cut but the place of the workpiece."""
        body = self.holder.laid[0].shape.adds
        assert body is not None
        seats = [each.shape.cuts for each in self.holder.laid
                 if each.part.takes_workpiece and each.shape.cuts is not None]  # fmt: skip
        return body - union(seats)

    @cached_property
    def taken(self) -> CrossSection:
        """Plan of what stands, moves, springs or is to be spared."""
        site, laid = self.site, self.holder.laid[1:]
        plans = [each.shape.adds.project() for each in laid if each.shape.adds is not None]
        plans += [each.solid.project() for one in laid for each in one.part.fittings(site)]
        plans += [each.project() for one in laid for each in one.part.sweeps(site)]
        plans += beside_springs(self.holder)
        plans += [offset(each.plan, SPARED, 64) for each in spared(site) if each.low < site.top]
        return CrossSection.batch_boolean(plans, OpType.Add)

    @cached_property
    def ledges(self) -> list[tuple[CrossSection, CrossSection]]:
        """The line along the middle of every ledge, and what of the holder is just below it."""
        shelves = [each.part.shelf(self.site) for each in self.holder.laid]
        return [
            (
                offset(CrossSection([each.middle]), BAND, 64)
                - offset(CrossSection([each.middle]), -BAND, 64),
                self.holder.solid.slice(each.level - SKIN),
            )
            for each in shelves
            if each is not None
        ]

    @cached_property
    def drop(self) -> Length:
        """How far below the rim its ledge lies."""
        shelves = [each.part.shelf(self.site) for each in self.holder.laid]
        return max((each.drop for each in shelves if each is not None), default=0.0)

    def is_free(self, notch: TweezerNotch) -> bool:
        """Whether there is room for a notch and a wall round it."""
        site, at = self.site, notch.at
        sheet, wall = site.sheet, site.card.smallest_wall + 0.1
        if site.outer(at) - site.radius(at) - notch.out < max(LEFT, wall):
            return False
        ways = [each.hour for each in sheet.pushers]
        ways += [sheet.stem.hour] if sheet.stem is not None else []
        for way in ways:
            apart = min(hours_between(at, way), hours_between(at + 6.0, way))
            if site.radius(at) * math.sin(math.pi / 6 * apart) < notch.width / 2 + BESIDE_WAY:
                return False
        grown = notch.taken(site, wall)
        plan = grown.project()
        if not (plan ^ self.taken).is_empty():
            return False
        for line, there in self.ledges:
            own = line ^ plan
            if min((own - there).area(), (own ^ there).area()) > SPECK:
                return False  # a gap or drain would leave a sliver of it
        return float(((self.whole ^ grown) - self.holder.solid).volume()) < CRUMB


def _askew(site: Site, at: Hour) -> float:
    """How much an hour leans against the edge there, rad."""
    return abs(math.remainder(site.normal(at) - site.frame.angle(at), math.tau))


def _pairs(ground: _Ground) -> Iterator[tuple[TweezerNotch, TweezerNotch]]:
    """Notches with room, opposite each other: of the widest, square to the edge first."""
    site = ground.site
    parts = ground.holder.recipe.parts
    pocket = max((each for part in parts if (each := part.opens(site)) is not None), default=None)
    flange = max(site.sheet.edge(side)[0] for side in (site.side_up, site.side_down))
    hours = sorted(
        (k * STEP for k in range(int(6 / STEP))),
        key=lambda at: (round(_askew(site, at), 2), hours_between(at, RIGHT_HAND), at),
    )
    for width, out in SIZES:
        for at in hours:
            if max(_askew(site, at), _askew(site, at + 6.0)) > ASKEW:
                continue
            under = round(UNDER + ground.drop, 3)
            pair = [
                TweezerNotch(at=each, width=width, out=round(out + flange, 3), under=under)
                for each in (at, (at + 6.0) % 12.0)
            ]
            if pocket is not None:
                pair = [each.into(site, pocket) for each in pair]
            if all(ground.is_free(each) for each in pair):
                yield pair[0], pair[1]
