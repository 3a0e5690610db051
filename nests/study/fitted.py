"""How a workpiece fits each bore of a holder, measured on the solid.

The bore is measured on the solid, not read from the recipe: the largest circle about the axis of
the workpiece that its faces leave free, or along a shaped edge the least distance to it. As
printed it is the drawn one changed by the card's inside bias, within the card's scatter and what
that bias is known to; the workpiece is as measured, within its uncertainty. All are taken as even
between their ends. Where the printer's x and y differ the bore comes out oval: narrower one way,
wider the other (`PrinterCard.oval` says why it is drawn round all the same).
All clearances are two-sided: on the ⌀.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nests.holder.compose import Holder, Laid
from nests.holder.workpiece import FINE, uncertainty
from nests.mechanics.tolerance import Clearance, Limits, Spread, clearance
from nests.parts.answers import Seat
from nests.parts.site import Site
from nests.solids.loops import loop
from nests.solids.solid import Triangles
from nests.units import Length

SAME_LEVEL: Length = 0.01
"""mm of height within which two levels of a seat are one."""

Point = tuple[float, float, float]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Fitted:
    """The bore of a seat as drawn and as it should measure; `drawn` and `printed` are clearances on
    the ⌀, `label` is that of its part, `measuring` are the uncertainties of what it takes, `known`
    is what the bias is known to, ±, and `oval` by how much it comes out narrower one way and wider
    the other."""

    label: str
    bore: Seat
    measuring: tuple[Length, ...]
    drawn: Length
    printed: Length
    law: Clearance
    place: Point
    known: Length = 0.0
    oval: Length = 0.0


def fits(holder: Holder, mesh: Triangles) -> tuple[Fitted, ...]:
    """Every bore of a holder, measured; the one that takes the workpiece itself comes first."""
    site = holder.recipe.site()
    found = []
    for laid in holder.laid:
        for bore in laid.part.seats(site):
            measured = _measured(mesh, laid, bore, site)
            if measured is not None:
                found.append(_fitted(laid.label, bore, site, *measured))
    return tuple(found)


def _measured(
    mesh: Triangles, laid: Laid, bore: Seat, site: Site
) -> tuple[Length, tuple[Length, Length, Length]] | None:
    """Least clearance on one side and where, over the heights at which the bore may touch."""
    cuts = laid.shape.cuts
    if cuts is None:
        return None
    own = mesh.makers == cuts.original_id()
    heights = np.unique(np.round(mesh.vertices[mesh.faces[own]][..., 2], 4))
    heights = np.unique(np.clip(heights, bore.low, bore.high))
    best: tuple[Length, tuple[Length, Length, Length]] | None = None
    steps = np.diff(heights) > SAME_LEVEL
    for z in ((heights[1:] + heights[:-1]) / 2)[steps]:
        lines = section(mesh, own, float(z))
        if not len(lines):
            continue
        away, at = _from_axis(lines, bore.size) if bore.size else _from_edge(lines, bore, site)
        if best is None or away < best[0]:
            best = away, (round(float(at[0]), 4), round(float(at[1]), 4), round(float(z), 4))
    return best


def section(mesh: Triangles, chosen: NDArray[np.bool_], z: Length) -> Floats:
    """Lines (k, 2, 2) in which the chosen faces of a mesh cross the level `z`."""
    corners = mesh.vertices[mesh.faces[chosen]]
    above = corners[..., 2] > z
    split = above.any(axis=1) & ~above.all(axis=1)
    corners, above = corners[split], above[split]
    # turn each face so that its first corner is the one alone on its side
    lone = np.where(above.sum(axis=1) == 1, above.argmax(axis=1), (~above).argmax(axis=1))
    order = (lone[:, None] + np.arange(3)) % 3
    corners = np.take_along_axis(corners, order[..., None], axis=1)
    apex, others = corners[:, :1], corners[:, 1:]
    share = (z - apex[..., 2:]) / (others[..., 2:] - apex[..., 2:])
    return np.asarray((apex + share * (others - apex))[..., :2])


def _from_axis(lines: Floats, size: Length) -> tuple[Length, Floats]:
    """Least distance of lines from the axis less half the ⌀, and the point where it is."""
    run = lines[:, 1] - lines[:, 0]
    long = np.maximum(np.einsum("ij,ij->i", run, run), 1e-300)
    share = np.clip(-np.einsum("ij,ij->i", lines[:, 0], run) / long, 0.0, 1.0)
    foot = lines[:, 0] + share[:, None] * run
    radius = np.hypot(foot[:, 0], foot[:, 1])
    nearest = int(np.argmin(radius))
    return float(radius[nearest]) - size / 2, foot[nearest]


def _from_edge(lines: Floats, bore: Seat, site: Site) -> tuple[Length, Floats]:
    """Least distance of lines from the true edge, negative inside it, and the point where it is."""
    import shapely

    edge = shapely.Polygon(loop(site.sheet.outline, site.frame, FINE, bore.out).shaft(bore.out))
    ends = lines.reshape(-1, 2)
    inside = shapely.contains_xy(edge, ends[:, 0], ends[:, 1])
    away = shapely.distance(shapely.linestrings(lines), edge.exterior)
    if inside.any():
        deep = np.where(inside, shapely.distance(shapely.points(ends), edge.exterior), 0.0)
        return -float(deep.max()), ends[int(np.argmax(deep))]
    line = shapely.LineString(lines[int(np.argmin(away))])
    at = shapely.get_coordinates(shapely.shortest_line(line, edge.exterior))[0]
    return float(away.min()), at


def _fitted(label: str, bore: Seat, site: Site, drawn: Length, place: Point) -> Fitted:
    card, sheet = site.card, site.sheet
    across = bore.size or site.across + 2 * bore.out
    printed = card.comes_out(across + 2 * drawn) - across
    measuring = tuple(uncertainty(sheet, each) for each in bore.measured) or (sheet.uncertainty,)
    known = card.doubt("inside_bias", across + 2 * drawn)
    shaft = [Spread(across, 0.0), *(Spread(0.0, each) for each in measuring)]

    def law(off: Length) -> Clearance:
        spread = [
            Spread(across + printed + off, 0.0),
            Spread(0.0, card.scatter),
            Spread(0.0, known),
        ]
        return clearance(spread, shaft, allowed(bore))

    oval = card.oval(across + 2 * drawn)
    both = across_both(law(-oval), law(oval)) if oval else law(0.0)
    return Fitted(label, bore, measuring, 2 * drawn, printed, both, place, known, oval)


def across_both(narrow: Clearance, wide: Clearance) -> Clearance:
    """Of an oval bore: a rim jams where it is narrow, and has most play where it is wide. That is
    no chance of a print: every one is oval."""
    return Clearance(
        (narrow.centre + wide.centre) / 2,
        Limits(narrow.worst.lower, wide.worst.upper),
        Limits(narrow.root_sum_square.lower, wide.root_sum_square.upper),
        narrow.interference,
        wide.loose,
    )


def allowed(bore: Seat) -> Length:
    """Largest clearance on the ⌀: that of the fit asked for, or the most play that is of use."""
    return bore.asked.upper if bore.asked is not None else bore.most
