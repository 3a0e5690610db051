"""What the plan gives of every cut and of what springs: widths and ⌀, read off the solid."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from nests.papers.drawing.dimensions import Measured, diameter_of, length_of
from nests.papers.drawing.faces import Cylinder, Faces, Floats, Wall
from nests.papers.drawing.profile import Subject
from nests.papers.drawing.values import Point
from nests.parts.answers import Lie
from nests.parts.drawn import Channel, Drawn, FreeArm, Tunnel, Well, Width
from nests.places import Place
from nests.units import BadInput

NEAR = 0.05
"""mm by which a size on the solid may differ from the one its part has, more than all chords."""


class Lost(BadInput):
    """Something a part says it has and the solid does not show."""


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
    """What is given of all cuts and of what springs, in the order of the recipe.

    Raises `Lost` for what a part says it has and the solid does not show.
    """
    site = subject.holder.recipe.site()
    return [
        found
        for each in subject.holder.laid
        for item in each.part.drawn(site)
        for found in _given(subject, each.label, item)
    ]


def _given(subject: Subject, label: str, item: Drawn) -> list[Noted]:
    """What is given in the plan of one thing a part has; nothing of what stands elsewhere."""
    if isinstance(item, Width):
        return [_upright(subject, label, item)]
    if isinstance(item, Channel):
        # its roof is a gable on the floor: no upright wall to measure
        lie = item.lie
        base = _base(subject.faces, label, lie.angle)
        return [_width(base, lie.hour, lie.angle, label, True)]
    if isinstance(item, Tunnel):
        return _guide(subject, label, item)
    if isinstance(item, Well):
        return [_upright_bore(subject, label, item)]
    if isinstance(item, FreeArm):
        return _arm(subject, label, item.lie)
    return []


def _lost(subject: Subject, what: str) -> Lost:
    return Lost(
        f"{what} of '{subject.holder.recipe.name}' is not found on the solid, so that it cannot be "
        "drawn; something else cuts it away."
    )


def _upright(subject: Subject, label: str, item: Width) -> Noted:
    """The width between two walls."""
    name = f"{label}, {item.name}" if item.name else label
    pairs = _pairs(subject.faces.walls(label, item.lie.angle), item.lie.aside)
    near = min(pairs, key=lambda pair: abs(_across(pair) - item.nominal), default=None)
    if near is None or abs(_across(near) - item.nominal) > NEAR:
        raise _lost(subject, f"the width of {name}, {item.nominal:g} mm,")
    return _width(near, item.lie.hour, item.lie.angle, name, item.outside)


def _across(pair: tuple[Wall, Wall]) -> float:
    return abs(pair[1].across - pair[0].across)


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


def _guide(subject: Subject, label: str, item: Tunnel) -> list[Noted]:
    """⌀ of the guide of a rod, and of the pockets beside it."""
    lie, z = item.lie, item.z
    ahead, side = _directions(lie.angle)
    out = []
    for name, bore in guide_bores(subject, label, item).items():
        middle = (bore.low + bore.high) / 2 * ahead
        first, second = _point(middle - bore.radius * side), _point(middle + bore.radius * side)
        what = diameter_of(f"{label}, {name}", (*_point(middle), z), (*second, z), 2 * bore.radius)
        out.append(Noted(what, first, second, False, lie.hour, z - bore.radius))
    return out


def guide_bores(subject: Subject, label: str, item: Tunnel) -> dict[str, Cylinder]:
    """The lying bores of a guide by name, `low` and `high` being distances from the axis."""
    found = subject.faces.lying(label, item.lie.angle, item.z)
    bores = sorted((c for c in found if c.bore), key=lambda c: c.low)
    if not bores:
        raise _lost(subject, f"the guide of {label}, ⌀ {item.nominal:g} mm,")
    guide = min(bores, key=lambda c: c.radius)
    named = {"guide": guide}
    for name, mine in (
        ("collar pocket", [c for c in bores if c.high < guide.low + 0.05]),
        ("spring pocket", [c for c in bores if c.low > guide.high - 0.05]),
    ):
        if mine:
            named[name] = mine[0]
    return named


def bore_at(subject: Subject, label: str, place: Place, nominal: float) -> Cylinder:
    """The upright bore of a part at a place whose ⌀ is nearest to a nominal one, the highest of
    equal ones. Raises `Lost` where none is as wide as that."""
    found = [c for c in subject.faces.cylinders(label, place.x, place.y) if c.bore]
    bore = min(found, key=lambda c: (round(abs(2 * c.radius - nominal), 3), -c.high), default=None)
    if bore is None or abs(2 * bore.radius - nominal) > NEAR:
        raise _lost(subject, f"the bore of {label}, ⌀ {nominal:.2f} mm,")
    return bore


def _upright_bore(subject: Subject, label: str, item: Well) -> Noted:
    """⌀ of an upright bore at a place."""
    bore = bore_at(subject, label, item.at, item.nominal)
    middle = np.array((item.at.x, item.at.y))
    _, side = _directions(math.atan2(item.at.y, item.at.x))
    z = (bore.low + bore.high) / 2
    first, second = _point(middle - bore.radius * side), _point(middle + bore.radius * side)
    name = f"{label}, {item.name}" if item.name else label
    what = diameter_of(name, (*_point(middle), z), (*second, z), 2 * bore.radius)
    return Noted(what, first, second, False, item.hour, bore.low)


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


def arm_of(subject: Subject, label: str, angle: float) -> Arm:
    """Read the arm of a spring lever. Raises `Lost` if its faces are not found."""
    faces = subject.faces
    round_faces = faces.cylinders(label)
    inner = max((c.radius for c in round_faces if c.bore), default=None)
    shafts = [c.radius for c in round_faces if not c.bore]
    slit = max((r for r in shafts if inner is not None and r < inner), default=None)
    outer = max((c.radius for c in faces.cylinders("body") if not c.bore), default=None)
    if inner is None or slit is None or outer is None:
        raise _lost(subject, f"the arm of {label}")
    mine = faces.made_by(label) & faces.upright
    corners = faces.corners[mine][:, :, :2].reshape(-1, 2)
    reach = np.hypot(*corners.T)
    near = np.abs(reach - inner) < 2 * subject.holder.recipe.chord_error
    inner = float(reach[near].max())  # its corners lie on the circle, unlike those of a bore
    ahead, side = _directions(angle)
    x, y = corners[near] @ ahead, corners[near] @ side
    turn = np.arctan2(y, x)
    root = float(turn[np.argmax(np.abs(turn))])
    # the free end is cut square, on the other side of the pusher, and no corner need lie on it at
    # the inner face: the face of the nose goes on in it
    away = -1.0 if root > 0.0 else 1.0
    ends = mine & (faces.normals[:, :2] @ (away * side) > 1.0 - 1e-6)
    across = faces.corners[ends][:, :, :2]
    far = np.hypot(across[..., 0], across[..., 1]).max(axis=1, initial=0.0) > (inner + outer) / 2
    if not far.any():
        raise _lost(subject, f"the free end of {label}")
    free = away * math.asin(float((across[far] @ (away * side)).min()) / inner)
    return Arm(inner, outer, slit, root, free, subject.height / 2)


def _arm(subject: Subject, label: str, lie: Lie) -> list[Noted]:
    """Length, thickness and play of a spring lever's arm.

    Its length is straight from the end of the slit to its free end, at its inner face.
    """
    hour, angle = lie.hour, lie.angle
    arm = arm_of(subject, label, angle)

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
