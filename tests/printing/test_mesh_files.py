"""Every file of every gallery pack, read back by libraries that did not write it."""

import hashlib
import io
import json
import os
import struct
import subprocess
import sys
import zipfile
from functools import cache

import lib3mf
import numpy as np
import pytest
import trimesh

from nests.documents.files import data_folder
from nests.finding import Grade
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.orders import pack
from nests.orders.gallery import PIECES
from nests.orders.order import order
from nests.printing.mesh_files import (
    SLIVER,
    NamedMesh,
    check_printable,
    in_single,
    stl,
    three_mf,
)
from nests.solids.solid import Triangles, triangles
from nests.study import Study
from nests.units import BadInput
from tests.pieces import every

SLUGS = [piece.slug() for piece in PIECES]
IN_A_FRESH_PROCESS = ("round-26-0-4-6", "inv-26-a-inspection-swing-tab-dial", "inv-17-t-shaped")
RELATIVE = 1e-6
"""Of a volume: corners keep 0.01 µm in a file, and float32 24 bits, 6e-8 of a coordinate."""


def made(slug):
    piece = PIECES[SLUGS.index(slug)]
    root = data_folder("gallery")
    return order(
        piece.family,
        piece.options,
        sheet=root / "sheets" / f"{piece.sheet}.json" if piece.sheet else None,
        operation=piece.operation,
        printer=root / "printers" / "bench-printer.json",
        search=False,
    )


@cache
def built(slug):
    ordered = made(slug)
    out = pack.build(ordered.recipe, notes=ordered.notes, papers=False)
    assert out.grade is not Grade.STOP, out.findings[0].says  # its files are withheld
    return out


@cache
def bodies(slug):
    return pack.bodies(Study.of(built(slug).holder))


def stl_names(slug):
    return ["holder.stl", *(f"{pack.slug(body.name)}.stl" for body in bodies(slug)[1:])]


def digests(files):
    return {name: hashlib.sha256(content).hexdigest() for name, content in sorted(files.items())}


def mesh_volume(corners):
    """Divergence theorem, summed about the middle so that no digits cancel."""
    a, b, c = np.moveaxis(np.asarray(corners, dtype=float) - corners.mean(axis=(0, 1)), 1, 0)
    return float(np.sum(np.linalg.det(np.stack((a, b, c), axis=1)))) / 6


def read_3mf(data):
    """(model, [(name, vertices, faces, object)]) as lib3mf reads it, with no warning."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(data)
    assert reader.GetWarningCount() == 0
    out = []
    meshes = model.GetMeshObjects()
    while meshes.MoveNext():
        mesh = meshes.GetCurrentMeshObject()
        corners = np.array([list(v.Coordinates) for v in mesh.GetVertices()])
        faces = np.array([list(t.Indices) for t in mesh.GetTriangleIndices()], dtype=np.int64)
        out.append((mesh.GetName(), corners, faces, mesh))
    return model, out


def test_slugs_are_unique():
    assert len(set(SLUGS)) == len(SLUGS)


@pytest.mark.parametrize("slug", every(names=True))
def test_every_body_is_closed_and_holds_its_volume(slug):
    holder = built(slug).holder
    solids = [holder.solid, *(solid for _, solid in holder.beside)]
    for body, solid in zip(bodies(slug), solids, strict=True):
        assert body.mesh.closed()
        assert body.mesh.volume() > 0.0
        assert mesh_volume(body.mesh.vertices[body.mesh.faces]) == pytest.approx(
            body.mesh.volume(), rel=1e-9
        )
        # joining corners moves the skin by no more than 5·SLIVER, the wider of the two tries
        moved = abs(body.mesh.volume() - solid.volume())
        assert moved <= solid.surface_area() * 5 * SLIVER
        assert moved <= RELATIVE * solid.volume()


@pytest.mark.parametrize("slug", every(names=True))
def test_3mf_read_by_lib3mf(slug):
    model, found = read_3mf(built(slug).files["holder.3mf"])
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    assert [name for name, *_ in found] == [body.name for body in bodies(slug)]
    assert len({name for name, *_ in found}) == len(found)
    for (_, corners, faces, mesh), body in zip(found, bodies(slug), strict=True):
        assert mesh.IsManifoldAndOriented()
        assert np.array_equal(faces, body.mesh.faces)
        assert mesh_volume(corners[faces]) == pytest.approx(body.mesh.volume(), rel=RELATIVE)
    metadata = model.GetMetaDataGroup()
    words = {
        (each := metadata.GetMetaData(i)).GetName(): each.GetValue()
        for i in range(metadata.GetMetaDataCount())
    }
    assert set(words) == {"Title", "Application", "Description"}  # core specification, 1.4
    assert words["Title"] == built(slug).holder.recipe.name


@pytest.mark.parametrize("slug", every(names=True))
def test_3mf_bodies_stand_on_the_plate_side_by_side(slug):
    model, _ = read_3mf(built(slug).files["holder.3mf"])
    items = model.GetBuildItems()
    reach = -np.inf
    count = 0
    while items.MoveNext():
        item = items.GetCurrent()
        moved = np.array(item.GetObjectTransform().Fields)[3]
        mesh = model.GetMeshObjectByID(item.GetObjectResourceID())
        corners = np.array([list(v.Coordinates) for v in mesh.GetVertices()]) + moved
        assert corners[:, 2].min() == pytest.approx(0.0, abs=1e-5)
        assert corners[:, 0].min() > reach
        reach = corners[:, 0].max()
        count += 1
    assert count == len(bodies(slug))


@pytest.mark.parametrize("slug", every(names=True))
def test_3mf_read_by_trimesh(slug):
    scene = trimesh.load(io.BytesIO(built(slug).files["holder.3mf"]), file_type="3mf")
    assert scene.units in ("mm", "millimeter", "millimeters")
    found = list(scene.geometry.values())
    for mesh, body in zip(found, bodies(slug), strict=True):
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert len(mesh.faces) == len(body.mesh.faces)
        assert mesh.volume == pytest.approx(body.mesh.volume(), rel=RELATIVE)


@pytest.mark.parametrize("slug", every(names=True))
def test_stl_read_by_trimesh(slug):
    files = built(slug).files
    assert sorted(name for name in files if name.endswith(".stl")) == sorted(stl_names(slug))
    for name, body in zip(stl_names(slug), bodies(slug), strict=True):
        data = files[name]
        (count,) = struct.unpack_from("<I", data, 80)
        assert not data.startswith(b"solid")
        assert count == len(body.mesh.faces)
        assert len(data) == 84 + 50 * count
        mesh = trimesh.load(io.BytesIO(data), file_type="stl")
        assert len(mesh.faces) == count
        # joining equal float32 corners gives the very mesh back: none lost, none torn open
        assert len(mesh.vertices) == len(body.mesh.vertices)
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert mesh.volume == pytest.approx(body.mesh.volume(), rel=RELATIVE)
        rows = np.frombuffer(data, [("v", "<f4", (4, 3)), ("rest", "<u2")], offset=84)
        corners = rows["v"][:, 1:]
        assert mesh_volume(corners) == pytest.approx(body.mesh.volume(), rel=RELATIVE)
        normals = np.frombuffer(data[84:], dtype=[("n", "<f4", 3), ("rest", "V38")])["n"]
        dots = np.einsum("ij,ij->i", normals, mesh.triangles_cross / (2 * mesh.area_faces[:, None]))
        wide = mesh.area_faces > 1e-4  # the normal of a sliver is lost in float32
        assert dots[wide].min() > 0.99


@pytest.mark.slow
@pytest.mark.parametrize("slug", every(names=True))
def test_recipe_made_again_gives_the_same_bytes(slug, tmp_path):
    """Out of the pack and back through the reader, as `make --recipe` does it."""
    first = built(slug)
    path = tmp_path / "recipe.json"
    path.write_bytes(first.files["recipe.json"])
    again = read(path, Recipe)
    assert again == first.holder.recipe
    second = pack.build(again, papers=False)
    # gallery pieces are given in mm, so no note from before the recipe can be missing
    assert digests(second.files) == digests(first.files)
    assert json.loads(second.files["recipe.json"])["document"] == "recipe"


@pytest.mark.slow
@pytest.mark.parametrize("slug", IN_A_FRESH_PROCESS)
def test_another_process_gives_the_same_bytes(slug):
    """Another hash seed, other addresses, another clock."""
    root = data_folder("gallery").parent
    script = (
        "import importlib.util, json, sys\n"
        f"spec = importlib.util.spec_from_file_location('t', {__file__!r})\n"
        "t = importlib.util.module_from_spec(spec); spec.loader.exec_module(t)\n"
        "print(json.dumps(t.digests(t.built(sys.argv[1]).files)))\n"
    )
    answer = subprocess.run(
        [sys.executable, "-c", script, slug],
        capture_output=True, text=True, check=True, cwd=root, timeout=120,
        env={**os.environ, "PYTHONHASHSEED": "4711", "PYTHONPATH": str(root), "TZ": "UTC+9"},
    )  # fmt: skip
    assert json.loads(answer.stdout) == digests(built(slug).files)


def test_3mf_package_holds_no_clock():
    with zipfile.ZipFile(io.BytesIO(built(SLUGS[0]).files["holder.3mf"])) as package:
        infos = package.infolist()
    assert infos[0].filename == "[Content_Types].xml"
    assert {info.date_time for info in infos} == {(1980, 1, 1, 0, 0, 0)}


# --- what must not be written ---------------------------------------------------------------


def box():
    return trimesh.creation.box((2.0, 3.0, 4.0))


def as_triangles(vertices, faces):
    return Triangles(
        np.asarray(vertices, dtype=float),
        np.asarray(faces, dtype=np.int64),
        np.zeros(len(faces), dtype=np.int64),
    )


def test_box_is_closed_and_has_its_volume():
    mesh = as_triangles(box().vertices, box().faces)
    assert mesh.closed()
    assert mesh.volume() == pytest.approx(24.0)
    check_printable(NamedMesh("box", mesh))


@pytest.mark.parametrize(
    "fault", ["open", "one face flipped", "one face twice", "all twice", "inside out"]
)
def test_faulty_mesh_is_refused(fault):
    faces = box().faces.copy()
    if fault == "open":
        faces = faces[1:]
    elif fault == "one face flipped":
        faces[0] = faces[0][::-1]
    elif fault == "one face twice":
        faces = np.vstack([faces, faces[:1]])
    elif fault == "all twice":  # every edge walked as often there as back, but by four faces
        faces = np.vstack([faces, faces])
    else:
        faces = faces[:, ::-1]
    mesh = as_triangles(box().vertices, faces)
    assert mesh.closed() == (fault == "inside out")
    with pytest.raises(BadInput, match="no volume" if fault == "inside out" else "not closed"):
        three_mf([NamedMesh("box", mesh)], {})


def test_stl_header_never_begins_with_solid():
    data = stl(NamedMesh("solid ⌀", as_triangles(box().vertices, box().faces)))
    assert not data.startswith(b"solid")
    assert len(data) == 84 + 12 * 50


def test_corners_that_fall_together_in_float32_are_joined_first():
    """A step of 1e-7 mm at 30 mm is below float32; written as it is, it would tear the mesh."""
    from manifold3d import Manifold

    plate = Manifold.cube((10.0, 10.0, 2.0)).translate((25.0, 0.0, 0.0))
    step = Manifold.cube((5.0, 5.0, 2.0)).translate((30.0 + 1e-7, 2.0, 2.0))
    third = Manifold.cube((5.0, 5.0, 2.0)).translate((30.0, 2.0, 4.0))
    raw = triangles(plate + step + third)
    assert len(np.unique(raw.vertices.astype(np.float32), axis=0)) < len(raw.vertices)
    mesh = in_single(raw)
    assert mesh.closed()
    assert len(np.unique(mesh.vertices.astype(np.float32), axis=0)) == len(mesh.vertices)
    assert mesh.volume() == pytest.approx(200.0 + 50.0 + 50.0, rel=RELATIVE)
