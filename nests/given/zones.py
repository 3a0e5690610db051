"""Shapes in plan: areas of a workpiece, and its outline."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from nests.places import Place
from nests.units import Hour, Length, Record, hour, mm, said


@dataclass(frozen=True, kw_only=True)
class Zone(Record):
    """An area in plan."""

    tag_key: ClassVar[str] = "shape"


@dataclass(frozen=True, kw_only=True)
class Disc(Zone):
    """A circle filled."""

    tag: ClassVar[str] = "disc"
    centre: Place = said("middle of the disc")
    diameter: Length = mm(low=0.05, high=80, meaning="⌀ of the disc")


@dataclass(frozen=True, kw_only=True)
class Ring(Zone):
    """What lies between two circles of one centre."""

    tag: ClassVar[str] = "ring"
    centre: Place = said("middle of the ring", Place(0.0, 0.0))
    outer: Length = mm(low=0.1, high=80, meaning="outer ⌀")
    inner: Length = mm(low=0.0, high=80, meaning="inner ⌀")


@dataclass(frozen=True, kw_only=True)
class Sector(Zone):
    """Part of a ring about the axis, clockwise on the dial from one hour to another."""

    tag: ClassVar[str] = "sector"
    from_hour: Hour = hour(meaning="hour at which the sector begins")
    to_hour: Hour = hour(meaning="hour at which it ends, clockwise seen from the dial side")
    outer: Length = mm(low=0.1, high=80, meaning="outer radius")
    inner: Length = mm(0.0, high=80, meaning="inner radius")


@dataclass(frozen=True, kw_only=True)
class Polygon(Zone):
    """A closed line through corners."""

    tag: ClassVar[str] = "polygon"
    corners: tuple[Place, ...] = said("three corners or more, in order round the area")


@dataclass(frozen=True, kw_only=True)
class Outline(Record):
    """The edge of the workpiece at its seating rim."""

    tag_key: ClassVar[str] = "shape"


@dataclass(frozen=True, kw_only=True)
class Round(Outline):
    """A circle about the axis."""

    tag: ClassVar[str] = "round"
    diameter: Length = mm(low=3.0, high=70.0, meaning="⌀ at the seating rim, measured")


@dataclass(frozen=True, kw_only=True)
class Corner(Record):
    """One corner of a path and how the edge goes on from it to the next corner."""

    at: Place = said("place of the corner")
    radius: Length | None = mm(
        None,
        low=0.1,
        high=500,
        meaning="radius of the arc to the next corner, bulging outward; none for a line",
    )


@dataclass(frozen=True, kw_only=True)
class Path(Outline):
    """A closed path of lines and outward arcs of at most half a turn."""

    tag: ClassVar[str] = "path"
    corners: tuple[Corner, ...] = said("corners in order round the edge, either way round")
