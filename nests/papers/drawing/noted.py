"""What the plan gives of every cut and of what springs: widths and ⌀, read off the solid."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from nests.papers.drawing.dimensions import Measured, diameter_of, length_of
from nests.papers.drawing.faces import Cylinder, Faces, Floats, Wall
from nests.papers.drawing.planes import part_hour, part_plane
from nests.papers.drawing.profile import Subject
from nests.papers.drawing.values import Point
from nests.parts.base import Part
from nests.parts.clip import Clip
from nests.parts.finger_relief import FingerRelief
from nests.parts.mould import Mould
from nests.parts.plunger import Plunger
from nests.parts.pusher_slot import PusherSlot, lever_z
from nests.parts.relief import Relief
from nests.parts.spring_lever import SpringLever
from nests.parts.stem_slot import StemSlot
from nests.parts.swing_tab import SwingTab
from nests.parts.vent import Vent


@dataclass(frozen=True)
class Noted:
    """A length given in plan: its ends there (mm), whether it stands beyond the outer face, the
    hour of its part, and the lowest z of what it measures."""

    what: Measured
    first: Point
    second: Point
    outside: bool
    hour: float
    low: float


def noted(subject: Subject) -> list[Noted]:
    """What is given of all cuts and of what springs, in the order of the recipe."""
    out: list[Noted] = []
    for each in subject.holder.laid:
        hour = part_hour(subject, each.part)
        if hour is not None:
            out += _of_part(subject, each.label, each.part, hour)
    return out


def _of_part(subject: Subject, label: str, part: Part, hour: float) -> list[Noted]:
    angle = subject.holder.recipe.site().frame.angle(hour)
    if isinstance(part, Plunger):
        return _guide(subject, label, part, hour, angle)
    if isinstance(part, SwingTab):
        return _screw_bore(subject, label, part, hour, angle)
    if isinstance(part, Vent):
        # its roof is a gable on the floor: no upright wall to measure
        return [_width(_base(subject.faces, label, angle), hour, angle, label, True)]
    plane = part_plane(subject, part)
    assert plane is not None  # it has an hour
    pairs = _pairs(subject.faces.walls(label, plane.angle), plane.offset)
    if not pairs:
        return []
    if isinstance(part, StemSlot) and len(pairs) > 1:
        return [
            _width(pairs[-1], hour, angle, label, True),
            _width(pairs[0], hour, angle, f"{label}, neck", False),
        ]
    if isinstance(part, SpringLever):
        nose = _width(pairs[0], hour, angle, f"{label}, nose", False)
        return [nose, *_arm(subject, label, hour, angle)]
    if isinstance(part, Clip):
        return [_width(pairs[0], hour, plane.angle, label, False)]
    if isinstance(part, Mould):
        return [_width(pairs[0], hour, angle, f"{label}, slit", True)]
    if isinstance(part, PusherSlot | FingerRelief | Relief | StemSlot):
        return [_width(pairs[-1], hour, angle, label, not isinstance(part, Relief))]
    return []


def _pairs(walls: list[Wall], middle: float) -> list[tuple[Wall, Wall]]:
    """Walls that face each other at equal distances from a middle line, narrowest first."""
    right = sorted((w for w in walls if w.across < middle), key=lambda w: -w.across)
    left = [w for w in walls if w.across > middle]
    out = []
    for wall in right:
        across = 2 * middle - wall.across
        other = min(left, key=lambda w: abs(w.across - across), default=None)
        if other is not None and abs(other.across - across) < 0.01:
            out.append((wall, other))
    return out


def _base(faces: Faces, label: str, angle: float) -> tuple[Wall, Wall]:
    """The lower edges of a channel with a pointed roof, as walls without height."""
    ahead, side = _directions(angle)
    points = faces.corners[faces.made_by(label)].reshape(-1, 3)
    across, along, z = points[:, :2] @ side, points[:, :2] @ ahead, points[:, 2]
    low = float(z.min())
    ends = []
    for edge in (float(across.min()), float(across.max())):
        mine = (np.abs(across - edge) < 1e-3) & (z < low + 1e-3)
        reach = along[mine]
        ends.append(Wall(edge, float(reach.min()), float(reach.max()), low, low))
    return ends[0], ends[1]


def _width(pair: tuple[Wall, Wall], hour: float, angle: float, name: str, outside: bool) -> Noted:
    ahead, side = _directions(angle)
    near, far = max(w.near for w in pair), min(w.far for w in pair)
    z = (max(w.low for w in pair) + min(w.high for w in pair)) / 2
    middle = (near + far) / 2
    ends = [_point(middle * ahead + w.across * side) for w in pair]
    shown = [_point((far if outside else middle) * ahead + w.across * side) for w in pair]
    what = length_of(name, (*ends[0], z), (*ends[1], z))
    return Noted(what, shown[0], shown[1], outside, hour, min(w.low for w in pair))


def _guide(subject: Subject, label: str, part: Plunger, hour: float, angle: float) -> list[Noted]:
    """⌀ of a plunger's guide, and of the pockets for its collar and its spring."""
    ahead, side = _directions(angle)
    out = []
    for name, bore in guide_bores(subject, label, part).items():
        z = axis_of(subject, part)
        middle = (bore.low + bore.high) / 2 * ahead
        first, second = _point(middle - bore.radius * side), _point(middle + bore.radius * side)
        what = diameter_of(f"{label}, {name}", (*_point(middle), z), (*second, z), 2 * bore.radius)
        out.append(Noted(what, first, second, False, hour, z - bore.radius))
    return out


def axis_of(subject: Subject, part: Plunger) -> float:
    """Height of a plunger's axis."""
    site = subject.holder.recipe.site()
    return lever_z(site, site.sheet.pusher(part.pusher))


def guide_bores(subject: Subject, label: str, part: Plunger) -> dict[str, Cylinder]:
    """The lying bores of a plunger by name, `low` and `high` being distances from the axis."""
    site = subject.holder.recipe.site()
    angle = site.frame.angle(part.hour(site))
    found = subject.faces.lying(label, angle, axis_of(subject, part))
    bores = sorted((c for c in found if c.bore), key=lambda c: c.low)
    if not bores:
        return {}
    guide = min(bores, key=lambda c: c.radius)
    named = {"guide": guide}
    for name, mine in (
        ("collar pocket", [c for c in bores if c.high < guide.low + 0.05]),
        ("spring pocket", [c for c in bores if c.low > guide.high - 0.05]),
    ):
        if mine:
            named[name] = mine[0]
    return named


def _screw_bore(
    subject: Subject, label: str, part: SwingTab, hour: float, angle: float
) -> list[Noted]:
    """⌀ of the upright bore beside the seat."""
    site = subject.holder.recipe.site()
    ahead, side = _directions(angle)
    out = site.radius(part.at) + site.sheet.edge(site.side_up)[0] + part.out
    found = [c for c in subject.faces.cylinders(label, *_point(out * ahead)) if c.bore]
    if not found:
        return []
    bore = min(found, key=lambda c: c.radius)
    middle, z = out * ahead, (bore.low + bore.high) / 2
    first, second = _point(middle - bore.radius * side), _point(middle + bore.radius * side)
    what = diameter_of(f"{label}, bore", (*_point(middle), z), (*second, z), 2 * bore.radius)
    return [Noted(what, first, second, False, hour, bore.low)]


@dataclass(frozen=True)
class Arm:
    """A spring lever's arm: radii of its faces and of the slit's outer wall, angles (rad) of the
    slit's end and of the arm's free end at its inner face, and half its height."""

    inner: float
    outer: float
    slit: float
    root: float
    free: float
    z: float


def arm_of(subject: Subject, label: str, angle: float) -> Arm | None:
    """Read the arm of a spring lever; None if its faces are not found."""
    faces = subject.faces
    round_faces = faces.cylinders(label)
    inner = max((c.radius for c in round_faces if c.bore), default=None)
    shafts = [c.radius for c in round_faces if not c.bore]
    slit = max((r for r in shafts if inner is not None and r < inner), default=None)
    outer = max((c.radius for c in faces.cylinders("body") if not c.bore), default=None)
    if inner is None or slit is None or outer is None:
        return None
    mine = faces.made_by(label) & faces.upright
    corners = faces.corners[mine][:, :, :2].reshape(-1, 2)
    reach = np.hypot(*corners.T)
    near = np.abs(reach - inner) < 2 * subject.holder.recipe.chord_error
    inner = float(reach[near].max())  # its corners lie on the circle, unlike those of a bore
    ahead, side = _directions(angle)
    x, y = corners[near] @ ahead, corners[near] @ side
    turn = np.arctan2(y, x)
    root = float(turn[np.argmax(np.abs(turn))])
    # the free end is cut square, on the other side of the pusher
    free = float(turn.min() if root > 0.0 else turn.max())
    return Arm(inner, outer, slit, root, free, subject.height / 2)


def _arm(subject: Subject, label: str, hour: float, angle: float) -> list[Noted]:
    """Length, thickness and play of a spring lever's arm.

    Its length is straight from the end of the slit to its free end, at its inner face.
    """
    arm = arm_of(subject, label, angle)
    if arm is None:
        return []

    def at(radius: float, turn: float) -> Point:
        return (radius * math.cos(angle + turn), radius * math.sin(angle + turn))

    def given(name: str, first: Point, second: Point) -> Noted:
        what = length_of(f"{label}, {name}", (*first, arm.z), (*second, arm.z))
        return Noted(what, first, second, False, hour, 0.0)

    # a hair off the corners, on the faces beside them: inside the slit, outside the inner face
    root, free = at(arm.inner - 0.02, arm.root), at(arm.inner + 0.02, arm.free)
    middle, third = arm.root * 0.5, arm.root * 0.7
    return [
        given("arm, length", root, free),
        given("arm, thickness", at(arm.inner, middle), at(arm.outer, middle)),
        given("slit", at(arm.slit, third), at(arm.inner, third)),
    ]


def _directions(angle: float) -> tuple[Floats, Floats]:
    """Unit vectors outward along an angle, and to the left of it."""
    ahead = np.array((math.cos(angle), math.sin(angle)))
    return ahead, np.array((-ahead[1], ahead[0]))


def _point(xy: Floats) -> Point:
    return (float(xy[0]), float(xy[1]))
