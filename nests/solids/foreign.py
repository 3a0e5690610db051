"""Meshes drawn elsewhere: read, described when broken, never guessed at."""

from __future__ import annotations

import stat
from pathlib import Path

import numpy as np
from manifold3d import Manifold, Mesh64, OpType
from numpy.typing import NDArray

from nests.solids.crossings import (
    MOST_SHELLS,
    Skin,
    first_crossing,
    misplaced_shell,
    shells,
    wrongly_wound,
)
from nests.solids.foreign_3mf import three_mf_bodies
from nests.solids.foreign_scene import WORDS, scene_bodies
from nests.solids.foreign_stl import Body, refuse_many, stl_body
from nests.solids.solid import Solid, triangles
from nests.units import BadInput

KINDS = (".stl", ".3mf", *WORDS)
"""Ends of the names of files that are read as meshes."""
LARGEST_FILE = 400_000_000
"""Bytes a mesh file may have."""
SMALLEST, LARGEST = 5.0, 500.0
"""mm across that a holder may have: no movement is carried by a smaller one."""
FLAT = 1e-3
"""mm below which a body has no thickness: a micrometre is less than any printer shows."""
UNITS = {"mm": 1.0, "um": 1e-3, "cm": 10.0, "inch": 25.4, "m": 1000.0}
"""mm of each unit a mesh may be said to be drawn in."""
_WORDS = {
    "mm": "millimetres",
    "um": "micrometres",
    "cm": "centimetres",
    "inch": "inches",
    "m": "metres",
}


def read_mesh(path: Path, unit: str | None = None) -> Solid:
    """The solid in a mesh file, one of `KINDS`; the bodies that it places are made one.

    `unit`, one of `UNITS`, is that of the numbers in the file, whatever the file says of it;
    without, it is as the file says, and mm where it says nothing.
    Raises `BadInput` with one sentence describing the fault.
    """
    if unit is not None and unit not in UNITS:
        raise BadInput(f"the unit of a mesh is '{unit}'; allowed is {', '.join(UNITS)}.")
    own = 1.0
    try:
        _refuse_other(path)
        if path.suffix.lower() == ".3mf":
            bodies, own = three_mf_bodies(path)
        elif path.suffix.lower() in WORDS:
            bodies, own = scene_bodies(path)
        else:
            bodies = [stl_body(path.read_bytes(), path.name)]
    except OSError as error:
        raise BadInput(f"{path} cannot be read: {error.strerror or error}.") from None
    return solid_of(bodies, path.name, own if unit is None else UNITS[unit])


def _refuse_other(path: Path) -> None:
    """Refuse what is no file of a size that is read: a pipe, for one, may never end."""
    found = path.stat()
    if stat.S_ISDIR(found.st_mode):
        raise BadInput(f"{path.name} is a folder; a mesh is a file.")
    if not stat.S_ISREG(found.st_mode):
        raise BadInput(f"{path.name} is a device or a pipe; a mesh is a file.")
    if found.st_size > LARGEST_FILE:
        raise BadInput(
            f"{path.name} has {found.st_size} bytes; at most {LARGEST_FILE} bytes are read."
        )
    if not found.st_size:
        raise BadInput(f"{path.name} is empty.")


def solid_of(bodies: list[Body], name: str, factor: float = 1.0) -> Solid:
    """The union of the bodies that triangles bound; `factor` is the mm of one of their numbers.

    Raises `BadInput` describing the fault.
    """
    for vertices, faces in bodies:
        _refuse_numbers(vertices, faces, name)
    _refuse_size([_used(vertices, faces) for vertices, faces in bodies], name, factor)
    if factor != 1.0:
        bodies = [(vertices * factor, faces) for vertices, faces in bodies]
    solids = [_closed(vertices, faces, name) for vertices, faces in bodies]
    if len(solids) == 1:
        return solids[0]
    united = Manifold.batch_boolean(solids, OpType.Add)
    refuse_many(united.num_tri(), f"{name}, its bodies made one,")
    return united


def _refuse_numbers(vertices: NDArray[np.float64], faces: NDArray[np.int64], name: str) -> None:
    if not len(faces):
        raise BadInput(f"{name} holds no triangle.")
    if not np.isfinite(vertices).all():
        raise BadInput(f"{name} has a corner that is not a finite number.")
    if int(faces.max()) >= len(vertices) or int(faces.min()) < 0:
        raise BadInput(f"{name} has a triangle with a corner that does not exist.")


def _refuse_size(corners: list[NDArray[np.float64]], name: str, factor: float) -> None:
    low = np.min([each.min(axis=0) for each in corners], axis=0)
    high = np.max([each.max(axis=0) for each in corners], axis=0)
    size = float(np.max(high - low))
    if SMALLEST <= size * factor <= LARGEST:
        return
    meant = {
        unit: size * mm
        for unit, mm in UNITS.items()
        if SMALLEST <= size * mm <= LARGEST and mm != factor
    }
    would = " and ".join(f"{mm:.4g} mm if it was drawn in {_WORDS[u]}" for u, mm in meant.items())
    say = " or ".join(f"--unit {unit}" for unit in meant)
    raise BadInput(
        f"{name} is {size * factor:.4g} mm across, and a holder is {SMALLEST:g} to {LARGEST:g} mm"
        + (f"; it would be {would}: say so with {say}." if meant else ".")
    )


def _closed(vertices: NDArray[np.float64], faces: NDArray[np.int64], name: str) -> Solid:
    """One body as a solid, if it is closed, turned outwards and free of itself."""
    corners = _used(vertices, faces)
    if _least_width(corners) < FLAT:
        raise BadInput(f"{name} has a body without thickness: all its corners lie in one plane.")
    mesh = Mesh64(
        np.ascontiguousarray(vertices),
        np.ascontiguousarray(faces.astype(np.uint64)),
        tolerance=float(np.max(np.ptp(corners, axis=0))) * 1e-6,
    )
    mesh.merge()
    solid = Manifold(mesh)
    if solid.status().name != "NoError":
        raise BadInput(f"{name} is not closed: {_open_edges(vertices, faces)}.")
    if solid.is_empty() or abs(solid.volume()) < 1e-9:
        raise BadInput(f"{name} encloses no volume.")
    if solid.volume() < 0.0:
        raise BadInput(f"{name} is inside out: its volume is {solid.volume():.3g} mm³.")
    _refuse_doubled(mesh, faces, name)
    del mesh  # a large one weighs as much as what comes next
    _refuse_crossing(solid, name)
    return solid


def _used(vertices: NDArray[np.float64], faces: NDArray[np.int64]) -> NDArray[np.float64]:
    """The corners that belong to a face."""
    used = np.zeros(len(vertices), dtype=bool)
    used[faces] = True
    return vertices[used]


def _least_width(corners: NDArray[np.float64]) -> float:
    """Width in mm of a cloud of points (n, 3) across its flattest direction."""
    spread = corners - corners.mean(axis=0)
    across = spread @ np.linalg.eigh(spread.T @ spread)[1][:, 0]
    return float(across.max() - across.min())


def _refuse_doubled(mesh: Mesh64, faces: NDArray[np.int64], name: str) -> None:
    """Sheets without thickness, which the kernel would leave out without a word.

    Seen where the two sides have the same triangles; a sheet cut differently on its two sides
    passes, as an overlap of shells that `wrongly_wound` may or may not see.
    """
    joined = np.arange(int(faces.max()) + 1)
    joined[np.asarray(mesh.merge_from_vert, dtype=np.int64)] = mesh.merge_to_vert
    corners = np.sort(joined[faces], axis=1)
    corners = corners[(np.diff(corners, axis=1) > 0).all(axis=1)]
    corners = corners[np.lexsort(corners.T)]
    doubled = int(np.sum((np.diff(corners, axis=0) == 0).all(axis=1)))
    if doubled:
        raise BadInput(
            f"{name} has {doubled} triangles that lie on another: a wall without thickness, or a "
            "body given twice."
        )


def _refuse_crossing(solid: Solid, name: str) -> None:
    mesh = triangles(solid)
    skin = Skin(mesh.vertices, mesh.faces)
    where = first_crossing(skin)
    if where is not None:
        raise BadInput(
            f"{name} crosses itself, first at {_place(where)}: unite its bodies in the "
            "program that drew it."
        )
    where = wrongly_wound(skin)
    if where is not None:
        raise BadInput(
            f"{name} overlaps itself or is inside out in part, as at {_place(where)}: its skin "
            "does not part inside from outside there."
        )
    count, of_face = shells(mesh.faces, len(mesh.vertices))
    if count > MOST_SHELLS:
        raise BadInput(f"{name} has {count} separate shells; at most {MOST_SHELLS} are judged.")
    where = misplaced_shell(mesh.vertices, mesh.faces, of_face) if count > 1 else None
    if where is not None:
        raise BadInput(
            f"{name} has a shell at {_place(where)} that lies inside another, or is inside out: "
            "it does not part inside from outside."
        )


def _place(point: NDArray[np.float64]) -> str:
    # a zero of rounding has no sign
    return "(" + ", ".join(f"{round(c, 2) + 0.0:.2f}" for c in point.tolist()) + ") mm"


def _open_edges(vertices: NDArray[np.float64], faces: NDArray[np.int64]) -> str:
    """What is wrong with the edges of a mesh, counted, in words."""
    _, joined = np.unique(np.round(vertices, 5), axis=0, return_inverse=True)
    corners = joined.reshape(-1)[faces]
    edges = np.vstack([corners[:, (i, j)] for i, j in ((0, 1), (1, 2), (2, 0))]).astype(np.int64)
    base = int(corners.max()) + 1
    keys, counts = np.unique(edges[:, 0] * base + edges[:, 1], return_counts=True)
    back = (keys % base) * base + keys // base
    wrong = int(np.sum((counts != 1) | ~np.isin(back, keys)))
    return f"{wrong} edges do not join exactly two triangles of one turn"
