"""The post's share of a press by solid elements, within 10 % of the program's plate model.

By the other road (`solid_elements`) holder and plate are both meshed as solids: the floor under a
post, the wall behind the ledge, the cone and slot of a post and the shear of the plate are in it,
of which the program's model knows the first three as springs and not the last.

An insert is modelled as the program takes it, gripping at the top of its bore.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from nests import gallery
from nests.compose import compose
from nests.documents import data_folder
from nests.families._posts import pressed_arbors
from nests.jobs import order
from nests.load_path.paths import press_paths
from nests.load_path.stock import stock_of
from nests.load_path.supports import props
from nests.parts.mark import Mark
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.sheet import Round
from nests.solid import triangles, turned
from tests.outside.solid_elements import Body, Patch, compliance, shared, tetrahedra

PATCHES = 12
"""Pieces of the ledge, each under one pressure."""
METAL = 97_000.0
PLUG = 0.3
"""mm of an insert that grips in the top of its bore."""
COARSE = 0.03
"""mm a chord may leave its arc: what is not round to 0.03 mm does not matter to a force."""


def recipe_of(name: str):
    (piece,) = (p for p in gallery.PIECES if p.slug() == name)
    root = data_folder("gallery")
    made = order(
        piece.family,
        piece.options,
        sheet=root / "sheets" / f"{piece.sheet}.json",
        operation=piece.operation,
        printer=root / "printers" / "bench-printer.json",
    ).recipe
    # letters are of no account, and cost most of the elements
    parts = tuple(p for p in made.parts if not isinstance(p, Mark))
    return replace(made, chord_error=COARSE, parts=parts)


def in_disc(at, diameter, z):
    return lambda x: (np.hypot(x[0] - at[0], x[1] - at[1]) < diameter / 2) & (
        np.abs(x[2] - z) < 1e-6
    )


def in_piece(number, low, high, z):
    def inside(x):
        turn = np.arctan2(x[1], x[0]) % math.tau
        radius = np.hypot(x[0], x[1])
        return (
            (np.abs(x[2] - z) < 1e-6)
            & (radius > low)
            & (radius < high)
            & ((turn * PATCHES / math.tau).astype(int) == number)
        )

    return inside


def share_by_solids(
    recipe, arbor: str, force: float, lowered: dict[str, float], grip: float = PLUG
) -> float:
    """Share of the press on `arbor` that its post takes; `lowered` gaps in mm by post.

    `grip` is the depth in mm from the top of its bore in which an insert grips.
    """
    holder, site = compose(recipe), recipe.site()
    assert isinstance(site.sheet.outline, Round)
    posts = [p for p in recipe.parts if isinstance(p, StakePost)]
    (seat,) = (p for p in recipe.parts if isinstance(p, RingSeat))
    tips = [p.contacts(site)[0] for p in posts]
    solid, metal = holder.solid, []
    for post, tip in zip(posts, tips, strict=True):
        if post.kind in ("pin", "screw"):
            hold = post.foothold(site)
            # as the program takes it, an insert hands its force over at the top of its bore:
            # a plug, wider than the bore so that no faces nearly fall together
            head, wide = tip.place[2] - post.insert_out, post.insert + 0.25
            low = max(head - grip, site.floor + 0.25)
            rod = [(wide, low), (wide, head - 0.05), (post.insert, head - 0.05),
                   (post.insert, tip.place[2])]  # fmt: skip
            solid += turned(rod, COARSE, bore=True, at=hold.at)
            metal.append((hold.at, post.insert, low))

    def young(x):
        out = np.full(x.shape[1], site.card.modulus)
        for at, across, low in metal:
            inside = np.hypot(x[0] - at.x, x[1] - at.y) < across / 2
            out[inside & (x[2] > low)] = METAL
        return out

    mesh = triangles(solid.simplify(0.003))
    flange = site.sheet.edge(site.side_down)[0]
    rim = site.sheet.outline.diameter / 2 + flange
    low, level = rim - seat.ledge, site.seat - seat.drop
    pieces = [in_piece(k, low - 0.2, rim + 0.05, level) for k in range(PATCHES)]
    body = Body(tetrahedra(mesh.vertices, mesh.faces, 3.0), young, site.card.poisson)
    heads = [
        in_disc(t.place, max(p.insert if p.kind != "printed" else p.tip, 0.5) + 0.2, t.place[2])
        for p, t in zip(posts, tips, strict=True)
    ]
    below = compliance(body, [Patch(i) for i in (*heads, *pieces)], lambda x: x[2] < 1e-6)

    stock = stock_of(site.sheet, site.side_down)
    disc = triangles(turned([(2 * rim, 0.0), (2 * rim, stock.thickness)], COARSE))
    plate = Body(
        tetrahedra(disc.vertices, disc.faces, 0.4),
        lambda x: np.full(x.shape[1], stock.modulus),
        stock.poisson,
    )
    at = site.frame.place(site.sheet.arbor(arbor).at)
    press = in_disc((at.x, at.y), 1.8, stock.thickness)
    faces = [in_disc(t.place, 1.8, 0.0) for t in tips]
    edge = [in_piece(k, low, rim + 0.05, 0.0) for k in range(PATCHES)]
    above = compliance(plate, [Patch(i) for i in (press, *faces, *edge)], None)

    turns = (np.arange(PATCHES) + 0.5) * math.tau / PATCHES
    middle = (low + rim) / 2
    middles = np.array(
        [t.place[:2] for t in tips] + [(middle * math.cos(a), middle * math.sin(a)) for a in turns]
    )
    gaps = np.array([lowered.get(p.under, p.short) for p in posts] + [seat.drop] * PATCHES)
    stack = below + above[1:, 1:]
    forces = shared(
        0.5 * (stack + stack.T),
        middles,
        gaps,
        force * np.array([1.0, at.x, at.y]),
        force * above[1:, 0],
    )
    assert forces.sum() == pytest.approx(force, rel=1e-6)
    return float(forces[[p.under for p in posts].index(arbor)] / force)


def by_plate(recipe):
    """The load path of the first press as drawn, without what printing and measuring may add."""
    site = recipe.site()
    (arbor, force), *_ = pressed_arbors(site.sheet, recipe.operation).items()
    labels = [(p.label(), p) for p in recipe.parts]
    own = tuple(replace(p, gap=p.drawn) for p in props(site, labels))
    (ours,) = press_paths(site, own, {arbor: force})
    # a screw is set under the workpiece as it lies, which the plate model finds first
    return arbor, force, ours.path.post / force, {arbor: ours.known.post.gap}


@pytest.mark.slow
def test_share_of_a_post():
    recipe = recipe_of("inv-26-a-hand-setting")
    arbor, force, ours, lowered = by_plate(recipe)
    assert ours == pytest.approx(share_by_solids(recipe, arbor, force, lowered), rel=0.10)


@pytest.mark.slow
def test_share_of_a_screw_among_others_set_proud():
    """Three screws side by side: how deep each grips in its bore decides what its post takes.

    By solids 0.41 of the press if they grip 0.3 mm deep, 0.63 if all the way down; the program,
    which knows no such depth, says 0.46.
    """
    recipe = recipe_of("inv-30-c-hand-setting")
    arbor, force, ours, lowered = by_plate(recipe)
    shallow = share_by_solids(recipe, arbor, force, lowered)
    deep = share_by_solids(recipe, arbor, force, lowered, grip=math.inf)
    assert shallow < ours < deep
