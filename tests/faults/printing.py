"""The labelled collection: solids with one printing fault each.

Every case says what was planted, where it lies by its own geometry, and what else the same fault
cannot but bring about. Limits are those of the default printer card unless a case says otherwise;
sizes start 5 % beyond them. Sound solids are in `printing_sound`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

import features as f
import numpy as np
from cases import CARD, Case, bare, inside
from manifold3d import Manifold
from planting import (
    Box,
    Feature,
    Place,
    Point,
    Ring,
    Sides,
    box,
    chamfered_block,
    ground,
    revolved,
    rod,
)

from nests.documents.files import data_folder
from nests.holder.compose import compose
from nests.study import Study
from tests.ordering import preferred

FINE_PINS = {"smallest_pin": 0.3}
"""A card on which a thin wall is not at once a thin ridge."""
FINE_WALLS = {"smallest_wall": 0.3}
"""A card on which a thin pin is not at once a thin wall."""


def _walls() -> Iterator[Case]:
    """Limit 0.6 mm. With the default card a thin fin is also a ridge that is too fine."""
    for where, size in (("block", 0.57), ("cushion", 0.57), ("round", 0.57), ("shaped", 0.4)):
        yield inside(where, f"fin {size}", "wall", lambda _, s=size: f.fin(s), **FINE_PINS)
    yield inside("block", "fin 0.5, fine", "wall", lambda _: f.fin(0.5), "fine detail")
    for where, size in (("block", 0.57), ("cradle", 0.57), ("case", 0.5), ("thin", 0.3)):
        yield inside(where, f"web {size}", "wall", lambda _, s=size: f.web(s))
    for where, size in (("block", 0.57), ("cushion", 0.57), ("inspection", 0.45)):
        yield inside(where, f"skin {size}", "wall", lambda g, s=size: f.skin(s, g.top))


def _gaps() -> Iterator[Case]:
    """Limit 0.3 mm."""
    for where, size in (("block", 0.285), ("cushion", 0.285), ("thin", 0.2), ("case", 0.1)):
        yield inside(where, f"posts {size} apart", "gap", lambda _, s=size: f.posts(s))
    for where, size in (("block", 0.285), ("round", 0.285), ("cradle", 0.2)):
        yield inside(where, f"slot {size}", "gap", lambda g, s=size: f.slot(s, g.out))
    yield inside("block", "lying slit 0.285", "gap", lambda g: f.lying_slit(0.285, g.out))
    yield inside("case", "lying slit 0.285", "gap", lambda g: f.lying_slit(0.285, g.out))
    yield inside("cushion", "lying slit 0.2", "gap", lambda g: f.lying_slit(0.2, g.out))


def _overhangs() -> Iterator[Case]:
    """Limits 0.5 mm held at one end, four times that at two, 45° from upright."""
    sizes = (("block", 0.525), ("cushion", 0.525), ("round", 0.6), ("hand-setting", 1.5))
    for where, size in sizes:
        yield inside(where, f"bracket {size}", "overhang", lambda _, s=size: f.bracket(s))
    for where, size in (("block", 2.1), ("cradle", 2.1), ("chronograph", 3.0)):
        yield inside(where, f"bridge {size}", "overhang", lambda _, s=size: f.bridge(s))
    for where, size in (("block", 0.525), ("thin", 0.525), ("case", 1.2)):
        yield inside(where, f"mushroom {size}", "overhang", lambda _, s=size: f.mushroom(s))
    for where, lean, run in (("block", 47.25, 2.0), ("block", 60.0, 2.0), ("cushion", 75.0, 2.0)):
        yield inside(where, f"flare {lean}°", "overhang", lambda _, a=lean, r=run: f.flare(a, r))
        yield inside(where, f"ramp {lean}°", "overhang", lambda _, a=lean, r=run: f.ramp(a, r))


def _islands() -> Iterator[Case]:
    for where, size in (("block", 0.1), ("block", 0.6), ("cushion", 0.3), ("shaped", 1.0)):
        yield inside(where, f"hanging pin {size}", "island", lambda _, s=size: f.hanging(s))
    yield inside("round", "hanging pin 0.6", "island", lambda _: f.hanging(0.6))
    # what touches nothing is an island, and in a recipe also a holder in two pieces
    yield inside("block", "afloat", "island", lambda _: f.afloat(0.8))
    yield inside("cradle", "afloat", "island", lambda _: f.afloat(0.8), "composition")


def _cups() -> Iterator[Case]:
    """Limit 20 mm³ for `stop`, a quarter of it for `mend`."""
    for where, size in (("block", 5.25), ("block", 21.0), ("cushion", 5.25), ("cushion", 21.0)):
        yield inside(where, f"pocket {size} mm³", "suction", lambda _, s=size: f.pocket(s))
    for where, size in (("round", 21.0), ("inspection", 8.0), ("hand-setting", 21.0)):
        yield inside(where, f"pocket {size} mm³", "suction", lambda _, s=size: f.pocket(s))
    yield inside(
        "block", "pocket vented late", "suction", lambda g: f.vented_pocket(12.5, g.out, 1.5)
    )
    yield bare("tube flat on the plate", "suction", _tube)


def _tube() -> tuple[Manifold, Place]:
    outer = revolved([(5.5, 0.0), (6.0, 0.5), (6.0, 5.0)])
    return outer - rod(8.0, -1.0, 6.0), Ring(0.0, 4.0, 0.0, 5.0)


def _bubbles() -> Iterator[Case]:
    """A closed void of any size; from 0.5 mm³ what the plate closes; drains from 1 mm."""
    for where, size in (("block", 0.6), ("block", 1.4), ("cushion", 0.8), ("round", 1.0)):
        yield inside(where, f"cube {size}", "trapped resin", lambda _, s=size: f.bubble(s, 1.0))
    # narrower than the smallest bore as well
    yield inside("block", "cube 0.4", "trapped resin", lambda _: f.bubble(0.4, 1.0), "fine detail")
    for where, size in (("block", 2.0), ("case", 2.0), ("chronograph", 2.5)):
        yield inside(
            where, f"double cone {size}", "trapped resin", lambda _, s=size: f.round_bubble(s, 1.0)
        )
    for where, size in (("block", 0.525), ("cushion", 0.525), ("thin", 1.0)):
        yield inside(
            where, f"recess {size} mm³", "trapped resin", lambda g, s=size: f.under(s, g.top)
        )
    for size in (0.95, 0.6):
        yield inside(
            "block", f"bottle, neck {size}", "trapped resin", lambda _, s=size: f.bottle(s)
        )


def _details() -> Iterator[Case]:
    """Limits: pins 0.6 mm, bores 0.5 mm."""
    for where, size in (("block", 0.57), ("cushion", 0.57), ("cradle", 0.4)):
        yield inside(where, f"pin {size}", "fine detail", lambda _, s=size: f.pin(s), **FINE_WALLS)
    for where, size in (("block", 0.57), ("round", 0.4)):
        # below the smallest wall as well
        yield inside(where, f"pin {size}", "fine detail", lambda _, s=size: f.pin(s), "wall")
    for where, size in (("block", 0.475), ("cushion", 0.475), ("shaped", 0.4)):
        yield inside(where, f"blind bore {size}", "fine detail", lambda _, s=size: f.hole(s))
    for where, size in (("block", 0.475), ("case", 0.35)):
        yield inside(
            where, f"bore {size}", "fine detail", lambda g, s=size: f.through_hole(s, g.top)
        )
    # narrower than the smallest gap as well
    yield inside("block", "blind bore 0.25", "fine detail", lambda _: f.hole(0.25), "gap")


def _feet() -> Iterator[Case]:
    """Limit 0.15 mm, by the first layer, whose section lies half a layer (0.025 mm) up."""
    for chamfer in (0.0, 0.1675):
        yield bare(f"block, chamfer {chamfer}", "foot", lambda c=chamfer: foot(c, (0.0, 0.0)))
    yield bare("block off the axis", "foot", lambda: foot(0.0, (15.0, 10.0)))
    yield bare("block chamfered on three sides", "foot", _three_sides)
    for family, sheet, chamfer in (
        ("cushion", "inv-case-38", 0.0),
        ("cushion", "inv-case-38", 0.1675),
        ("round", "inv-26-a", 0.0),
        ("case", "inv-case-38", 0.1),
    ):
        yield foot_of(family, sheet, chamfer)


def foot(chamfer: float, at: tuple[float, float]) -> tuple[Manifold, Place]:
    low = (at[0] - 8.0, at[1] - 8.0, 0.0)
    block = chamfered_block(16.0, 16.0, 5.0, chamfer, at)
    return block, Sides(low, (at[0] + 8.0, at[1] + 8.0, 0.3))


def _three_sides() -> tuple[Manifold, Place]:
    block = chamfered_block(16.0, 16.0, 5.0) + box((0.0, 8.0), (-7.0, 7.0), (0.0, 0.6))
    block += box((7.4, 8.0), (-8.0, 8.0), (0.0, 0.6))
    return block, Box((8.0, -8.0, 0.0), (8.0, 8.0, 0.3))


def foot_of(family: str, sheet: str, chamfer: float, kind: str = "foot") -> Case:
    def build() -> tuple[Study, Callable[[Point], float]]:
        path = data_folder("gallery") / "sheets" / f"{sheet}.json"
        recipe = preferred(family, {}, sheet=path).recipe
        holder = compose(replace(recipe, body=replace(recipe.body, foot_chamfer=chamfer)))
        # the edge at the plate lies the chamfer inside the outer face
        radius = holder.solid.bounding_box()[3]
        place = Ring(radius - chamfer, radius, 0.0, 0.3)
        return Study.of(holder), lambda point: place.distance(np.array(point))

    return Case(f"{family}, chamfer {chamfer}", kind, build, slow=family != "cushion")


def _peels() -> Iterator[Case]:
    """The card's limit is put below the largest area, known in closed form."""
    for area, share in ((150.0, 1.05), (150.0, 2.0)):
        yield bare(
            f"step of {area} mm² on {area / share:.0f}",
            "peel",
            lambda a=area: f.stepped(a, 2.0),
            largest_peel=area / share,
        )
    for where, share in (("round", 1.05), ("case", 1.05), ("cushion", 1.5)):
        yield peel_of(where, share)


def peel_of(where: str, share: float, kind: str = "peel") -> Case:
    """A card that asks for less area than the floor has: a disc with a vent and a foot chamfer."""

    def build() -> tuple[Study, Callable[[Point], float]]:
        here = ground(where)
        radius = here.solid.bounding_box()[3]
        assert here.holder is not None
        body = here.holder.recipe.body
        bore = 20.0 if where == "cushion" else 0.0  # the pad's bore of ⌀ 40
        area = math.pi * (radius**2 - bore**2)
        card = replace(CARD, largest_peel=area / share)
        high = body.floor or here.top - body.edge_chamfer
        place = Ring(bore, radius, body.foot_chamfer, high)
        return here.planted(_NOTHING, card), lambda point: place.distance(np.array(point))

    return Case(f"area over the card's by {share}, {where}", kind, build, slow=where != "cushion")


_NOTHING = Feature(Box((0.0, 0.0, 0.0), (0.0, 0.0, 0.0)))


def defective() -> tuple[Case, ...]:
    """Every case with one planted fault."""
    makers = (
        _walls, _gaps, _overhangs, _islands, _cups, _bubbles, _details, _feet, _peels,
    )  # fmt: skip
    return tuple(case for each in makers for case in each())
