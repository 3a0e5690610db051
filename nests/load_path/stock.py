"""The stock that carries the pressed jewels: an elastic plate of the sheet's outline.

With the bridge side down the jewels that look to the bench sit in the bridges, with the dial side
down in the main plate. Either is taken as one plate over the whole outline. Screwed and pinned to
each other both are stiffer. The other one does not cover everything, so as soft as the stock alone
is the one end; as stiff as one laminate of both, fast on each other all over, is the other end.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np
import shapely
from manifold3d import CrossSection

from nests.given.sheet import PlateStock, Recess, Sheet
from nests.given.zones import Outline
from nests.mechanics.plate import Plate, Region, bonded_rigidity
from nests.places import Frame, Side
from nests.solids.loops import loop
from nests.solids.solid import area
from nests.units import BadInput, Length

CHORD: Length = 0.005
"""mm a chord of the plan may leave its arc."""
EDGE_SHARE = 0.11
"""Length of a mesh edge as a share of the root of the area: a simply supported round plate under a
load at 0, 0.3, 0.5 and 0.7 of its radius deflects within 0.2 % of a mesh of 0.07."""


def stock_of(sheet: Sheet, down: Side) -> PlateStock:
    """The stock in which the jewels of the side that looks down sit."""
    return sheet.bridges if down is Side.BRIDGE else sheet.plate


def stock_words(down: Side) -> str:
    """What a sentence calls it."""
    return "the bridges" if down is Side.BRIDGE else "the main plate"


def stock_field(down: Side) -> str:
    """Its field on the sheet."""
    return "bridges" if down is Side.BRIDGE else "plate"


def plate_of(sheet: Sheet, up: Side) -> Plate:
    """The stock of the side that looks down as a plate in the holder frame, factored once.

    Raises `BadInput` where it has no thickness, or recesses leave no one plate.
    """
    stock = stock_of(sheet, up.other)
    if stock.thickness is None:
        raise BadInput(f"the sheet '{sheet.name}' gives no thickness of {stock_words(up.other)}.")
    try:
        plate = _plate(sheet.outline, sheet.edge(up.other)[0], stock, stock.thickness, up)
        plate.factor  # noqa: B018 - asked for here, where its failure has a name
    except ValueError as error:
        raise BadInput(f"{stock_words(up.other)} of '{sheet.name}': {error}.") from None
    return plate


def stiffest(sheet: Sheet, up: Side) -> Plate | None:
    """Plate and bridges as one laminate, fast on each other all over.

    Taken as the stock so much thicker that it resists no way to bend less than the laminate does:
    neither a dome nor a saddle, which make up every other. What is recessed is stiffened alike.
    None where the sheet lacks a thickness. Raises as `plate_of`.
    """
    own, other = stock_of(sheet, up.other), stock_of(sheet, up)
    if own.thickness is None or other.thickness is None:
        return None
    times = stiffer(
        (own.thickness, own.modulus, own.poisson), (other.thickness, other.modulus, other.poisson)
    )
    return _stiffened(plate_of(sheet, up), times ** (1 / 3))


def stiffer(own: tuple[Length, float, float], other: tuple[Length, float, float]) -> float:
    """How many times as rigid two plates are, fast on each other, as the first by itself; each is
    its thickness, Young's modulus and Poisson's ratio."""
    return max(
        bonded_rigidity([(t, e / (1 + sign * v)) for t, e, v in (own, other)])
        / bonded_rigidity([(own[0], own[1] / (1 + sign * own[2]))])
        for sign in (-1, 1)  # a dome, a saddle
    )


@lru_cache(maxsize=16)
def _stiffened(plate: Plate, times: float) -> Plate:
    return plate.thicker(times)


@lru_cache(maxsize=16)
def _plate(
    outline: Outline, flange: Length, stock: PlateStock, thickness: Length, up: Side
) -> Plate:
    frame = Frame(up, 0.0, 0.0)
    edge = shapely.Polygon(loop(outline, frame, CHORD, flange).shaft(flange))
    holes = [p for r in stock.recesses if r.thickness == 0.0 for p in _plans(r, frame)]
    whole = edge.difference(shapely.union_all(holes)) if holes else edge
    pieces = [p for p in shapely.get_parts(whole) if p.area > 0.01 * edge.area]
    if len(pieces) != 1:
        raise ValueError(f"its recesses leave {len(pieces)} pieces of it")
    (piece,) = pieces
    regions = tuple(
        Region(_ring(p.exterior), r.thickness, tuple(_ring(hole) for hole in p.interiors))
        for r in stock.recesses
        if r.thickness > 0.0
        for p in _plans(r, frame)
    )
    return Plate(
        _ring(piece.exterior),
        thickness,
        stock.modulus,
        stock.poisson,
        holes=tuple(_ring(hole) for hole in piece.interiors),
        regions=regions,
        edge_length=EDGE_SHARE * float(np.sqrt(edge.area)),
    )


def _ring(line: shapely.LinearRing) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    return np.asarray(line.coords, dtype=np.float64)[:-1]


def _plans(recess: Recess, frame: Frame) -> Iterator[shapely.Polygon]:
    """Plan of a recess in the holder frame, piece by piece."""
    plan: CrossSection = area(recess.zone, frame, CHORD)
    for piece in plan.decompose():
        rings = sorted(
            (shapely.Polygon(ring) for ring in piece.to_polygons()), key=lambda p: -p.area
        )
        yield shapely.Polygon(rings[0].exterior, [hole.exterior for hole in rings[1:]])
