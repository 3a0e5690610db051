"""The half-profile of a round holder for a turner: brass has no printer bias, and is toleranced.

Drawn with the axis level and the foot on the left, as it lies in the lathe: the closed half-profile
alone is on the layer 'outline'. What is not turned (slots, posts, engraving) is left out.
"""

from __future__ import annotations

from dataclasses import replace

from nests.given.zones import Round
from nests.holder.compose import Holder, compose
from nests.mechanics.tolerance import limits, tolerance
from nests.papers.drawing.cuts import cut_faces
from nests.papers.drawing.detail_view import seat_detail
from nests.papers.drawing.dimensions import (
    STEP,
    Measured,
    Pending,
    diameter_of,
    height_of,
    in_rows,
    linear,
)
from nests.papers.drawing.dxf import written
from nests.papers.drawing.lettering import LARGE, PLAIN
from nests.papers.drawing.planes import turned_profile
from nests.papers.drawing.profile import Profile, Subject, bores, seat_levels
from nests.papers.drawing.title_block import recipe_hash
from nests.papers.drawing.values import (
    CENTRE,
    EDGE,
    OUTLINE,
    Block,
    Item,
    Point,
    Stroke,
    Text,
    around,
)

SCALE = 5.0
CLEAR = 8.0
BORE_GRADE = 8
"""Grade of the bore: its ⌀ is as asked, plus this ISO 286-1 tolerance."""
HEIGHT_CLASS = "js9"
"""ISO 286-1 class of the height of the seat."""


def turned_dxf(holder: Holder) -> bytes | None:
    """DXF of the half-profile; None where the body or its seat does not go round."""
    recipe = holder.recipe
    if not isinstance(recipe.workpiece.outline, Round):
        return None
    kept = tuple(alone for part in recipe.parts if (alone := part.turned_alone()) is not None)
    exact = replace(
        recipe.printer,
        inside_bias=0.0,
        inside_bias_slope=0.0,
        outside_bias=0.0,
        outside_bias_slope=0.0,
    )
    plain = compose(replace(recipe, parts=kept, printer=exact))
    subject = Subject.of(plain)
    found = turned_profile(subject)
    main = _main(subject, found)
    blocks = [main]
    enlarged = seat_detail(subject, found)
    if enlarged is not None:
        made = enlarged[1]
        blocks.append(
            made.moved(main.box()[2] + 15.0 - made.box()[0], main.box()[3] - made.box()[3])
        )
    blocks.append(_words(holder, around(blocks)[1] - 6.0))
    box = around(blocks)
    items = tuple(item for b in blocks for item in b.moved(10.0 - box[0], 10.0 - box[1]).items)
    size = (box[2] - box[0] + 20.0, box[3] - box[1] + 20.0)
    return written(items, SCALE, size, f"{recipe.name}, turned")


def _main(subject: Subject, found: Profile) -> Block:
    def at(z: float, along: float) -> Point:
        return (z * SCALE, along * SCALE)

    items: list[Item] = []
    for ring in cut_faces(subject.holder.solid, found.plane):
        items.append(Stroke(tuple(at(z, u) for u, z in ring.tolist()), OUTLINE, closed=True))
        items.append(Stroke(tuple(at(z, -u) for u, z in ring.tolist()), EDGE, closed=True))
    end = subject.height * SCALE
    items.append(Stroke(((-4.0, 0.0), (end + 4.0, 0.0)), CENTRE))

    column = end + CLEAR
    for what, run in bores(subject, found):
        radius = what.value / 2
        what = _bore_tolerance(subject, what)
        items.append(
            linear(what, at(run.high, -radius), at(run.high, radius), column, SCALE, upright=True)
        )
        column += STEP
    radius = max(c.radius for c in subject.faces.cylinders("body") if not c.bore)
    low = 2 * subject.holder.recipe.body.foot_chamfer + 0.3
    outer = diameter_of(
        "outer", found.plane.point(0.0, low), found.plane.point(radius, low), 2 * radius
    )
    items.append(linear(outer, at(low, -radius), at(low, radius), -CLEAR, SCALE, upright=True))

    rows = []
    for name, (along, z) in seat_levels(subject, found).items():
        ends = (found.plane.point(along, 0.0), found.plane.point(along, z))
        what = height_of(name, *ends, suffix=_height_tolerance(name, z))
        rows.append(Pending(what, at(0.0, subject.reach - 1.0), at(z, along)))
    items += in_rows(rows, subject.reach * SCALE + CLEAR, STEP, SCALE)
    return Block("turned profile", tuple(items))


def _bore_tolerance(subject: Subject, what: Measured) -> Measured:
    """The seat bore with its tolerance: larger than asked by at most a grade of ISO 286."""
    if what.name == "opening":
        return what
    return replace(what, suffix=f" +{tolerance(what.value, BORE_GRADE):.3f}/0")


def _height_tolerance(name: str, z: float) -> str:
    """± of the height of a seat; others fall under the general tolerance."""
    if not name.startswith("seat") or not 3.0 < z <= 80.0:
        return ""
    return f" ±{(limits(z, HEIGHT_CLASS).upper - z):.3f}"


def _words(holder: Holder, top: float) -> Block:
    recipe = holder.recipe
    lines = [
        (f"{recipe.name}: turned body", LARGE),
        (f"{recipe.kind}, {recipe.workpiece.name}, {recipe.side_up.value} up", PLAIN),
        ("Brass. Scale 5:1, lengths in mm at their true size in the file, no printer bias.", PLAIN),
        (f"Bore: ⌀ as asked, + IT{BORE_GRADE} / 0 (ISO 286-1). Seat: {HEIGHT_CLASS}.", PLAIN),
        ("Other lengths: ISO 2768-f. Slots, posts and engraving are not shown.", PLAIN),
        (f"recipe sha256 {recipe_hash(holder)}", PLAIN),
    ]
    if recipe.workpiece.remarks:
        lines.append((recipe.workpiece.remarks, PLAIN))
    items: list[Item] = []
    for words, height in lines:
        top -= height + 1.8
        items.append(Text((0.0, top), words, height))
    return Block("words", tuple(items))
