"""The search for a pose: candidates, what each costs, and which comes first.

Candidates are: as used; upside down; on the flat faces of the convex hull that it can stand on
(the centre of mass lies above the face), largest first; and a coarse sphere of tilts, held above
the plate by supports. Far fewer are cut into layers than are tried: what the triangles alone tell
(undersides, faces that touch the workpiece, height) picks those worth it. Whether undersides carry
themselves costs most to find, and is asked of the few that nothing else stops.

Poses are ranked by gravity, not by a weighted sum: first what stops the print, then supports,
then the faces that touch the workpiece, then what should be mended, then undersides, then height,
which is time. With nothing to choose between two, the one nearer to use stays first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from nests.given.printer_card import PrinterCard
from nests.layers.carriage import Carriage
from nests.layers.outlines import Ints
from nests.layers.overhangs import overhangs, stacked
from nests.layers.slices import LayerStack, slice_solid
from nests.layers.sweep import Seal, sweep
from nests.printing.pose import FLAT, Floats, Pose, facing_down, laid
from nests.printing.undersides import too_long, worst
from nests.solids.solid import Solid, Triangles, triangles
from nests.units import Length

COARSE: Length = 0.2
"""mm; height of a layer in the search, unless the printer's own is higher."""
LIFT: Length = 5.0
"""mm by which tilted poses are held above the plate; common practice, no source."""
TILT = 30.0
"""Degrees between the leans of the coarse sphere; half as far again between its turns."""
APART = math.radians(10.0)
"""Candidates nearer to each other than this are one."""
STANDING, HELD, ASKED = 4, 2, 2
"""Most poses on the plate and on supports, besides as used and upside down, that are cut; and most
of which it is asked whether their undersides carry themselves."""
ONE_FACE = 1e-6
"""1 - cosine within which facets of the hull are one face."""
FLUSH: Length = 1e-3
"""mm within which a face lies on the plate."""
SEALED = 0.5
"""mm³ of resin in a narrow void, or one the plate closes, worth a word; common practice, no
source."""
DRAWN_UP: Floats = np.array([[0.0, 0.0, 1.0]])
"""(1, 3) the normal of a function face that looks up in use."""
UNTOUCHED: Floats = np.empty((0, 3))
"""(0, 3) for a body without function faces."""


@dataclass(frozen=True)
class Figures:
    """What a pose costs, in layers of the search.

    `islands` counts regions that begin on nothing; `cup` is the largest sealed void in mm³,
    `sealed` what the plate closes; `undersides` the area in mm², seen from below, of faces that
    lean beyond the card's angle, and `carries` whether they carry themselves as far as was asked;
    `hidden` counts the function faces that look down; `step` is the largest stair step on one;
    `peel` the largest area peeled at once in mm²; `height` that of the print in mm.
    """

    pose: Pose
    islands: int
    cup: float
    sealed: float
    undersides: float
    carries: bool
    hidden: int
    step: Length
    peel: float
    height: Length

    def stopped(self, card: PrinterCard) -> bool:
        """Whether it cannot be printed so, with supports where it stands on them."""
        falls = self.islands > 0 or not self.carries
        return self.cup > card.largest_cup or (falls and not self.pose.on_supports)

    def rank(self, card: PrinterCard) -> tuple[float, ...]:
        """Sorting key, the best pose first."""
        mends = (self.cup > card.largest_cup / 4) + (self.sealed > SEALED)
        return (
            self.stopped(card),
            self.pose.on_supports,
            self.hidden,
            round(self.step, 3),
            mends + (self.peel > card.largest_peel),
            round(self.undersides),
            round(self.height, 1),
        )

    def words(self) -> str:
        """The pose and its figures, part of a sentence."""
        held = "carried" if self.carries else "not shown to carry themselves"
        under = f"{self.undersides:.1f} mm² of undersides, {held}" if self.undersides else ""
        figures = (
            _counted(self.islands, "island"),
            f"a cup of {self.cup:.1f} mm³" if self.cup > 0.05 else "",
            under,
            _counted(self.hidden, "function face") + " down" if self.hidden else "",
            f"steps of {self.step * 1000:.0f} µm on function faces" if self.step else "",
            f"{self.peel:.0f} mm² peeled",
            f"{self.height:.1f} mm high",
        )
        return f"{self.pose.words()} ({'; '.join(each for each in figures if each)})"


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'s' * (number != 1)}" if number else ""


@dataclass(frozen=True)
class Search:
    """The poses that were cut into layers of `layer` mm, best first, of `tried` candidates."""

    layer: Length
    tried: int
    ranking: tuple[Figures, ...]

    @property
    def best(self) -> Figures:
        """The pose to print in."""
        return self.ranking[0]

    def after(self, chosen: Figures) -> Figures:
        """The best pose that was not chosen; as used and upside down are always among them."""
        return next(each for each in self.ranking if each is not chosen)

    def words(self) -> str:
        """Choice and runner-up with their figures."""
        return (
            f"{self.best.words()}, the best of {self.tried} poses tried in layers of "
            f"{self.layer:g} mm. Next: {self.after(self.best).words()}."
        )


def search(solid: Solid, card: PrinterCard, function_normals: Floats = DRAWN_UP) -> Search:
    """Rank poses for a solid in the pose of use.

    `function_normals` (k, 3) are the outward unit normals of the faces that touch the workpiece;
    none for a body that touches nothing. Raises `BadInput` for a solid that cannot be cut.
    """
    layer = max(card.layer, COARSE)
    faces = _Faces.of(triangles(solid), card)
    tried = tuple(candidates(solid))
    chosen = _worth_cutting(faces, tried, function_normals)
    cut = {pose: slice_solid(laid(solid, pose.matrix(faces.vertices)), layer) for pose in chosen}
    found = [_figures(faces, pose, cut[pose], card, function_normals) for pose in chosen]
    best = sorted(found, key=lambda each: replace(each, carries=True).rank(card))
    asked = 0
    for each in best:
        if not each.stopped(card) and not each.pose.on_supports:
            break  # nothing that follows can come before it
        if asked < ASKED and not each.carries and not each.pose.on_supports and not each.islands:
            asked += 1
            carries = _carries(cut[each.pose], card)
            found[found.index(each)] = replace(each, carries=carries)
            if carries:
                break
    ranking = sorted(found, key=lambda each: each.rank(card))
    return Search(layer, len(tried), tuple(ranking))


def candidates(solid: Solid) -> Iterator[Pose]:
    """Poses worth trying, no two alike."""
    yield FLAT
    yield Pose(lean=180.0)
    yield from _standing(solid)
    for lean in np.arange(0.0, 180.1, TILT).tolist():
        turns = (0.0,) if lean in (0.0, 180.0) else np.arange(0.0, 360.0, 1.5 * TILT).tolist()
        for turn in turns:
            yield Pose(turn=turn, lean=lean, lift=LIFT)


def _standing(solid: Solid) -> Iterator[Pose]:
    """Poses on the flat faces of the hull that it stands on, largest face first."""
    hull = triangles(solid.hull())
    a, b, c = (hull.vertices[hull.faces[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    doubled = np.linalg.norm(normals, axis=1)
    flat = doubled > 1e-9
    normals = normals[flat] / doubled[flat, None]
    areas, corners = doubled[flat] / 2.0, hull.vertices[hull.faces[flat]]
    middle = _centre(triangles(solid))
    known = np.array([[0.0, 0.0, -1.0], [0.0, 0.0, 1.0]])
    left = np.ones(len(normals), dtype=np.bool_)
    while left.any():
        seed = int(np.argmax(np.where(left, areas, -1.0)))
        one = left & (normals @ normals[seed] > 1.0 - ONE_FACE)
        near = normals @ normals[seed] > math.cos(APART)
        left &= ~near
        fresh = (known @ normals[seed]).max() < math.cos(APART)
        if fresh and _stands(corners[one], normals[seed], middle):
            known = np.vstack((known, normals[seed]))
            yield facing_down(normals[seed])


def _stands(corners: Floats, normal: Floats, middle: Floats) -> bool:
    """Whether the centre of mass lies over one of the triangles (n, 3, 3) of a face."""
    edges = np.roll(corners, -1, axis=1) - corners
    sides = np.cross(edges, middle - corners) @ normal
    return bool((sides >= 0.0).all(axis=1).any())


def _centre(mesh: Triangles) -> Floats:
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    weights = np.einsum("ij,ij->i", a, np.cross(b, c))
    return np.asarray(weights @ (a + b + c) / (4.0 * weights.sum()))


@dataclass(frozen=True, eq=False)
class _Faces:
    """What the triangles tell: vertices (V, 3), faces (T, 3), area vectors (T, 3)."""

    vertices: Floats
    faces: Ints
    crossed: Floats
    steep: Floats
    """(T,) area seen from below above which a triangle leans beyond the card's angle."""

    @staticmethod
    def of(mesh: Triangles, card: PrinterCard) -> _Faces:
        a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
        crossed = np.cross(b - a, c - a) / 2.0
        # an underside leans from upright by as much as its normal leans from level
        steep = np.linalg.norm(crossed, axis=1) * math.sin(math.radians(card.overhang))
        return _Faces(mesh.vertices, mesh.faces, crossed, steep * (1.0 + 1e-3))

    def undersides(self, pose: Pose) -> float:
        """Area in mm², seen from below, of what leans beyond the card's angle off the plate."""
        up = pose.rotation()[2]
        height, below = self.vertices @ up, -(self.crossed @ up)
        steep = below > self.steep
        if not pose.on_supports:
            lies = (height < height.min() + FLUSH)[self.faces].all(axis=1)
            steep &= ~lies
        return float(below[steep].sum())


def _worth_cutting(faces: _Faces, tried: tuple[Pose, ...], function_normals: Floats) -> list[Pose]:
    """As used, upside down, and the best of the rest by what the triangles tell."""

    def cost(pose: Pose) -> tuple[float, ...]:
        up = pose.rotation()[2]
        hidden = int((function_normals @ up < -ONE_FACE).sum())
        return hidden, round(faces.undersides(pose), 1), float(np.ptp(faces.vertices @ up))

    rest = sorted(tried[2:], key=cost)
    standing = [pose for pose in rest if not pose.on_supports][:STANDING]
    held = [pose for pose in rest if pose.on_supports][:HELD]
    return [*tried[:2], *standing, *held]


def _figures(
    faces: _Faces, pose: Pose, stack: LayerStack, card: PrinterCard, function_normals: Floats
) -> Figures:
    up = pose.rotation()[2]
    swept = sweep(stack)
    upright = function_normals @ up
    leaning = upright[np.abs(upright) < 1.0 - ONE_FACE]
    undersides = faces.undersides(pose)
    return Figures(
        pose,
        len(swept.islands),
        max((cup.volume for cup in swept.cups), default=0.0),
        math.fsum(each.volume for each in swept.trapped if each.seal is Seal.PLATE),
        undersides,
        undersides == 0.0,
        int((upright < -ONE_FACE).sum()),
        layer_step(leaning, card.layer),
        float(swept.peel.area.max()),
        float(np.ptp(faces.vertices @ up)) + pose.lift,
    )


def _carries(stack: LayerStack, card: PrinterCard) -> bool:
    """Whether every underside is short enough for what carries it."""
    groups = stacked(overhangs(stack, math.radians(card.overhang)), 2 * stack.layer)
    return not any(
        worst(each).carried is Carriage.ISLAND or too_long(each, card) for each in groups
    )


def layer_step(upright: Floats, layer: Length) -> Length:
    """Height in mm of the largest stair step that layers leave on faces, square to the face.

    `upright` (k,) is the cosine of the angle between each face and the plate.
    """
    return layer * float(np.abs(upright).max(initial=0.0))
