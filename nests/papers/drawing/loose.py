"""Reading the bodies that are printed beside the holder, those of one shape together."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from nests.holder.compose import Holder
from nests.papers.drawing.cuts import Floats, HalfPlane, cut_faces, face_of
from nests.papers.drawing.faces import SAME, Cylinder, Faces
from nests.solids.solid import Solid, Triangles, triangles

SCALES = (5.0, 2.0, 1.0)
WIDEST = 66.0
"""mm of paper a loose body may take across."""
SLANT = 0.02
"""mm by which a step must exceed another to be given."""
HAIR = 1e-3
"""mm beside a corner at which a height is measured."""


@dataclass(frozen=True)
class Step:
    """A corner of a cut at x and z, and `beside` it the x at which its height can be felt."""

    x: float
    beside: float
    z: float


@dataclass(frozen=True, eq=False)
class LooseBody:
    """One kind of loose body: what it is called, the names of its pieces, and its solid."""

    title: str
    names: tuple[str, ...]
    solid: Solid
    chord: float

    @cached_property
    def mesh(self) -> Triangles:
        """Its mesh."""
        return triangles(self.solid)

    @cached_property
    def faces(self) -> Faces:
        """Its faces, all by its title."""
        return Faces.of_mesh(self.mesh, self.title)

    @cached_property
    def rounds(self) -> list[Cylinder]:
        """Its round upright faces about its axis, largest first."""
        return self.faces.cylinders(self.title)

    @property
    def hollow(self) -> bool:
        """Whether it has a bore on its axis."""
        return any(each.bore for each in self.rounds)

    @cached_property
    def rings(self) -> tuple[Floats, ...]:
        """Rings (n, 2) of the cut along x through its axis: x and z."""
        import shapely

        halves = [
            [ring * (sign, 1.0) for ring in cut_faces(self.solid, HalfPlane(angle))]
            for sign, angle in ((1.0, 0.0), (-1.0, np.pi))
        ]
        whole = shapely.union_all([face_of(half) for half in halves], grid_size=1e-5)
        return tuple(
            np.asarray(ring.coords)[:-1]
            for each in shapely.get_parts(whole)
            for ring in (each.exterior, *each.interiors)
        )

    @property
    def size(self) -> Floats:
        """Its extents along x, y and z, mm."""
        corners = self.mesh.vertices
        return np.asarray(corners.max(axis=0) - corners.min(axis=0))

    @property
    def scale(self) -> float:
        """The largest standard scale (ISO 5455) that keeps it small enough."""
        wide = self.size[:2].max() if self.hollow else self.size[2]
        return next((s for s in SCALES if wide * s <= WIDEST), SCALES[-1])

    def steps(self) -> list[Step]:
        """Steps of its cut above its foot, the lowest first; of one height the leftmost."""
        import shapely

        edge = shapely.MultiLineString([np.vstack((ring, ring[:1])) for ring in self.rings])
        corners = np.vstack(self.rings)
        order = np.lexsort((corners[:, 0], np.round(corners[:, 1], 3)))
        out: list[Step] = []
        for x, z in corners[order].tolist():
            if z < SLANT or (out and z - out[-1].z < SLANT):
                continue
            # beside the corner, where the cut's edge passes from side to side
            for beside in (x - HAIR, x + HAIR):
                near = shapely.LineString([(beside, z - 2 * SLANT), (beside, z + 2 * SLANT)])
                if near.intersects(edge):
                    out.append(Step(x, beside, z))
                    break
        return out

    def foot(self, sign: float) -> float:
        """x of the left (-1) or right (+1) end of its foot."""
        corners = np.vstack(self.rings)
        on_plate = corners[np.abs(corners[:, 1]) < SAME][:, 0]
        return float(sign * (sign * on_plate).max())


def loose_bodies(holder: Holder) -> list[LooseBody]:
    """The bodies printed beside a holder, those of one shape together."""
    alike: dict[tuple[object, ...], list[tuple[str, str, Solid]]] = {}
    for each in holder.laid:
        for name, solid in each.shape.beside:
            kind = f"{each.part.tag} {name.rsplit(' ', 1)[-1]}"
            shape = (kind, solid.num_tri(), *np.round((solid.volume(), *solid.bounding_box()), 4))
            alike.setdefault(shape, []).append((kind, name, solid))
    kinds = [mine[0][0] for mine in alike.values()]
    out = []
    for mine in alike.values():
        kind, names = mine[0][0], tuple(name for _, name, _ in mine)
        title = kind if kinds.count(kind) == 1 else ", ".join(names)
        out.append(LooseBody(title, names, mine[0][2], holder.recipe.chord_error))
    return out
