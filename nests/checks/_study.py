"""What the checks look at: one solid, and what is worked out from it once for all of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from nests.compose import Holder
from nests.printer_card import PrinterCard
from nests.solid import Solid, Triangles, triangles

if TYPE_CHECKING:
    from nests.thickness import Thickness


FACING = math.radians(40.0)
"""Two faces make a wall when they are at most this far from opposite."""


@dataclass(frozen=True)
class Study:
    """A solid in the pose of use with the card of its printer; `holder` is None for a mesh
    drawn elsewhere, of which no parts are known."""

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

    def part_of(self, face: int) -> str:
        """Label of the part that made a face; 'mesh' where no part is known."""
        return self.holder.part_of(face) if self.holder is not None else "mesh"

    @cached_property
    def walls(self) -> Thickness:
        """Local wall thickness over the whole surface."""
        from nests.thickness import thickness

        mesh = self.mesh
        return thickness(
            mesh.vertices, mesh.faces, spacing=self.card.smallest_wall / 2, facing_angle=FACING
        )
