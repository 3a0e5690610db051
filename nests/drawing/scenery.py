"""What a section shows, in mm of the holder, before it is drawn at a scale."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nests.drawing.cuts import Floats, behind, cut_faces
from nests.drawing.planes import SectionPlane
from nests.drawing.profile import Subject
from nests.parts.mark import Mark


@dataclass(frozen=True, eq=False)
class Scenery:
    """What a section shows, in mm of the holder: the cut faces, and the edges behind them."""

    faces: tuple[tuple[Floats, ...], ...]
    start: Floats
    end: Floats


def scenery(subject: Subject, section: SectionPlane) -> Scenery:
    """Cut and look; the two halves of the cut are one where they meet in the axis."""
    import shapely

    holder = subject.holder
    marks = {e.label for e in holder.laid if isinstance(e.part, Mark)}
    leave = frozenset(i for i, label in holder.made_by.items() if label in marks)
    halves, starts, ends = [], [], []
    for sign, half in ((-1.0, section.left), (1.0, section.right)):
        face = shapely.Polygon()
        for ring in cut_faces(holder.solid, half.plane):
            face = face.symmetric_difference(shapely.Polygon(ring * (sign, 1.0)).buffer(0))
        halves.append(face)
        start, end = behind(holder, half.plane, sign > 0.0, leave)
        starts.append(start * (sign, 1.0))
        ends.append(end * (sign, 1.0))
    faces = []
    for each in shapely.get_parts(shapely.union_all(halves, grid_size=1e-5)):
        rings = (each.exterior, *each.interiors)
        faces.append(tuple(np.asarray(ring.coords)[:-1] for ring in rings))
    return Scenery(tuple(faces), np.vstack(starts), np.vstack(ends))
