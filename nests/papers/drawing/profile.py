"""What a half-plane shows of a holder: its steps and ledges, and who made them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

from nests.given.zones import Round
from nests.holder.compose import Holder
from nests.papers.drawing.cuts import HalfPlane, cut
from nests.papers.drawing.dimensions import Measured, diameter_of, length_of
from nests.papers.drawing.faces import Faces, Floats
from nests.parts.base import Part

HAIR = 1e-4
FEW = 4
"""One in so many cuts is enough to know the area of an undisturbed one."""
SQUARE = math.cos(math.radians(12.0))
"""Least cosine at which a wall is met for the play across to be read there, 2 % too large."""
CENTRAL = 0.3
"""mm; a post nearer the axis than this is cut by every plane through it."""


@dataclass(frozen=True)
class Run:
    """A straight run of a profile: upright at `at` from `low` to `high`, or level likewise."""

    at: float
    low: float
    high: float
    label: str


@dataclass(frozen=True, eq=False)
class Subject:
    """A holder with what is read of it once and used by every view."""

    holder: Holder
    faces: Faces

    @classmethod
    def of(cls, holder: Holder) -> Subject:
        """Read a holder."""
        return cls(holder, Faces.of(holder))

    @cached_property
    def seat(self) -> tuple[str, Part] | None:
        """Label and part of the seat."""
        found = (each for each in self.holder.laid if each.part.takes_workpiece)
        return next(((each.label, each.part) for each in found), None)

    @property
    def is_round(self) -> bool:
        """Whether the seat goes round the axis in a circle."""
        return isinstance(self.holder.recipe.workpiece.outline, Round)

    @property
    def round_body(self) -> bool:
        """Whether the body is round."""
        return self.is_round or self.holder.recipe.body.follow == "circle"

    @cached_property
    def reach(self) -> float:
        """Largest distance of the holder from its axis."""
        return float(np.hypot(*self.holder.mesh.vertices[:, :2].T).max())

    @cached_property
    def height(self) -> float:
        """Height of its highest point."""
        return float(self.holder.mesh.vertices[:, 2].max())

    @cached_property
    def clear(self) -> NDArray[np.bool_]:
        """Whether each face was made by a part that goes round, or is engraved."""
        plain = [self._goes_round(each.part) for each in self.holder.laid]
        return np.array(plain, dtype=np.bool_)[self.faces.makers]

    def _goes_round(self, part: Part) -> bool:
        post = part.post()
        if post is not None:
            return post.foothold(self.holder.recipe.site()).at.radius < CENTRAL
        return part.goes_round or bool(part.engraves())

    @cached_property
    def radii(self) -> tuple[float, ...]:
        """True radii of everything round about the axis."""
        labels = [each.label for each in self.holder.laid if each.part.goes_round]
        return tuple(c.radius for name in labels for c in self.faces.cylinders(name))

    def true_radius(self, radius: float) -> float:
        """The true radius of a round face that a plane cuts at `radius`, a chord's breadth off."""
        near = min(self.radii, key=lambda r: abs(r - radius), default=radius)
        return near if abs(near - radius) < 2 * self.holder.recipe.chord_error else radius


@dataclass(frozen=True, eq=False)
class Profile:
    """A half-plane and the runs in which it cuts the holder.

    `square` says that it meets the walls of the seat squarely, `clean` that it meets what goes
    round and letters alone.
    """

    plane: HalfPlane
    upright: tuple[Run, ...]
    level: tuple[Run, ...]
    under: tuple[Run, ...]
    square: bool
    clean: bool
    reach: float

    def bores(self, label: str) -> list[Run]:
        """Upright runs of a part, from the axis outward; runs of one radius are one."""
        return [each for each in self.upright if each.label == label]

    def ledges(self, label: str) -> list[Run]:
        """Level runs of a part that look up, from the lowest."""
        return [each for each in self.level if each.label == label]

    def undersides(self, label: str) -> list[Run]:
        """Level runs of a part that look down, above the foot, from the lowest."""
        return [each for each in self.under if each.label == label and each.at > HAIR]


def profile(subject: Subject, plane: HalfPlane) -> Profile:
    """Read a half-plane's cut."""
    faces = subject.faces
    made = cut(faces.corners, plane)
    normals, makers = faces.normals[made.face], faces.makers[made.face]
    facing = normals[:, :2] @ plane.ahead
    span = made.end - made.start
    stands = (np.abs(span[:, 0]) < HAIR) & (np.abs(span[:, 1]) > HAIR) & (facing < 0.0)
    level = (np.abs(span[:, 1]) < HAIR) & (np.abs(span[:, 0]) > HAIR)
    lies, hangs = level & (normals[:, 2] > 0.9), level & (normals[:, 2] < -0.9)
    ends = np.stack((made.start, made.end))
    walls = stands
    if subject.seat is not None:
        walls = stands & (makers == faces.labels.index(subject.seat[0]))
    return Profile(
        plane,
        _runs(ends[:, stands, 0], ends[:, stands, 1], makers[stands], faces.labels),
        _runs(ends[:, lies, 1], ends[:, lies, 0], makers[lies], faces.labels),
        _runs(ends[:, hangs, 1], ends[:, hangs, 0], makers[hangs], faces.labels),
        bool((facing[walls] <= -SQUARE).all()),
        bool(subject.clear[made.face].all()),
        float(max(made.start[:, 0].max(initial=0.0), made.end[:, 0].max(initial=0.0))),
    )


def _runs(
    at: Floats, along: Floats, makers: NDArray[np.int64], labels: tuple[str, ...]
) -> tuple[Run, ...]:
    """Runs of one maker at one place as one, in order of place."""
    groups: dict[tuple[int, float], tuple[float, float]] = {}
    for place, low, high, maker in zip(
        at.mean(axis=0), along.min(axis=0), along.max(axis=0), makers, strict=True
    ):
        key = (int(maker), round(float(place), 3) + 0.0)
        old = groups.get(key, (math.inf, -math.inf))
        groups[key] = (min(old[0], float(low)), max(old[1], float(high)))
    runs = [Run(place, low, high, labels[m]) for (m, place), (low, high) in groups.items()]
    return tuple(sorted(runs, key=lambda run: (run.at, run.low)))


def clean_profile(subject: Subject, angles: Sequence[float]) -> Profile | None:
    """Of several half-planes one that shows the turned shape undisturbed, the first listed wins.

    What the parts cut makes the area smaller, so the largest area is the undisturbed one.
    """

    @cache
    def area(angle: float) -> float:
        made = cut(subject.faces.corners, HalfPlane(angle))
        return made.area if subject.clear[made.face].all() else 0.0

    most = max((area(angle) for angle in angles[::FEW]), default=0.0)
    most = most or max(map(area, angles), default=0.0)
    if not most:
        return None
    return profile(subject, HalfPlane(next(a for a in angles if area(a) > most * (1.0 - 5e-4))))


def seat_levels(subject: Subject, found: Profile) -> dict[str, tuple[float, float]]:
    """Floor, seats and upper face of a clean profile: (along, z) of each, the lowest first."""
    site = subject.holder.recipe.site()
    levels: dict[str, tuple[float, float]] = {}
    if subject.seat is not None:
        label, part = subject.seat
        ledges = found.ledges(label)
        floor = [e for e in ledges if abs(e.at - site.floor) < 0.01 and site.floor > 0.0]
        if floor:
            levels["floor"] = (max(floor[0].high - 0.1, floor[0].low), floor[0].at)
        shelf = part.shelf(site)
        groove = shelf.groove if shelf is not None else 0.0
        above = [e for e in ledges if e.at > site.floor + 0.05]
        seats = above
        if groove > 0.0:  # its bottom is no seat; the detail shows it
            seats = [e for e in above if not any(abs(e.at + groove - o.at) < 0.01 for o in above)]
        for number, ledge in enumerate(reversed(seats)):
            name = "seat" if number == 0 else f"seat {number + 1}"
            levels[name] = ((ledge.low + ledge.high) / 2, ledge.at)
    top = found.ledges("body")
    if top:
        levels["total height"] = ((top[-1].low + top[-1].high) / 2, top[-1].at)
    return dict(sorted(levels.items(), key=lambda each: each[1][1]))


def bores(subject: Subject, found: Profile) -> list[tuple[Measured, Run]]:
    """The seat's bores in a clean profile, each measured as a diameter, inmost first."""
    if subject.seat is None or not subject.is_round:
        return []
    label, part = subject.seat
    runs = _distinct(found.bores(label))
    out = []
    for name, run in zip(part.bore_names(len(runs)), runs, strict=True):
        if not name:
            continue
        radius, z = subject.true_radius(run.at), (run.low + run.high) / 2
        ends = (found.plane.point(0.0, z), found.plane.point(radius, z))
        out.append((diameter_of(name, *ends, 2 * radius), run))
    return out


def spans(
    subject: Subject, found: Profile, other: Profile, where: str
) -> list[tuple[Measured, Run, Run]]:
    """Bores of a seat that is not round, straight across from profile to opposite profile."""
    if subject.seat is None:
        return []
    label, part = subject.seat
    mine, yours = _distinct(found.bores(label)), _distinct(other.bores(label))
    if len(mine) != len(yours):
        return []
    out = []
    for name, run, across in zip(part.bore_names(len(mine)), mine, yours, strict=True):
        if name:
            z = (run.low + run.high) / 2
            ends = (found.plane.point(run.at, z), other.plane.point(across.at, z))
            out.append((length_of(f"{name} across at {where}", *ends), run, across))
    return out


def _distinct(runs: list[Run]) -> list[Run]:
    """Runs at different radii; of one radius the highest."""
    out: list[Run] = []
    for run in runs:
        if out and abs(out[-1].at - run.at) < 0.02:
            out[-1] = max(out[-1], run, key=lambda r: r.high)
        else:
            out.append(run)
    return out
