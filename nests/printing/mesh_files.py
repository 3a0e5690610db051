"""STL and 3MF: meshes out, and the same meshes back in for the tests.

STL is the binary form: 80 bytes of header that must not begin with "solid", a count, 50 bytes a
triangle, little-endian, float32. 3MF is written by lib3mf (3MF core specification 1.4): unit
millimetre, one named object for each body, standard metadata, bodies side by side on the plate.
Both hold the pose of printing.
"""

from __future__ import annotations

import hashlib
import io
import struct
import uuid
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nests.letters.code_points import told
from nests.printing.pose import moved
from nests.solids.solid import Triangles
from nests.units import BadInput

SPACE = 5.0
"""mm between bodies on the plate."""
SLIVER = 2e-5
"""mm; float32 keeps about 2e-6 at 30 mm and lib3mf writes 1e-6, so nearer corners may fall
together."""
GRID = 5
"""Decimals of a mm that corners keep in a file: 0.01 µm."""


@dataclass(frozen=True)
class NamedMesh:
    """A body to print: its name and its mesh in the pose of printing.

    The corners themselves are posed, not a transform beside them: STL has none, and a program that
    drops the transforms of a 3MF still shows the body as it is to be printed.
    """

    name: str
    mesh: Triangles

    @staticmethod
    def posed(name: str, mesh: Triangles, matrix: NDArray[np.float64]) -> NamedMesh:
        """A mesh of the pose of use, carried by a matrix (4, 4) into the pose of printing."""
        corners = moved(matrix, mesh.vertices)
        return NamedMesh(name, in_single(Triangles(corners, mesh.faces, mesh.makers)))


def _parted(mesh: Triangles) -> NDArray[np.float64]:
    """The corners, of which those that lie on another are drawn a hair into their own faces: where
    two edges of a body meet in one point, which a reader would join."""
    _, first, of = np.unique(
        np.round(mesh.vertices, GRID - 1), axis=0, return_index=True, return_inverse=True
    )
    out = mesh.vertices.copy()
    for twin in np.flatnonzero(first[of.reshape(-1)] != np.arange(len(out))):
        faces = mesh.faces[(mesh.faces == twin).any(axis=1)]
        middle = mesh.vertices[faces].reshape(-1, 3).mean(axis=0)
        way = middle - out[twin]
        out[twin] += way * min(1.0, 4 * SLIVER / max(float(np.linalg.norm(way)), SLIVER))
    return out


def in_single(mesh: Triangles) -> Triangles:
    """The mesh as float32 can hold it, without triangles that collapse in it.

    STL and 3MF readers join corners that are equal; corners that only differ beyond float32 are
    joined here, through the kernel, so that the file stays manifold. Raises `BadInput` if not.
    """
    from manifold3d import Manifold, Mesh64

    from nests.solids.solid import triangles

    for tolerance in (SLIVER, 5 * SLIVER):
        solid = Manifold(Mesh64(mesh.vertices, mesh.faces.astype(np.uint64)))
        plain = triangles(solid.as_original().simplify(tolerance))
        for corners in (plain.vertices, _parted(plain)):
            single = np.round(corners, GRID).astype(np.float32).astype(np.float64) + 0.0
            out = Triangles(single, plain.faces, plain.makers)
            if out.closed() and len(np.unique(np.round(single, 6), axis=0)) == len(single):
                return out
    raise BadInput("a body has corners too near each other for a file; change a size a little.")


def check_printable(body: NamedMesh) -> None:
    """Raise `BadInput` unless a body is closed, oriented and of positive volume."""
    if not body.mesh.closed():
        raise BadInput(f"{body.name} is not closed; nothing is written.")
    if body.mesh.volume() <= 0.0:
        raise BadInput(f"{body.name} has no volume; nothing is written.")


def stl(body: NamedMesh) -> bytes:
    """Binary STL of one body."""
    corners = body.mesh.vertices[body.mesh.faces].astype("<f4")
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normals, axis=1, keepdims=True)
    normals = np.divide(normals, length, out=np.zeros_like(normals), where=length > 0)
    rows = np.zeros(len(corners), dtype=[("v", "<f4", (4, 3)), ("attribute", "<u2")])
    rows["v"][:, 0], rows["v"][:, 1:] = normals, corners
    header = told(f"binary STL, mm, {body.name}", str.isascii).encode()[:80].ljust(80)
    return header + struct.pack("<I", len(rows)) + rows.tobytes()


def three_mf(
    bodies: Sequence[NamedMesh],
    metadata: Mapping[str, str],
    places: Sequence[tuple[float, float]] | None = None,
) -> bytes:
    """3MF of several bodies, side by side or each moved to its place (x, y) on the build plate.
    `metadata` by the core specification's names."""
    import lib3mf

    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    model.SetUnit(lib3mf.ModelUnit.MilliMeter)
    group = model.GetMetaDataGroup()
    for name, value in metadata.items():
        group.AddMetaData("", name, value, "xs:string", True)
    reach = 0.0
    for index, body in enumerate(bodies):
        check_printable(body)
        mesh = model.AddMeshObject()
        mesh.SetName(body.name)
        corners = body.mesh.vertices.astype(np.float32).tobytes()
        faces = body.mesh.faces.astype(np.uint32).tobytes()
        mesh.SetGeometry(
            (lib3mf.Position * len(body.mesh.vertices)).from_buffer_copy(corners),
            (lib3mf.Triangle * len(body.mesh.faces)).from_buffer_copy(faces),
        )
        mesh.SetUUID(_name_of(body.name, corners + faces))
        low, high = body.mesh.vertices.min(axis=0), body.mesh.vertices.max(axis=0)
        shift = 0.0 if index == 0 else reach + SPACE - float(low[0])
        reach = float(high[0]) + shift
        x, y = (shift, 0.0) if places is None else places[index]
        place = wrapper.GetTranslationTransform(x, y, 0.0)
        model.AddBuildItem(mesh, place).SetUUID(_name_of(f"item {index} {body.name}", corners))
    model.SetBuildUUID(_name_of("build", "|".join(metadata.values()).encode()))
    writer = model.QueryWriter("3mf")
    return _same_bytes(bytes(writer.WriteToBuffer()))


def _name_of(name: str, content: bytes) -> str:
    """UUID from the content, where the library would draw lots: same input, same bytes."""
    return str(uuid.uuid5(uuid.NAMESPACE_OID, name + hashlib.sha256(content).hexdigest()))


def _same_bytes(package: bytes) -> bytes:
    """The package with its entries in order, and without the clock in them."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(package)) as given, zipfile.ZipFile(out, "w") as written:
        for name in sorted(given.namelist(), key=lambda n: (n != "[Content_Types].xml", n)):
            info = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
            info.compress_type = zipfile.ZIP_DEFLATED
            written.writestr(info, given.read(name), compresslevel=6)
    return out.getvalue()
