"""Stages: bodies before an eye, and which label is read on which of them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nests.papers.picture.colours import TONE_CUT, TONE_LIT
from nests.papers.picture.meshes import build_scene
from nests.papers.picture.rays import cast
from nests.papers.picture.values import SECTION, Floats, Marker, Scene, Shown, View


@dataclass(frozen=True)
class Label:
    """A text to be led to a point (mm); `part` is set for a lit part, `seen` false if hidden."""

    point: Floats
    text: str
    part: int | None = None
    seen: bool = True


@dataclass(frozen=True)
class Stage:
    """Bodies before an eye, ready for rays; `front` bounds what a cut has left (mm), if cut."""

    bodies: Sequence[Shown]
    view: View
    solid: Scene | None
    ghost: Scene | None
    front: float = math.inf

    def shows(self, points: Floats) -> NDArray[np.bool_]:
        """Whether the eye sees each point (n, 3), to 0.3 % of the scene."""
        toward = self.view.axes()[2]
        level = toward[:2] / max(float(np.linalg.norm(toward[:2])), 1e-9)
        kept = points[:, :2] @ level < self.front
        if self.solid is None or not len(points):
            return np.asarray(kept)
        start = (points + toward * 3e-3 * self.solid.reach).astype(np.float32)
        ahead = np.empty((len(points), 1, 3), np.float32)
        ahead[:] = toward
        return np.asarray(kept & (cast(self.solid, start, ahead, "OCCLUDED")[:, 0] < 0))


def set_stage(
    bodies: Sequence[Shown], view: View, lit: Iterable[int] = (), front: float = math.inf
) -> Stage:
    """The bodies ready for rays, `lit` parts toned; ValueError if there is nothing to draw."""
    solids, ghosts = [b for b in bodies if not b.ghost], [b for b in bodies if b.ghost]
    if not bodies:
        raise ValueError("nothing to draw: no body was given, or the cut left none")
    part = np.concatenate([np.zeros(0, np.int64), *(body.part for body in solids)])
    tone = np.select([part == SECTION, np.isin(part, list(lit))], [TONE_CUT, TONE_LIT], 0)
    solid = build_scene(solids, tone.astype(np.int32)) if solids else None
    return Stage(bodies, view, solid, build_scene(ghosts) if ghosts else None, front)


def _lit_labels(stage: Stage, lit: Mapping[int, str]) -> list[Label]:
    """One label for every lit part on the stage, at the middle of what can be seen of it."""
    if stage.solid is None or not lit:
        return []
    part, centroid = stage.solid.part[:-1], stage.solid.centroid.astype(np.float64)
    facing = stage.solid.normal[:-1] @ stage.view.axes()[2] > 0.05
    labels = []
    for number, text in sorted(lit.items()):
        own = centroid[part == number]
        seen = own[stage.shows(own) & facing[part == number]]
        if len(own):
            middle = (seen if len(seen) else own).mean(axis=0)
            labels.append(Label(middle, text, number, bool(len(seen))))
    return labels


def share_labels(
    stages: Sequence[Stage], lit: Mapping[int, str], markers: Sequence[Marker]
) -> list[list[Label]]:
    """Labels by stage: lit parts wherever they are seen, a marker where it is seen first.

    What no stage shows is labelled on the first stage that holds it, as hidden.
    """
    found = [_lit_labels(stage, lit) for stage in stages]
    out = [[label for label in labels if label.seen] for labels in found]
    shown = {label.part for labels in out for label in labels}
    for k, labels in enumerate(found):
        lost = [label for label in labels if label.part not in shown]
        out[k] += lost
        shown |= {label.part for label in lost}
    points = np.array([place for place, _ in markers], np.float64).reshape(-1, 3)
    seen = np.array([stage.shows(points) for stage in stages])
    for n, (_, text) in enumerate(markers):
        first = int(seen[:, n].argmax())
        out[first].append(Label(points[n], text, None, bool(seen[first, n])))
    return out
