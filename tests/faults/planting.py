"""Grounds to plant faults in, and features whose own place is known from their geometry.

A feature is drawn in the frame of its ground: x points outward from the axis of the holder, z = 0
is the upper face, and the solid lies below. Where it may stand is found on the sections: the
centre of the largest disc that is solid at every height.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
import shapely
from manifold3d import CrossSection, Manifold
from numpy.typing import NDArray

from nests.documents.files import data_folder
from nests.given.printer_card import PrinterCard
from nests.holder.compose import Holder, compose
from nests.solids.solid import Solid
from nests.study import Study
from nests.units import Length
from tests.ordering import preferred

Point = tuple[float, float, float]
SUNK = 0.2
"""How deep, in mm, an added feature is sunk into its ground, so that the two are one."""


@dataclass(frozen=True)
class Box:
    """An upright box between two corners, as a place."""

    low: Point
    high: Point

    def distance(self, point: NDArray[np.float64]) -> float:
        """Distance in mm of a point from the box, 0 inside."""
        low, high = np.array(self.low), np.array(self.high)
        return float(np.linalg.norm(point - np.clip(point, low, high)))


@dataclass(frozen=True)
class Ring:
    """A flat ring about the z axis between two radii and two heights, as a place."""

    inner: Length
    outer: Length
    low: float
    high: float

    def distance(self, point: NDArray[np.float64]) -> float:
        """Distance in mm of a point from the ring, 0 inside."""
        radius, z = math.hypot(point[0], point[1]), float(point[2])
        across = radius - min(max(radius, self.inner), self.outer)
        return math.hypot(across, z - min(max(z, self.low), self.high))


@dataclass(frozen=True)
class Sides(Box):
    """The four upright sides of a box, as a place."""

    def distance(self, point: NDArray[np.float64]) -> float:
        """Distance in mm of a point from the nearest side."""
        below = point[:2] - np.array(self.low[:2])
        above = np.array(self.high[:2]) - point[:2]
        return max(super().distance(point), float(np.minimum(below, above).min()))


Place = Box | Ring


@dataclass(frozen=True)
class Feature:
    """What is added to the ground, what is cut from it, and where that is."""

    place: Place
    adds: Solid | None = None
    cuts: Solid | None = None


@dataclass(frozen=True, eq=False)
class Ground:
    """A sound solid with a spot: (x, y) of the spot, the radius around it, its height in mm."""

    solid: Solid
    holder: Holder | None
    spot: tuple[float, float]
    clear: Length
    top: Length

    @property
    def turn(self) -> float:
        """Angle of the outward direction at the spot in radians."""
        return math.atan2(self.spot[1], self.spot[0])

    @property
    def out(self) -> Length:
        """From the spot outward to the outer face; the outer face of the holders is round."""
        return self.solid.bounding_box()[3] - math.hypot(*self.spot)

    def planted(self, feature: Feature, card: PrinterCard) -> Study:
        """The study of the ground with the feature, for a printer."""
        solid = self.solid
        if feature.adds is not None:
            solid = solid + self._laid(feature.adds)
        if feature.cuts is not None:
            solid = solid - self._laid(feature.cuts)
        if self.holder is None:
            return Study(solid, card)
        recipe = replace(self.holder.recipe, printer=card)
        return Study.of(replace(self.holder, recipe=recipe, solid=solid))

    def _laid(self, solid: Solid) -> Solid:
        return solid.rotate((0.0, 0.0, math.degrees(self.turn))).translate((*self.spot, self.top))

    def local(self, point: Point) -> NDArray[np.float64]:
        """A point of the pose of use in the frame of the ground."""
        x, y, z = point[0] - self.spot[0], point[1] - self.spot[1], point[2] - self.top
        cosine, sine = math.cos(self.turn), math.sin(self.turn)
        return np.array((cosine * x + sine * y, cosine * y - sine * x, z))


def box(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> Solid:
    """A box by its limits in mm."""
    return Manifold.cube((x[1] - x[0], y[1] - y[0], z[1] - z[0])).translate((x[0], y[0], z[0]))


def rod(diameter: Length, low: float, high: float, top: Length | None = None) -> Solid:
    """An upright rod or cone about z; its flats lie on the circle's mean to 0.1 %."""
    upper = diameter if top is None else top
    return Manifold.cylinder(high - low, diameter / 2, upper / 2, 96).translate((0.0, 0.0, low))


def revolved(profile: list[tuple[float, float]]) -> Solid:
    """A solid of revolution about z through (radius, z), from the bottom to the top."""
    low, high = profile[0][1], profile[-1][1]
    ends = [(0.0, high), (0.0, low)]
    corners = [*profile, *(end for end in ends if end not in profile)]
    return CrossSection([corners]).revolve(96)


def extruded(profile: list[tuple[float, float]], width: Length) -> Solid:
    """A profile (x, z), counter-clockwise, `width` across in y."""
    lying = CrossSection([profile]).extrude(width)
    # (x, y, z) -> (x, -z, y)
    frame = np.array([[1.0, 0, 0, 0], [0, 0, -1, width / 2], [0, 1, 0, 0]])
    return lying.transform(frame)


@cache
def holder(family: str, sheet: str, **options: Any) -> Holder:
    """The default holder of a family for a gallery sheet, for an unmeasured printer."""
    path = data_folder("gallery") / "sheets" / f"{sheet}.json" if sheet else None
    return compose(preferred(family, options, sheet=path).recipe)


@cache
def ground(name: str) -> Ground:
    """A ground by name: 'block', or one of `HOLDERS`."""
    if name == "block":
        return Ground(chamfered_block(16.0, 16.0, 5.0), None, (0.0, 0.0), 7.0, 5.0)
    family, sheet, options = HOLDERS[name]
    made = holder(family, sheet, **options)
    low, top = float(made.mesh.vertices[:, 2].min()), made.recipe.site().top
    heights = np.arange(low + 0.025, top, 0.1)
    common = CrossSection()
    for index, height in enumerate(heights):
        section = made.solid.slice(float(height))
        common = section if index == 0 else common ^ section
    pieces = shapely.build_area(
        shapely.multilinestrings([shapely.linearrings(p) for p in common.to_polygons()])
    )
    circle = shapely.maximum_inscribed_circle(pieces, tolerance=0.01)
    (x, y), _ = shapely.get_coordinates(circle)
    return Ground(made.solid, made, (float(x), float(y)), float(shapely.length(circle)), top)


def chamfered_block(
    x: Length, y: Length, z: Length, chamfer: Length = 0.5, at: tuple[float, float] = (0.0, 0.0)
) -> Solid:
    """A block on the plate about `at`, its foot chamfered all round."""
    corners = [
        (at[0] + sx * (x / 2 - c), at[1] + sy * (y / 2 - c), h)
        for c, h in ((chamfer, 0.0), (0.0, chamfer), (0.0, z))
        for sx in (-1, 1)
        for sy in (-1, 1)
    ]
    return Manifold.hull_points(np.array(corners))


HOLDERS: Mapping[str, tuple[str, str, dict[str, Any]]] = {
    "round": ("round", "inv-26-a", {}),
    "cushion": ("cushion", "inv-case-38", {}),
    "cradle": ("cradle", "inv-tc-12", {"side_up": "dial"}),
    "thin": ("thin", "inv-20-u", {"side_up": "dial"}),
    "inspection": ("inspection", "inv-20-u", {"side_up": "dial"}),
    "shaped": ("shaped", "inv-17-t", {"side_up": "bridge"}),
    "case": ("case", "inv-case-38", {"side_up": "dial"}),
    "hand-setting": ("hand-setting", "inv-26-a", {}),
    "chronograph": ("chronograph", "inv-30-c", {"pushed_by": "slot"}),
}
"""A default holder of every family; the gallery's own options where a family needs some."""
