"""What the checks look at: one solid, and what is worked out from it once for all of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from nests.compose import Holder
from nests.printer_card import PrinterCard
from nests.solid import Solid, Triangles, triangles

if TYPE_CHECKING:
    from nests.overhangs import Overhang
    from nests.slices import LayerStack
    from nests.sweep import Sweep
    from nests.thickness import Thickness

FACING = math.radians(40.0)
"""Two faces make a wall when they are at most this far from opposite."""

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Study:
    """A solid in the pose of use with the card of its printer.

    `holder` is None for a mesh drawn elsewhere, of which no parts are known. Our own recipes are
    printed as they are used, flat on the plate; a mesh is judged in the pose it is given in.
    """

    solid: Solid
    card: PrinterCard
    holder: Holder | None = None

    @staticmethod
    def of(holder: Holder) -> Study:
        """The study of a holder, for the printer its recipe names."""
        return Study(holder.solid, holder.recipe.printer, holder)

    @cached_property
    def mesh(self) -> Triangles:
        """The mesh, with the makers of its faces."""
        return self.holder.mesh if self.holder is not None else triangles(self.solid)

    @cached_property
    def lift(self) -> float:
        """How far the pose of use lies above the build plate, in mm."""
        return float(self.mesh.vertices[:, 2].min())

    def part_of(self, face: int) -> str:
        """Label of the part that made a face; 'mesh' where no part is known."""
        return self.holder.part_of(face) if self.holder is not None else "mesh"

    @cached_property
    def walls(self) -> Thickness:
        """Local wall thickness over the whole surface."""
        return self._thickness(self.card.smallest_wall / 2, complement=False)

    @cached_property
    def gaps(self) -> Thickness:
        """Local width of the air between faces, over the whole surface."""
        return self._thickness(self.card.smallest_gap / 2, complement=True)

    def _thickness(self, spacing: float, complement: bool) -> Thickness:
        from nests.thickness import thickness

        mesh = self.mesh
        return thickness(
            mesh.vertices, mesh.faces, spacing=spacing, facing_angle=FACING, complement=complement
        )

    @cached_property
    def layers(self) -> LayerStack:
        """The layers as printed, sliced once."""
        from nests.slices import slice_solid

        return slice_solid(self.solid.translate((0.0, 0.0, -self.lift)), self.card.layer)

    @cached_property
    def swept(self) -> Sweep:
        """Islands, cups, trapped resin and peel of the layers."""
        from nests.sweep import sweep

        return sweep(self.layers)

    @cached_property
    def overhangs(self) -> tuple[tuple[Overhang, ...], ...]:
        """Regions that stand out beyond the card's overhang angle, those of one place together."""
        from nests.overhangs import overhangs, stacked

        found = overhangs(self.layers, math.radians(self.card.overhang))
        return stacked(found, 2 * self.card.layer)

    def in_use(self, point: NDArray[np.float64] | Point) -> Point:
        """A point of the printed pose in the pose of use."""
        x, y, z = (float(c) for c in point)
        return round(x, 4), round(y, 4), round(z + self.lift, 4)

    def parts_at(self, points: NDArray[np.float64]) -> tuple[str, ...]:
        """Labels of the parts whose faces lie nearest to points (k, 3) of the printed pose."""
        if not len(points):
            return ()
        if self.holder is None:
            return (self.part_of(0),)  # a mesh has one part: no need to look where
        at = self.walls.points - (0.0, 0.0, self.lift)
        nearest = [int(np.argmin(((at - point) ** 2).sum(axis=1))) for point in points]
        return tuple(sorted({self.part_of(int(self.walls.face[i])) for i in nearest}))
