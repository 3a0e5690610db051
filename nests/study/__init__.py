"""What the checks look at: one solid, and what is worked out from it once for all of them.

The bench side looks at the pose of use, the printer side at the pose of printing. What is found
in print is told in the pose of use.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from nests.given.printer_card import PrinterCard
from nests.holder.compose import Holder
from nests.printing.pose import FLAT, Pose, inverse, laid, moved
from nests.solids.solid import Solid, Triangles, triangles

if TYPE_CHECKING:
    from nests.layers.overhang import Overhang
    from nests.layers.slices import LayerStack
    from nests.layers.sweep import Sweep
    from nests.load_path.paths import PressPath
    from nests.printing.search import Search
    from nests.study.fitted import Fitted
    from nests.thickness import Thickness

FACING = math.radians(40.0)
"""Two faces make a wall when they are at most this far from opposite."""

GROOVE = "shallow groove"
"""Name of the sides of what is no deeper than the thinnest wall is thick, in a body of which no
part is known: what stands between two is as low, and carried all along its foot."""
GROOVE_FLOOR = "floor of a shallow groove"
SIDE, FLOOR = 1, 2
SAME = 1e-9
"""mm within which two distances are equal."""

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Study:
    """A solid in the pose of use, the pose it is printed in, and the card of its printer.

    `holder` is None for a body of which no parts are known: a mesh drawn elsewhere, judged as it
    was given, or a loose body of a holder. `name` is what findings call such a body, `letters` that
    its shallow grooves are known to be letters. `stretch` is how many times as high it is drawn as
    it is to come out: what we draw is corrected, what was drawn elsewhere is printed as it is.
    """

    solid: Solid
    card: PrinterCard
    holder: Holder | None = None
    pose: Pose = FLAT
    name: str = "mesh"
    letters: bool = False
    stretch: float = 1.0

    @staticmethod
    def of(holder: Holder) -> Study:
        """The study of a holder, for the printer and the pose its recipe names."""
        card = holder.recipe.printer
        return Study(holder.solid, card, holder, holder.recipe.pose, stretch=card.upright(1.0))

    @cached_property
    def loose(self) -> tuple[tuple[Study, Search], ...]:
        """The bodies printed beside the holder, each in the best pose found for it.

        Bodies of the very same shape share one search.
        """
        from nests.printing.search import UNTOUCHED, search

        known: dict[tuple[bytes, bytes], Search] = {}
        out = []
        for name, solid in self.holder.beside if self.holder is not None else ():
            mesh = triangles(solid)
            shape = mesh.vertices.tobytes(), mesh.faces.tobytes()
            if shape not in known:
                known[shape] = search(solid, self.card, UNTOUCHED)
            found = known[shape]
            pose = found.best.pose
            body = Study(solid, self.card, pose=pose, name=name, stretch=self.stretch)
            out.append((body, found))
        return tuple(out)

    @cached_property
    def fitted(self) -> tuple[Fitted, ...]:
        """Every bore of the holder, measured; the one that takes the workpiece itself first."""
        from nests.study.fitted import fits

        return () if self.holder is None else fits(self.holder, self.mesh)

    @cached_property
    def press_paths(self) -> tuple[PressPath, ...]:
        """Where every press of the operation goes. Raises `BadInput` where the sheet does not tell
        what its plate is."""
        if self.holder is None:
            return ()
        from nests.load_path.loads import presses

        site = self.holder.recipe.site()
        loads = presses(site, self.holder.recipe.operation)
        if not loads:
            return ()
        from nests.load_path.paths import press_paths
        from nests.load_path.supports import props

        supports = props(site, [(each.label, each.part) for each in self.holder.laid])
        return press_paths(site, supports, {each.arbor: each.force for each in loads})

    @cached_property
    def mesh(self) -> Triangles:
        """The mesh in the pose of use, with the makers of its faces.

        Where no part is known, they are `SIDE` and `FLOOR` of shallow grooves, such as letters,
        and else 0.
        """
        if self.holder is not None:
            return self.holder.mesh
        from nests.printing.grooves import shallow_grooves

        bare = triangles(self.solid)
        sides, floors = shallow_grooves(bare.vertices, bare.faces, self.card.smallest_wall)
        return replace(bare, makers=np.select((sides, floors), (SIDE, FLOOR), 0))

    @cached_property
    def lowest(self) -> float:
        """Height in mm of the lowest point in the pose of use."""
        return float(self.mesh.vertices[:, 2].min())

    @cached_property
    def to_print(self) -> NDArray[np.float64]:
        """(4, 4) from the pose of use to the pose of printing."""
        return self.pose.matrix(self.mesh.vertices, self.stretch)

    def part_of(self, face: int) -> str:
        """Label of the part that made a face; the body's name where no part is known."""
        if self.holder is not None:
            return self.holder.part_of(face)
        return {SIDE: GROOVE, FLOOR: GROOVE_FLOOR}.get(int(self.mesh.makers[face]), self.name)

    def engraved(self, label: str) -> bool:
        """Whether a label is that of an engraving, or of the side of a groove that may be one."""
        return label in self._engravings

    @cached_property
    def _engravings(self) -> frozenset[str]:
        if self.holder is None:
            return frozenset((GROOVE,))
        return frozenset(each.label for each in self.holder.laid if each.part.strokes)

    @property
    def whole(self) -> tuple[str, ...]:
        """What to name for a fault of the whole body."""
        return ("body",) if self.holder is not None else (self.name,)

    @property
    def walls(self) -> Thickness:
        """Local wall thickness over the whole surface."""
        return self._thickness[0]

    @property
    def gaps(self) -> Thickness:
        """Local width of the air between faces, over the whole surface."""
        return self._thickness[1]

    @cached_property
    def _thickness(self) -> tuple[Thickness, Thickness]:
        from nests.thickness import skin_of, thickness, thickness_of

        if not len(self.mesh.faces):  # cut away to nothing
            none = thickness(self.mesh.vertices, self.mesh.faces, spacing=self.card.smallest_wall)
            return none, none
        # both at once: to make the surface ready takes most of the time, to keep it much memory
        skin, card = skin_of(self.mesh.vertices, self.mesh.faces), self.card
        wall, gap = card.smallest_wall / 2, card.smallest_gap / 2
        return (
            thickness_of(skin, spacing=wall, facing_angle=FACING),
            thickness_of(skin, spacing=gap, facing_angle=FACING, complement=True),
        )

    @cached_property
    def layers(self) -> LayerStack:
        """The layers as printed, sliced once."""
        from nests.layers.slices import slice_solid

        return slice_solid(laid(self.solid, self.to_print), self.card.layer)

    @cached_property
    def swept(self) -> Sweep:
        """Islands, cups, trapped resin and peel of the layers."""
        from nests.layers.sweep import sweep

        return sweep(self.layers)

    @cached_property
    def overhangs(self) -> tuple[tuple[Overhang, ...], ...]:
        """Regions that stand out beyond the card's overhang angle, those of one place together."""
        from nests.layers.overhangs import overhangs, stacked

        # as it comes out: what is drawn lower leans more, by as much as its layers come out higher
        steepest = math.atan(math.tan(math.radians(self.card.overhang)) / self.stretch)
        found = overhangs(self.layers, steepest)
        return stacked(found, 2 * self.card.layer)

    def in_use(self, point: NDArray[np.float64] | Point) -> Point:
        """A point of the printed pose in the pose of use."""
        at = moved(inverse(self.to_print), np.asarray(point, dtype=np.float64)[None])
        x, y, z = (round(float(c), 4) + 0.0 for c in at[0])
        return x, y, z

    def in_print(self, point: Point) -> Point:
        """A point of the pose of use in the printed pose."""
        x, y, z = moved(self.to_print, np.asarray(point)[None])[0].tolist()
        return x, y, z

    def parts_at(self, points: NDArray[np.float64]) -> tuple[str, ...]:
        """Labels of the parts whose faces lie nearest to points (k, 3) of the printed pose."""
        return tuple(sorted(set(self.labels_at(points))))

    def labels_at(self, points: NDArray[np.float64]) -> list[str]:
        """Label of the part whose face lies nearest, for each of points (k, 3) in print."""
        if self.holder is None and not self.mesh.makers.any():
            return [self.name] * len(points)  # one part: no need to look where
        here = moved(inverse(self.to_print), np.asarray(points))
        nearest = self._scanned(here) if self.holder is not None else self._looked_up(here)
        return [self.part_of(int(self.walls.face[i])) for i in nearest]

    def _scanned(self, here: NDArray[np.float64]) -> list[int]:
        """The samples of the walls nearest to points (k, 3); quick where few are asked for."""
        there = self.walls.points
        # |there - here|² without what is the same for every `there`
        squared = np.einsum("ij,ij->i", there, there)
        # point by point: all at once would take as many times the memory of the mesh
        return [int(np.argmin(squared - 2.0 * (there @ point))) for point in here]

    def _looked_up(self, here: NDArray[np.float64]) -> list[int]:
        """The same by a tree: a rough mesh has as many findings as a share of its triangles."""
        away, _ = self._tree.query(here)
        # of equal distances the first, whatever the tree is like
        return [min(each) for each in self._tree.query_ball_point(here, away + SAME)]

    @cached_property
    def _tree(self) -> Any:
        from scipy.spatial import KDTree

        return KDTree(self.walls.points, balanced_tree=False, compact_nodes=False)
