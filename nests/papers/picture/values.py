"""What the parts of a picture hand one another: bodies, views, cameras, scenes, buffers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Singles: TypeAlias = NDArray[np.float32]
Integers: TypeAlias = NDArray[np.int64]
Bytes: TypeAlias = NDArray[np.uint8]

Marker: TypeAlias = tuple[Sequence[float], str]

SECTION = -1
"""Part label of the faces that `cut` makes; labels given by a caller are 0 or more."""

FINE = 2
"""Rays per pixel edge: a picture is traced twice as large and averaged down."""


@dataclass(frozen=True)
class Shown:
    """One closed triangle mesh: `vertices` (V, 3) mm, `triangles` (T, 3), `part` (T,) labels >= 0.

    A `ghost` (the workpiece) is drawn as a translucent outline and casts no shadow.
    """

    name: str
    vertices: Floats
    triangles: Integers
    part: Integers
    ghost: bool = False

    def __post_init__(self) -> None:
        """Refuse arrays that do not fit together."""
        if self.triangles.ndim != 2 or self.triangles.shape[1] != 3 or not len(self.triangles):
            raise ValueError(f"body {self.name}: triangles {self.triangles.shape}, not (T, 3)")
        if self.part.shape != (len(self.triangles),):
            raise ValueError(f"body {self.name}: {self.part.shape} part labels, not one a triangle")


@dataclass(frozen=True)
class View:
    """Where the eye stands: at an `hour`, `elevation` radians above the bench.

    Hours are the holder's: clockwise seen from above, 12 at +y, 3 at +x. With the dial up they are
    those of the dial; with the bridge side up hour h of the holder is hour 12 - h of the dial.
    `zoom` 1 fits the bodies into the picture; `scale` (pixels per mm) overrides the fit.
    """

    hour: float = 5.0
    elevation: float = math.radians(36.0)
    zoom: float = 1.0
    scale: float | None = None

    def axes(self) -> tuple[Floats, Floats, Floats]:
        """Unit vectors to the right, up the picture and toward the eye."""
        across, rise = math.radians(30.0 * self.hour), self.elevation
        out = np.array([math.sin(across), math.cos(across), 0.0])
        zenith = np.array([0.0, 0.0, 1.0])
        toward = out * math.cos(rise) + zenith * math.sin(rise)
        return np.cross(zenith, out), zenith * math.cos(rise) - out * math.sin(rise), toward


@dataclass(frozen=True)
class Camera:
    """An orthographic camera: `origin` (mm) lies at `centre` (pixels), at `scale` pixels per mm."""

    right: Floats
    up: Floats
    toward: Floats
    origin: Floats
    centre: tuple[float, float]
    scale: float
    size: tuple[int, int]

    def project(self, points: Floats) -> Floats:
        """Pixels (n, 2), x to the right and y down, of points (n, 3) mm."""
        away = np.atleast_2d(points) - self.origin
        x, y = away @ self.right, away @ self.up
        return np.stack([self.centre[0] + self.scale * x, self.centre[1] - self.scale * y], axis=1)


@dataclass(frozen=True)
class Scene:
    """Bodies made ready for rays. Arrays by triangle end with one row that means "nothing"."""

    rays: Any
    bounds: Floats
    normal: Singles
    corner_normals: Singles
    surface: NDArray[np.int32]
    part: NDArray[np.int32]
    body: NDArray[np.int32]
    centroid: Singles
    tone: NDArray[np.int32]

    @property
    def reach(self) -> float:
        """Diagonal of the bounding box, mm."""
        return float(np.linalg.norm(self.bounds[1] - self.bounds[0]))


@dataclass(frozen=True)
class Buffers:
    """What each of the FINE x FINE rays of a pixel met, all of shape (FINE h, FINE w).

    `triangle` is -1 for nothing; `depth` runs away from the eye in mm, 0 at the camera's origin;
    `u`, `v` are the barycentric weights of the second and third corner.
    """

    triangle: NDArray[np.int32]
    depth: Singles
    u: Singles
    v: Singles
