"""What is written round the plan: letter, width and hour of every cut."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from nests.drawing.dimensions import Measured, diameter_of, led_out, length_of
from nests.drawing.faces import Faces, Wall
from nests.drawing.lettering import PLAIN
from nests.drawing.planes import part_hour
from nests.drawing.profile import Subject
from nests.drawing.values import Dimension, Item, Point, Text
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

ROW = 2 * PLAIN + 3.6
"""mm from one label to the next: a line above its leader and one below."""
OFF = 3.0
"""mm from the outer face to the dimension lines of the cuts."""
BESIDE = 9.0
"""mm from the outer face to the labels."""


@dataclass(frozen=True)
class Noted:
    """The width of a cut: its ends in plan (mm), whether at the outer face, hour and lowest z."""

    what: Measured
    first: Point
    second: Point
    outside: bool
    hour: float
    low: float


def noted(subject: Subject) -> list[Noted]:
    """The widths of all cuts and of what springs, in the order of the recipe."""
    out: list[Noted] = []
    for each in subject.holder.laid:
        hour = part_hour(subject, each.part)
        if hour is not None:
            out += _of_part(subject, each.label, each.part, hour)
    return out


def _of_part(subject: Subject, label: str, part: Part, hour: float) -> list[Noted]:
    angle = subject.holder.recipe.site().frame.angle(hour)
    if isinstance(part, Plunger | SwingTab):
        return _round(subject, label, part, hour, angle)
    if isinstance(part, Vent):
        # its roof is a gable on the floor: no upright wall to measure
        return [_width(_base(subject.faces, label, angle), hour, angle, label, True)]
    pairs = _pairs(subject.faces.walls(label, angle))
    if not pairs:
        return []
    if isinstance(part, StemSlot) and len(pairs) > 1:
        return [
            _width(pairs[-1], hour, angle, label, True),
            _width(pairs[0], hour, angle, f"{label}, neck", False),
        ]
    if isinstance(part, Clip | SpringLever):
        return [_width(pairs[0], hour, angle, label, False)]
    if isinstance(part, Mould):
        return [_width(pairs[0], hour, angle, f"{label}, slit", True)]
    if isinstance(part, PusherSlot | FingerRelief | Relief | StemSlot):
        return [_width(pairs[-1], hour, angle, label, not isinstance(part, Relief))]
    return []


def _pairs(walls: list[Wall]) -> list[tuple[Wall, Wall]]:
    """Walls that face each other at equal distances from the middle line, narrowest first."""
    right = sorted((w for w in walls if w.across < 0.0), key=lambda w: -w.across)
    left = [w for w in walls if w.across > 0.0]
    out = []
    for wall in right:
        other = min(left, key=lambda w: abs(w.across + wall.across), default=None)
        if other is not None and abs(other.across + wall.across) < 0.01:
            out.append((wall, other))
    return out


def _base(faces: Faces, label: str, angle: float) -> tuple[Wall, Wall]:
    """The lower edges of a channel with a pointed roof, as walls without height."""
    side = np.array((-math.sin(angle), math.cos(angle)))
    ahead = np.array((math.cos(angle), math.sin(angle)))
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
    ahead = np.array((math.cos(angle), math.sin(angle)))
    side = np.array((-math.sin(angle), math.cos(angle)))
    near, far = max(w.near for w in pair), min(w.far for w in pair)
    z = (max(w.low for w in pair) + min(w.high for w in pair)) / 2
    middle = (near + far) / 2
    ends = [_point(middle * ahead + w.across * side) for w in pair]
    shown = [_point((far if outside else middle) * ahead + w.across * side) for w in pair]
    what = length_of(name, (*ends[0], z), (*ends[1], z))
    return Noted(what, shown[0], shown[1], outside, hour, min(w.low for w in pair))


def _round(
    subject: Subject, label: str, part: Plunger | SwingTab, hour: float, angle: float
) -> list[Noted]:
    """⌀ of a lying guide, or of an upright bore beside the seat."""
    site = subject.holder.recipe.site()
    ahead = np.array((math.cos(angle), math.sin(angle)))
    side = np.array((-math.sin(angle), math.cos(angle)))
    if isinstance(part, Plunger):
        z = lever_z(site, site.sheet.pusher(part.pusher))
        found = [c for c in subject.faces.lying(label, angle, z) if c.bore]
    else:
        out = site.radius(part.at) + site.sheet.edge(site.side_up)[0] + part.out
        found = [c for c in subject.faces.cylinders(label, *_point(out * ahead)) if c.bore]
    if not found:
        return []
    bore = min(found, key=lambda c: c.radius)
    if isinstance(part, Plunger):
        middle, low = (bore.low + bore.high) / 2 * ahead, z - bore.radius
        name = f"{label}, guide"
    else:
        middle, low, z = out * ahead, bore.low, (bore.low + bore.high) / 2
        name = f"{label}, bore"
    first, second = _point(middle - bore.radius * side), _point(middle + bore.radius * side)
    what = diameter_of(name, (*_point(middle), z), (*second, z), 2 * bore.radius)
    return [Noted(what, first, second, False, hour, low)]


def letter(number: int) -> str:
    """Letter of a cut: a to z, then aa, ab …"""
    return ("" if number < 26 else chr(96 + number // 26)) + chr(97 + number % 26)


def laid_out(notes: list[Noted], blocked: list[Point], reach: float, scale: float) -> list[Item]:
    """The labels, each a dimension with its letter and hour, in a column on either side.

    `blocked` are places on paper, such as the ends of cutting planes, that labels keep clear of.
    """
    middles = [
        (scale * (n.first[0] + n.second[0]) / 2, scale * (n.first[1] + n.second[1]) / 2 * 1.08)
        for n in notes
    ]
    sides: dict[float, list[tuple[float, int | None]]] = {-1.0: [], 1.0: []}
    for x, y in blocked:
        if abs(x) > abs(y):
            sides[math.copysign(1.0, x)].append((y, None))
    undecided = []
    for k, (x, y) in enumerate(middles):
        if abs(x) > 0.12 * reach * scale:
            sides[math.copysign(1.0, x)].append((y, k))
        else:
            undecided.append((y, k))
    for each in undecided:
        min(sides.values(), key=len).append(each)
    out: list[Item] = []
    for sign, mine in sides.items():
        mine.sort(key=lambda each: -each[0])
        half = max(reach * scale, ROW * len(mine) / 2)
        places = _spread([y for y, _ in mine], ROW, half)
        for (_, number), y in zip(mine, places, strict=True):
            if number is not None:
                landing = (sign * (reach * scale + BESIDE), y)
                out += _label(notes[number], letter(number), landing, scale)
    return out


def _label(each: Noted, sign: str, landing: Point, scale: float) -> list[Item]:
    first = (each.first[0] * scale, each.first[1] * scale)
    second = (each.second[0] * scale, each.second[1] * scale)
    middle = ((first[0] + second[0]) / 2, (first[1] + second[1]) / 2)
    away = math.hypot(*middle)
    shift = (OFF * middle[0] / away, OFF * middle[1] / away) if each.outside else (0.0, 0.0)
    made: Dimension = led_out(each.what, first, second, shift, landing, scale)
    anchor = 0.0 if landing[0] >= 0.0 else 1.0
    below = Text((landing[0], landing[1] - PLAIN - 0.9), f"{sign}, {each.hour:g} h", PLAIN, anchor)
    return [made, below]


def _spread(wanted: list[float], step: float, half: float) -> list[float]:
    """Heights near the wanted ones, falling, at least `step` apart and within ±`half`."""
    places = [min(y, half) for y in wanted]
    for k in range(1, len(places)):
        places[k] = min(places[k], places[k - 1] - step)
    limit = -half
    for k in reversed(range(len(places))):
        places[k] = max(places[k], limit)
        limit = places[k] + step
    return places


def _point(xy: np.ndarray) -> Point:
    return (float(xy[0]), float(xy[1]))
