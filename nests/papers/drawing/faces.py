"""Reading round, level and upright faces off the mesh of a holder, part by part.

A bore is drawn round about its circle and a shaft inside it: so the true radius of a bore is the
distance from its axis to its facets, and that of a shaft the distance to its corners.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from nests.holder.compose import Holder
from nests.solids.solid import Triangles

Floats = NDArray[np.float64]
UPRIGHT_OR_LEVEL = 1e-6
"""Largest sine of the lean of a face that counts as level or upright."""
SAME = 2e-3
"""mm by which radii or heights may differ and still be one face."""


@dataclass(frozen=True)
class Cylinder:
    """A round upright face about an axis: true radius, from `low` to `high`, bore or shaft."""

    radius: float
    low: float
    high: float
    bore: bool


@dataclass(frozen=True)
class Wall:
    """Upright flat faces in one plane along an hour: `across` from the middle line (mm, positive
    to the left looking outward), `near` and `far` from the axis along it, from `low` to `high`."""

    across: float
    near: float
    far: float
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class Faces:
    """The faces of a holder: corners (T, 3, 3), unit normals (T, 3), maker's label per face."""

    corners: Floats
    normals: Floats
    makers: NDArray[np.int64]
    labels: tuple[str, ...]

    @classmethod
    def of(cls, holder: Holder) -> Faces:
        """Read the mesh of a holder."""
        labels = tuple(each.label for each in holder.laid)
        number = {name: index for index, name in enumerate(labels)}
        ids, index = np.unique(holder.mesh.makers, return_inverse=True)
        by_id = np.array([number[holder.made_by.get(int(i), "body")] for i in ids], dtype=np.int64)
        return cls._of(holder.mesh, by_id[index.reshape(-1)], labels)

    @classmethod
    def of_mesh(cls, mesh: Triangles, label: str) -> Faces:
        """Read a mesh whose faces all go by one label."""
        return cls._of(mesh, np.zeros(len(mesh.faces), dtype=np.int64), (label,))

    @classmethod
    def _of(cls, mesh: Triangles, makers: NDArray[np.int64], labels: tuple[str, ...]) -> Faces:
        corners = mesh.vertices[mesh.faces]
        normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        long = np.linalg.norm(normals, axis=1)
        normals = normals / np.maximum(long, 1e-300)[:, None]
        keep = long > 1e-12
        return cls(corners[keep], normals[keep], makers[keep], labels)

    def made_by(self, label: str) -> NDArray[np.bool_]:
        """Whether each face was made by a part."""
        return np.asarray(self.makers == self.labels.index(label))

    @cached_property
    def upright(self) -> NDArray[np.bool_]:
        """Whether each face stands upright."""
        return np.asarray(np.abs(self.normals[:, 2]) < UPRIGHT_OR_LEVEL)

    def cylinders(self, label: str, x: float = 0.0, y: float = 0.0) -> list[Cylinder]:
        """Round faces of a part about an upright axis at x, y; largest first."""
        chosen = self.made_by(label) & self.upright
        corners, normals = self.corners[chosen] - (x, y, 0.0), self.normals[chosen]
        if not len(corners):
            return []
        distance = np.einsum("ij,ij->i", normals[:, :2], corners[:, 0, :2])
        reach = np.hypot(corners[:, :, 0], corners[:, :, 1])
        # a facet of a circle about the axis: all of it nearly as far away as its plane is
        sure = np.abs(distance) > 0.9 * reach.max(axis=1)
        out = []
        for bore in (True, False):
            mine = sure & ((distance < 0.0) == bore)
            for group in _groups(np.abs(distance[mine])):
                z = corners[mine][group][:, :, 2]
                radius = np.abs(distance[mine])[group].mean() if bore else reach[mine][group].max()
                out.append(Cylinder(float(radius), float(z.min()), float(z.max()), bore))
        return sorted(out, key=lambda c: -c.radius)

    def lying(self, label: str, angle: float, z: float) -> list[Cylinder]:
        """Round faces of a part about a level axis at height `z` along a holder angle.

        `low` and `high` of each are distances from the holder's axis.
        """
        cos, sin = math.cos(angle), math.sin(angle)
        turn = np.array(((-sin, cos, 0.0), (0.0, 0.0, 1.0), (cos, sin, 0.0)))
        return Faces(
            (self.corners - (0.0, 0.0, z)) @ turn.T, self.normals @ turn.T, self.makers, self.labels
        ).cylinders(label)

    def levels(self, label: str, up: bool = True) -> list[float]:
        """Heights of a part's level faces that look up (or down), from the lowest."""
        sign = 1.0 if up else -1.0
        chosen = self.made_by(label) & (sign * self.normals[:, 2] > 1.0 - UPRIGHT_OR_LEVEL)
        z = self.corners[chosen][:, 0, 2]
        return sorted(float(z[group].mean()) for group in _groups(z)) if len(z) else []

    def top(self, label: str, x: float, y: float) -> tuple[float, float] | None:
        """Radius about an upright axis and height of a part's highest level face, None without."""
        chosen = self.made_by(label) & (self.normals[:, 2] > 1.0 - UPRIGHT_OR_LEVEL)
        if not chosen.any():
            return None
        corners = self.corners[chosen] - (x, y, 0.0)
        high = float(corners[:, :, 2].max())
        mine = corners[corners[:, 0, 2] > high - SAME]
        return float(np.hypot(mine[:, :, 0], mine[:, :, 1]).max()), high

    def walls(self, label: str, angle: float) -> list[Wall]:
        """Flat upright faces of a part that run along a holder angle, from right to left."""
        side = np.array((-math.sin(angle), math.cos(angle)))
        ahead = np.array((math.cos(angle), math.sin(angle)))
        chosen = self.made_by(label) & self.upright
        chosen &= np.abs(self.normals[:, :2] @ side) > 1.0 - UPRIGHT_OR_LEVEL
        corners = self.corners[chosen]
        if not len(corners):
            return []
        across = corners[:, 0, :2] @ side
        out = []
        for group in _groups(across):
            forth, z = corners[group][:, :, :2] @ ahead, corners[group][:, :, 2]
            out.append(
                Wall(
                    float(across[group].mean()),
                    float(forth.min()),
                    float(forth.max()),
                    float(z.min()),
                    float(z.max()),
                )
            )
        return out


def _groups(values: Floats) -> list[NDArray[np.int64]]:
    """Indices of values that lie within `SAME` of their neighbour, from the smallest."""
    if not len(values):
        return []
    order = np.argsort(values, kind="stable")
    breaks = np.flatnonzero(np.diff(values[order]) > SAME) + 1
    return [np.asarray(each) for each in np.split(order, breaks)]
