"""The detail of a seat, larger: ledge, groove, lead-in, depth."""

from __future__ import annotations

import math
from dataclasses import dataclass

from nests.drawing.cuts import cut_faces, hatched
from nests.drawing.dimensions import STEP, Measured, Pending, in_rows, linear
from nests.drawing.lettering import LARGE
from nests.drawing.profile import Profile, Run, Subject
from nests.drawing.values import (
    EDGE,
    OUTLINE,
    Arc,
    Block,
    Dimension,
    Item,
    Point,
    Stroke,
    Text,
    around,
)
from nests.parts.ring_seat import RingSeat

SCALES = (20.0, 10.0, 5.0, 2.0)
WIDEST = 40.0
"""mm of paper a detail may take across."""
HAIR = 4e-3
"""mm below the upper face at which the mouth of a chamfer is measured."""
FIRST = 4.0
"""mm from the detail's circle to its first dimension line."""


@dataclass(frozen=True)
class Corner:
    """The uppermost seat of a profile: ledge, groove if any, bore, mouth and upper face."""

    ledge: Run
    groove: Run | None
    bore: Run
    mouth: float
    top: float


@dataclass(frozen=True)
class Detail:
    """A circle of a profile that is shown larger: along, z and radius in mm, and its scale."""

    shown: Profile
    corner: Corner
    along: float
    z: float
    radius: float

    @property
    def scale(self) -> float:
        """The largest standard scale (ISO 5455) that keeps it small enough."""
        return next((s for s in SCALES if 2 * self.radius * s <= WIDEST), SCALES[-1])

    def on_paper(self, along: float, z: float) -> Point:
        """A point of the profile, turned as in the left half of its section."""
        return (-(along - self.along) * self.scale, (z - self.z) * self.scale)


def detail(subject: Subject, shown: Profile) -> Detail | None:
    """The circle about the seat's uppermost ledge; None without one."""
    corner = _corner(subject, shown)
    if corner is None:
        return None
    low, high = corner.ledge.at - 0.6, corner.top
    near, far = corner.ledge.low - 0.2, corner.mouth + 0.3
    radius = math.hypot(far - near, high - low) / 2
    return Detail(shown, corner, (near + far) / 2, (low + high) / 2, radius)


def _corner(subject: Subject, shown: Profile) -> Corner | None:
    if subject.seat is None or not isinstance(subject.seat[1], RingSeat):
        return None
    label, part = subject.seat
    assert isinstance(part, RingSeat)
    level = part.seats(subject.holder.recipe.site())[0][1]
    ledges = shown.ledges(label)
    ledge = next((e for e in ledges if abs(e.at - level) < 0.01), None)
    top = shown.ledges("body")
    walls = [u for u in shown.bores(label) if u.high > level + 0.05]
    if ledge is None or not top or not walls:
        return None
    groove = next((e for e in ledges if -1.5 < e.at - level < -0.05 and e.low > ledge.low), None)
    return Corner(ledge, groove, max(walls, key=lambda u: u.high), top[-1].low, top[-1].at)


def detail_view(subject: Subject, of: Detail) -> Block:
    """The detail about the middle of its circle, with its dimensions."""
    import shapely

    face = shapely.Polygon()
    for ring in cut_faces(subject.holder.solid, of.shown.plane):
        face = face.symmetric_difference(shapely.Polygon(ring).buffer(0))
    circle = shapely.Point(of.along, of.z).buffer(of.radius, quad_segs=32)
    items: list[Item] = []
    for each in shapely.get_parts(shapely.intersection(face, circle)):
        rings = [[of.on_paper(*p) for p in r.coords[:-1]] for r in (each.exterior, *each.interiors)]
        items.append(hatched(rings, 2.0))
    edge = shapely.intersection(face.boundary, circle)
    merged = shapely.line_merge(edge) if edge.geom_type == "MultiLineString" else edge
    for line in shapely.get_parts(merged):
        items.append(Stroke(tuple(of.on_paper(*p) for p in line.coords), OUTLINE))
    items.append(Arc((0.0, 0.0), of.radius * of.scale, EDGE))
    items += _dimensions(of)
    items.append(Text((0.0, around(items)[3] + 2.5), f"Z ({of.scale:g}:1)", LARGE, 0.5))
    return Block("detail Z", tuple(items))


def _dimensions(of: Detail) -> list[Dimension]:
    corner, first = of.corner, of.radius * of.scale + FIRST
    ledge, bore, groove = corner.ledge, corner.bore, corner.groove
    wall = (bore.at, (bore.low + bore.high) / 2)
    shelf = ((ledge.low + ledge.high) / 2, ledge.at)
    nose = (ledge.low, ledge.at - 0.03)
    mouth = (corner.mouth, corner.top - HAIR)
    rows = [_across(of, "ledge", nose, wall)]
    if corner.mouth - bore.at > 0.05:
        rows.append(_across(of, "lead-in", wall, mouth))
    second = first
    out: list[Dimension] = []
    if groove is not None:
        second = first + STEP
        inner = (groove.low, (groove.at + ledge.at) / 2)
        bottom = ((groove.low + groove.high) / 2, groove.at)
        rows.append(_across(of, "groove", inner, wall))
        out.append(_up(of, "groove depth", bottom, shelf, first, tail=True))
    out.append(_up(of, "seat depth", shelf, (corner.mouth + 0.05, corner.top), second))
    return [*out, *in_rows(rows, first, STEP, of.scale)]


def _across(of: Detail, name: str, a: Point, b: Point) -> Pending:
    ends = (of.shown.plane.point(*a), of.shown.plane.point(*b))
    return Pending(Measured(name, abs(b[0] - a[0]), ends), of.on_paper(*b), of.on_paper(*a))


def _up(
    of: Detail, name: str, a: Point, b: Point, level: float, *, tail: bool = False
) -> Dimension:
    ends = (of.shown.plane.point(*a), of.shown.plane.point(*b))
    what = Measured(name, abs(b[1] - a[1]), ends)
    return linear(what, of.on_paper(*a), of.on_paper(*b), level, of.scale, upright=True, tail=tail)
