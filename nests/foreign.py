"""Meshes drawn elsewhere: read, described when broken, never guessed at."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import numpy as np
from manifold3d import Manifold, Mesh64
from numpy.typing import NDArray

from nests.solid import Solid
from nests.units import BadInput

LARGEST_FILE = 400_000_000
LARGEST_INSIDE = 600_000_000
"""Bytes a mesh file, and a 3MF unpacked, may have."""


def read_mesh(path: Path) -> Solid:
    """The solid in an STL or 3MF file. Raises `BadInput` with one sentence describing the fault."""
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise BadInput(
                f"{path.name} has {path.stat().st_size} bytes; at most {LARGEST_FILE} "
                "bytes are read."
            )
        data = path.read_bytes()
    except OSError as error:
        raise BadInput(f"{path} cannot be read: {error.strerror or error}.") from None
    if not data:
        raise BadInput(f"{path.name} is empty.")
    read = _three_mf if path.suffix.lower() == ".3mf" else _stl
    vertices, faces = read(data, path.name)
    return solid_of(vertices, faces, path.name)


def _stl(data: bytes, name: str) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    if len(data) >= 84:
        count = int.from_bytes(data[80:84], "little")
        if len(data) == 84 + 50 * count:
            rows = np.frombuffer(data, dtype=[("v", "<f4", (4, 3)), ("a", "<u2")], offset=84)
            corners = rows["v"][:, 1:].astype(np.float64).reshape(-1, 3)
            return corners, np.arange(len(corners)).reshape(-1, 3)
    if data[:5].lower() == b"solid" and b"facet" in data[:2000]:
        return _text_stl(data, name)
    raise BadInput(
        f"{name} is no STL, or it is cut off: {len(data)} bytes do not match its count "
        "of triangles."
    )


def _text_stl(data: bytes, name: str) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    if b"endsolid" not in data:
        raise BadInput(f"{name} is a text STL without its end; it is cut off.")
    words = [line.split()[1:4] for line in data.splitlines() if line.strip().startswith(b"vertex")]
    try:
        corners = np.array(words, dtype=np.float64).reshape(-1, 3)
    except ValueError:
        raise BadInput(f"{name} is a text STL with a corner that is no three numbers.") from None
    if len(corners) % 3:
        raise BadInput(f"{name} is a text STL with {len(corners)} corners, no multiple of three.")
    return corners, np.arange(len(corners)).reshape(-1, 3)


def _three_mf(data: bytes, name: str) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            inside = sum(each.file_size for each in package.infolist())
    except (zipfile.BadZipFile, NotImplementedError, OSError, ValueError):
        raise BadInput(f"{name} is no 3MF package.") from None
    if inside > LARGEST_INSIDE:
        raise BadInput(
            f"{name} unpacks to {inside} bytes; at most {LARGEST_INSIDE} bytes are read."
        )
    import lib3mf

    model = lib3mf.get_wrapper().CreateModel()
    try:
        model.QueryReader("3mf").ReadFromBuffer(data)
    except lib3mf.ELib3MFException:
        raise BadInput(f"{name} is a package, but no readable 3MF model is in it.") from None
    corners, faces, start = [], [], 0
    items = model.GetBuildItems()
    factor = _millimetres(lib3mf, model.GetUnit())
    while items.MoveNext():
        item = items.GetCurrent()
        resource = item.GetObjectResource()
        if not resource.IsMeshObject():
            raise BadInput(f"{name} holds an assembly of components; give one mesh object.")
        mesh = model.GetMeshObjectByID(resource.GetResourceID())
        turn = np.array(item.GetObjectTransform().Fields)
        xyz = (
            np.frombuffer(
                (lib3mf.Position * mesh.GetVertexCount())(*mesh.GetVertices()), dtype=np.float32
            )
            .reshape(-1, 3)
            .astype(np.float64)
        )
        corners.append((xyz @ turn[:3] + turn[3]) * factor)
        count = mesh.GetTriangleCount()
        faces.append(
            np.frombuffer((lib3mf.Triangle * count)(*mesh.GetTriangleIndices()), dtype=np.uint32)
            .reshape(-1, 3)
            .astype(np.int64)
            + start
        )
        start += len(xyz)
    if not corners:
        raise BadInput(f"{name} places no object.")
    return np.vstack(corners), np.vstack(faces)


def _millimetres(lib3mf: object, unit: object) -> float:
    units = lib3mf.ModelUnit  # type: ignore[attr-defined]
    return {
        units.MicroMeter: 1e-3,
        units.MilliMeter: 1.0,
        units.CentiMeter: 10.0,
        units.Inch: 25.4,
        units.Foot: 304.8,
        units.Meter: 1000.0,
    }[unit]


def solid_of(vertices: NDArray[np.float64], faces: NDArray[np.int64], name: str) -> Solid:
    """The solid a triangle soup bounds. Raises `BadInput` describing what is wrong with it."""
    if not len(faces):
        raise BadInput(f"{name} holds no triangle.")
    if not np.isfinite(vertices).all():
        raise BadInput(f"{name} has a corner that is not a finite number.")
    size = float(np.max(vertices.max(axis=0) - vertices.min(axis=0)))
    if not 0.5 <= size <= 500.0:
        raise BadInput(f"{name} is {size:g} mm across; a holder is 0.5 to 500 mm: is the unit mm?")
    if int(faces.max()) >= len(vertices):
        raise BadInput(f"{name} has a triangle with a corner that does not exist.")
    mesh = Mesh64(
        np.ascontiguousarray(vertices),
        np.ascontiguousarray(faces.astype(np.uint64)),
        tolerance=size * 1e-6,
    )
    mesh.merge()
    solid = Manifold(mesh)
    if solid.status().name != "NoError":
        raise BadInput(
            f"{name} is not closed: {_open_edges(vertices, faces)} edges do not join "
            "exactly two triangles of one turn."
        )
    if solid.is_empty() or abs(solid.volume()) < 1e-9:
        raise BadInput(f"{name} encloses no volume.")
    if solid.volume() < 0.0:
        raise BadInput(f"{name} is inside out: its volume is {solid.volume():.3g} mm³.")
    return solid


def _open_edges(vertices: NDArray[np.float64], faces: NDArray[np.int64]) -> int:
    _, joined = np.unique(np.round(vertices, 5), axis=0, return_inverse=True)
    corners = joined.reshape(-1)[faces]
    edges = np.vstack([corners[:, (i, j)] for i, j in ((0, 1), (1, 2), (2, 0))]).astype(np.int64)
    base = int(corners.max()) + 1
    keys, counts = np.unique(edges[:, 0] * base + edges[:, 1], return_counts=True)
    back = (keys % base) * base + keys // base
    return int(np.sum((counts != 1) | ~np.isin(back, keys)))
