"""Details, larger: a circle of a section, and the seat's with ledge, groove, lead-in and depth."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from nests.papers.drawing.cuts import cut_faces, face_of, hatched
from nests.papers.drawing.dimensions import (
    STEP,
    Measured,
    Pending,
    height_of,
    in_rows,
    length_of,
    linear,
)
from nests.papers.drawing.free import free_text, taken_by
from nests.papers.drawing.lettering import LARGE
from nests.papers.drawing.profile import Profile, Run, Subject
from nests.papers.drawing.values import (
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

SCALES = (20.0, 10.0, 5.0, 2.0)
HATCH_SPACING = 2.0
"""mm between hatching lines of a detail."""
WIDEST = 40.0
"""mm of paper the seat's detail may take across."""
HAIR = 4e-3
"""mm below the upper face at which the mouth of a chamfer is measured."""
FIRST = 4.0
"""mm from a detail's circle to its first dimension line."""


@dataclass(frozen=True)
class Detail:
    """A circle of a profile that is shown larger: its middle, along and z, and radius in mm.

    `sign` is -1 if the profile is the left half of its section and +1 if it is the right half;
    `widest` is how many mm of paper the circle may take across.
    """

    letter: str
    shown: Profile
    sign: float
    along: float
    z: float
    radius: float
    widest: float = WIDEST

    @property
    def scale(self) -> float:
        """The largest standard scale (ISO 5455) that keeps it small enough."""
        return next((s for s in SCALES if 2 * self.radius * s <= self.widest), SCALES[-1])

    @property
    def reach(self) -> float:
        """Radius of its circle on paper, mm."""
        return self.radius * self.scale

    def on_paper(self, along: float, z: float) -> Point:
        """A point of the profile, as it lies in its section."""
        return (self.sign * (along - self.along) * self.scale, (z - self.z) * self.scale)


def framed(
    subject: Subject,
    of: Detail,
    dimensions: Sequence[Dimension],
    behind: Sequence[tuple[Point, Point]] = (),
) -> Block:
    """A detail about the middle of its circle: the cut, what lies `behind` it, its dimensions.

    Points of `behind` are (along, z) in mm of the solid.
    """
    import shapely

    face = face_of(cut_faces(subject.holder.solid, of.shown.plane))
    circle = shapely.Point(of.along, of.z).buffer(of.radius, quad_segs=32)
    items: list[Item] = []
    for each in shapely.get_parts(shapely.intersection(face, circle)):
        rings = [[of.on_paper(*p) for p in r.coords[:-1]] for r in (each.exterior, *each.interiors)]
        items.append(hatched(rings, HATCH_SPACING))
    lines = shapely.MultiLineString([*behind]) if behind else shapely.MultiLineString()
    for drawn in (face.boundary, lines):
        edge = shapely.intersection(drawn, circle)
        merged = shapely.line_merge(edge) if edge.geom_type == "MultiLineString" else edge
        for line in shapely.get_parts(merged):
            if line.geom_type == "LineString" and not line.is_empty:
                items.append(Stroke(tuple(of.on_paper(*p) for p in line.coords), OUTLINE))
    items.append(Arc((0.0, 0.0), of.reach, EDGE))
    items += dimensions
    items.append(Text((0.0, around(items)[3] + 2.5), f"{of.letter} ({of.scale:g}:1)", LARGE, 0.5))
    return Block(f"detail {of.letter}", tuple(items))


def circled(of: Detail, scale: float, items: Sequence[Item]) -> list[Item]:
    """The circle of a detail in its section, and its letter where it covers nothing there."""
    at, radius = (of.sign * of.along * scale, of.z * scale), of.radius * scale
    turns = [math.radians(t) for t in range(135, 135 + 360, 15)]
    places = [
        (at[0] + far * math.cos(t), at[1] + far * math.sin(t) - LARGE / 2)
        for far in (radius + share * LARGE for share in (0.9, 1.3, 1.8, 2.5, 3.2))
        for t in turns
    ]
    letter = free_text(of.letter, LARGE, places, taken_by(items, lines=True))
    letter = letter or free_text(of.letter, LARGE, places, taken_by(items))
    return [Arc(at, radius, EDGE), *([letter] if letter is not None else [])]


@dataclass(frozen=True)
class Corner:
    """The uppermost seat of a profile: ledge, groove if any, bore, mouth and upper face."""

    ledge: Run
    groove: Run | None
    bore: Run
    mouth: float
    top: float


def seat_detail(
    subject: Subject, shown: Profile, sign: float = -1.0
) -> tuple[Detail, Block] | None:
    """The circle about the uppermost ledge of a half, and its view; None without one.

    `sign` is -1 for a left half and +1 for a right one.
    """
    corner = _corner(subject, shown)
    if corner is None:
        return None
    low, high = corner.ledge.at - 0.6, corner.top
    near, far = corner.ledge.low - 0.2, corner.mouth + 0.3
    radius = math.hypot(far - near, high - low) / 2
    of = Detail("Z", shown, sign, (near + far) / 2, (low + high) / 2, radius)
    return of, framed(subject, of, _dimensions(of, corner))


def _corner(subject: Subject, shown: Profile) -> Corner | None:
    if subject.seat is None:
        return None
    label, part = subject.seat
    shelf = part.shelf(subject.holder.recipe.site())
    if shelf is None:
        return None
    level = shelf.level
    ledges = shown.ledges(label)
    ledge = next((e for e in ledges if abs(e.at - level) < 0.01), None)
    top = shown.ledges("body")
    walls = [u for u in shown.bores(label) if u.high > level + 0.05]
    if ledge is None or not top or not walls:
        return None
    groove = next((e for e in ledges if -1.5 < e.at - level < -0.05 and e.low > ledge.low), None)
    return Corner(ledge, groove, max(walls, key=lambda u: u.high), top[-1].low, top[-1].at)


def _dimensions(of: Detail, corner: Corner) -> list[Dimension]:
    first = of.reach + FIRST
    inward = -of.sign
    ledge, bore, groove = corner.ledge, corner.bore, corner.groove
    wall = (bore.at, (bore.low + bore.high) / 2)
    shelf = ((ledge.low + ledge.high) / 2, ledge.at)
    nose = (ledge.low, ledge.at - 0.03)
    mouth = (corner.mouth, corner.top - HAIR)
    rows = [across(of, "ledge", nose, wall)]
    if corner.mouth - bore.at > 0.05:
        rows.append(across(of, "lead-in", wall, mouth))
    second = first
    out: list[Dimension] = []
    if groove is not None:
        second = first + STEP
        inner = (groove.low, (groove.at + ledge.at) / 2)
        bottom = ((groove.low + groove.high) / 2, groove.at)
        rows.append(across(of, "groove", inner, wall))
        out.append(up(of, "groove depth", bottom, shelf, inward * first, tail=True))
    out.append(up(of, "seat depth", shelf, (corner.mouth + 0.05, corner.top), inward * second))
    return [*out, *in_rows(rows, first, STEP, of.scale)]


def across(of: Detail, name: str, a: Point, b: Point) -> Pending:
    """A length across a detail, between points of its profile; it has no row yet."""
    plane = of.shown.plane
    return Pending(
        length_of(name, plane.point(*a), plane.point(*b)), of.on_paper(*a), of.on_paper(*b)
    )


def up(of: Detail, name: str, a: Point, b: Point, level: float, *, tail: bool = False) -> Dimension:
    """A height in a detail, between points of its profile, its line at `level` (mm of paper)."""
    plane = of.shown.plane
    what: Measured = height_of(name, plane.point(*a), plane.point(*b))
    return linear(what, of.on_paper(*a), of.on_paper(*b), level, of.scale, upright=True, tail=tail)
