"""Every number on a drawing is the distance of two surfaces of the mesh that is exported.

The mesh is the STL of the pack, read back by trimesh; the distances are taken by trimesh's own
rays. Nothing of the drawing is used but where it says it measured.
"""

from __future__ import annotations

import io
from functools import cache

import numpy as np
import pytest
import trimesh
from drawn_holders import FAMILIES, SIZES, drawing, holder

from nests.papers.drawing import Dimension
from nests.printing.mesh_files import NamedMesh, in_single, stl
from nests.solids.solid import triangles

REACH = 0.1
"""mm to either side of a point in which its surface is looked for."""
ROUNDING = 0.005
"""mm; half of the last figure written."""


@cache
def exported(name: str, size: float, body: str = "") -> trimesh.Trimesh:
    """The holder as exported, or one of the loose bodies printed beside it."""
    made = holder(name, size)
    mesh = triangles(dict(made.beside)[body]) if body else made.mesh
    data = stl(NamedMesh(body or name, in_single(mesh)))
    return trimesh.load(io.BytesIO(data), file_type="stl")


def surface_at(mesh: trimesh.Trimesh, point: np.ndarray, ahead: np.ndarray) -> float:
    """How far along `ahead` from a point the nearest surface lies, within `REACH`."""
    starts = np.array([point - REACH * ahead, point + REACH * ahead])
    hits, _, _ = mesh.ray.intersects_location(starts, np.array([ahead, -ahead]))
    away = (hits - point) @ ahead
    off = np.linalg.norm(hits - point - np.outer(away, ahead), axis=1)
    away = away[(np.abs(away) <= REACH) & (off < 1e-3)]
    assert len(away), f"no surface near {point}"
    return float(away[np.argmin(np.abs(away))])


def measured(mesh: trimesh.Trimesh, made: Dimension) -> float:
    first, second = (np.array(end) for end in made.ends)
    if made.name.endswith(": axis"):  # the axis of a lying bore: midway between its flanks
        return float(second[2])
    if made.round:
        ahead = (second - first) / np.linalg.norm(second - first)
        return 2 * float(np.linalg.norm(second - first) + surface_at(mesh, second, ahead))
    level = second - first
    level[2] = 0.0
    ahead = np.array((0.0, 0.0, 1.0)) if made.upright else level / np.linalg.norm(level)
    if not made.upright:
        lift = np.array((0.0, 0.0, 2e-3))  # off the level faces the ends of a channel lie in
        first, second = first + lift, second + lift
    bench = float(mesh.bounds[0][2])  # what is given from there need have no foot right below
    a, b = (0.0 if made.upright and abs(end[2] - bench) < 1e-6 else surface_at(mesh, end, ahead)
            for end in (first, second))  # fmt: skip
    return float((second - first) @ ahead) + b - a


@pytest.mark.parametrize(
    "size",
    [
        s if s == 1.0 else pytest.param(s, marks=pytest.mark.long if s < 1.0 else pytest.mark.slow)
        for s in SIZES
    ],
)
@pytest.mark.parametrize("name", FAMILIES)
def test_each_length_is_that_of_the_exported_mesh(name: str, size: float) -> None:
    chord = holder(name, size).recipe.chord_error
    wrong = []
    for made in drawing(name, size).dimensions:
        found = measured(exported(name, size, made.body), made)
        written = float(made.text.words.removeprefix("⌀"))
        # either end may be a chord's breadth off
        if abs(found - written) > 2 * chord + ROUNDING:
            wrong.append((made.name, written, found))
    assert not wrong
    assert len(drawing(name, size).dimensions) >= 4
