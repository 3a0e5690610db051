"""3MF of any hand: unpacked within a bound, its build laid out body by body.

The package is unpacked here, counting what comes out and not what its directory says, and only
then given to lib3mf, so that no lie about a size reaches the library. What its models ask for
beyond triangles is refused first, in `foreign_3mf_model`. Units and transforms follow
the 3MF core specification 1.3 (3MF Consortium): row vectors times a 4 × 3 matrix, and a transform
that mirrors turns the corners of its triangles round, so that the inside stays inside (the latter
from memory).
"""

from __future__ import annotations

import ctypes
import tempfile
import zipfile
import zlib
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nests.solids.foreign_3mf_model import unit_of_models
from nests.solids.foreign_stl import Body, refuse_many
from nests.units import BadInput

LARGEST_PACKAGE = 100_000_000
LARGEST_INSIDE = 300_000_000
"""Bytes a 3MF package may have, packed and unpacked."""
MOST_ENTRIES = 1000
"""Entries in a package."""
_CHUNK = 1 << 20


def three_mf_bodies(path: Path) -> tuple[list[Body], float]:
    """The bodies that the build of a 3MF places, and the mm of the unit it says it has.

    Raises `BadInput` describing the fault.
    """
    import lib3mf

    name = path.name
    if path.stat().st_size > LARGEST_PACKAGE:
        raise BadInput(
            f"{name} has {path.stat().st_size} bytes; at most {LARGEST_PACKAGE} bytes are read "
            "of a 3MF."
        )
    model = lib3mf.get_wrapper().CreateModel()
    with tempfile.TemporaryDirectory() as folder:
        plain = Path(folder) / "plain.3mf"
        _unpack(path, plain)
        factor = unit_of_models(plain, name)
        try:
            model.QueryReader("3mf").ReadFromFile(str(plain))
        except lib3mf.ELib3MFException:
            raise BadInput(f"{name} is a package, but no readable 3MF model is in it.") from None
    build = _Build(lib3mf, model, name)
    items = model.GetBuildItems()
    while items.MoveNext():
        item = items.GetCurrent()
        build.place(item.GetObjectResource(), _matrix(item.GetObjectTransform()))
    if not build.bodies:
        raise BadInput(f"{name} places no object.")
    return build.bodies, factor


def _unpack(path: Path, plain: Path) -> None:
    """Write the entries of a package into another, uncompressed, and stop beyond the bounds."""
    name, total = path.name, 0
    try:
        with zipfile.ZipFile(path) as package, zipfile.ZipFile(plain, "w") as out:
            entries = [each for each in package.infolist() if not each.is_dir()]
            names = [each.filename for each in entries]
            if len(entries) > MOST_ENTRIES or len(set(names)) < len(names):
                raise BadInput(
                    f"{name} is no sound 3MF package: {len(names)} entries, of which "
                    f"{len(set(names))} have a name of their own."
                )
            for entry in entries:
                with package.open(entry) as source, out.open(entry.filename, "w") as target:
                    while chunk := source.read(_CHUNK):
                        total += len(chunk)
                        if total > LARGEST_INSIDE:
                            raise BadInput(
                                f"{name} unpacks to more than {LARGEST_INSIDE} bytes; no more "
                                "are read."
                            )
                        target.write(chunk)
    except zipfile.BadZipFile as error:
        if "CRC" in str(error):
            raise BadInput(
                f"{name} is a damaged 3MF package: an entry is not what its directory says."
            ) from None
        raise BadInput(f"{name} is no 3MF package.") from None
    except (zlib.error, EOFError, NotImplementedError, OSError, ValueError, RuntimeError):
        raise BadInput(f"{name} is no 3MF package that can be unpacked.") from None


class _Build:
    """Bodies placed so far; an object is followed down to its meshes, as few and as deep as
    `foreign_3mf_placed` lets pass."""

    def __init__(self, lib3mf: Any, model: Any, name: str) -> None:
        self.lib3mf, self.model, self.name = lib3mf, model, name
        self.bodies: list[Body] = []
        self.triangles = 0

    def place(self, resource: Any, matrix: NDArray[np.float64]) -> None:
        """Add an object and all its components; `matrix` (4, 3) acts on row vectors."""
        if not np.isfinite(matrix).all() or abs(np.linalg.det(matrix[:3])) < 1e-12:
            raise BadInput(f"{self.name} places an object by a transform that flattens it.")
        key = resource.GetResourceID()
        if not resource.IsMeshObject():
            group = self.model.GetComponentsObjectByID(key)
            for index in range(group.GetComponentCount()):
                part = group.GetComponent(index)
                inner = _matrix(part.GetTransform())
                joined = np.vstack([inner[:3] @ matrix[:3], inner[3] @ matrix[:3] + matrix[3]])
                self.place(part.GetObjectResource(), joined)
            return
        mesh = self.model.GetMeshObjectByID(key)
        self.triangles += mesh.GetTriangleCount()
        refuse_many(self.triangles, self.name)
        corners, faces = _mesh(self.lib3mf, mesh)
        if np.linalg.det(matrix[:3]) < 0.0:
            faces = faces[:, ::-1]
        self.bodies.append((corners @ matrix[:3] + matrix[3], faces))


def _matrix(transform: Any) -> NDArray[np.float64]:
    return np.array(transform.Fields, dtype=np.float64).reshape(4, 3)


def _mesh(lib3mf: Any, mesh: Any) -> Body:
    """Corners and triangles of a mesh object; the lists of the binding become arrays at once."""
    corners = np.frombuffer(_packed(lib3mf.Position, mesh.GetVertices()), dtype=np.float32)
    faces = np.frombuffer(_packed(lib3mf.Triangle, mesh.GetTriangleIndices()), dtype=np.uint32)
    return corners.reshape(-1, 3).astype(np.float64), faces.reshape(-1, 3).astype(np.int64)


def _packed(kind: Any, values: list[Any]) -> Any:
    if not values:
        return b""
    array: ctypes.Array[Any] = (kind * len(values))(*values)
    return array
