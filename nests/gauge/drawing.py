"""The drawing of a gauge plate: plan, front view and a table of its stations, measured on the solid
as far as it gives lengths."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from nests.gauge.plate import NAME, GaugePlate, Placed
from nests.gauge.specimen import Station
from nests.gauge.stations.foot import LONG
from nests.kinds.gauge_readings import GaugeRow
from nests.papers.drawing.chains import Rounds, drawn
from nests.papers.drawing.dimensions import height_of, length_of, linear
from nests.papers.drawing.edges import Eye, edges_of
from nests.papers.drawing.lettering import PLAIN, TITLE
from nests.papers.drawing.tables import table
from nests.papers.drawing.title_block import FRAME, field_of, frame, projection_sign, scale_words
from nests.papers.drawing.values import (
    OUTLINE,
    SHEET_FINE,
    Arc,
    Block,
    Drawing,
    Item,
    Stroke,
    Text,
)
from nests.solids.solid import OVER, Triangles, triangles
from nests.units import Length, printed

FORM, SIZE, SCALE = "A3", (420.0, 297.0), 2.0
UP, FRONT = np.array((0.0, 0.0, 1.0)), np.array((0.0, -1.0, 0.0))
BLOCK = (118.0, 25.0)
"""mm of the title block."""
APART = 14.0
"""mm of paper between the views."""


INSIDE = 11.0
"""mm of paper from the middle of a ring within which there is room for its sizes."""


def drawing(plate: GaugePlate) -> Drawing:
    """The drawing on one sheet."""
    mesh = triangles(plate.solid)
    plan, front = _plan(plate, mesh), _front(plate, mesh)
    left, low, right, high = field_of(SIZE)
    top = high - 12.0
    blocks = [frame(SIZE)]
    box = front.box()
    front = front.moved(left + 18.0 - box[0], top - box[3])
    plan_box = plan.box()
    # the front view stands above the plan, x under x (first-angle projection)
    plan = plan.moved(left + 18.0 - box[0], front.box()[1] - APART - plan_box[3])
    listed = _stations(plate)
    listed = listed.moved(left + 8.0, plan.box()[1] - 12.0)
    title = _title(plate).moved(right, low)
    return Drawing(NAME, FORM, SIZE, SCALE, ((*blocks, front, plan, listed, title),))


def _seen(mesh: Triangles, toward: np.ndarray, axes: tuple[int, int]) -> list[Stroke | Arc]:
    pieces = Eye(mesh, toward).split(edges_of(mesh, toward))
    start = pieces.start[pieces.seen][:, axes] * SCALE
    end = pieces.end[pieces.seen][:, axes] * SCALE
    return drawn(start, end, OUTLINE, Rounds(0.02 * SCALE, ()))


def _plan(plate: GaugePlate, mesh: Triangles) -> Block:
    items: list[Item] = [*_seen(mesh, UP, (0, 1))]
    low, high = mesh.vertices.min(axis=0), mesh.vertices.max(axis=0)
    items += [
        _across("width", low, (high[0], low[1], low[2]), low[1] * SCALE - 12.0),
        _upright("depth", low, (low[0], high[1], low[2]), low[0] * SCALE - 8.0),
    ]
    for at in plate.placed:
        if not at.letters[0]:  # it has no room for an engraved one
            x, y = at.x + at.station.wide / 2, at.y + at.station.deep / 2
            items.append(Text((x * SCALE, y * SCALE), at.station.letters, PLAIN, 0.5))
        for text, x, y in _begins(at):
            items.append(Text((x * SCALE, y * SCALE - PLAIN / 2), text, PLAIN, 0.5))
        for text, x, y in _diameters(at, mesh):
            items.append(Text((x * SCALE, y * SCALE - PLAIN / 2), text, PLAIN, 0.5))
    return Block("plan", tuple(items))


def _begins(at: Placed) -> Iterable[tuple[str, Length, Length]]:
    """What each share of a bar of the foot begins at, beside it."""
    for each in at.specimens:
        shares = [row for row in each.rows if row.sort == "foot"]
        right, back = each.box[2] - OVER, each.box[3] - OVER
        for number, row in enumerate(shares):
            behind = LONG * (len(shares) - number - 0.5)
            if row.axis == "x":
                yield f"{row.height:g}", right + 1.5 * PLAIN / SCALE, back - behind
            else:
                yield f"{row.height:g}", right - behind, back + PLAIN / SCALE


def _diameters(at: Placed, mesh: Triangles) -> Iterable[tuple[str, Length, Length]]:
    """The bore and the outer ⌀ of a ring, measured on the solid where both are upright."""
    for each in at.specimens:
        sizes = [row.drawn for row in each.rows if row.sort == "bore"]
        if not sizes:
            continue
        left, low, right, high = each.box
        x, y = (left + right) / 2, (low + high) / 2
        top = mesh.vertices[:, 2] > 0.0
        near = np.hypot(mesh.vertices[:, 0] - x, mesh.vertices[:, 1] - y)
        level = np.isclose(mesh.vertices[:, 2], _top_of_ring(mesh, near, (right - left) / 2))
        radii = near[top & level & (near < (right - left) / 2 + 0.01)]
        inner, outer = float(radii.min()), float(radii.max())
        words = (f"⌀{printed(2 * inner)}", f"⌀{printed(2 * outer)}")
        if inner * SCALE > INSIDE:
            yield f"in {words[0]}", x, y + PLAIN / SCALE
            yield f"out {words[1]}", x, y - PLAIN / SCALE
        else:
            yield f"in {words[0]}", x, high + 2.6 * PLAIN / SCALE
            yield f"out {words[1]}", x, high + PLAIN / SCALE


def _top_of_ring(mesh: Triangles, near: np.ndarray, radius: Length) -> float:
    return float(mesh.vertices[near < radius + 0.01, 2].max())


def _front(plate: GaugePlate, mesh: Triangles) -> Block:
    items: list[Item] = [*_seen(mesh, FRONT, (0, 2))]
    steps = [s for s in plate.specimens if any(row.sort == "step" for row in s.rows)]
    for number, each in enumerate(steps):
        x, y = (each.box[0] + each.box[2]) / 2, (each.box[1] + each.box[3]) / 2
        high = top_at(mesh, x, y)
        what = height_of(each.name, (x, y, 0.0), (x, y, high))
        row = 12.0 * SCALE + 4.0 + 5.0 * (number % 2)
        items.append(Stroke(((x * SCALE, high * SCALE), (x * SCALE, row)), SHEET_FINE))
        items.append(Text((x * SCALE, row + 0.8), printed(what.value), PLAIN, 0.5))
    return Block("front", tuple(items))


def top_at(mesh: Triangles, x: Length, y: Length) -> Length:
    """Height of the solid over a point in plan."""
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))

    def side(p: np.ndarray, q: np.ndarray) -> np.ndarray:
        return np.asarray((q[:, 0] - p[:, 0]) * (y - p[:, 1]) - (q[:, 1] - p[:, 1]) * (x - p[:, 0]))

    turns = np.column_stack((side(a, b), side(b, c), side(c, a)))
    within = (turns >= 0.0).all(axis=1) & (turns > 0.0).any(axis=1)
    weights = turns[within] / turns[within].sum(axis=1, keepdims=True)
    # each corner weighs by the side it does not lie on
    heights = np.column_stack((c[within, 2], a[within, 2], b[within, 2]))
    return float((weights * heights).sum(axis=1).max())


def _across(name: str, first: Sequence[float], second: Sequence[float], level: float) -> Item:
    a, b = _point(first), _point(second)
    return linear(length_of(name, a, b), (a[0] * SCALE, a[1] * SCALE),
                  (b[0] * SCALE, b[1] * SCALE), level, SCALE)  # fmt: skip


def _upright(name: str, first: Sequence[float], second: Sequence[float], level: float) -> Item:
    a, b = _point(first), _point(second)
    return linear(length_of(name, a, b), (a[0] * SCALE, a[1] * SCALE),
                  (b[0] * SCALE, b[1] * SCALE), level, SCALE, upright=True)  # fmt: skip


def _point(given: Sequence[float]) -> tuple[float, float, float]:
    x, y, z = (float(c) for c in given)
    return x, y, z


def _stations(plate: GaugePlate) -> Block:
    alike: dict[str, list[Station]] = {}
    for station in plate.stations:
        alike.setdefault(station.how, []).append(station)
    rows = []
    for how, some in alike.items():
        read = [row for station in some for each in station.specimens for row in each.rows]
        kinds = dict.fromkeys(row.sort for row in read)
        sizes = [
            " ".join(dict.fromkeys(_drawn(r) for r in read if r.sort == kind)) for kind in kinds
        ]
        letters = " ".join(station.letters for station in some)
        rows.append((letters, ", ".join(kinds), ", ".join(dict.fromkeys(sizes)), how))
    head = ("at", "what", "as drawn, mm; degrees, mm³, mm²", "how it is read")
    return table("stations", "Stations", head, rows, said=True)


def _drawn(row: GaugeRow) -> str:
    """What is drawn; of the shares of a foot, the height each begins at."""
    return f"{row.height:g}" if row.sort == "foot" else f"{row.drawn:g}"


def _title(plate: GaugePlate) -> Block:
    """A title block with its lower right corner at the origin."""
    wide, tall = BLOCK
    edge = ((-wide, 0.0), (0.0, 0.0), (0.0, tall), (-wide, tall))
    items: list[Item] = [Stroke(edge, FRAME, closed=True)]
    items.append(Stroke(((-wide, 14.0), (0.0, 14.0)), SHEET_FINE))
    items.append(Text((-wide + 2.0, 17.5), NAME, TITLE))
    left = ((f"for: {plate.card.name}", 9.0), (f"layer {plate.card.layer:g} mm, drawn uncorrected "
            "as it lies on the build plate", 5.5), (f"scale {scale_words(SCALE)}, unit mm, {FORM}",
            2.0))  # fmt: skip
    items += [Text((-wide + 2.0, y), words, PLAIN) for words, y in left]
    items += projection_sign(-12.0, 19.5)
    return Block("title block", tuple(items))
