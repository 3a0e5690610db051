"""What a section shows, in mm of the holder, before it is drawn at a scale."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from nests.papers.drawing.chains import Rounds, drawn
from nests.papers.drawing.cuts import Floats, behind, cut_faces, face_of
from nests.papers.drawing.planes import SectionPlane
from nests.papers.drawing.profile import Subject
from nests.papers.drawing.values import OUTLINE, Arc, Point, Stroke


@dataclass(frozen=True, eq=False)
class Scenery:
    """What a section shows, in mm of the holder: the rings of the cut faces, and the edges behind
    them as segments (n, 2). Left of the axis is negative."""

    faces: tuple[tuple[Floats, ...], ...]
    start: Floats
    end: Floats
    chord: float

    @cached_property
    def edges(self) -> tuple[Stroke | Arc, ...]:
        """The edges behind as lines and arcs."""
        return tuple(drawn(self.start, self.end, OUTLINE, Rounds(self.chord)))

    def beyond(self, sign: float) -> list[tuple[Point, Point]]:
        """The segments behind the left (-1) or right (+1) half, by distance from the axis."""
        mine = (self.start[:, 0] + self.end[:, 0]) * sign > 0.0
        ends = np.hstack((self.start[mine], self.end[mine])) * (sign, 1.0, sign, 1.0)
        return [((a, b), (c, d)) for a, b, c, d in ends.tolist()]


def scenery(subject: Subject, section: SectionPlane) -> Scenery:
    """Cut and look; the two halves of the cut are one where they meet in the axis."""
    import shapely

    holder = subject.holder
    marks = {each.label for each in holder.laid if each.part.strokes}
    leave = frozenset(i for i, label in holder.made_by.items() if label in marks)
    sides = ((-1.0, section.left.plane), (1.0, section.right.plane))
    halves = [face_of([r * (s, 1.0) for r in cut_faces(holder.solid, p)]) for s, p in sides]
    beyond = behind(holder, [(plane, sign > 0.0) for sign, plane in sides], leave)
    starts = [start * (sign, 1.0) for (sign, _), (start, _) in zip(sides, beyond, strict=True)]
    ends = [end * (sign, 1.0) for (sign, _), (_, end) in zip(sides, beyond, strict=True)]
    faces = []
    for each in shapely.get_parts(shapely.union_all(halves, grid_size=1e-5)):
        rings = (each.exterior, *each.interiors)
        faces.append(tuple(np.asarray(ring.coords)[:-1] for ring in rings))
    return Scenery(tuple(faces), np.vstack(starts), np.vstack(ends), holder.recipe.chord_error)
