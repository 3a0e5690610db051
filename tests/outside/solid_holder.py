"""A holder of the gallery and the plate it carries, meshed as solids and pressed on each other."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import skfem

from nests.given.zones import Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.load_path.stock import stock_of
from nests.parts.post import METAL
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.solids.solid import Solid, triangles, turned
from tests.outside.solid_elements import (
    Body,
    Flags,
    Floats,
    Inside,
    compliance,
    shared,
    tetrahedra,
)

PIECES = 12
"""Pieces of the ledge, each under one pressure."""
PRESSED = 1.8
"""mm across which a press, and the top of a post, act on the plate."""
LEVEL = 1e-6
"""mm by which a face may lie off its level."""


@dataclass(frozen=True)
class Fineness:
    """Of a mesh: how far a chord leaves its arc (mm), largest tetrahedra of holder and plate
    (mm³), and circumradius over shortest edge at most."""

    chord: float
    holder: float
    plate: float
    slender: float


@dataclass(frozen=True, eq=False)
class Pressed:
    """A plate over a holder, pressed with 1 N: what `shared` takes, the posts first.

    `names` say what each post stands under, `posts` (n,) what it shortens by, mm/N.
    """

    names: tuple[str, ...]
    posts: Floats
    stack: Floats
    middles: Floats
    load_at: Floats
    load: Floats
    drop: float

    def share(self, arbor: str, force: float, gaps: Mapping[str, float]) -> float:
        """Share of a press of `force` N that the post under `arbor` takes.

        `gaps` in mm between each post and what it stands under, before the press.
        """
        ledge = [self.drop] * PIECES
        every = np.array([*(gaps[name] for name in self.names), *ledge])
        forces = shared(self.stack, self.middles, every, force * self.load_at, force * self.load)
        return float(forces[self.names.index(arbor)] / force)


def in_ring(at: tuple[float, float], inner: float, outer: float, z: float) -> Inside:
    """Places of a level ring of two ⌀ about `at`."""

    def inside(x: Floats) -> Flags:
        radius = np.hypot(x[0] - at[0], x[1] - at[1])
        return (2 * radius > inner) & (2 * radius < outer) & (np.abs(x[2] - z) < LEVEL)

    return inside


def in_piece(number: int, low: float, high: float, z: float) -> Inside:
    """Places of one piece of a level ring about the middle, between two radii."""
    ring = in_ring((0.0, 0.0), 2 * low, 2 * high, z)

    def inside(x: Floats) -> Flags:
        turn = np.arctan2(x[1], x[0]) % math.tau
        return ring(x) & ((turn * PIECES / math.tau).astype(int) == number)

    return inside


def pressed(recipe: Recipe, arbor: str, fine: Fineness, grip: float | None = None) -> Pressed:
    """Plate and holder of a round movement, with the press on `arbor`.

    `grip` as in `holder_compliance`.
    """
    recipe = replace(recipe, chord_error=fine.chord)
    site = recipe.site()
    assert isinstance(site.sheet.outline, Round)
    posts = tuple(p for p in recipe.parts if isinstance(p, StakePost))
    (seat,) = (p for p in recipe.parts if isinstance(p, RingSeat))
    rim = site.sheet.outline.diameter / 2 + site.sheet.edge(site.side_down)[0]
    below = holder_compliance(recipe, posts, seat, rim, fine, grip)

    stock = stock_of(site.sheet, site.side_down)
    assert stock.thickness is not None
    disc = turned([(2 * rim, 0.0), (2 * rim, stock.thickness)], fine.chord)
    place = site.frame.place(site.sheet.arbor(arbor).at)
    under = [p.contacts(site)[0].place[:2] for p in posts]
    above = compliance(
        Body(
            meshed(disc, fine.plate, fine),
            lambda x: np.full(x.shape[1], stock.modulus),
            stock.poisson,
        ),
        [
            in_ring((place.x, place.y), 0.0, PRESSED, stock.thickness),
            *(in_ring(at, 0.0, PRESSED, 0.0) for at in under),
            *(in_piece(k, rim - seat.ledge, rim + 0.05, 0.0) for k in range(PIECES)),
        ],
        None,
    )
    turns = (np.arange(PIECES) + 0.5) * math.tau / PIECES
    ledge = (rim - seat.ledge / 2) * np.column_stack([np.cos(turns), np.sin(turns)])
    stack = below + above[1:, 1:]
    return Pressed(
        tuple(p.under for p in posts),
        np.diag(below)[: len(posts)],
        (stack + stack.T) / 2,
        np.vstack([np.array(under), ledge]),
        np.array([1.0, place.x, place.y]),
        above[1:, 0],
        seat.drop,
    )


def holder_compliance(
    recipe: Recipe,
    posts: Sequence[StakePost],
    seat: RingSeat,
    rim: float,
    fine: Fineness,
    grip: float | None,
) -> Floats:
    """Compliance of posts and ledge of a holder whose underside lies fast on the bench.

    An insert hands its force to the resin as the program takes it, evenly round the mouth of its
    bore; or, with a `grip` in mm, as a rod fast in the bore down to that depth from its mouth.
    """
    site, solid = recipe.site(), compose(recipe).solid
    heads: list[Inside] = []
    rods: list[tuple[tuple[float, float], float, float]] = []
    stands_out = np.zeros(len(posts))  # mm/N of what is metal above a bore
    for k, post in enumerate(posts):
        tip = post.contacts(site)[0]
        at, top = tip.place[:2], tip.place[2]
        mouth = top - post.insert_out
        if post.kind == "printed":
            heads.append(in_ring(at, 0.0, post.tip + 0.2, top))
        elif grip is None:
            heads.append(in_ring(at, 0.0, post.shank + 1.0, mouth))
            stands_out[k] = post.insert_out / (METAL * tip.area)
        else:
            held = post.inserted(site)
            assert held is not None
            deepest = held.low if held.screw is None else held.screw_low
            low = max(mouth - grip, deepest)
            solid += rod(post, held.widest, low, mouth, top, fine.chord).translate((*at, 0.0))
            rods.append((at, post.insert, low))
            heads.append(in_ring(at, 0.0, post.insert + 0.2, top))

    def young(x: Floats) -> Floats:
        out = np.full(x.shape[1], site.card.modulus)
        for at, across, low in rods:
            inside = np.hypot(x[0] - at[0], x[1] - at[1]) < across / 2
            out[inside & (x[2] > low)] = METAL
        return out

    level = site.seat - seat.drop
    pieces = [in_piece(k, rim - seat.ledge - 0.2, rim + 0.05, level) for k in range(PIECES)]
    body = Body(meshed(solid, fine.holder, fine), young, site.card.poisson)
    out = compliance(body, [*heads, *pieces], lambda x: x[2] < LEVEL)
    out[np.diag_indices(len(posts))] += stands_out
    return out


def rod(
    post: StakePost, widest: float, low: float, mouth: float, top: float, chord: float
) -> Solid:
    """An insert, wider in its bore than that, so that no faces nearly fall together."""
    wide, step = widest + 0.25, mouth - 0.05
    return turned([(wide, low), (wide, step), (post.insert, step), (post.insert, top)], chord)


def meshed(solid: Solid, largest: float, fine: Fineness) -> skfem.MeshTet:
    """Tetrahedra of a solid."""
    surface = triangles(solid.simplify(0.003))
    return tetrahedra(surface.vertices, surface.faces, largest, fine.slender)
