"""The views of a loose body, with dimensions of its own.

A solid one, such as a rod, is shown from its side, axis level, as it lies in a lathe. One with a
bore is shown cut through it, standing as in the file, with its plan below (first-angle projection).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from nests.papers.drawing.chains import Rounds, drawn, enlarged
from nests.papers.drawing.cuts import Floats, hatched
from nests.papers.drawing.dimensions import (
    STEP,
    Measured,
    Pending,
    diameter_of,
    height_of,
    in_rows,
    led_out,
    length_of,
    linear,
)
from nests.papers.drawing.edges import Eye, edges_of
from nests.papers.drawing.faces import SAME
from nests.papers.drawing.lettering import LARGE
from nests.papers.drawing.loose import HAIR, SLANT, LooseBody
from nests.papers.drawing.values import (
    CENTRE,
    HIDDEN,
    OUTLINE,
    Arc,
    Block,
    Dimension,
    Item,
    Stroke,
    Text,
    around,
)
from nests.solids.solid import triangles

CLEAR = 6.5
"""mm from a view to its first dimension line."""
GAP = 4.0
"""mm between a section and the plan below it."""
HATCH_SPACING = 1.6
LED = 4.0
"""mm up and to the right by which a ⌀ is led out of a view."""
INSIDE = 0.02
"""mm inside the end of a foot or beside an axis at which a height is measured."""


def loose_view(body: LooseBody) -> Block:
    """A loose body with its dimensions, and how many there are of it."""
    items = _cut_and_plan(body) if body.hollow else _from_the_side(body)
    count = f"{len(body.names)} × " if len(body.names) > 1 else ""
    box = around(items)
    title = f"{count}{body.title} ({body.scale:g}:1)"
    items.append(Text(((box[0] + box[2]) / 2, box[3] + 2.5), title, LARGE, 0.5))
    return Block(f"loose {body.title}", tuple(items))


def _of(body: LooseBody, what: Measured) -> Measured:
    """A length as one of this body: named after it, and in its frame."""
    return replace(what, name=f"{body.title}: {what.name}", body=body.names[0])


def _diameter(body: LooseBody, name: str, radius: float, z: float) -> Measured:
    # measured along y: bores are vented by a groove along x
    return _of(body, diameter_of(name, (0.0, 0.0, z), (0.0, radius, z), 2 * radius))


def _foot(body: LooseBody) -> Measured:
    """⌀ of the foot of a round body, within its chamfer."""
    return _diameter(body, "foot", abs(body.foot(-1.0)), HAIR)


def _from_the_side(body: LooseBody) -> list[Item]:
    """A turned body with its axis level: z runs to the right."""
    scale = body.scale
    edges = edges_of(body.mesh, np.array((0.0, -1.0, 0.0)))
    pieces = Eye(body.mesh, np.array((0.0, -1.0, 0.0))).split(edges)
    start, end = pieces.start[pieces.seen][:, [2, 0]], pieces.end[pieces.seen][:, [2, 0]]
    items: list[Item] = [*enlarged(drawn(start, end, OUTLINE, Rounds(body.chord)), scale)]
    long, widest = float(body.size[2]), body.rounds[0].radius
    items.append(Stroke(((-1.5, 0.0), (long * scale + 1.5, 0.0)), CENTRE))
    rows = []
    for number, step in enumerate(body.steps(), 1):
        name = "length" if abs(step.z - long) < SLANT else f"step {number}"
        what = _of(body, height_of(name, (INSIDE, 0.0, 0.0), (step.beside, 0.0, step.z)))
        rows.append(Pending(what, (0.0, 0.0), (step.z * scale, step.x * scale)))
    items += in_rows(rows, -widest * scale - CLEAR, -STEP, scale)
    foot = body.foot(1.0)
    if foot < widest - SLANT:
        shown = ((0.0, -foot * scale), (0.0, foot * scale))
        items.append(linear(_foot(body), *shown, -CLEAR, scale, upright=True))
    for number, each in enumerate(body.rounds, 1):
        middle, high = (each.low + each.high) / 2, each.radius * scale
        what = _diameter(body, f"⌀ {number}", each.radius, middle)
        if each.high > long - SLANT:
            ends = ((each.high * scale, -high), (each.high * scale, high))
            items.append(linear(what, *ends, long * scale + CLEAR, scale, upright=True))
        else:  # between wider and narrower ones: across it, and led out above
            ends = ((middle * scale, -high), (middle * scale, high))
            landing = (middle * scale + LED, widest * scale + LED)
            items.append(led_out(what, *ends, (0.0, 0.0), landing, scale))
    return items


def _cut_and_plan(body: LooseBody) -> list[Item]:
    """The cut along x, and the plan below it on the same axis."""
    scale = body.scale
    left, right = float(body.mesh.vertices[:, 0].min()), float(body.mesh.vertices[:, 0].max())
    rings = [[(float(x), float(z)) for x, z in ring * scale] for ring in body.rings]
    items: list[Item] = [hatched(rings, HATCH_SPACING)]
    items += [Stroke(tuple(ring), OUTLINE, closed=True) for ring in rings]
    items += _behind(body, scale)
    high = float(body.size[2]) * scale
    items.append(Stroke(((0.0, -1.5), (0.0, high + 1.5)), CENTRE))
    above: list[Pending] = []
    below: list[Pending] = []
    for each in body.rounds:
        z = (each.low + each.high) / 2
        name = "bore" if each.bore else "outer"
        if not each.bore and right + left > SAME:
            continue  # the end of a long body is round, and its width is given in plan
        what = _diameter(body, name, each.radius, z)
        at = (each.high if each.bore else each.low) * scale
        pending = Pending(what, (-each.radius * scale, at), (each.radius * scale, at))
        (above if each.bore else below).append(pending)
    foot = body.foot(-1.0)
    if below and -foot < below[0].second[0] / scale - SLANT:
        below.append(Pending(_foot(body), (foot * scale, 0.0), (-foot * scale, 0.0)))
    items += in_rows(above, high + CLEAR, STEP, scale)
    items += in_rows(below, -CLEAR, -STEP, scale)
    items += _columns(body, left, right, scale)
    return [*items, *_plan(body, scale, around(items)[1] - GAP)]


def _columns(body: LooseBody, left: float, right: float, scale: float) -> list[Dimension]:
    """Heights of the steps of the cut, those of the right half on the right."""
    out = []
    level = {-1.0: left * scale - CLEAR, 1.0: right * scale + CLEAR}
    for number, step in enumerate(body.steps(), 1):
        sign = -1.0 if step.x < 0.0 else 1.0
        name = "height" if step.z > body.size[2] - SLANT else f"step {number}"
        foot = body.foot(sign)
        ends = (foot - sign * INSIDE, 0.0, 0.0), (step.beside, 0.0, step.z)
        shown = ((foot * scale, 0.0), (step.x * scale, step.z * scale))
        what = _of(body, height_of(name, *ends))
        out.append(linear(what, *shown, level[sign], scale, upright=True, tail=True))
        level[sign] += sign * STEP
    return out


def _behind(body: LooseBody, scale: float) -> list[Stroke | Arc]:
    """Edges behind the cut."""
    half = triangles(body.solid.trim_by_plane((0.0, 1.0, 0.0), 1e-4))
    toward = np.array((0.0, -1.0, 0.0))
    edges = edges_of(half, toward)
    edges = edges.only(np.asarray((edges.start[:, 1] + edges.end[:, 1]) / 2 > 5e-3))
    pieces = Eye(half, toward).split(edges)
    start, end = pieces.start[pieces.seen][:, [0, 2]], pieces.end[pieces.seen][:, [0, 2]]
    return enlarged(drawn(start, end, OUTLINE, Rounds(body.chord)), scale)


def _plan(body: LooseBody, scale: float, top: float) -> list[Item]:
    """The plan, its upper edge with its dimensions below `top` mm of paper."""
    up = np.array((0.0, 0.0, 1.0))
    edges = edges_of(body.mesh, up)
    pieces = Eye(body.mesh, up).split(edges)
    lines: list[Stroke | Arc] = []
    rounds = Rounds(body.chord, tuple(((0.0, 0.0), each.radius) for each in body.rounds))
    for chosen, pen in ((pieces.seen, OUTLINE), (~pieces.seen, HIDDEN)):
        start, end = pieces.start[chosen][:, :2], pieces.end[chosen][:, :2]
        lines += drawn(start, end, pen, rounds)
    low, high = body.mesh.vertices.min(axis=0) * scale, body.mesh.vertices.max(axis=0) * scale
    items: list[Item] = [*enlarged(lines, scale)]
    items.append(Stroke(((float(low[0]) - 1.5, 0.0), (float(high[0]) + 1.5, 0.0)), CENTRE))
    items.append(Stroke(((0.0, float(low[1]) - 1.5), (0.0, float(high[1]) + 1.5)), CENTRE))
    items += _plan_dimensions(body, scale, low, high)
    shift = top - around(items)[3]
    return [each.moved(0.0, shift) for each in items]


def _plan_dimensions(
    body: LooseBody, scale: float, low: Floats, high: Floats
) -> Sequence[Dimension]:
    """Width and length of a long body, and the width of the groove in the foot."""
    out = []
    groove = _groove(body)
    if groove is not None:
        x, wide = groove
        what = _of(body, length_of("groove", (x, -wide, 0.0), (x, wide, 0.0)))
        shown = ((x * scale, -wide * scale), (x * scale, wide * scale))
        column = float(low[0]) - CLEAR if x < 0.0 else float(high[0]) + CLEAR
        out.append(linear(what, *shown, column, scale, upright=True))
    x0, x1 = float(low[0]) / scale, float(high[0]) / scale
    z = float(body.size[2]) - 0.1
    walls = body.faces.walls(body.title, 0.0)
    if len(walls) > 1:
        first, last = min(walls, key=lambda w: w.across), max(walls, key=lambda w: w.across)
        x = (first.near + first.far) / 2
        what = _of(body, length_of("width", (x, first.across, z), (x, last.across, z)))
        ends = ((first.far * scale, first.across * scale), (last.far * scale, last.across * scale))
        out.append(linear(what, *ends, float(high[0]) + CLEAR, scale, upright=True))
        what = _of(body, length_of("length", (x0, 0.0, z), (x1, 0.0, z)))
        ends = ((x0 * scale, 0.0), (x1 * scale, 0.0))
        out.append(linear(what, *ends, float(low[1]) - CLEAR, scale))
    return out


def _groove(body: LooseBody) -> tuple[float, float] | None:
    """Middle x and half the width of the groove along x in the foot; None without one."""
    edges = edges_of(body.mesh, np.array((0.0, 0.0, 1.0)))
    on_plate = (np.abs(edges.start[:, 2]) < SAME) & (np.abs(edges.end[:, 2]) < SAME)
    span = np.abs(edges.end - edges.start)
    along = on_plate & (span[:, 1] < 1e-6) & (span[:, 0] > 0.2)
    if not along.any():
        return None
    wide = np.abs(edges.start[along, 1])
    mine = np.flatnonzero(along)[np.abs(wide - wide.min()) < SAME]
    x = np.r_[edges.start[mine, 0], edges.end[mine, 0]]
    return float((x.min() + x.max()) / 2), float(wide.min())
