"""Clips on an edge that is not round: square to it, on both sides up.

Everything expected is reckoned with shapely on an outline made here from its corners (an arc by
its centre, in steps of 0.05°), turned over by mirroring that outline; no place comes from `places`.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.affinity import scale

from nests import families
from nests.checks.bench import clearance, fit, hold, steady
from nests.families._holding import largest_share
from nests.finding import Finding, Grade, Refused
from nests.given.operation import Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import KeepClear, Rest, Sheet
from nests.given.zones import Corner, Path, Polygon
from nests.holder.compose import Holder, compose
from nests.holder.recipe import Recipe
from nests.parts.body import Body
from nests.parts.clip import Clip
from nests.parts.ring_seat import RingSeat
from nests.places import Place, Side
from nests.study import Study

CORNERS = ((8.0, -9.0), (9.0, 2.0), (5.0, 11.0), (-6.0, 10.0), (-9.5, -1.0), (-7.0, -9.5))
BULGE = 3
"""Which edge is an arc, of radius 40 mm, from its corner to the next; the others are lines."""
RADIUS = 40.0
CARD = PrinterCard()
EXACT = 2e-3


def _edge(index: int) -> list[tuple[float, float]]:
    """Points along an edge from its corner to short of the next, dial side seen."""
    first, last = (np.array(CORNERS[k % len(CORNERS)]) for k in (index, index + 1))
    if index != BULGE:
        return [(float(first[0]), float(first[1]))]
    half = np.linalg.norm(last - first) / 2
    along = (last - first) / (2 * half)
    middle = (first + last) / 2 + math.sqrt(RADIUS**2 - half**2) * np.array((-along[1], along[0]))
    begin, end = (math.atan2(*(p - middle)[::-1]) for p in (first, last))
    turns = begin + np.linspace(0.0, (end - begin) % math.tau, 400)[:-1]
    return [(middle[0] + RADIUS * math.cos(t), middle[1] + RADIUS * math.sin(t)) for t in turns]


SEEN = shapely.Polygon([p for index in range(len(CORNERS)) for p in _edge(index)])
"""The outline from the dial side."""


def lying(up: Side) -> shapely.Polygon:
    """The outline in its holder: turned over it is its own mirror image."""
    return SEEN if up is Side.DIAL else scale(SEEN, xfact=-1.0, origin=(0.0, 0.0))


def workpiece() -> Sheet:
    """Rests 1.3 mm wide all round on both sides, and something to spare on one."""
    rests = []
    for side in Side:
        for k in range(len(CORNERS)):
            a, b = np.array(CORNERS[k]), np.array(CORNERS[(k + 1) % len(CORNERS)])
            out = 1.06 if k == BULGE else 1.0  # a strip that reaches past the edge of the arc
            strip = shapely.Polygon([a * out, b * out, b * 0.5, a * 0.5])
            strip &= SEEN.buffer(-0.005).difference(SEEN.buffer(-1.3))
            corners = tuple(Place(x, y) for x, y in strip.exterior.coords[:-1])
            rests.append(
                Rest(name=f"{side} {k}", side=side, height=0.0, zone=Polygon(corners=corners))
            )
    return Sheet(
        name="SKEW",
        outline=Path(
            corners=tuple(
                Corner(at=Place(x, y), radius=RADIUS if k == BULGE else None)
                for k, (x, y) in enumerate(CORNERS)
            )
        ),
        rim=1.6,
        dial_height=0.6,
        bridge_height=1.0,
        rests=tuple(rests),
        keep_clear=(
            KeepClear(
                name="balance", side=Side.BRIDGE, from_height=-0.5, to_height=1.0,
                zone=Polygon(corners=(Place(2.0, 2.0), Place(5.0, 2.0), Place(2.0, 6.0))),
            ),
        ),
        mass=7.0,
    )  # fmt: skip


def hour_of(x: float, y: float) -> float:
    """Hour of the dial in a direction seen from the dial side: clockwise from 12 h at +y."""
    return math.degrees(math.atan2(x, y)) / 30.0 % 12.0


def square(index: int, share: float = 0.5) -> Clip:
    """A clip at a share of the way along a straight edge, its direction from the corners alone."""
    (ax, ay), (bx, by) = CORNERS[index], CORNERS[(index + 1) % len(CORNERS)]
    x, y = ax + share * (bx - ax), ay + share * (by - ay)
    return Clip(at=hour_of(x, y), outward=hour_of(by - ay, ax - bx), grip=0.4)


def clipped(up: Side, *clips: Clip) -> Recipe:
    return Recipe(
        name="skew", workpiece=workpiece(), printer=CARD, body=Body(under=6.0, wall=10.0),
        operation=Operation(name="looking", side_up=up, turned_over=True),
        parts=(RingSeat(), *clips),
    )  # fmt: skip


def fingers(holder: Holder) -> list[tuple[Clip, shapely.Geometry, shapely.Geometry]]:
    """Each clip with its finger below the rim, and the tip of its hook, as the solid has them."""
    site = holder.recipe.site()
    rim, out = site.seat + site.sheet.rim, []
    for each in holder.laid:
        if isinstance(each.part, Clip):
            assert each.shape.adds is not None
            lip = rim + (each.part.play + each.part.grip) * site.rise + 0.1
            cuts = (each.shape.adds.slice(z) for z in (rim - 0.5, lip))
            rings = (shapely.Polygon(cut.to_polygons()[0]) for cut in cuts)
            out.append((each.part, *(ring.simplify(1e-4) for ring in rings)))
    return out


def innermost(
    piece: shapely.Geometry, outline: shapely.Polygon
) -> list[tuple[float, shapely.Point]]:
    """How far the two corners of a piece that lie farthest in lie outside an outline, and where.

    Negative for what lies inside.
    """
    points = [shapely.Point(p) for p in shapely.get_coordinates(piece)[:-1]]
    away = [p.distance(outline) - (p.distance(outline.exterior) if outline.contains(p) else 0.0)
            for p in points]  # fmt: skip
    return sorted(zip(away, points, strict=True), key=lambda pair: pair[0])[:2]


@pytest.mark.parametrize("up", Side)
def test_the_normal_is_the_shortest_way_to_the_edge(up: Side) -> None:
    """From a point on the normal the nearest point of a convex edge is the normal's foot."""
    site, outline = clipped(up).site(), lying(up)
    for hour in np.arange(0.07, 12.0, 0.31):
        angle = site.frame.angle(hour)
        ray = shapely.LineString([(0.0, 0.0), (30 * math.cos(angle), 30 * math.sin(angle))])
        foot, normal = outline.exterior.intersection(ray), site.normal(hour)
        off = shapely.Point(foot.x + 2 * math.cos(normal), foot.y + 2 * math.sin(normal))
        assert off.distance(outline) == pytest.approx(2.0, abs=1e-6)
        assert shapely.shortest_line(off, outline).length == pytest.approx(off.distance(foot))


@pytest.mark.parametrize("up", Side)
def test_finger_and_hook_lie_along_a_straight_edge(up: Side) -> None:
    """Both ends of the face stand off by the play, both ends of the hook reach in by the grip."""
    edges = [(k, share) for k in range(len(CORNERS)) if k != BULGE for share in (0.4, 0.65)]
    outline = lying(up)
    for index, share in edges:
        holder = compose(clipped(up, square(index, share)))
        ((clip, finger, hook),) = fingers(holder)
        (contact,) = clip.contacts(holder.recipe.site())
        place = shapely.Point(contact.place[:2])
        assert place.distance(outline.exterior) < EXACT
        for piece, off in ((finger, clip.play), (hook, -clip.grip)):
            (first, one), (second, other) = innermost(piece, outline)
            assert first == pytest.approx(off, abs=EXACT)
            assert second == pytest.approx(off, abs=EXACT)
            assert one.distance(other) == pytest.approx(clip.width, abs=EXACT)


def found(recipe: Recipe, *checks: object) -> list[Finding]:
    study = Study.of(compose(recipe))
    return [each for one in checks for each in one.check(study)]  # type: ignore[attr-defined]


def test_a_clip_along_the_ray_holds_a_straight_edge_with_one_end() -> None:
    """Turned by δ from square, the ends of a hook w wide differ by ± w/2 tan δ."""
    straight = square(0, 0.9)
    assert straight.outward is not None
    turned = (straight.outward - straight.at) * math.tau / 12
    recipe = clipped(Side.BRIDGE, replace(straight, outward=None), square(2), square(4))
    askew = [f for f in found(recipe, hold) if "square" in f.says]
    (finding,) = askew
    assert finding.grade is Grade.STOP
    assert finding.value == pytest.approx(2.0 * abs(math.tan(turned)), abs=1e-9)
    assert f"{straight.outward:.2f} h" in finding.remedy
    assert not [
        f for f in found(clipped(Side.BRIDGE, straight, square(2), square(4)), hold)
        if f.grade is not Grade.CLEAR
    ]  # fmt: skip


@pytest.mark.parametrize("up", Side)
def test_the_family_holds_a_skew_movement_on_its_rests(up: Side) -> None:
    """Three stand where the axis lies between them, and every check of the bench is content."""
    rule = families.family("inspection")
    recipe = rule.recipe(workpiece(), None, rule.Wish(side_up=up.value), CARD)
    findings = found(recipe, hold, clearance, fit, steady)
    assert {f.check for f in findings} == {"hold", "clearance", "fit", "steady"}
    assert not [f for f in findings if f.grade is not Grade.CLEAR]
    holder, outline = compose(recipe), lying(up)
    places = []
    for clip, finger, hook in fingers(holder):
        (contact,) = clip.contacts(recipe.site())
        places.append(contact.place[:2])
        assert finger.distance(outline) == pytest.approx(clip.play, abs=EXACT)
        deepest = max(shapely.Point(p).distance(outline.exterior)
                      for p in shapely.get_coordinates(hook & outline))  # fmt: skip
        assert deepest == pytest.approx(clip.grip, abs=0.01)
    assert shapely.MultiPoint(places).convex_hull.contains(shapely.Point(0.0, 0.0))


def test_what_cannot_be_held_costs_one_sentence() -> None:
    rule, whole = families.family("inspection"), workpiece()
    for sheet, hold_by, words in (
        (whole, "swing tab", "not round"),
        (replace(whole, rests=()), "clip", "0 places"),
    ):
        with pytest.raises(Refused, match=words):
            rule.recipe(sheet, None, rule.Wish(side_up="dial", hold=hold_by), CARD)
    with pytest.raises(Refused, match="tip out"):  # one hook lets it turn about itself
        largest_share(clipped(Side.DIAL).site(), [square(0)], RingSeat())
